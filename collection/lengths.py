"""Lengths, sizes and ranges of lengths, exact and in both of the trade's units.

A length is a fraction of an inch, so that eighths of an inch and half centimetres are both exact.
`parse` reads what people write, `str()` writes it back exactly, `in_inches()` and `in_cm()` round it for showing.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache
from itertools import pairwise
from typing import Self, overload

from collection.as_written import as_written
from collection.length_text import (
    CM_PER_INCH,
    LONGEST_INCHES,
    LONGEST_TEXT,
    Unit,
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

__all__ = ["CM_PER_INCH", "HALF_CENTIMETRE", "MILLIMETRE", "Length", "LengthRange", "Size", "Unit"]

HALF_CENTIMETRE = Fraction(1, 2)
MILLIMETRE = Fraction(1, 10)
"""Steps to round to, in centimetres: a quilt is measured to the one, a piece is cut to the other."""


@lru_cache(maxsize=4096)
def _ratio(numerator: int, denominator: int) -> Fraction:
    return Fraction(numerator, denominator)


@dataclass(frozen=True, slots=True)
class Length:
    """An exact length. What is read is never negative; what is computed, such as a difference, may be.

    >>> Length.parse("60½")
    Length(inches=Fraction(121, 2))
    >>> str(Length.parse("153,5 cm")), Length.parse("153,5 cm").in_inches()
    ('153.5 cm', '60 3/8')
    """

    inches: Fraction

    def __post_init__(self) -> None:
        if type(self.inches) is not Fraction:
            object.__setattr__(self, "inches", _exact(self.inches))

    # What is kept and copied of a length are two whole numbers: equal ones then share their fraction.

    def __getstate__(self) -> tuple[int, int]:
        return self.inches.numerator, self.inches.denominator

    def __setstate__(self, numbers: tuple[int, int]) -> None:
        object.__setattr__(self, "inches", _ratio(*numbers))

    @classmethod
    def parse(cls, text: str, *, unit: Unit = "in") -> Self:
        """Read a length as people write it: `60 1/2`, `60½"`, `5 ft 6 in`, `153,5 cm`; a bare number is in `unit`.

        Raises ValueError, in words for the maker, for anything else: also below 0 and above 1000 in.
        """
        return cls(read_inches(text, unit))

    @classmethod
    def from_cm(cls, cm: int | Fraction | Decimal | str) -> Self:
        """A length from centimetres, as a whole number, fraction, decimal or decimal text."""
        return cls(_exact(cm) / CM_PER_INCH)

    @property
    def cm(self) -> Fraction:
        return self.inches * CM_PER_INCH

    def __str__(self) -> str:
        """Exact, with its unit; `Length.parse` reads it back as the same length.

        Inches when a ruler has the fraction, else centimetres when they are a decimal, else inches.
        """
        (text,), unit = write_exactly(self.inches)
        return f"{text} {unit}"

    def in_inches(self) -> str:
        """To the nearest 1/8 inch, half of that upwards: `60 1/2`."""
        return rounded_inches(self.inches)

    def in_cm(self, step: Fraction = HALF_CENTIMETRE) -> str:
        """To the nearest 0.5 cm or other step, half of that upwards: `153.5`."""
        return rounded_cm(self.inches, step)

    def __bool__(self) -> bool:
        return bool(self.inches)

    # A page of sizes compares lengths by the ten thousand: whole numbers take a quarter of the time of fractions.

    def __lt__(self, other: "Length") -> bool:
        mine, its = self.inches, other.inches
        return mine.numerator * its.denominator < its.numerator * mine.denominator

    def __gt__(self, other: "Length") -> bool:
        return other < self

    def __le__(self, other: "Length") -> bool:
        mine, its = self.inches, other.inches
        return mine.numerator * its.denominator <= its.numerator * mine.denominator

    def __ge__(self, other: "Length") -> bool:
        return other <= self

    def __add__(self, other: "Length") -> "Length":
        return self._plus(other, 1) if isinstance(other, Length) else NotImplemented

    def __sub__(self, other: "Length") -> "Length":
        return self._plus(other, -1) if isinstance(other, Length) else NotImplemented

    def _plus(self, other: "Length", times: int) -> "Length":
        """The same few thousand sums and differences come up all over a site."""
        mine, its = self.inches, other.inches
        under, its_under = mine.denominator, its.denominator
        return Length(_ratio(mine.numerator * its_under + times * its.numerator * under, under * its_under))

    def __neg__(self) -> "Length":
        return Length(-self.inches)

    def __abs__(self) -> "Length":
        return Length(abs(self.inches))

    def __mul__(self, factor: int | Fraction) -> "Length":
        if isinstance(factor, int):
            return Length(_ratio(self.inches.numerator * factor, self.inches.denominator))
        return Length(self.inches * factor) if isinstance(factor, Fraction) else NotImplemented

    __rmul__ = __mul__

    @overload
    def __truediv__(self, divisor: "Length") -> Fraction: ...
    @overload
    def __truediv__(self, divisor: int | Fraction) -> "Length": ...
    def __truediv__(self, divisor):
        """By a number a length; by a length the exact ratio of the two."""
        if isinstance(divisor, Length):
            mine, its = self.inches, divisor.inches
            return _ratio(mine.numerator * its.denominator, mine.denominator * its.numerator)
        if isinstance(divisor, int):
            return Length(_ratio(self.inches.numerator, self.inches.denominator * divisor))
        return Length(self.inches / divisor) if isinstance(divisor, Fraction) else NotImplemented


def _exact(number: int | Fraction | Decimal | str) -> Fraction:
    if isinstance(number, float):
        raise TypeError("a float is not exact: give an int, a Fraction or a Decimal")
    return Fraction(number)


ABOUT = Fraction(1, 20)
"""How far a side that is only about so long may be off, as a share of it. Common practice, no source."""

_NOTHING = Length(Fraction(0))


@dataclass(frozen=True, slots=True)
class Size:
    """How wide and how long a quilt is, in that order.

    A side may lie in a range: then it is the middle of it, and `width_spread` or `length_spread` goes to both sides.
    `about` says that the size was not measured to the mark. What is computed with is the width and the length;
    `least` and `most` are what it may be.

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
    width_spread: Length = _NOTHING
    length_spread: Length = _NOTHING

    @classmethod
    def parse(cls, text: str, *, unit: Unit = "in") -> Self:
        """Read width x length; a unit behind one of the two counts for both.

        One number is a size only when it says so: `36 square`. A side may be a range, `60-62 x 80`, and all of it
        approximate: `about 60 x 80`, `60x80ish`, `~60 x 80`, `60 x 80 ± 1`. Raises ValueError in words for the maker.
        """
        plain, about = without_about(plain_text(text, "size"))
        plain, off = without_give_or_take(plain)
        spread = Length(read_inches(off, unit, "size")) if off is not None else _NOTHING
        sides = [side.strip() for side in re.split(r"[x×✕*]|\bby\b", plain)]
        square = re.fullmatch(r"(.*[^ ]) ?\b(?:square|sq\.?)", plain) if len(sides) == 1 else None
        if square:
            sides = [square[1]] * 2
        if len(sides) != 2 or not all(sides):
            raise ValueError(f"{as_written(text)} is not a size. Write width x length, like 60 1/2 x 72 in.")
        ends = [_two_ends(side) for side in sides]
        if not all(len(side) <= 2 and all(side) for side in ends):
            raise ValueError(f"{as_written(text)} is not a size. Write width x length, like 60 1/2 x 72 in.")
        inches = read_together([end for side in ends for end in side], unit, "size")
        ranges = []
        for side in ends:
            least, most = inches[0], inches[len(side) - 1]
            del inches[: len(side)]
            ranges.append(LengthRange(Length(least), Length(most)))
        if not all(side.least > spread for side in ranges):
            raise ValueError(f"{as_written(text)}: both sides must be larger than nothing, like 60 x 72 in.")
        middles = [(side.least + side.most) / 2 for side in ranges]
        size = cls(*middles, about, *((side.most - side.least) / 2 + spread for side in ranges))
        if max(side.most + spread for side in ranges).inches > LONGEST_INCHES or len(str(size)) > LONGEST_TEXT["size"]:
            raise ValueError(f"{as_written(text)} is larger than any quilt, or finer than any ruler. Check the numbers.")
        return size

    @property
    def approximate(self) -> bool:
        """Whether it may be another size than its width and length."""
        return self.about or bool(self.width_spread) or bool(self.length_spread)

    @property
    def turned(self) -> "Size":
        """Width and length changed round."""
        return Size(self.length, self.width, self.about, self.length_spread, self.width_spread)

    @property
    def least(self) -> "Size":
        """The smallest that it may be."""
        if not self.approximate:
            return self
        share = 1 - ABOUT if self.about else Fraction(1)
        return Size((self.width - self.width_spread) * share, (self.length - self.length_spread) * share)

    @property
    def most(self) -> "Size":
        """The largest that it may be."""
        if not self.approximate:
            return self
        share = 1 + ABOUT if self.about else Fraction(1)
        return Size((self.width + self.width_spread) * share, (self.length + self.length_spread) * share)

    @property
    def shorter(self) -> Length:
        return min(self.width, self.length)

    @property
    def longer(self) -> Length:
        return max(self.width, self.length)

    @property
    def area(self) -> Fraction:
        """In square inches."""
        width, length = self.width.inches, self.length.inches
        return _ratio(width.numerator * length.numerator, width.denominator * length.denominator)

    def __str__(self) -> str:
        """Exact, in one unit that suits both sides; `Size.parse` reads it back as the same size."""
        texts, unit = write_exactly(*(length.inches for length in self._ends()))
        return f"{self._worded(texts)} {unit}"

    def in_inches(self) -> str:
        return self._worded([length.in_inches() for length in self._ends()])

    def in_cm(self, step: Fraction = HALF_CENTIMETRE) -> str:
        return self._worded([length.in_cm(step) for length in self._ends()])

    def _ends(self) -> tuple[Length, ...]:
        """The least and most of both sides, as they are written."""
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
    """What a charity can take along one side; the bounds belong to it, None is no bound.

    >>> LengthRange.parse("36-45").distance(Length(47))
    Length(inches=Fraction(2, 1))
    >>> Length(36) in LengthRange.parse("at most 45")
    True
    """

    least: Length | None
    most: Length | None

    def __post_init__(self) -> None:
        if self.least is not None and self.most is not None and self.least > self.most:
            (least, most), unit = write_exactly(self.least.inches, self.most.inches)
            raise ValueError(f"The range {least} to {most} {unit} runs backwards. Write {most} to {least}.")

    @classmethod
    def parse(cls, text: str, *, unit: Unit = "in") -> Self:
        """Read `36 to 45`, `36-45`, `at least 36`, `at most 45`, `any`; one number is exactly that length.

        `60-1/2` is one length, sixty and a half. Raises ValueError in words for the maker.
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
        """How far `length` is outside: below 0 too short by that much, above 0 too long, 0 inside."""
        if self.least is not None and length < self.least:
            return length - self.least
        if self.most is not None and length > self.most:
            return length - self.most
        return Length(Fraction(0))

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
    """The number that one of these words stands before or behind, None when there is no such word."""
    for word in before:
        if plain.startswith(word):
            return plain.removeprefix(word)
    for word in behind:
        if plain.endswith(word):
            return plain.removesuffix(word)
    return None


def _two_ends(plain: str) -> list[str]:
    """The text on both sides of what joins a range; all of it when nothing does."""
    if plain.startswith("between "):
        ends = re.split(r"\b(?:and|to)\b", plain.removeprefix("between "))
    else:
        ends = re.split(r"\bto\b", plain)
    if len(ends) == 1:
        return _split_at_dash(plain)
    return [end.removeprefix("from ").strip() for end in ends]


def _split_at_dash(plain: str) -> list[str]:
    """`36-45` in two; a dash that joins a whole number to its fraction, as in `60-1/2`, does not split.

    A mixed number ends in its fraction, so in `36-1/2-40` the first dash joins and in `1/2-3/4` it splits.
    """
    joints = [found.start(1) for found in re.finditer(r"(?<![0-9/.,])[0-9]+ ?(-) ?[0-9]+ ?/", plain)]
    dashes = [at for at, character in enumerate(plain) if character == "-" and at not in joints and at > 0]
    edges = [-1, *dashes, len(plain)]
    return [plain[start + 1 : end].strip() for start, end in pairwise(edges)]
