"""What commands share: a reading without errors, a question to whoever can answer, what the log is told."""

import sys
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from site_builder.terminal import harmless, say_healed

if TYPE_CHECKING:
    from collection.change_log import Told
    from collection.reading import Reading


def sound_reading(folder: Path) -> "Reading":
    """The collection, once a change that was interrupted is finished. CollectionProblems when its records have errors."""
    from collection.problems import CollectionProblems
    from collection.reading import read_collection

    reading = read_collection(folder)
    say_healed(reading.healed)
    if reading.errors:
        raise CollectionProblems(reading.errors)
    return reading


def someone_can_answer() -> bool:
    return sys.stdin.isatty()


def ask(question: str, *, yes: bool) -> None:
    """Ask whether to go on, where someone can answer and has not said yes already; Abort where the answer is no."""
    if not yes and someone_can_answer():
        click.confirm(harmless(question), default=True, abort=True, err=True)


def told_now(what: str) -> "Told":
    """What the log is told of a change that the command at work makes now; a line for each record."""
    from collection.change_log import Told

    return Told(what, datetime.now().astimezone(), click.get_current_context().command.name)
