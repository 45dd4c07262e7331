"""Lengths, sizes and ranges of lengths, exact and in both of the trade's units.

A length is a fraction of an inch, so that eighths of an inch and half centimetres are both exact. What people write
(`60 1/2`, `60½`, `5 ft 6 in`, `153,5 cm`) is read here and nowhere else; `str()` writes it back exactly, and
`in_inches()` and `in_cm()` round it for showing.
"""

import re
import unicodedata
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Literal, NamedTuple, Self

from collection.as_written import as_written

Unit = Literal["in", "cm"]

CM_PER_INCH = Fraction(254, 100)
"""Source: the international yard and pound agreement of 1959, 1 yd = 0.9144 m exactly, so 1 in = 25.4 mm."""

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

# Feet and inches meet in one size so often that a bare number beside feet may well be inches.
_SHARED_UNITS = ("in", "cm", "mm", "m")

_LONGEST_TEXT = 100
_LONGEST_PAIR = 2 * _LONGEST_TEXT + 10
_LONGEST_INCHES = 1000
_FINEST_RULER = 64


# Length ---------------------------------------------------------------------------------------


@dataclass(frozen=True, order=True, slots=True)
class Length:
    """An exact length. What is read is never negative; what is computed, such as a difference, may be.

    >>> Length.parse("60½")
    Length(inches=Fraction(121, 2))
    >>> str(Length.parse("153,5 cm")), Length.parse("153,5 cm").in_inches()
    ('153.5 cm', '60 3/8')
    """

    inches: Fraction

    def __post_init__(self) -> None:
        object.__setattr__(self, "inches", _exact(self.inches))

    @classmethod
    def parse(cls, text: str, *, unit: Unit = "in") -> Self:
        """Read a length as people write it; a number without a unit is in `unit`.

        Raises ValueError, in words for the maker, for anything else: also below 0 and above 1000 in.
        """
        return cls(_inches(_parts(text), unit, text))

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
        (text,), unit = _exactly(self)
        return f"{text} {unit}"

    def in_inches(self) -> str:
        """To the nearest 1/8 inch, half of that upwards: `60 1/2`."""
        return _signed(self.inches, lambda size: _mixed(_nearest(size, Fraction(1, 8))))

    def in_cm(self) -> str:
        """To the nearest 0.5 cm, half of that upwards: `153.5`."""
        return _signed(self.cm, lambda size: _decimal(_nearest(size, Fraction(1, 2))))

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

    def __truediv__(self, divisor):
        """By a number a length, by a length the exact ratio of the two."""
        if isinstance(divisor, Length):
            return self.inches / divisor.inches
        return Length(self.inches / divisor) if isinstance(divisor, int | Fraction) else NotImplemented


# Size -----------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Size:
    """How wide and how long a quilt is, in that order.

    >>> Size.parse("60 1/2 x 72 in").in_cm()
    '153.5 x 183'
    >>> str(Size.parse("36 square"))
    '36 x 36 in'
    """

    width: Length
    length: Length

    @classmethod
    def parse(cls, text: str, *, unit: Unit = "in") -> Self:
        """Read width x length; a unit behind one of the two counts for both.

        One number is a size only when it says so: `36 square`. Raises ValueError in words for the maker.
        """
        plain = _plain(text, longest=_LONGEST_PAIR, what="size")
        sides = [side.strip() for side in re.split(r"[x×✕*]|\bby\b", plain)]
        square = re.fullmatch(r"(.*[^ ]) ?\b(?:square|sq\.?)", plain) if len(sides) == 1 else None
        if square:
            side = Length.parse(square[1], unit=unit)
            size = cls(side, side)
        elif len(sides) == 2 and all(sides):
            size = cls(*_pair(sides[0], sides[1], unit, text))
        else:
            raise ValueError(f"{as_written(text)} is not a size. Write width x length, for example 60 1/2 x 72 in.")
        if not (size.width and size.length):
            raise ValueError(f"{as_written(text)}: both sides must be larger than nothing, for example 60 x 72 in.")
        return size

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
        (width, length), unit = _exactly(self.width, self.length)
        return f"{width} x {length} {unit}"

    def in_inches(self) -> str:
        return f"{self.width.in_inches()} x {self.length.in_inches()}"

    def in_cm(self) -> str:
        return f"{self.width.in_cm()} x {self.length.in_cm()}"


