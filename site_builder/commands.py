"""The command line. A command is a thin function: read, compute, write, report.

Results go to standard output, everything said to a person to standard error. What a command needs is
imported inside it, so that asking for help costs nothing.
"""

import json
import sys
from collections.abc import Iterable
from datetime import date
from pathlib import Path

import click

RECORDS_HAVE_PROBLEMS = 1
WRONG_USE = 2
OURS = 3


class Day(click.ParamType):
    """A day as people in all countries read it alike: 2026-05-30."""

    name = "date"

    def convert(self, value, param, context):
        if isinstance(value, date):
            return value
        try:
            return date.fromisoformat(value)
        except ValueError:
            self.fail(f'"{value}" is not a day. Write year, month and day, such as 2026-05-30.', param, context)


def _collection_argument(command):
    return click.argument("collection", default=".", type=click.Path(path_type=Path))(command)


def _on_option(command):
    return click.option(
        "--on", type=Day(), default=None, help="The day that counts as today in the binder. Default: today."
    )(command)


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="counterpane", message="%(prog)s %(version)s")
def cli() -> None:
    """Keep a collection of quilts: what there is, what fits a request, and where each one went.

    COLLECTION is a folder with collection.yaml and quilts/; the current one if left out.
    """


@cli.command()
@_collection_argument
@click.option(
    "--output", required=True, type=click.Path(path_type=Path), help="The folder to build into."
)
@click.option(
    "--edition",
    type=click.Choice(["catalogue", "binder"]),
    help="Only this one. Default: both.",
)
@_on_option
@click.option("--strict", is_flag=True, help="Stop at warnings too, such as a missing photo.")
@click.option("--jobs", type=click.IntRange(1, 64), default=2, show_default=True, help="Photos at a time.")
def build(collection: Path, output: Path, edition: str | None, on: date | None, strict: bool, jobs: int) -> None:
    """Build the public catalogue and the private binder.

    Example: counterpane build my-quilts --output my-site
    """
    from site_builder.build import build as build_editions

    _refuse_output_in_records(collection, output)
    with _Progress() as progress:
        report = build_editions(
            collection,
            output,
            on=on or date.today(),
            editions=(edition,) if edition else ("catalogue", "binder"),
            strict=strict,
            jobs=jobs,
            progress=progress,
        )
    _tell_all(report.warnings)
    unread = f"; {_count(len(report.warnings), 'warning')}, see above" if report.warnings else ""
    _say(
        f"Built {_count(report.quilts, 'quilt')}, {_count(report.pages, 'page')}, "
        f"{_count(report.pictures, 'photo')}{unread}."
    )
    for folder in report.editions:
        click.echo(folder / "index.html")


@cli.command()
@_collection_argument
@click.option("--json", "as_json", is_flag=True, help="The result for programs.")
@click.option("--strict", is_flag=True, help="Count warnings as problems too.")
def check(collection: Path, as_json: bool, strict: bool) -> None:
    """Tell every problem in the records, then what is missing.

    Example: counterpane check my-quilts
    """
    from collection.gaps import find_gaps
    from collection.reading import read_collection

    reading = read_collection(collection)
    gaps = find_gaps(reading.collection)
    failed = bool(reading.errors or (strict and reading.warnings))
    if as_json:
        _print_json(
            {
                "problems": [_problem_data(problem) for problem in reading.errors],
                "warnings": [_problem_data(problem) for problem in reading.warnings],
                "gaps": [{"quilt": gap.quilt, "field": gap.field, "blocks": gap.blocks} for gap in gaps],
            }
        )
    else:
        for problem in reading.problems:
            click.echo(_problem_line(problem))
        _print_gaps(gaps)
        _say(
            f"{_count(len(reading.collection.quilts), 'quilt')} read; "
            f"{_count(len(reading.errors), 'problem')}, {_count(len(reading.warnings), 'warning')}, "
            f"{_count(len(gaps), 'gap')}."
        )
    sys.exit(RECORDS_HAVE_PROBLEMS if failed else 0)


@cli.command()
@_collection_argument
@click.option(
    "--output",
    type=click.Path(path_type=Path),
    help="Where to build. Default: a folder that is removed when the preview ends.",
)
@click.option("--port", type=click.IntRange(0, 65535), default=8000, show_default=True, help="0: any free one.")
@_on_option
def preview(collection: Path, output: Path | None, port: int, on: date | None) -> None:
    """Show both editions on this machine only, and show them anew after each change.

    Example: counterpane preview my-quilts
    """
    import tempfile

    from site_builder.build import build as build_editions
    from site_builder.preview import PreviewProblem, serve

    if output is not None:
        _refuse_output_in_records(collection, output)
    with tempfile.TemporaryDirectory(prefix="counterpane-") as temporary:
        place = output or Path(temporary)

        def rebuild() -> bool:
            try:
                report = build_editions(collection, place, on=on or date.today())
            except Exception as error:
                _explain(error)
                return False
            _tell_all(report.warnings)
            _say(f"Built {_count(report.quilts, 'quilt')}, {_count(report.pages, 'page')}.")
            return True

        try:
            serve(collection, place, port, rebuild)
        except PreviewProblem as error:
            raise click.UsageError(str(error)) from error


