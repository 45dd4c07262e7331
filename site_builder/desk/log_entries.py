"""What the log of changes says of what was done at the desk."""

from datetime import datetime

from collection.records.collection import Collection
from collection.storage.change_log import LogEntry
from collection.transfers.transfers import Transfers

AT_THE_DESK = "desk"


def told(what: str) -> LogEntry:
    return LogEntry(what, datetime.now().astimezone(), AT_THE_DESK)


def log_entry_of_transfers(moves: Transfers, collection: Collection) -> LogEntry:
    """A line for each quilt that moved."""
    return told("\n".join(change.say(collection) for change in moves.changes))