# LengthRange ----------------------------------------------------------------------------------

_AT_LEAST_BEFORE = ("at least ", "no less than ", "minimum ", "min ", ">=", "≥")
_AT_LEAST_AFTER = (" or more", " and up", "+")
_AT_MOST_BEFORE = ("at most ", "no more than ", "up to ", "maximum ", "max ", "<=", "≤")
_AT_MOST_AFTER = (" or less",)


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
            (least, most), unit = _exactly(self.least, self.most)
            raise ValueError(f"The range {least} to {most} {unit} runs backwards. Write {most} to {least}.")

    @classmethod
    def parse(cls, text: str, *, unit: Unit = "in") -> Self:
        """Read `36 to 45`, `36-45`, `at least 36`, `at most 45`, `any`; one number is exactly that length.

        `60-1/2` is one length, sixty and a half. Raises ValueError in words for the maker.
        """
        plain = _plain(text, longest=_LONGEST_PAIR, what="range")
        if plain == "any":
            return cls(None, None)
        if plain.startswith("between "):
            return cls._between(re.split(r"\b(?:and|to)\b", plain.removeprefix("between ")), unit, text)
        if (number := _without(plain, _AT_LEAST_BEFORE, _AT_LEAST_AFTER)) is not None:
            return cls(_bound(number, unit, text), None)
        if (number := _without(plain, _AT_MOST_BEFORE, _AT_MOST_AFTER)) is not None:
            return cls(None, _bound(number, unit, text))
        ends = re.split(r"\bto\b", plain.removeprefix("from "))
        if len(ends) > 1:
            return cls._between(ends, unit, text)
        if plain.startswith("from "):
            return cls(_bound(ends[0], unit, text), None)
        ends = _split_at_dash(plain)
        if len(ends) > 1:
            return cls._between(ends, unit, text)
        exactly = _bound(plain.removeprefix("exactly "), unit, text)
        return cls(exactly, exactly)

    @classmethod
    def _between(cls, ends: list[str], unit: Unit, text: str) -> Self:
        if len(ends) != 2 or not all(end.strip() for end in ends):
            raise _no_range(text)
        return cls(*_pair(ends[0], ends[1], unit, text))

    def __contains__(self, length: Length) -> bool:
        return not self.distance(length)

    def distance(self, length: Length) -> Length:
        """How far `length` is outside: below 0 too short by that much, above 0 too long, 0 inside."""
        if self.least is not None and length < self.least:
            return length - self.least
        if self.most is not None and length > self.most:
            return length - self.most
        return Length(Fraction(0))

    def __str__(self) -> str:
        """Exact; `LengthRange.parse` reads it back as the same range."""
        bounds = [bound for bound in (self.least, self.most) if bound is not None]
        if not bounds:
            return "any"
        texts, unit = _exactly(*bounds)
        return f"{self._worded(texts)} {unit}"

    def in_inches(self) -> str:
        return self._worded([bound.in_inches() for bound in (self.least, self.most) if bound is not None])

    def in_cm(self) -> str:
        return self._worded([bound.in_cm() for bound in (self.least, self.most) if bound is not None])

    def _worded(self, texts: list[str]) -> str:
        if not texts:
            return "any"
        if self.most is None:
            return f"at least {texts[0]}"
        if self.least is None:
            return f"at most {texts[0]}"
        return texts[0] if self.least == self.most else f"{texts[0]} to {texts[1]}"


def _no_range(text: str) -> ValueError:
    return ValueError(f"{as_written(text)} is not a range. Write it like {_EXAMPLES['range']}.")


def _bound(number: str, unit: Unit, text: str) -> Length:
    if not any(character.isdigit() for character in number):
        raise _no_range(text)
    return Length.parse(number, unit=unit)


