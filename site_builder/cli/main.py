"""The command line. A command is a thin function: read, compute, write, report.

A command imports what it needs itself, so that `--help` loads little.
"""

import gc
import sys
from datetime import date
from io import TextIOWrapper
from pathlib import Path
from typing import TYPE_CHECKING

import click

from site_builder.cli.documents import PAPERWORK_COMMANDS
from site_builder.cli.options import collection_argument, day_option, refuse_output_in_records
from site_builder.cli.overview import ByPurpose
from site_builder.cli.preview import PREVIEW_COMMANDS
from site_builder.cli.report import report
from site_builder.cli.take_in import take_in
from site_builder.cli.transfers import TRANSFER_COMMANDS
from site_builder.cli.undo import undo
from site_builder.terminal import (
    RECORDS_HAVE_PROBLEMS,
    STOPPED,
    Progress,
    check_data,
    every_gap,
    explain,
    gaps_in_short,
    print_json,
    problem_line,
    report_recovered,
    say,
    tell,
    tell_all,
)

if TYPE_CHECKING:
    from site_builder.editions import EditionName


@click.group(cls=ByPurpose, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="counterpane", message="%(prog)s %(version)s")
def cli() -> None:
    """Keep a collection of quilts: what there is, what fits a request, and where each one went.

    COLLECTION is a folder with collection.yaml and quilts/; the current one if left out.

    Example: counterpane check my-quilts
    """


@cli.command()
@collection_argument
@click.option("--output", required=True, type=click.Path(path_type=Path), help="The folder to build into.")
@click.option("--edition", type=click.Choice(["catalogue", "binder"]), help="Only this one. Default: both.")
@day_option("The day as of which it is built; it knows of nothing later. Default: today.")
@click.option("--strict", is_flag=True, help="Stop at warnings too, such as a missing photo.")
@click.option(
    "--jobs",
    type=click.IntRange(1, 64),
    default=2,
    show_default=True,
    help="Photos at a time, and processes that make many pages.",
)
def build(
    collection: Path, output: Path, edition: "EditionName | None", on: date | None, strict: bool, jobs: int
) -> None:
    """Build the public catalogue and the private binder.

    Example: counterpane build my-quilts --output my-site
    """
    from site_builder.cli.build_summary import asides, build_words
    from site_builder.editions import EDITIONS
    from site_builder.incremental.up_to_date import report_if_up_to_date

    refuse_output_in_records(collection, output)
    day, editions = on or date.today(), (edition,) if edition else EDITIONS
    report = report_if_up_to_date(collection, output, on=day, editions=editions, strict=strict)
    if report is None:  # Only now is it worth loading what a build needs.
        from site_builder.building.build import build as build_editions

        with Progress() as progress:
            report = build_editions(
                collection,
                output,
                on=day,
                editions=editions,
                strict=strict,
                jobs=jobs,
                known_to_differ=True,
                progress=progress,
            )
    report_recovered(report.recovered)
    tell_all(report.warnings)
    for aside in asides(report):
        say(aside)
    say(build_words(report))
    for folder in report.editions:
        click.echo(folder / "index.html")


@cli.command()
@collection_argument
@click.option(
    "--gaps", "all_gaps", is_flag=True, help="List every gap of every quilt, the most useful to fill in first."
)
@click.option("--json", "as_json", is_flag=True, help="The result for programs.")
@click.option("--strict", is_flag=True, help="Count warnings as problems too.")
def check(collection: Path, all_gaps: bool, as_json: bool, strict: bool) -> None:
    """Tell every problem in the records, then what is missing.

    Example: counterpane check my-quilts
    """
    from collection.giving.gaps import find_gaps
    from collection.loading.loader import read_collection
    from collection.problems import CollectionProblems
    from site_builder.temporary_folders import remove_left_folders
    from site_builder.text.wording import count_of

    remove_left_folders()
    try:
        reading = read_collection(collection)
    except CollectionProblems as no_collection:
        if as_json:
            print_json(check_data(no_collection.problems, (), ()))
        raise
    report_recovered(reading.recovered)
    gaps = find_gaps(reading.collection)
    if as_json:
        print_json(check_data(reading.errors, reading.warnings, gaps))
    else:
        for problem in (*reading.errors, *reading.warnings):
            tell(problem_line(problem))
        for line in every_gap(gaps) if all_gaps else gaps_in_short(gaps):
            tell(line)
        say(
            f"{count_of(len(reading.collection.quilts), 'quilt')} read; "
            f"{count_of(len(reading.errors), 'problem')}, {count_of(len(reading.warnings), 'warning')}, "
            f"{count_of(len(gaps), 'gap')}{'' if all_gaps or not gaps else ' (--gaps tells each)'}."
        )
    sys.exit(RECORDS_HAVE_PROBLEMS if reading.errors or (strict and reading.warnings) else 0)


@cli.command()
@click.argument("folder", type=click.Path(path_type=Path))
def schema(folder: Path) -> None:
    """Write JSON Schemas, by which an editor completes and explains the fields.

    Example: counterpane schema my-quilts/schemas
    """
    from collection.loading.json_schemas import schema_texts
    from site_builder.cli.output_files import write_whole

    folder.mkdir(parents=True, exist_ok=True)
    for name, text in schema_texts().items():
        write_whole(folder / name, text.encode())
        click.echo(folder / name)


for command in (*PREVIEW_COMMANDS, *TRANSFER_COMMANDS, report, *PAPERWORK_COMMANDS, undo, take_in):
    cli.add_command(command)


def main() -> None:
    """The command `counterpane`."""
    # What a command reads and makes is needed until it ends; collecting garbage as often as Python does would take a
    # tenth of a command's time.
    gc.set_threshold(200_000, 20, 50)
    # Escape what the terminal can't show, such as letters in a name.
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")
    try:
        sys.exit(cli.main(prog_name="counterpane", standalone_mode=False))
    except click.Abort:
        say("Stopped; nothing is left half done.")
        sys.exit(STOPPED)
    except click.ClickException as error:
        error.show()
        sys.exit(error.exit_code)
    except Exception as error:  # noqa: BLE001 - the last place that can put an error in words
        sys.exit(explain(error))
    finally:
        # The process ends now; collecting garbage once more would take as long again.
        gc.freeze()
