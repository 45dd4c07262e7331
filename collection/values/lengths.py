"""Exact lengths, sizes and ranges of lengths, in inches and centimetres.

A length is a `Fraction` in inches, so that eighths of an inch and half centimetres are both exact. `parse` reads what
people write, `str()` writes it exactly, and `in_inches()`, `in_cm()` and `in_unit()` round it.
"""

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from itertools import pairwise
from typing import Self, overload

from collection.quotes import quoted
from collection.values.length_parsing import (
    CM_PER_INCH,
    LONGEST_INCHES,
    LONGEST_TEXT,
    Unit,
    exact_inches,
    not_a,
    plain_text,
    read_inches,
    read_together,
    rounded_cm,
    rounded_inches,
    without_about,
    without_give_or_take,
    write_exactly,
)

__all__ = [
    "CM_PER_INCH",
    "HALF_CENTIMETRE",
    "MILLIMETRE",
    "NO_LENGTH",
    "SHOWN_STEP",
    "Length",
    "LengthRange",
    "Size",
    "Unit",
]

HALF_CENTIMETRE = Fraction(1, 2)
MILLIMETRE = Fraction(1, 10)
"""The steps to round to, in centimetres: half a centimetre for the size of a quilt, a millimetre for a piece to cut."""

SHOWN_STEP: dict[Unit, Fraction] = {"in": Fraction(1, 8), "cm": HALF_CENTIMETRE / CM_PER_INCH}
"""The steps in which sizes are shown, in inches: an eighth of an inch, half a centimetre."""


@dataclass(frozen=True, slots=True, order=True, init=False)
class Length:
    """An exact length. Parsed lengths are never negative; computed ones, such as a difference, may be.

    >>> Length.parse("60½")
    Length(inches=Fraction(121, 2))
    >>> str(Length.parse("153,5 cm")), Length.parse("153,5 cm").in_inches()
    ('153.5 cm', '60 3/8')
    """

    inches: Fraction

    def __init__(self, inches: int | Fraction | Decimal | str) -> None:
        if isinstance(inches, float):
            raise TypeError("a float is not exact: give an int, a Fraction or a Decimal")
        object.__setattr__(self, "inches", inches if isinstance(inches, Fraction) else Fraction(inches))

    @classmethod
    def parse(cls, text: str, *, unit: Unit = "in") -> Self:
        """Read a length as people write it: `60 1/2`, `60½"`, `5 ft 6 in`, `153,5 cm`; a bare number is in `unit`.

        Raises ValueError, with a message for the maker, for anything else, and below 0 or above 1000 in.
        """
        return cls(read_inches(text, unit))

    @property
    def cm(self) -> Fraction:
        return self.inches * CM_PER_INCH

    def __str__(self) -> str:
        """Exact, with its unit; `Length.parse` reads it back as the same length.

        In inches if a ruler has the fraction, else in centimetres if they are a decimal, else in inches.
        """
        (text,), unit = write_exactly(self.inches)
        return f"{text} {unit}"

    def in_inches(self) -> str:
        """In inches, rounded to the nearest 1/8 in, halves up: `60 1/2`."""
        return rounded_inches(self.inches)

    def exactly_in_inches(self) -> str:
        """In inches, as a fraction if need be: `36 28/127`."""
        return exact_inches(self.inches)

    def in_cm(self, step: Fraction = HALF_CENTIMETRE) -> str:
        """In centimetres, rounded to the nearest 0.5 cm or other `step`, halves up: `153.5`."""
        return rounded_cm(self.inches, step)

    def in_unit(self, unit: Unit, step: Fraction = HALF_CENTIMETRE) -> str:
        """Rounded, with the unit: `60 1/2 in`, `153.5 cm`."""
        return f"{self.in_inches() if unit == 'in' else self.in_cm(step)} {unit}"

    def next_shown(self, unit: Unit, *, up: bool) -> "Length":
        """The nearest length that is shown exactly in a unit and is no shorter (`up`), or no longer, than this one.

        >>> Length.parse("76 in").next_shown("cm", up=True).in_cm()
        '193.5'
        """
        step = SHOWN_STEP[unit]
        return Length((math.ceil if up else math.floor)(self.inches / step) * step)

    def amount(self, unit: Unit) -> str:
        """The size of a difference for people; one that rounds to 0 is `a little`."""
        shown = abs(self).in_unit(unit)
        return "a little" if shown == f"0 {unit}" else shown

    def __bool__(self) -> bool:
        return bool(self.inches)

    def __add__(self, other: "Length") -> "Length":
        return Length(self.inches + other.inches) if isinstance(other, Length) else NotImplemented

    def __sub__(self, other: "Length") -> "Length":
        return Length(self.inches - other.inches) if isinstance(other, Length) else NotImplemented

    def __neg__(self) -> "Length":
        return Length(-self.inches)

    def __abs__(self) -> "Length":
        return Length(abs(self.inches))

    def __mul__(self, factor: int | Fraction) -> "Length":
        return Length(self.inches * factor) if isinstance(factor, int | Fraction) else NotImplemented

    __rmul__ = __mul__

    @overload
    def __truediv__(self, divisor: "Length") -> Fraction: ...
    @overload
    def __truediv__(self, divisor: int | Fraction) -> "Length": ...
    def __truediv__(self, divisor: "Length | int | Fraction") -> "Fraction | Length":
        """Divided by a number, a length; divided by a length, the exact ratio."""
        if isinstance(divisor, Length):
            return self.inches / divisor.inches
        return Length(self.inches / divisor) if isinstance(divisor, int | Fraction) else NotImplemented


