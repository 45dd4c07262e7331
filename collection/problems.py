"""The one way to say what is wrong in a file: where, what was found, what would be right.

A problem is a value that is collected, so that one run tells all of them; an exception is only
for what a caller can't go on from (`CollectionProblems`, at the foot).
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from collection.as_written import as_written, printable

Severity = Literal["error", "warning"]

# What is longer is no slip of the pen in a name, and would take long to compare.
_LONGEST_SLIP = 200


@dataclass(frozen=True, slots=True, order=True)
class Problem:
    """Something in a file that needs the maker's eye.

    `file` is relative to the collection, with forward slashes; `line` counts from 1; `field` is a
    dotted path, items of a list counted from 1 (`photos.2.file`), or empty for the whole file.
    An error stops a build; a warning is told, and the build goes on.

    A remedy that quotes what was found is not preceded by it a second time.

    >>> print(Problem("quilts/low-tide.yaml", 7, "finished_size", "60 by", "Write width x length."))
    quilts/low-tide.yaml:7: finished_size: found “60 by”. Write width x length.
    >>> print(Problem("quilts/low-tide.yaml", 7, "finished_size", "60 by", "“60 by” is not a size."))
    quilts/low-tide.yaml:7: finished_size: “60 by” is not a size.
    """

    file: str
    line: int
    field: str
    found: str
    remedy: str
    severity: Severity = "error"

    def __post_init__(self) -> None:
        # What a file holds is shown on a terminal, which must not obey it.
        for name in ("file", "field", "found", "remedy"):
            object.__setattr__(self, name, printable(getattr(self, name)))

    def __str__(self) -> str:
        words = [f"{self.file}:{self.line}:"]
        if self.field:
            words.append(f"{self.field}:")
        if self.found and as_written(self.found) not in self.remedy:
            words.append(f"found {as_written(self.found)}.")
        return " ".join([*words, self.remedy])


def nearest_word(word: str, known: Iterable[str], *, alike: float = 0.6) -> str | None:
    """The known word that a misspelt one most likely means, or None when none is near.

    `alike` is how near a word has to be, from 0, anything, to 1, the same.

    >>> nearest_word("finshed_size", ["finished_size", "features"])
    'finished_size'
    """
    from difflib import get_close_matches  # only where something is misspelt

    if len(word) > _LONGEST_SLIP:
        return None
    near = get_close_matches(word.lower(), sorted(known), n=1, cutoff=alike)
    return near[0] if near else None


def choices(word: str, known: Iterable[str]) -> str:
    """The known words that may stand where a misspelt one does, the one that it most likely means before them.

    >>> choices("tyed", ["hand", "longarm", "tied"])
    'Did you mean tied? Write one of: hand, longarm, tied.'
    """
    known = list(known)
    near = nearest_word(word, known)
    hint = f"Did you mean {near}? " if near else ""
    return f"{hint}Write one of: {', '.join(known)}."


class CollectionProblems(Exception):
    """The records have errors, so what was asked could not be done and nothing was changed."""

    def __init__(self, problems: Iterable[Problem]):
        self.problems = tuple(problems)
        super().__init__(f"{len(self.problems)} problems")