def _without(plain: str, before: tuple[str, ...], after: tuple[str, ...]) -> str | None:
    """The number that one of these words stands before or after, None when there is no such word."""
    for word in before:
        if plain.startswith(word):
            return plain.removeprefix(word).strip()
    for word in after:
        if plain.endswith(word):
            return plain.removesuffix(word).strip()
    return None


def _split_at_dash(plain: str) -> list[str]:
    """`36-45` in two; a dash that joins a whole number to its fraction, as in `60-1/2`, does not split.

    A mixed number ends in its fraction, so in `36-1/2-40` the first dash joins and in `1/2-3/4` it splits.
    """
    joints = [found.start(1) for found in re.finditer(r"(?<![0-9/.,])[0-9]+ ?(-) ?[0-9]+ ?/", plain)]
    dashes = [at for at, character in enumerate(plain) if character == "-" and at not in joints and at > 0]
    edges = [-1, *dashes, len(plain)]
    return [plain[start + 1 : end].strip() for start, end in zip(edges, edges[1:])]


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
    # The space keeps 60½ from turning into 601/2.
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


def _plain(text: str, *, longest: int, what: str) -> str:
    """Lower case, single spaces, one kind each of quote, dash and fraction."""
    if len(text) > longest:
        raise ValueError(f"{as_written(text)} is too long for a {what}. Write it like {_EXAMPLES[what]}.")
    plain = " ".join(text.translate(_ALIKE).replace("''", '"').lower().split())
    if not plain:
        raise ValueError(f"The {what} is empty. Write it like {_EXAMPLES[what]}, or leave the field out.")
    if any(character.isnumeric() and not character.isascii() for character in plain):
        raise ValueError(f"{as_written(text)}: write the figures as 0 to 9, for example {_EXAMPLES[what]}.")
    return plain


_EXAMPLES = {
    "length": "60 1/2, 60.5 in or 153.5 cm",
    "size": "60 1/2 x 72 in",
    "range": "36 to 45, at least 36 or at most 45",
}


def _parts(text: str) -> tuple[_Part, ...]:
    """The numbers of a length with the unit behind each, `5 ft 1/2 in` in two parts."""
    plain = _plain(text, longest=_LONGEST_TEXT, what="length")
    if plain.startswith("-"):
        raise ValueError(f"{as_written(text)} is less than nothing. Write a length without the minus sign.")
    parts: list[_Part] = []
    at = 0
    while at < len(plain):
        token = _TOKEN.match(plain, at)
        if token is None:
            raise _no_length(text)
        at = token.end()
        if (word := token["word"]) is not None:
            unit = _UNIT_OF.get(word.removesuffix("."))
            if unit is None:
                raise ValueError(f"{as_written(text)} is not a length: {as_written(word)} is no unit of length. "
                                 f"Write it like {_EXAMPLES['length']}.")  # fmt: skip
            if not parts or parts[-1].unit is not None:
                raise _no_length(text)
            parts[-1] = parts[-1]._replace(unit=unit)
        elif token.group() != " ":
            parts.append(_Part(_number(token, text), None))
    if not parts:
        raise _no_length(text)
    return tuple(parts)


def _no_length(text: str) -> ValueError:
    return ValueError(f"{as_written(text)} is not a length. Write it like {_EXAMPLES['length']}.")


def _number(token: re.Match[str], text: str) -> Fraction:
    if (decimal := token["decimal"]) is not None:
        before, comma, after = decimal.partition(",")
        if comma and len(after) == 3 and before.strip("0"):
            raise ValueError(f"{as_written(text)} could be read in two ways. Write {before}{after} or {before}.{after}.")
        return Fraction(decimal.replace(",", "."))
    over = int(token["over"] or token["numerator"])
    under = int(token["under"] or token["denominator"])
    if under == 0:
        raise ValueError(f"{as_written(text)} has a fraction with 0 under the line. Write it like 60 1/2.")
    if token["whole"] is None:
        return Fraction(over, under)
    if over >= under:
        raise ValueError(f"{as_written(text)}: {over}/{under} behind a whole number should be less than one. Write it like 60 1/2.")
    return int(token["whole"]) + Fraction(over, under)


