"""Arguments and options that several commands share."""

from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any, TypeVar

import click

F = TypeVar("F", bound=Callable[..., Any] | click.Command)


def collection_folder(folder: Path) -> Path:
    """The folder that a command gets as its collection. UsageError if it is not a folder."""
    if not folder.exists():
        raise click.UsageError(f"There is no folder {folder}. Name the one that holds collection.yaml and quilts/.")
    if not folder.is_dir():
        raise click.UsageError(f"{folder} is a file. Name the folder that holds collection.yaml and quilts/.")
    return folder


def collection_argument(command: F) -> F:
    path = click.Path(path_type=Path)
    return click.argument("collection", default=".", type=path, callback=_checked_folder)(command)


def _checked_folder(context: click.Context, parameter: click.Parameter, folder: Path) -> Path:
    return collection_folder(folder)


def day_option(help_text: str) -> Callable[[F], F]:
    """`--on`: a day in ISO 8601, such as 2026-05-30. None if it is not given."""
    return click.option("--on", metavar="DATE", callback=_read_day, help=help_text)


def _read_day(context: click.Context, parameter: click.Parameter, text: str | None) -> date | None:
    try:
        return date.fromisoformat(text) if text is not None else None
    except ValueError:
        raise click.BadParameter(f'"{text}" is not a day. Write year, month and day, such as 2026-05-30.') from None


def refuse_output_in_records(collection: Path, output: Path) -> None:
    """UsageError if records and built pages would share a folder, as a build replaces whole folders."""
    from collection.storage.files import real_path
    from collection.storage.folder_layout import FOLDERS
    from site_builder.editions import EDITIONS

    records, place = real_path(collection), real_path(output)
    if output.exists() and not output.is_dir():
        raise click.UsageError(f"{output} is a file. Name a folder with --output.")
    if place == records:
        raise click.UsageError(
            f"{output} is the collection itself. Name another folder with --output, such as {output / 'site'}."
        )
    for folder in FOLDERS:
        if place.is_relative_to(real_path(records / folder)):
            raise click.UsageError(
                f"{output} lies in the collection's own {folder}/ folder. Choose another with --output."
            )
    for edition in EDITIONS:
        if records.is_relative_to(place / edition):
            raise click.UsageError(
                f"The collection lies in {output / edition}, which a build replaces. Choose another with --output."
            )
