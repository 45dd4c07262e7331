"""Parses lengths as people write them to exact inches, and writes exact inches as text."""

import re
import unicodedata
from collections.abc import Callable, Sequence
from fractions import Fraction
from functools import lru_cache
from itertools import pairwise
from typing import Literal, NamedTuple

from collection.quotes import quoted

Unit = Literal["in", "cm"]
What = Literal["length", "size", "range"]

CM_PER_INCH = Fraction(254, 100)
"""Source: the international yard and pound agreement of 1959, 1 yd = 0.9144 m exactly, so 1 in = 25.4 mm."""

EXAMPLES: dict[What, str] = {
    "length": "60 1/2, 60.5 in or 153.5 cm",
    "size": "60 1/2 x 72 in",
    "range": "36 to 45, at least 36 or at most 45",
}

_INCHES_IN = {
    "yd": Fraction(36),
    "ft": Fraction(12),
    "in": Fraction(1),
    "m": 100 / CM_PER_INCH,
    "cm": 1 / CM_PER_INCH,
    "mm": 1 / (10 * CM_PER_INCH),
}
_SPELLINGS = {
    "yd": ("yd", "yds", "yard", "yards"),
    "ft": ("ft", "foot", "feet", "'"),
    "in": ("in", "ins", "inch", "inches", '"'),
    "m": ("m", "metre", "metres", "meter", "meters"),
    "cm": ("cm", "cms", "centimetre", "centimetres", "centimeter", "centimeters"),
    "mm": ("mm", "millimetre", "millimetres", "millimeter", "millimeters"),
}
_UNIT_OF = {spelling: unit for unit, spellings in _SPELLINGS.items() for spelling in spellings}
_FAMILIES = (("yd", "ft", "in"), ("m", "cm", "mm"))

# Not feet: a size often mixes feet and inches, so a bare number beside feet may be inches.
_SHARED_UNITS = ("in", "cm", "mm", "m")

LONGEST_TEXT = {"length": 100, "size": 210, "range": 210}
LONGEST_INCHES = 1000
_FINEST_RULER = 64


# Reading --------------------------------------------------------------------------------------


class _Part(NamedTuple):
    number: Fraction
    unit: str | None


_TOKEN = re.compile(
    r"(?P<whole>[0-9]+)(?: ?- ?| )(?P<over>[0-9]+) ?/ ?(?P<under>[0-9]+)"
    r"|(?P<numerator>[0-9]+) ?/ ?(?P<denominator>[0-9]+)"
    r"|(?P<decimal>[0-9]*[.,][0-9]+|[0-9]+)(?![.,])"
    r"|(?P<word>[^\W\d_]+\.?|[\"'])"
    r"| "
)
_FRACTION_CHARACTERS = {
    # The space keeps 60½ from becoming 601/2.
    character: " " + unicodedata.normalize("NFKC", character).replace("⁄", "/")
    for character in "¼½¾⅐⅑⅒⅓⅔⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞⅟"
}
_ALIKE = str.maketrans(
    dict.fromkeys("″”“„‟＂", '"')
    | dict.fromkeys("′’‘‛´`＇", "'")
    | dict.fromkeys("‐‑‒–—―−﹣－", "-")
    | dict.fromkeys("⁄∕", "/")
    | _FRACTION_CHARACTERS
)


def plain_text(text: str, what: What) -> str:
    """`text` in lower case, with single spaces and uniform quotes, dashes and fractions.

    Raises ValueError if it is empty, too long, or has digits other than 0 to 9.
    """
    if len(text) > LONGEST_TEXT[what]:
        raise ValueError(f"{quoted(text)} is too long for a {what}. Write it like {EXAMPLES[what]}.")
    plain = " ".join(text.translate(_ALIKE).replace("''", '"').lower().split())
    if not plain:
        raise ValueError(f"The {what} is empty. Write it like {EXAMPLES[what]}, or leave the field out.")
    if any(character.isnumeric() and not character.isascii() for character in plain):
        raise ValueError(f"{quoted(text)}: write the figures as 0 to 9, for example {EXAMPLES[what]}.")
    return plain


def not_a(what: What, text: str) -> ValueError:
    return ValueError(f"{quoted(text)} is not a {what}. Write it like {EXAMPLES[what]}.")


