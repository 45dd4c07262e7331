"""Sizes as makers write them in a sheet: `60x72ish`, `60W x 72L`, `about 5ft by 6ft`, `Twin, 68 x 86`.

`collection.values.lengths` reads sizes strictly; here the words around a size are removed first, and the cell is then
kept in the notes as well.
"""

import re
from dataclasses import replace
from typing import NamedTuple

from collection.loading.sizes_in_doubt import LONGEST_LIKELY_SIDE
from collection.spreadsheet_import.values.reading import LONGEST_VALUE, Read, kept_as_note
from collection.values.lengths import Length, Size, Unit

_ABOUT = re.compile(
    r"\b(?:about|abt|approx(?:imately)?|around|roughly|circa|ca?|nearly|almost|just (?:under|over)|maybe"
    r"|probably)\b\.?|[~≈±?]|\+/-|\bor so\b|-?ish\b|(?<=[0-9])ish\b|\bapprox\b\.?",
    re.IGNORECASE,
)
_NUMBER = (
    r"[0-9][0-9 .,/½¼¾⅛⅜⅝⅞'\"”″’′-]*(?:\s*(?:cms?|mm|m|in|ins|inch|inches|ft|feet|foot|yds?|yards?)\b\.?)?"
    r"(?:\s*[0-9][0-9./½¼¾ ]*(?:in|ins|inch|inches|\")?)?"
)
_PAIR = re.compile(rf"({_NUMBER})\s*(?:x|×|\*|by)\s*({_NUMBER})", re.IGNORECASE)
_WIDE_LONG = re.compile(
    r"(?P<number>[0-9][^x×*a-z]*(?:cm|in|ins|inches|mm|m|ft)?)\s*(?P<side>w|l|h|wide|long|high|width|length)\b\.?",
    re.IGNORECASE,
)
_SIDE_FIRST = re.compile(
    r"\b(?P<side>w|l|h|width|length)\s*[:=]?\s*(?P<number>[0-9][^x×*a-z]*(?:cm|in|ins|inches|mm|m|ft)?)", re.IGNORECASE
)
_WASHED = re.compile(r"\b(?:after (?:a |the )?wash(?:ing)?|washed)\b", re.IGNORECASE)
_TOO_LARGE = "without a unit it would be inches, and is too large for that: is it cm?"


class _Sized(NamedTuple):
    size: Size
    exact: bool


class _Side(NamedTuple):
    length: Length
    exact: bool


def read_size(text: str, unit: Unit, *, stated: bool = False, length_first: bool = False) -> Read:
    """Reads a size; a bare number is in `unit`; `stated`: the heading states that unit.

    >>> read_size("60x72ish", "in").fields, read_size("almost 60 x 72 with its border", "in").exact
    ({'finished_size': 'about 60 x 72 in'}, False)
    >>> read_size("72L x 60W", "in").fields
    {'finished_size': '60 x 72 in'}
    """
    found = _sized(text, unit)
    if found is None:
        return kept_as_note()
    size = found.size
    if length_first and not _names_sides(text):
        size = size.turned
    if not stated and not _has_unit(text) and unit == "in" and size.longer > LONGEST_LIKELY_SIDE:
        return kept_as_note(_TOO_LARGE)
    fields = {"finished_size": str(size)}
    if not found.exact and _WASHED.search(text):
        fields["measured"] = "washed"
    return Read(fields, found.exact)


def read_sides(width: str, length: str, unit: Unit, *, stated: bool = False) -> Read:
    """Reads a size from two columns. It is exact if both cells are plain numbers."""
    wide, long = _side(width, unit), _side(length, unit)
    if wide is None or long is None or not wide.length or not long.length:
        return kept_as_note()
    about = bool(_ABOUT.search(width) or _ABOUT.search(length))
    bare = not _has_unit(width) and not _has_unit(length)
    if bare and not stated and unit == "in" and max(wide.length, long.length) > LONGEST_LIKELY_SIDE:
        return kept_as_note(_TOO_LARGE)
    return Read({"finished_size": str(Size(wide.length, long.length, about))}, wide.exact and long.exact)


def looks_like_a_size(text: str) -> bool:
    return _sized(text, "in") is not None


def _side(text: str, unit: Unit) -> _Side | None:
    if len(text) > LONGEST_VALUE:
        return None
    for candidate, exact in ((text, True), (_ABOUT.sub(" ", text), False), (re.sub(r"\([^)]*\)", " ", text), False)):
        try:
            return _Side(Length.parse(candidate, unit=unit), exact)
        except ValueError:
            continue
    return None


def _sized(text: str, unit: Unit) -> _Sized | None:
    if len(text) > LONGEST_VALUE:
        return None
    whole = _parsed(text, unit)
    if whole is not None:
        return _Sized(whole, exact=True)
    if (named := _by_named_sides(text, unit)) is not None:
        return named
    plain = _ABOUT.sub(" ", text)
    if (about := _parsed(plain, unit)) is not None:
        return _Sized(replace(about, about=True), exact=False)
    pairs = {
        size
        for first, second in _PAIR.findall(plain)
        if (size := _parsed(f"{first.strip(' ,-')} x {second.strip(' ,-')}", unit))
    }
    if _ABOUT.search(text):
        pairs = {replace(size, about=True) for size in pairs}
    # Of two sizes in one cell, such as before and after washing, the maker has to choose.
    return (
        _Sized(pairs.pop(), exact=False)
        if len(pairs) == 1 and not re.search(r"[x×*]\s*[0-9.]+\s*[x×*]", plain)
        else None
    )


def _by_named_sides(text: str, unit: Unit) -> _Sized | None:
    """`60W x 72L`, `W: 60, L: 72`: each number with its side."""
    for pattern in (_WIDE_LONG, _SIDE_FIRST):
        sides = [(found["side"][0].lower(), found["number"].strip(" ,")) for found in pattern.finditer(text)]
        if len(sides) != 2 or {side for side, _ in sides} not in ({"w", "l"}, {"w", "h"}):
            continue
        by_side = dict(sides)
        size = _parsed(f"{by_side['w']} x {by_side.get('l') or by_side.get('h')}", unit)
        if size is not None:
            rest = re.sub(r"\bby\b|\band\b|[x×*,;\s:=]", "", pattern.sub("", text), flags=re.IGNORECASE)
            about = bool(_ABOUT.search(text))
            return _Sized(replace(size, about=about), exact=not _ABOUT.sub("", rest))
    return None


def _names_sides(text: str) -> bool:
    return _by_named_sides(text, "in") is not None


def _parsed(text: str, unit: Unit) -> Size | None:
    try:
        return Size.parse(text, unit=unit)
    except ValueError:
        return None


def _has_unit(text: str) -> bool:
    return bool(
        re.search(
            r"(?<![a-z])(?:cms?|mm|m|in|ins|inch|inches|ft|feet|foot|yds?|yards?|centimet\w+|met\w+)\b"
            r"|[\"'”″’′]",
            text,
            re.IGNORECASE,
        )
    )