def _inches(parts: tuple[_Part, ...], unit: str, text: str) -> Fraction:
    """What the parts add up to, in inches."""
    if len(parts) > 1:
        _check_compound(parts, text)
    total = sum((part.number * _INCHES_IN[part.unit or unit] for part in parts), Fraction(0))
    if total > _LONGEST_INCHES:
        raise ValueError(f"{as_written(text)} is more than {_LONGEST_INCHES} in, longer than any quilt. "
                         "Check the number and its unit.")  # fmt: skip
    if len(str(Length(total))) > _LONGEST_TEXT:
        raise ValueError(f"{as_written(text)} is finer than any ruler. Write it like {_EXAMPLES['length']}.")
    return total


def _check_compound(parts: tuple[_Part, ...], text: str) -> None:
    """Several parts are one length only as `5 ft 6 in` is: falling units, each part less than the unit before."""
    if any(part.unit is None for part in parts):
        raise ValueError(f"{as_written(text)}: each number needs its unit, as in 5 ft 6 in. A fraction stands as in 60 1/2.")
    for larger, smaller in zip(parts, parts[1:]):
        family = next(family for family in _FAMILIES if larger.unit in family)
        if smaller.unit not in family[family.index(larger.unit) + 1 :]:
            raise ValueError(f"{as_written(text)}: give one length in one unit, for example 60 in or 153 cm, or as 5 ft 6 in.")
        if smaller.number * _INCHES_IN[smaller.unit] >= _INCHES_IN[larger.unit]:
            raise ValueError(f"{as_written(text)}: the {smaller.unit} should come to less than 1 {larger.unit}. "
                             "If it is the same length twice, write it once.")  # fmt: skip


def _pair(first: str, second: str, unit: Unit, text: str) -> tuple[Length, Length]:
    """Two lengths written together: a unit behind only one of them counts for both."""
    both = (_parts(first), _parts(second))
    units = [part.unit for parts in both for part in parts if part.unit is not None]
    shared: str = unit
    if units and any(part.unit is None for parts in both for part in parts):
        if len(units) > 1 or units[0] not in _SHARED_UNITS:
            raise ValueError(f"{as_written(text)}: write the unit after both numbers.")
        shared = units[0]
    return Length(_inches(both[0], shared, first)), Length(_inches(both[1], shared, second))


# Writing --------------------------------------------------------------------------------------


def _exact(number: int | Fraction | Decimal | str) -> Fraction:
    if isinstance(number, float):
        raise TypeError("a float is not exact: give an int, a Fraction or a Decimal")
    return Fraction(number)


def _exactly(*lengths: Length) -> tuple[list[str], Unit]:
    """The lengths written exactly in one unit, without it, and that unit."""
    on_a_ruler = all(_FINEST_RULER % length.inches.denominator == 0 for length in lengths)
    if not on_a_ruler and all(_has_decimals(length.cm) for length in lengths):
        return [_signed(length.cm, _decimal) for length in lengths], "cm"
    return [_signed(length.inches, _mixed) for length in lengths], "in"


def _signed(number: Fraction, write) -> str:
    text = write(abs(number))
    return f"-{text}" if number < 0 and text != "0" else text


def _nearest(number: Fraction, step: Fraction) -> Fraction:
    return (number / step + Fraction(1, 2)).__floor__() * step


def _mixed(number: Fraction) -> str:
    whole, over = divmod(number.numerator, number.denominator)
    fraction = f"{over}/{number.denominator}" if over else ""
    return f"{whole} {fraction}" if whole and fraction else fraction or str(whole)


def _has_decimals(number: Fraction) -> bool:
    """Whether a finite decimal is exact: only twos and fives under the line."""
    under = number.denominator
    while under % 2 == 0:
        under //= 2
    while under % 5 == 0:
        under //= 5
    return under == 1


def _decimal(number: Fraction) -> str:
    """A fraction that has a finite decimal, written as that."""
    places = next(places for places in range(number.denominator.bit_length()) if 10**places % number.denominator == 0)
    digits = str(number.numerator * 10**places // number.denominator).zfill(places + 1)
    return f"{digits[:-places]}.{digits[-places:]}" if places else digits
