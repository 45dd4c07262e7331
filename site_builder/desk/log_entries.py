"""Entries in the log of changes for what is done at the desk."""

from datetime import datetime

from collection.records.collection import Collection
from collection.storage.change_log import LogEntry
from collection.transfers.transfers import Transfers

AT_THE_DESK = "desk"


def log_entry(what: str) -> LogEntry:
    return LogEntry(what, datetime.now().astimezone(), AT_THE_DESK)


def log_entry_of_transfers(transfers: Transfers, collection: Collection) -> LogEntry:
    """A log entry with a line for each transferred quilt."""
    return log_entry("\n".join(change.say(collection) for change in transfers.changes))
