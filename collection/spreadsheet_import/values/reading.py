"""The result of reading a cell: fields of a record, and whether they say all that the cell says."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from collection.yaml_files.parser import Plain

LONGEST_VALUE = 300
"""The longest cell, in characters, that is read as a size or a date; longer ones are prose, and slow to search."""


@dataclass(frozen=True, slots=True)
class Read:
    """Fields by dotted path (`pattern.name`), with values as in a record.

    `exact`: the fields say all that the cell does. Otherwise the text of the cell is kept in the notes as well; `doubt`
    is the reason, if the maker should know it.
    """

    fields: Mapping[str, Plain] = field(default_factory=dict)
    exact: bool = True
    doubt: str = ""


def kept_as_note(doubt: str = "") -> Read:
    """The result for a cell without a readable value: its text is kept in the notes."""
    return Read({}, False, doubt)
