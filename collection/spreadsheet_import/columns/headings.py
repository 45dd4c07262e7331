"""Matches a heading to its meaning by its words, whatever their spelling, order and country."""

import re
import unicodedata
from dataclasses import dataclass
from functools import lru_cache

from collection.problems import nearest_word
from collection.spreadsheet_import.columns.meanings import MEANINGS
from collection.values.lengths import Unit
from collection.vocabulary.word_forms import singular

# Words that do not distinguish columns.
_LITTLE_NOISE = frozenset(
    ("the", "a", "an", "my", "our", "quilt", "of", "was", "were", "and", "or", "s", "your", "this", "these", "if")
    + ("any", "known", "approx", "approximate", "about", "est", "in", "inch", "cm", "ins", "inches", "please")
)
_NOISE = _LITTLE_NOISE | {"where", "when", "year", "date", "is", "it"}
_SPELLED_ALIKE = {"colour": "color", "grey": "gray", "catalogue": "catalog", "organisation": "organization", "w": "w"}
_LONGEST_HEADING = 80


@dataclass(frozen=True, slots=True)
class HeadingMatch:
    """A heading's meaning, the confidence in it (`sure`, 0 to 1), and the unit that it states."""

    meaning: str | None
    sure: float = 0.0
    unit: Unit | None = None
    length_first: bool = False


def words_of_heading(text: str) -> tuple[str, ...]:
    """The words to compare: lower case, without accents, singular, in US spelling.

    >>> words_of_heading("Main Colours:"), words_of_heading("Quilt #")
    (('main', 'color'), ('quilt', '#'))
    """
    plain = unicodedata.normalize("NFKD", text.casefold().replace("’", "'").replace("'s", ""))
    plain = (
        "".join(letter for letter in plain if not unicodedata.combining(letter))
        .replace("×", " x ")
        .replace("&", " and ")
        .replace("/", " or ")
    )
    return tuple(_SPELLED_ALIKE.get(word, word) for word in map(singular, re.findall(r"#|[^\W_]+", plain)))


@lru_cache
def _phrases() -> dict[tuple[str, ...], str]:
    found: dict[tuple[str, ...], str] = {}
    for meaning in MEANINGS:
        for heading in meaning.headings:
            found.setdefault(words_of_heading(heading), meaning.name)
    return found


@lru_cache(maxsize=5000)
def match_heading(heading: str) -> HeadingMatch:
    """The meaning of a heading.

    >>> match_heading("Size (cm)").meaning, match_heading("Size (cm)").unit, match_heading("Wadding used").meaning
    ('size', 'cm', 'batting')
    >>> match_heading("Tilte").meaning, match_heading("xyzzy").meaning
    ('title', None)
    """
    if len(heading) > _LONGEST_HEADING or not heading.strip():
        return HeadingMatch(None)
    bare, unit = _without_unit(heading)
    words = words_of_heading(bare)
    length_first = words in (("l", "x", "w"), ("length", "x", "width"), ("lxw",), ("size", "l", "x", "w"))
    for candidate, sure in (
        (words, 1.0),
        (_without_aside(bare), 0.95),
        (_without(words, _LITTLE_NOISE), 0.9),
        (_without(words, _NOISE), 0.8),
    ):
        if candidate in _phrases():
            return _match(_phrases()[candidate], sure, unit, length_first)
    near = _misspelt(words) or _within(words)
    return _match(near, 0.6, unit, length_first) if near else HeadingMatch(None)


def _match(meaning: str, sure: float, unit: Unit | None, length_first: bool) -> HeadingMatch:
    """The match; units count only for sizes, as the `in` of `Made in` is none."""
    is_size = meaning in ("size", "width", "length", "washed size")
    return HeadingMatch(meaning, sure, unit if is_size else None, length_first)


def _without_unit(heading: str) -> tuple[str, Unit | None]:
    """A heading without its unit, and that unit."""
    found = re.search(
        r"[(\[,]?\s*\b(?:in\s+)?(cms?|centimet(?:re|er)s?|ins?\.?|inch(?:es)?)\b\s*[)\].]?\s*$|[(]?\"[)]?\s*$",
        heading,
        re.IGNORECASE,
    )
    if not found or not heading[: found.start()].strip():
        return heading, None
    return heading[: found.start()], "cm" if (found[1] or "").lower().startswith("c") else "in"


def _without_aside(heading: str) -> tuple[str, ...]:
    return words_of_heading(re.sub(r"\([^)]*\)|[?!:*]", " ", heading))


def _without(words: tuple[str, ...], noise: frozenset[str]) -> tuple[str, ...]:
    return tuple(word for word in words if word not in noise)


def _misspelt(words: tuple[str, ...]) -> str | None:
    written = " ".join(words)
    if not 5 <= len(written) <= 30 or any(map(str.isdigit, written)):
        return None
    known = {" ".join(phrase): meaning for phrase, meaning in _phrases().items() if len(" ".join(phrase)) > 4}
    near = nearest_word(written, known, alike=0.79)
    return known[near] if near else None


def _within(words: tuple[str, ...]) -> str | None:
    """The longest known phrase within a longer heading."""
    if len(words) > 8:
        return None
    inside = [
        phrase
        for phrase in _phrases()
        if len("".join(phrase)) > 3
        and any(words[at : at + len(phrase)] == phrase for at in range(len(words) - len(phrase) + 1))
    ]
    return _phrases()[max(inside, key=lambda phrase: (len(phrase), len("".join(phrase))))] if inside else None