@cli.command()
@click.argument("folder", type=click.Path(path_type=Path))
def schema(folder: Path) -> None:
    """Write JSON Schemas, by which an editor completes and explains the fields.

    Example: counterpane schema my-quilts/schemas
    """
    from collection.schemas import schema_texts

    folder.mkdir(parents=True, exist_ok=True)
    for name, text in schema_texts().items():
        (folder / name).write_text(text, encoding="utf-8", newline="\n")
        click.echo(folder / name)


# Saying -----------------------------------------------------------------------------------------


def _say(sentence: str) -> None:
    click.echo(sentence, err=True)


def _count(count: int, noun: str) -> str:
    return f"{count:,} {noun}" + ("" if count == 1 else "s")


def _problem_line(problem) -> str:
    text = str(problem)
    if problem.severity == "warning":
        text = text.replace(": ", ": warning: ", 1)
    return text


def _problem_data(problem) -> dict[str, object]:
    names = ("file", "line", "field", "found", "remedy")
    return {name: getattr(problem, name) for name in names}


def _tell_all(problems: Iterable) -> None:
    for problem in problems:
        _say(_problem_line(problem))


def _print_gaps(gaps) -> None:
    blocked = None
    for gap in gaps:
        if gap.blocks != blocked:
            blocked = gap.blocks
            click.echo(f"\nMissing for {'the catalogue' if blocked == 'catalogue' else blocked}:")
        click.echo(f"  quilts/{gap.quilt}.yaml: {gap.field}: {gap.why}")


def _print_json(result: object) -> None:
    click.echo(json.dumps(result, ensure_ascii=False, indent=2))


class _Progress:
    """How far a long work is, on one line of a terminal; nothing where there is none."""

    def __init__(self) -> None:
        self.shown = sys.stderr.isatty()
        self.width = 0

    def __enter__(self) -> "_Progress":
        return self

    def __exit__(self, *exception: object) -> None:
        if self.width:
            sys.stderr.write("\r" + " " * self.width + "\r")

    def __call__(self, what: str, done: int, of: int) -> None:
        if self.shown and (done == of or done % max(1, of // 100) == 0):
            line = f"{what}: {done:,} of {of:,}"
            sys.stderr.write("\r" + line.ljust(self.width))
            sys.stderr.flush()
            self.width = max(self.width, len(line))


# Refusing ---------------------------------------------------------------------------------------


def _refuse_output_in_records(collection: Path, output: Path) -> None:
    from collection.reading import FOLDERS

    place = output.resolve()
    for folder in FOLDERS:
        if place.is_relative_to((collection / folder).resolve()):
            raise click.UsageError(
                f"{output} lies in the collection's own {folder}/ folder. Choose another with --output."
            )
    if output.exists() and not output.is_dir():
        raise click.UsageError(f"{output} is a file. Name a folder with --output.")


def _explain(error: Exception) -> int:
    """Tell an error in words, and return the exit code that goes with it."""
    from collection.problems import CollectionProblems
    from site_builder.publishing import NotOurs

    if isinstance(error, CollectionProblems):
        _tell_all(error.problems)
        _say(f"{_count(len(error.problems), 'problem')} in the records; nothing was changed.")
        return RECORDS_HAVE_PROBLEMS
    if isinstance(error, NotOurs):
        _say(str(error))
        return WRONG_USE
    if isinstance(error, OSError):
        _say(f"{error.filename or 'A file'}: {error.strerror or error}. The former output is as it was.")
        return WRONG_USE
    import tempfile
    import traceback

    with tempfile.NamedTemporaryFile(
        "w", prefix="counterpane-", suffix=".txt", delete=False, encoding="utf-8"
    ) as report:
        traceback.print_exception(error, file=report)
    _say(
        "Something went wrong in Counterpane itself; your records and the former output are as they were. "
        f"What happened is written in {report.name}; please pass it on to whoever looks after the program."
    )
    return OURS


def main() -> None:
    """The command `counterpane`."""
    try:
        cli.main(standalone_mode=False)
    except click.exceptions.Exit as leaving:
        sys.exit(leaving.exit_code)
    except click.Abort:
        _say("Stopped; nothing was changed.")
        sys.exit(130)
    except click.ClickException as error:
        error.show()
        sys.exit(error.exit_code)
    except Exception as error:
        sys.exit(_explain(error))