ABOUT = Fraction(1, 20)
"""How far an approximate side may be off, as a fraction of it. Common practice, no source."""

NO_LENGTH = Length(0)


@dataclass(frozen=True, slots=True)
class Size:
    """The width and the length of a quilt.

    A side may be a range: then `width` or `length` is the middle of the range, and `width_spread` or `length_spread`
    half of its extent. `about` marks an approximate size. Computations use `width` and `length`; `least` and `most`
    are the bounds.

    >>> Size.parse("60 1/2 x 72 in").in_cm()
    '153.5 x 183'
    >>> str(Size.parse("36 square"))
    '36 x 36 in'
    >>> str(Size.parse("60x80ish")), str(Size.parse("60-62 x 80")), str(Size.parse("60 x 80").most)
    ('about 60 x 80 in', '60 to 62 x 80 in', '60 x 80 in')
    """

    width: Length
    length: Length
    about: bool = False
    width_spread: Length = NO_LENGTH
    length_spread: Length = NO_LENGTH

    @classmethod
    def parse(cls, text: str, *, unit: Unit = "in") -> Self:
        """Read width x length; a unit after one of the two applies to both.

        A single number needs the word: `36 square`. A side may be a range, `60-62 x 80`, and the size approximate:
        `about 60 x 80`, `60x80ish`, `~60 x 80`, `60 x 80 ± 1`. Raises ValueError with a message for the maker.
        """
        plain, about = without_about(plain_text(text, "size"))
        plain, off = without_give_or_take(plain)
        spread = Length(read_inches(off, unit, "size")) if off is not None else NO_LENGTH
        (narrow, wide), (short, long) = _both_sides(plain, unit, text)
        if min(narrow, short) <= spread:
            raise ValueError(f"{quoted(text)}: both sides must be larger than nothing, like 60 x 72 in.")
        spreads = (wide - narrow) / 2 + spread, (long - short) / 2 + spread
        size = cls((narrow + wide) / 2, (short + long) / 2, about, *spreads)
        if (max(wide, long) + spread).inches > LONGEST_INCHES or len(str(size)) > LONGEST_TEXT["size"]:
            raise ValueError(f"{quoted(text)} is larger than any quilt, or finer than any ruler. Check the numbers.")
        return size

    @property
    def approximate(self) -> bool:
        """Can the real size differ from `width` and `length`?"""
        return self.about or bool(self.width_spread) or bool(self.length_spread)

    @property
    def turned(self) -> "Size":
        """The same size with width and length swapped."""
        return Size(self.length, self.width, self.about, self.length_spread, self.width_spread)

    @property
    def least(self) -> "Size":
        """The smallest possible size."""
        return self._bound(-1)

    @property
    def most(self) -> "Size":
        """The largest possible size."""
        return self._bound(1)

    def _bound(self, sign: int) -> "Size":
        if not self.approximate:
            return self
        share = 1 + sign * ABOUT if self.about else 1
        return Size((self.width + sign * self.width_spread) * share, (self.length + sign * self.length_spread) * share)

    @property
    def shorter(self) -> Length:
        return min(self.width, self.length)

    @property
    def longer(self) -> Length:
        return max(self.width, self.length)

    @property
    def area(self) -> Fraction:
        """In square inches."""
        return self.width.inches * self.length.inches

    def __str__(self) -> str:
        """Exact, in one unit that suits both sides; `Size.parse` reads it back as the same size."""
        texts, unit = write_exactly(*(length.inches for length in self._ends()))
        return f"{self._worded(texts)} {unit}"

    def in_inches(self) -> str:
        return self._worded([length.in_inches() for length in self._ends()])

    def in_cm(self, step: Fraction = HALF_CENTIMETRE) -> str:
        return self._worded([length.in_cm(step) for length in self._ends()])

    def in_unit(self, unit: Unit, step: Fraction = HALF_CENTIMETRE) -> str:
        """Rounded, with the unit: `60 1/2 x 72 in`."""
        return f"{self.in_inches() if unit == 'in' else self.in_cm(step)} {unit}"

    def say(self, unit: Unit, step: Fraction = HALF_CENTIMETRE) -> str:
        """Like `in_unit`, with a multiplication sign, for people to read: `60 1/2 × 72 in`."""
        return self.in_unit(unit, step).replace(" x ", " × ")

    def _ends(self) -> tuple[Length, ...]:
        """The least and most of both sides."""
        if not (self.width_spread or self.length_spread):
            return self.width, self.width, self.length, self.length
        wide, long = self.width_spread, self.length_spread
        return self.width - wide, self.width + wide, self.length - long, self.length + long

    def _worded(self, ends: Sequence[str]) -> str:
        width, length = (low if low == high else f"{low} to {high}" for low, high in (ends[:2], ends[2:]))
        return f"{'about ' if self.about else ''}{width} x {length}"


