"""What was read of a cell: fields of a record, and whether they say all that the cell says."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from collection.yaml_files.parser import Plain

LONGEST_VALUE = 300
"""Characters of a cell that may be a size or a date; what is longer is prose, and slow to search."""


@dataclass(frozen=True, slots=True)
class Read:
    """Fields by dotted path (`pattern.name`), as they stand in a record.

    `exact`: the fields say all that the cell does, so that nothing else has to be kept. Otherwise the cell
    goes into the notes as it was written. `doubt` says why, where it is worth telling.
    """

    fields: Mapping[str, Plain] = field(default_factory=dict)
    exact: bool = True
    doubt: str = ""


def kept_as_note(doubt: str = "") -> Read:
    """Nothing could be read of it: it stays in words."""
    return Read({}, False, doubt)
