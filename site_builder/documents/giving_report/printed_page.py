"""The report as one `.html` file that prints well, with its pictures embedded."""

from collections.abc import Mapping

from collection.giving.annual_report import AnnualReport
from site_builder.documents.as_page import data_urls
from site_builder.documents.giving_report.document import report_document
from site_builder.rendering.renderer import Renderer


def html_report(report: AnnualReport, pictures: Mapping[str, bytes]) -> bytes:
    """The page as UTF-8. `pictures` are small JPEGs by the IDs of their quilts."""
    document = report_document(report, pictures.keys())
    return Renderer().text("report.html", document=document, pictures=data_urls(pictures))
