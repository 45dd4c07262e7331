"""What commands share: reading the records, asking before a change, and the log entry."""

import sys
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from site_builder.terminal import harmless, report_recovered

if TYPE_CHECKING:
    from collection.loading.loader import Reading
    from collection.storage.change_log import LogEntry


def sound_reading(folder: Path) -> "Reading":
    """Read the collection, and finish an interrupted change first. CollectionProblems if its records have errors."""
    from collection.loading.loader import read_collection
    from collection.problems import CollectionProblems

    reading = read_collection(folder)
    report_recovered(reading.recovered)
    if reading.errors:
        raise CollectionProblems(reading.errors)
    return reading


def someone_can_answer() -> bool:
    """Is there a terminal to ask a question on?"""
    return sys.stdin.isatty()


def ask(question: str, *, yes: bool) -> None:
    """Ask whether to continue, unless `yes` is set or there is no terminal. Abort if the answer is no."""
    if not yes and someone_can_answer():
        click.confirm(harmless(question), default=True, abort=True, err=True)


def log_entry_now(what: str) -> "LogEntry":
    """The log entry of a change that the running command makes now. `what` has a line for each record."""
    from collection.storage.change_log import LogEntry

    return LogEntry(what, datetime.now().astimezone(), running_command())


def running_command() -> str:
    """The name of the running command."""
    return click.get_current_context().command.name or ""