_AT_LEAST_BEFORE = ("at least ", "no less than ", "minimum ", "min. ", "min ", ">=", "≥")
_AT_LEAST_BEHIND = (" or more", " and up", "+")
_AT_MOST_BEFORE = ("at most ", "no more than ", "up to ", "maximum ", "max. ", "max ", "<=", "≤")
_AT_MOST_BEHIND = (" or less",)


@dataclass(frozen=True, slots=True)
class LengthRange:
    """The lengths that a charity accepts for one side, both bounds included; None means no bound.

    >>> LengthRange.parse("36-45").distance(Length(47))
    Length(inches=Fraction(2, 1))
    >>> Length(36) in LengthRange.parse("at most 45")
    True
    """

    least: Length | None
    most: Length | None

    def __post_init__(self) -> None:
        if self.least is not None and self.most is not None:
            _check_order(self.least, self.most)

    @classmethod
    def parse(cls, text: str, *, unit: Unit = "in") -> Self:
        """Read `36 to 45`, `36-45`, `at least 36`, `at most 45`, `any`; a single number means exactly that length.

        `60-1/2` is one length, sixty and a half. Raises ValueError with a message for the maker.
        """
        plain = plain_text(text, "range")
        if plain == "any":
            return cls(None, None)
        if (number := _bounded(plain, _AT_LEAST_BEFORE, _AT_LEAST_BEHIND)) is not None:
            return cls(_bound(number, unit, text), None)
        if (number := _bounded(plain, _AT_MOST_BEFORE, _AT_MOST_BEHIND)) is not None:
            return cls(None, _bound(number, unit, text))
        ends = _two_ends(plain)
        if len(ends) == 2 and all(ends):
            return cls(*map(Length, read_together(ends, unit, "range")))
        if len(ends) > 1:
            raise not_a("range", text)
        if plain.startswith("from "):
            return cls(_bound(plain.removeprefix("from "), unit, text), None)
        exactly = _bound(plain.removeprefix("exactly "), unit, text)
        return cls(exactly, exactly)

    def __contains__(self, length: Length) -> bool:
        return (self.least is None or length >= self.least) and (self.most is None or length <= self.most)

    def distance(self, length: Length) -> Length:
        """How far `length` is outside the range: negative if it is too short, positive if too long, 0 inside."""
        if self.least is not None and length < self.least:
            return length - self.least
        if self.most is not None and length > self.most:
            return length - self.most
        return NO_LENGTH

    def __str__(self) -> str:
        """Exact; `LengthRange.parse` reads it back as the same range."""
        bounds = self._bounds()
        texts, unit = write_exactly(*(bound.inches for bound in bounds))
        return f"{self._worded(texts)} {unit}" if bounds else self._worded(texts)

    def in_inches(self) -> str:
        return self._worded([bound.in_inches() for bound in self._bounds()])

    def in_cm(self) -> str:
        return self._worded([bound.in_cm() for bound in self._bounds()])

    def _bounds(self) -> list[Length]:
        return [bound for bound in (self.least, self.most) if bound is not None]

    def _worded(self, texts: Sequence[str]) -> str:
        if not texts:
            return "any"
        if self.most is None:
            return f"at least {texts[0]}"
        if self.least is None:
            return f"at most {texts[0]}"
        return texts[0] if self.least == self.most else f"{texts[0]} to {texts[1]}"


