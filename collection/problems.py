"""The one way to say what is wrong in a file: where, what was found, what would be right.

A problem is a value that is collected, so that one run tells all of them; an exception is only
for what a caller can't go on from (`CollectionProblems`, at the foot).
"""

from collections.abc import Iterable
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Literal

Severity = Literal["error", "warning"]


@dataclass(frozen=True, slots=True, order=True)
class Problem:
    """Something in a file that needs the maker's eye.

    `file` is relative to the collection, with forward slashes; `line` counts from 1; `field` is a
    dotted path, items of a list counted from 1 (`photos.2.file`), or empty for the whole file.
    An error stops a build; a warning is told, and the build goes on.

    >>> print(Problem("quilts/low-tide.yaml", 7, "finished_size", "60 by", "Write width x length."))
    quilts/low-tide.yaml:7: finished_size: found "60 by". Write width x length.
    """

    file: str
    line: int
    field: str
    found: str
    remedy: str
    severity: Severity = "error"

    def __str__(self) -> str:
        place = f"{self.file}:{self.line}: "
        if self.field:
            place += f"{self.field}: "
        if self.found and self.found not in self.remedy:
            return f'{place}found "{self.found}". {self.remedy}'
        return place + self.remedy


def nearest_word(word: str, known: Iterable[str]) -> str | None:
    """The known word that a misspelt one most likely means, or None when none is near.

    >>> nearest_word("finshed_size", ["finished_size", "features"])
    'finished_size'
    """
    near = get_close_matches(word.lower(), sorted(known), n=1, cutoff=0.6)
    return near[0] if near else None


class CollectionProblems(Exception):
    """The records have errors, so what was asked could not be done and nothing was changed."""

    def __init__(self, problems: Iterable[Problem]):
        self.problems = tuple(problems)
        super().__init__(f"{len(self.problems)} problems")
