"""Problems in a collection's files: each says where it is, what was found, and what would be right.

Problems are collected, so that one run reports all of them. `CollectionProblems` is raised when the caller can't
continue.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from collection.quotes import printable, quoted

Severity = Literal["error", "warning"]

# A longer word is not a misspelt name, and takes long to compare.
_LONGEST_COMPARED = 200


@dataclass(frozen=True, slots=True, order=True)
class Problem:
    """Something in a file that the maker should look at.

    `file` is relative to the collection, with forward slashes; `line` counts from 1; `field` is a
    dotted path, items of a list counted from 1 (`photos.2.file`), or empty for the whole file.
    An error stops a build; a warning does not.

    `found` is not shown if the remedy quotes it.

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
        # These may quote a file and appear on a terminal: control characters are replaced.
        for name in ("file", "field", "found", "remedy"):
            object.__setattr__(self, name, printable(getattr(self, name)))

    def __str__(self) -> str:
        words = [f"{self.file}:{self.line}:"]
        if self.field:
            words.append(f"{self.field}:")
        if self.found and quoted(self.found) not in self.remedy:
            words.append(f"found {quoted(self.found)}.")
        return " ".join([*words, self.remedy])


def nearest_word(word: str, known: Iterable[str], *, alike: float = 0.6) -> str | None:
    """The known word that a misspelt one most likely means, or None if none is similar.

    `alike` is the least similarity: 0 accepts any word, 1 only the same word.

    >>> nearest_word("finshed_size", ["finished_size", "features"])
    'finished_size'
    """
    from difflib import get_close_matches  # needed only for misspelt words

    if len(word) > _LONGEST_COMPARED:
        return None
    near = get_close_matches(word.lower(), sorted(known), n=1, cutoff=alike)
    return near[0] if near else None


def choices(word: str, known: Iterable[str]) -> str:
    """The end of a message about a misspelt word: the word it most likely means, and all known words.

    >>> choices("tyed", ["hand", "longarm", "tied"])
    'Did you mean tied? Write one of: hand, longarm, tied.'
    """
    known = list(known)
    near = nearest_word(word, known)
    hint = f"Did you mean {near}? " if near else ""
    return f"{hint}Write one of: {', '.join(known)}."


class CollectionProblems(Exception):
    """The records have errors: the requested action was not done, and nothing was changed."""

    def __init__(self, problems: Iterable[Problem]):
        self.problems = tuple(problems)
        super().__init__(f"{len(self.problems)} problems")