def _bound(number: str, unit: Unit, text: str) -> Length:
    if not number.strip():
        raise not_a("range", text)
    return Length(read_inches(number, unit, "range"))


def _bounded(plain: str, before: tuple[str, ...], behind: tuple[str, ...]) -> str | None:
    """The number next to one of these words; None if there is no such word."""
    for word in before:
        if plain.startswith(word):
            return plain.removeprefix(word)
    for word in behind:
        if plain.endswith(word):
            return plain.removesuffix(word)
    return None


def _check_order(least: Length, most: Length) -> None:
    if least > most:
        (low, high), unit = write_exactly(least.inches, most.inches)
        raise ValueError(f"The range {low} to {high} {unit} runs backwards. Write {high} to {low}.")


def _both_sides(plain: str, unit: Unit, text: str) -> list[tuple[Length, Length]]:
    """The least and the most of the width, then of the length."""
    sides = [side.strip() for side in re.split(r"[x×✕*]|\bby\b", plain)]
    square = re.fullmatch(r"(.*[^ ]) ?\b(?:square|sq\.?)", plain) if len(sides) == 1 else None
    ends = [_two_ends(side) for side in (2 * [square[1]] if square else sides)]
    if len(ends) != 2 or not all(len(side) <= 2 and all(side) for side in ends):
        raise ValueError(f"{quoted(text)} is not a size. Write width x length, like 60 1/2 x 72 in.")
    read = map(Length, read_together([end for side in ends for end in side], unit, "size"))
    bounds = [(least := next(read), next(read) if len(side) == 2 else least) for side in ends]
    for least, most in bounds:
        _check_order(least, most)
    return bounds


def _two_ends(plain: str) -> list[str]:
    """The two ends of a range; the whole text if it is not a range."""
    if plain.startswith("between "):
        ends = re.split(r"\b(?:and|to)\b", plain.removeprefix("between "))
    else:
        ends = re.split(r"\bto\b", plain)
    if len(ends) == 1:
        return _split_at_dash(plain)
    return [end.removeprefix("from ").strip() for end in ends]


def _split_at_dash(plain: str) -> list[str]:
    """Split `36-45` at the dash, but not a whole number from its fraction, as in `60-1/2`.

    A mixed number ends with its fraction: in `36-1/2-40` the first dash joins and in `1/2-3/4` it splits.
    """
    joints = [found.start(1) for found in re.finditer(r"(?<![0-9/.,])[0-9]+ ?(-) ?[0-9]+ ?/", plain)]
    dashes = [at for at, character in enumerate(plain) if character == "-" and at not in joints and at > 0]
    edges = [-1, *dashes, len(plain)]
    return [plain[start + 1 : end].strip() for start, end in pairwise(edges)]
