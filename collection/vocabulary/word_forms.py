"""Normalizes words for comparison: lower case, no accents, singular, so that `Buttons` is `button`."""

import re
import unicodedata
from functools import lru_cache
from itertools import pairwise
from typing import NamedTuple

DENIALS = frozenset({"no", "not", "non", "never", "without"})
_FILLERS = frozenset({"a", "an", "the", "of", "with", "and", "or", "any", "in", "on", "its", "for"})
_FREE_OF = (("free", "of"), ("free", "from"))
_PLURALS = {
    "men": "man",
    "women": "woman",
    "children": "child",
    "persons": "people",
    "person": "people",
    "folks": "folk",
}


class Phrase(NamedTuple):
    """The words for what a phrase says is there, and for what it says is not."""

    says: frozenset[str]
    denies: frozenset[str]


@lru_cache(maxsize=20_000)
def words_of(text: str) -> frozenset[str]:
    """The normalized words of a text, without those such as `of` that add no meaning.

    >>> sorted(words_of("Batting of wool")), sorted(words_of("raw-edge appliqué"))
    (['batting', 'wool'], ['applique', 'edge', 'raw'])
    """
    return frozenset(map(singular, _split(text))) - _FILLERS


@lru_cache(maxsize=20_000)
def phrase(text: str) -> Phrase:
    """Split a phrase in two parts. Denied is what follows `no`, `without` or `free of`, and what precedes `free`.

    >>> [sorted(part) for part in phrase("washed without softener")], [sorted(part) for part in phrase("smoke-free home")]
    ([['washed'], ['softener']], [['home'], ['smoke']])
    """
    words = _split(text)
    at = next((index for index, word in enumerate(words) if word in DENIALS), None)
    if at is not None:
        says, denies = words[:at], words[at + 1 :]
    elif (at := next((at for at, pair in enumerate(pairwise(words)) if pair in _FREE_OF), None)) is not None:
        says, denies = words[:at], words[at + 2 :]
    elif "free" in words[1:]:
        at = len(words) - 1 - words[::-1].index("free")
        says, denies = words[at + 1 :], [word for word in words[:at] if word != "free"]
    else:
        says, denies = words, []
    return Phrase(*(frozenset(map(singular, part)) - _FILLERS for part in (says, denies)))


def singular(word: str) -> str:
    """The singular of an English word, good enough to compare words of quilting, as both sides are treated alike.

    >>> [singular(word) for word in ("babies", "patches", "edges", "buttons", "glass", "men")]
    ['baby', 'patch', 'edge', 'button', 'glass', 'man']
    """
    if word in _PLURALS:
        return _PLURALS[word]
    if len(word) > 4 and word.endswith("ies"):
        return word[:-3] + "y"
    if len(word) > 4 and word.endswith(("ches", "shes", "xes", "sses")):
        return word[:-2]
    if len(word) > 3 and word.endswith("s") and not word.endswith(("ss", "us")):
        return word[:-1]
    return word


def _split(text: str) -> list[str]:
    decomposed = unicodedata.normalize("NFKD", text.casefold())
    return re.findall(r"\w+", "".join(letter for letter in decomposed if not unicodedata.combining(letter)))
