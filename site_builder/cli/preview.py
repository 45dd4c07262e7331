"""The commands that begin a collection, and that show it while the maker works on it."""

from collections.abc import Callable
from contextlib import nullcontext
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from site_builder.cli.options import day_option, refuse_output_in_records
from site_builder.cli.prompts import someone_can_answer
from site_builder.terminal import explain, report_recovered, say, tell_all

if TYPE_CHECKING:
    from collection.problems import Problem


def _ask_for_maker(context: click.Context, option: click.Parameter, value: str | None) -> str:
    """The name; asked for if it is not given, and empty if nobody can answer."""
    if value is not None:
        return value
    return _answer(lambda: click.prompt("Who makes the quilts", default="", show_default=False), otherwise="")


def _ask_for_units(context: click.Context, option: click.Parameter, value: str | None) -> str:
    """The unit of bare numbers; inches if nobody can answer."""
    from collection.values.currency_by_country import units_in
    from site_builder.desk.country import country_here

    def ask() -> str:
        return click.prompt(
            "Sizes are mostly in", type=click.Choice(["in", "cm"]), default=units_in(country_here("LC_MEASUREMENT"))
        )

    return value or _answer(ask, otherwise="in")


def _ask_for_currency(context: click.Context, option: click.Parameter, value: str | None) -> str:
    """The currency's code; empty if nobody can answer, as money is never guessed."""
    from collection.records.settings import currency_code
    from collection.values.currency_by_country import currency_in, currency_meant
    from site_builder.desk.country import country_here

    country = country_here("LC_MONETARY")

    def read(text: str) -> str:
        try:
            return currency_code(currency_meant(text, country)) if text.strip() else ""
        except ValueError as error:
            raise click.BadParameter(str(error)) from error

    def ask() -> str:
        first = currency_in(country)
        return click.prompt(
            "Which currency do you count in, in three letters",
            default=first or "",
            show_default=bool(first),
            value_proc=read,
        )

    return read(value) if value is not None else _answer(ask, otherwise="")


def _answer(ask: Callable[[], str], *, otherwise: str) -> str:
    """The answer; `otherwise` if nobody can answer."""
    try:
        return ask()
    except click.Abort:
        if someone_can_answer():
            raise
        click.echo()
        return otherwise


@click.command()
@click.argument("folder", type=click.Path(path_type=Path, file_okay=False))
@click.option("--title", prompt="What is the collection called", help="The collection's name: the head of every page.")
@click.option("--maker", callback=_ask_for_maker, help="The name to publish. It can be left out.")
@click.option("--units", type=click.Choice(["in", "cm"]), callback=_ask_for_units, help="What bare numbers mean.")
@click.option(
    "--currency", callback=_ask_for_currency, help="What you count in, in three letters, such as USD, GBP or EUR."
)
def begin(folder: Path, title: str, maker: str, units: str, currency: str) -> None:
    """Begin a collection in an empty folder.

    Example: counterpane begin my-quilts --title "Quilts of mine" --maker "Ann Example"
    """
    from collection.problems import CollectionProblems
    from site_builder.desk.new_collection import begin_collection, no_collection_in

    if not no_collection_in(folder):
        raise click.UsageError(f"{folder} holds something already. Name a new folder, or an empty one.")
    try:
        begin_collection(folder, title=title.strip(), maker=maker.strip(), units=units, currency=currency)
    except CollectionProblems as refused:
        problem = refused.problems[0]
        raise click.UsageError(
            problem.remedy if problem.field else f"{folder / problem.file}: {problem.remedy}"
        ) from refused
    say(
        f"Begun. Take in a photo, or a folder of them: counterpane take-in {folder} PHOTO. And look: counterpane preview {folder}"
    )
    click.echo(folder / "collection.yaml")


@click.command()
@click.argument("collection", default=".", type=click.Path(path_type=Path))
@click.option(
    "--output",
    type=click.Path(path_type=Path),
    help="Where to build. Default: a folder of its own among those that can be made again.",
)
@click.option("--port", type=click.IntRange(0, 65535), default=8000, show_default=True, help="0: any free one.")
@day_option("The day as of which it is built; it knows of nothing later. Default: today.")
def preview(collection: Path, output: Path | None, port: int, on: date | None) -> None:
    """Show both editions on this machine only, anew after each change, and the desk, where you write.

    In a new or empty folder it offers to begin a collection.

    Example: counterpane preview my-quilts
    """
    from site_builder.building.build import build as build_editions
    from site_builder.cli.build_summary import asides, build_words
    from site_builder.desk.new_collection import no_collection_in
    from site_builder.images.glibc_memory import share_among_threads
    from site_builder.incremental.cache_folder import held_cache
    from site_builder.preview.pages_folder import preview_folder
    from site_builder.preview.server import PreviewProblem, serve

    share_among_threads()
    _refuse_what_is_no_folder(collection)
    if output is not None:
        refuse_output_in_records(collection, output)

    def today() -> date:
        return on or date.today()

    with held_cache(collection) as cache, nullcontext(output) if output else preview_folder(cache) as folder:
        if cache.why_temporary:
            say(cache.why_temporary)

        warnings: list[Problem] = []

        def rebuild() -> bool:
            if no_collection_in(collection):
                return True
            try:
                report = build_editions(collection, folder, on=today(), cache=replace(cache, why_temporary=""))
            except Exception as error:  # noqa: BLE001  explained to the person; the preview continues
                explain(error)
                return False
            report_recovered(report.recovered)
            tell_all(report.warnings)
            warnings[:] = report.warnings
            for aside in asides(report):
                say(aside)
            say(build_words(report))
            return True

        try:
            serve(collection, folder, cache.pictures, port, rebuild, today=today, warnings=lambda: tuple(warnings))
        except PreviewProblem as error:
            raise click.UsageError(str(error)) from error


def _refuse_what_is_no_folder(collection: Path) -> None:
    if collection.exists() and not collection.is_dir():
        raise click.UsageError(f"{collection} is a file. Name the folder that holds collection.yaml and quilts/.")
    if not collection.exists() and not collection.absolute().parent.is_dir():
        raise click.UsageError(f"There is no folder {collection.parent}, so none can be begun in it. Check the name.")


PREVIEW_COMMANDS = (begin, preview)
