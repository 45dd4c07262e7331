"""The command that sums up a year of giving."""

from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from site_builder.cli.options import collection_folder, day_option
from site_builder.cli.output_files import ending_of, refuse_file, write_whole
from site_builder.cli.prompts import sound_reading
from site_builder.terminal import Progress, print_json, say

if TYPE_CHECKING:
    from collection.giving.annual_report import AnnualReport

ENDINGS = ("pdf", "xlsx", "csv", "html")


@click.command()
@click.argument("collection", default=".", type=click.Path(path_type=Path))
@click.argument("year", required=False, metavar="YEAR")
@click.option(
    "--to",
    multiple=True,
    type=click.Path(path_type=Path),
    help="The file to write: a .pdf, .xlsx, .csv or .html. May be given several times.",
)
@day_option("The day as of which the report is made; it knows of nothing later. Default: today.")
@click.option("--json", "as_json", is_flag=True, help="The result for programs.")
def report(collection: Path, year: str | None, to: tuple[Path, ...], on: date | None, as_json: bool) -> None:
    """Sum up a year of giving, for the maker and for whoever prepares her taxes.

    YEAR is the giving year as the pages write it, such as 2026 or 2026/27.

    Example: counterpane report my-quilts 2026 --to giving-2026.pdf
    """
    from collection.giving.annual_report import giving_report
    from site_builder.documents.giving_report.json_data import report_data

    if year is None:  # The collection may be left out, the year may not.
        collection, year = Path("."), str(collection)
        if year == ".":
            raise click.UsageError(f"Say which year, such as {date.today().year - 1}.")
    collection_folder(collection)
    if not to and not as_json:
        raise click.UsageError(f"Name the file to write, such as --to giving.pdf; or one of .{', .'.join(ENDINGS)}.")
    for path in to:
        refuse_file(path, ENDINGS)
    reading = sound_reading(collection)
    day = on or date.today()
    found = giving_report(reading.collection, _year(year, reading.collection.settings.giving_year_starts), day)
    for path in _write_files(found, to):
        click.echo(path, err=as_json)
    if as_json:
        print_json(report_data(found))
    _summarise(found)


def _year(written: str, starts: str) -> int:
    """A giving year as people write it: 2026/27, 2026-27, or just 2026. UsageError for anything else."""
    from collection.giving.years import read_year

    try:
        return read_year(written, starts)
    except ValueError as error:
        raise click.UsageError(str(error)) from None


def _write_files(found: "AnnualReport", paths: tuple[Path, ...]) -> Iterator[Path]:
    """Make all files, then write them, and yield the path of each."""
    makers = _makers(found, {ending_of(path, ENDINGS) for path in paths})
    made = {path: makers[ending_of(path, ENDINGS)]() for path in paths}
    for path, content in made.items():
        write_whole(path, content)
        yield path


def _makers(found: "AnnualReport", endings: set[str]) -> dict[str, Callable[[], bytes]]:
    """A function for each kind of file. Only the kinds that show pictures read them."""
    pictures = _pictures(found) if endings & {"pdf", "html"} else {}

    def pdf() -> bytes:
        from site_builder.documents.giving_report.output import pdf_report

        made = pdf_report(found, pictures)
        if made.shortcoming:
            say(made.shortcoming)
        return made.pdf

    def xlsx() -> bytes:
        from site_builder.documents.giving_report.workbook import xlsx_report

        return xlsx_report(found)

    def csv() -> bytes:
        from site_builder.documents.giving_report.csv_table import csv_table

        return csv_table(found)

    def html() -> bytes:
        from site_builder.documents.giving_report.printed_page import html_report

        return html_report(found, pictures)

    return {"pdf": pdf, "xlsx": xlsx, "csv": csv, "html": html}


def _pictures(found: "AnnualReport") -> dict[str, bytes]:
    from site_builder.documents.giving_report.rows import all_rows
    from site_builder.documents.giving_report.thumbnails import thumbnails

    quilts = [row.quilt for row in all_rows(found)]
    with Progress() as progress:
        return thumbnails(found.collection, quilts, progress=lambda done, of: progress("Pictures", done, of))


def _summarise(found: "AnnualReport") -> None:
    from site_builder.documents.giving_report.document import lead_words
    from site_builder.text.wording import count_of

    sums = found.sums
    sentences = [lead_words(found)]
    if found.rows:
        materials = sums.totals.materials
        cost = f"Materials recorded: {materials.known.say_sum()} for {count_of(materials.recorded, 'quilt')}"
        if sums.estimated.count:
            cost += f"; estimated apart: {sums.estimated.total.say()} for {count_of(sums.estimated.count, 'quilt')}"
        cost += f"; nothing known for {sums.lacking:,}" if sums.lacking else ""
        sentences.append(f"{cost}.")
    say(" ".join(sentences))