def read_inches(text: str, unit: Unit, what: What = "length") -> Fraction:
    """One length in inches; a bare number is in `unit`. `what` names the value in messages.

    Raises ValueError with a message for the maker.
    """
    return _total(_parts(text, what), unit, text)


def read_together(texts: Sequence[str], unit: Unit, what: What) -> list[Fraction]:
    """Lengths written together, in inches; a unit after only one of them applies to all. Raises like `read_inches`."""
    every = [_parts(text, what) for text in texts]
    units = [part.unit for parts in every for part in parts if part.unit is not None]
    shared: str = unit
    if units and any(part.unit is None for parts in every for part in parts):
        if len(units) > 1 or units[0] not in _SHARED_UNITS:
            found = " and ".join(quoted(text) for text in texts)
            raise ValueError(f"{found}: write the unit after {'both' if len(texts) == 2 else 'all'} numbers.")
        shared = units[0]
    return [_total(parts, shared, text) for parts, text in zip(every, texts, strict=True)]


_ABOUT = re.compile(
    r"\b(?:about|abt|approx|approximately|around|roughly|circa|ca|or so|ish|maybe|perhaps|probably|nearly"
    r"|almost)\b\.?|(?<=[0-9a-z\"'])ish\b|\bc\.? (?=[0-9])|[~≈?]"
)
_GIVE_OR_TAKE = re.compile(r"(?:±|\+ ?/ ?-|\bplus or minus\b|\bgive or take\b)(.+)")


def without_about(plain: str) -> tuple[str, bool]:
    """`plain` without words and signs for about, and whether there were any.

    >>> without_about("about 60 x 80"), without_about("60 x 80-ish"), without_about("60 x 80")
    (('60 x 80', True), ('60 x 80', True), ('60 x 80', False))
    """
    bare, found = _ABOUT.subn(" ", plain)
    bare = re.sub(r"\( *\)|-(?= *$)|-(?= *x)", " ", bare) if found else bare
    return " ".join(bare.split()).strip(" ,"), bool(found)


def without_give_or_take(plain: str) -> tuple[str, str | None]:
    """Split `60 x 80 ± 1` into the measure and its tolerance, None if there is none."""
    found = _GIVE_OR_TAKE.search(plain)
    return (plain[: found.start()].strip(), found[1].strip()) if found else (plain, None)


def _parts(text: str, what: What) -> tuple[_Part, ...]:
    """The numbers of a length, each with its unit: `5 ft 1/2 in` has two parts."""
    plain = plain_text(text, "length")
    if plain.startswith("-"):
        raise ValueError(f"{quoted(text)} is less than nothing. Write a length without the minus sign.")
    parts: list[_Part] = []
    at = 0
    while at < len(plain):
        token = _TOKEN.match(plain, at)
        if token is None:
            raise not_a(what, text)
        at = token.end()
        if (word := token["word"]) is not None:
            if not parts or parts[-1].unit is not None:
                raise not_a(what, text)
            parts[-1] = parts[-1]._replace(unit=_unit(word, text, what))
        elif token.group() != " ":
            parts.append(_Part(_number(token, text), None))
    return tuple(parts)


def _unit(word: str, text: str, what: What) -> str:
    unit = _UNIT_OF.get(word.removesuffix("."))
    if unit is None:
        found = f"{quoted(text)} is not a {what}: {quoted(word)} is no unit of length."
        raise ValueError(f"{found} Write it like {EXAMPLES[what]}.")
    return unit


def _number(token: re.Match[str], text: str) -> Fraction:
    if (decimal := token["decimal"]) is not None:
        return _decimal_number(decimal, text)
    over = int(token["over"] or token["numerator"])
    under = int(token["under"] or token["denominator"])
    if under == 0:
        raise ValueError(f"{quoted(text)} has a fraction with 0 under the line. Write it like 60 1/2.")
    if token["whole"] is None:
        return Fraction(over, under)
    if over >= under:
        raise ValueError(
            f"{quoted(text)}: the fraction {quoted(f'{over}/{under}')} behind a whole number "
            "should be less than one. Write it like 60 1/2."
        )
    return int(token["whole"]) + Fraction(over, under)


def _decimal_number(decimal: str, text: str) -> Fraction:
    before, comma, after = decimal.partition(",")
    if comma and len(after) == 3 and before.strip("0"):
        raise ValueError(f"{quoted(text)} could be read in two ways. Write {before}{after} or {before}.{after}.")
    return Fraction(decimal.replace(",", "."))


