"""The report as a PDF: tagged for assistive technology, with page numbers, ready to hand to whoever prepares taxes."""

from collections.abc import Mapping
from dataclasses import asdict

from collection.giving_report import AnnualReport
from site_builder.report.document import report_document
from site_builder.typesetting import Typeset, paper_size, typeset

TEMPLATE = "giving_report.typ"


def pdf_report(report: AnnualReport, pictures: Mapping[str, bytes]) -> Typeset:
    """`pictures` are small JPEGs by the IDs of their quilts. No names of files, only numbers, reach the PDF."""
    names = {quilt: f"{number}.jpg" for number, quilt in enumerate(sorted(pictures), start=1)}
    data = asdict(report_document(report, pictures.keys()))
    for chapter in data["chapters"]:
        for grid in chapter["grids"]:
            for line in grid["lines"]:
                line["picture"] = names.get(line["picture"])
    data["paper"] = paper_size(report.collection.settings.currency)
    return typeset(TEMPLATE, data, pictures={names[quilt]: content for quilt, content in pictures.items()}, on=report.on)
