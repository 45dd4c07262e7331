"""The command that undoes changes of other commands and the desk, and shows the log of changes."""

from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from site_builder.cli.options import collection_argument
from site_builder.cli.prompts import ask, running_command
from site_builder.terminal import print_json, report_recovered, say, tell, tell_all

if TYPE_CHECKING:
    from collection.storage.change_log import ChangeLog, LoggedChange
    from collection.storage.undo import Undo

SHOWN_AT_MOST = 20
"""The most files that are listed by name."""


@click.command()
@collection_argument
@click.option("--again", is_flag=True, help="Do again what was taken back last.")
@click.option("--list", "as_list", is_flag=True, help="Only show the log of changes, the newest first.")
@click.option("--dry-run", is_flag=True, help="Only show what would be taken back.")
@click.option("--yes", is_flag=True, help="Do not ask first on a terminal.")
@click.option("--json", "as_json", is_flag=True, help="The result for programs.")
def undo(collection: Path, again: bool, as_list: bool, dry_run: bool, yes: bool, as_json: bool) -> None:
    """Take back the newest change that a command or the desk has made; once more, the one before it.

    Example: counterpane undo my-quilts
    """
    from collection.storage.consistent_read import consistent_read
    from collection.storage.undo import change_log, prepare_undo

    with consistent_read(collection) as recovered:
        found = None if as_list else prepare_undo(collection, again=again)
        log = change_log(collection) if as_list else None
    report_recovered(recovered)
    if log is not None:
        _show_log(log, as_json)
    elif found is None:
        if as_json:
            print_json({"taken_back": None, "done": False})
        say("There is nothing to do again." if again else "There is nothing to take back.")
    else:
        _take_back(found, dry_run=dry_run, yes=yes, as_json=as_json)


def _take_back(found: "Undo", *, dry_run: bool, yes: bool, as_json: bool) -> None:
    """Show the change, ask on a terminal, and undo or redo it."""
    from site_builder.text.wording import count_of

    say(f"To be {_done(found)}: {_head(found.change)}")
    for line in found.what.splitlines():
        say(f"  {line}")
    names = list(found.becomes)
    for name in names[:SHOWN_AT_MOST]:
        say(f"  {name}: {found.becomes[name]}")
    if len(names) > SHOWN_AT_MOST:
        say(f"  and {count_of(len(names) - SHOWN_AT_MOST, 'file')} more")
    if not dry_run:
        ask("Do it again?" if found.again else "Take this back?", yes=yes)
        changed = found.commit(datetime.now().astimezone(), running_command())
        other = "" if found.again else "; counterpane undo --again does it again"
        say(f"{_done(found).capitalize()}, in {count_of(len(changed), 'file')}{other}.")
    else:
        say("Nothing was changed: shown only.")
    if as_json:
        print_json({"taken_back": _as_data(found), "done": not dry_run})


def _done(found: "Undo") -> str:
    return "done again" if found.again else "taken back"


def _head(change: "LoggedChange") -> str:
    return f"change {change.number:,}, {change.entry.at:%Y-%m-%d %H:%M}, {change.entry.command}"


def _as_data(found: "Undo") -> dict[str, object]:
    return {
        **_change_data(found.change),
        "what": found.what,
        "again": found.again,
        "files": [{"file": name, "becomes": becomes} for name, becomes in found.becomes.items()],
    }


def _change_data(change: "LoggedChange") -> dict[str, object]:
    return {
        "number": change.number,
        "at": change.entry.at.isoformat(),
        "command": change.entry.command,
        "what": change.entry.what,
        "takes_back": change.entry.takes_back,
    }


def _show_log(log: "ChangeLog", as_json: bool) -> None:
    from collection.storage.change_log import LOG
    from collection.storage.undo import undone_by

    by = undone_by(log)
    if as_json:
        changes = [
            {**_change_data(each), "undone_by": by.get(each.number), "files": [file.name for file in each.files]}
            for each in reversed(log.changes)
        ]
        print_json({"changes": changes})
    else:
        for change in reversed(log.changes):
            later = f" (taken back by change {by[change.number]:,})" if change.number in by else ""
            first, *rest = change.entry.what.splitlines() or [""]
            tell(f"{_head(change)}: {first}{later}")
            for line in rest:
                tell(f"    {line}")
    tell_all(log.damage)
    if not log.changes and not log.damage:
        say("Nothing has been changed yet by a command or the desk.")
    elif not as_json:
        say(f"With their files: {LOG}.")
