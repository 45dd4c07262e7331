"""The report as a PDF: tagged for assistive technology, with page numbers, ready for the tax preparer."""

from collections.abc import Mapping
from dataclasses import asdict

from collection.giving.annual_report import AnnualReport
from site_builder.documents.giving_report.document import report_document
from site_builder.documents.typesetting import Typeset, paper_size, typeset

TEMPLATE = "giving_report.typ"


def pdf_report(report: AnnualReport, pictures: Mapping[str, bytes]) -> Typeset:
    """The PDF. `pictures` are small JPEGs by quilt ID; in the PDF they are numbered, and no file name reaches it."""
    names = {quilt: f"{number}.jpg" for number, quilt in enumerate(sorted(pictures), start=1)}
    data = asdict(report_document(report, pictures.keys()))
    for chapter in data["chapters"]:
        for grid in chapter["grids"]:
            for line in grid["lines"]:
                line["picture"] = names.get(line["picture"])
    data["paper"] = paper_size(report.collection.settings.currency)
    numbered = {names[quilt]: content for quilt, content in pictures.items()}
    return typeset(TEMPLATE, data, pictures=numbered, on=report.on)
