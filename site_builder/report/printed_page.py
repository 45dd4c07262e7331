"""The report as an `.html`: one page that prints well and needs nothing beside it, its pictures included."""

from base64 import b64encode
from collections.abc import Mapping

from collection.giving_report import AnnualReport
from site_builder.rendering import Renderer
from site_builder.report.document import report_document


def html_report(report: AnnualReport, pictures: Mapping[str, bytes]) -> bytes:
    """`pictures` are small JPEGs by the IDs of their quilts."""
    embedded = {quilt: f"data:image/jpeg;base64,{b64encode(jpeg).decode()}" for quilt, jpeg in pictures.items()}
    document = report_document(report, pictures.keys())
    return Renderer().text("report.html", document=document, pictures=embedded)