def _total(parts: tuple[_Part, ...], unit: str, text: str) -> Fraction:
    """The sum of the parts, in inches."""
    if len(parts) > 1:
        _check_compound(parts, text)
    total = sum((part.number * _INCHES_IN[part.unit or unit] for part in parts), Fraction(0))
    if total > LONGEST_INCHES:
        found = f"{quoted(text)} is more than {LONGEST_INCHES} in, longer than any quilt."
        raise ValueError(f"{found} Check the number and its unit.")
    if len("".join(write_exactly(total)[0])) > LONGEST_TEXT["length"] - len(" in"):
        raise ValueError(f"{quoted(text)} is finer than any ruler. Write it like {EXAMPLES['length']}.")
    return total


def _check_compound(parts: tuple[_Part, ...], text: str) -> None:
    """Several parts are one length only like `5 ft 6 in`: units get smaller, and each part is less than the unit before."""
    if any(part.unit is None for part in parts):
        raise ValueError(
            f"{quoted(text)}: each number needs its unit, as in 5 ft 6 in; a fraction stands as in 60 1/2."
        )
    for larger, smaller in pairwise(parts):
        family = next(family for family in _FAMILIES if larger.unit in family)
        if smaller.unit not in family[family.index(larger.unit) + 1 :]:
            raise ValueError(f"{quoted(text)}: give one length in one unit, like 60 in or 153 cm, or as 5 ft 6 in.")
        if smaller.number * _INCHES_IN[str(smaller.unit)] >= _INCHES_IN[str(larger.unit)]:
            found = f"{quoted(text)}: the part in {smaller.unit} should be less than 1 {larger.unit}."
            raise ValueError(f"{found} If it is one length in two units, write just one of them.")


# Writing --------------------------------------------------------------------------------------


def write_exactly(*inches: Fraction) -> tuple[list[str], Unit]:
    """The exact lengths as text in one common unit, and that unit.

    Inches if a ruler has the fractions, else centimetres if all are decimals, else inches.
    """
    on_a_ruler = all(_FINEST_RULER % length.denominator == 0 for length in inches)
    if not on_a_ruler:
        cm = [length * CM_PER_INCH for length in inches]
        if all(_has_decimals(length) for length in cm):
            return [_signed(length, _decimal) for length in cm], "cm"
    return [_signed(length, _mixed) for length in inches], "in"


@lru_cache(maxsize=1 << 14)  # These two caches save 3 % of the processor time of a build from nothing.
def rounded_inches(inches: Fraction) -> str:
    """In inches, rounded to the nearest 1/8 in, halves up: `60 1/2`."""
    return _signed(inches, lambda size: _mixed(_nearest(size, Fraction(1, 8))))


def exact_inches(inches: Fraction) -> str:
    """In inches, as a whole number and a fraction: `60 1/2`."""
    return _signed(inches, _mixed)


@lru_cache(maxsize=1 << 14)
def rounded_cm(inches: Fraction, step: Fraction) -> str:
    """In centimetres, rounded to the nearest `step` (in centimetres), halves up."""
    return _signed(inches * CM_PER_INCH, lambda size: _decimal(_nearest(size, step)))


def _signed(number: Fraction, write: Callable[[Fraction], str]) -> str:
    text = write(abs(number))
    return f"-{text}" if number < 0 and text != "0" else text


def _nearest(number: Fraction, step: Fraction) -> Fraction:
    return (number / step + Fraction(1, 2)).__floor__() * step


def _mixed(number: Fraction) -> str:
    whole, over = divmod(number.numerator, number.denominator)
    fraction = f"{over}/{number.denominator}" if over else ""
    return f"{whole} {fraction}" if whole and fraction else fraction or str(whole)


def _has_decimals(number: Fraction) -> bool:
    """Is it a finite decimal? Then its denominator has no prime factors but 2 and 5."""
    under = number.denominator
    for prime in (2, 5):
        while under % prime == 0:
            under //= prime
    return under == 1


def _decimal(number: Fraction) -> str:
    """Write a fraction that is a finite decimal."""
    places = next(places for places in range(number.denominator.bit_length()) if 10**places % number.denominator == 0)
    digits = str(number.numerator * 10**places // number.denominator).zfill(places + 1)
    return f"{digits[:-places]}.{digits[-places:]}" if places else digits
