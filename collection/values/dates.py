"""Dates that may be known only in part: `2016~`, `the 1990s`, `spring 2001`, `before 2010`."""

from dataclasses import dataclass, field
from datetime import date, timedelta
from functools import lru_cache
from typing import Any, Literal, Self

from collection.quotes import quoted
from collection.values.date_hints import EXAMPLES, what_is_wrong
from collection.values.date_phrases import everyday_to_edtf, third_words
from collection.values.edtf import AUTUMN, MONTHS, SPRING, SUMMER, WINTER, End, Interval, Moment, read_edtf

_LONGEST_TEXT = 100
_DASHES = str.maketrans(dict.fromkeys("‐‑‒–—―−", "-") | dict.fromkeys("’‘", "'"))


@lru_cache(maxsize=4096)  # Many quilts have the same date.
def _meaning(edtf: str) -> dict[str, Any]:
    """The values of all computed fields of an `EdtfDate`, from its text."""
    read = read_edtf(edtf)
    if read is None:
        raise ValueError(f"{quoted(edtf)} is not an EDTF date. Write it like 2016-05-12, 2016-05, 2016~ or 199X.")
    start, end = (read.start, read.end) if isinstance(read, Interval) else (read, read)
    moments = [moment for moment in (start, end) if isinstance(moment, Moment)]
    return {
        "earliest": start.earliest if isinstance(start, Moment) else None,
        "latest": end.latest if isinstance(end, Moment) else None,
        "approximate": any(moment.approximate for moment in moments),
        "uncertain": any(moment.uncertain for moment in moments),
        "start_unknown": start is End.UNKNOWN,
        "end_unknown": end is End.UNKNOWN,
        "_read": read,
    }


@dataclass(frozen=True, slots=True)
class EdtfDate:
    """A date with the precision that is known. Holds EDTF text; dates with the same text are equal.

    `earliest` and `latest` are the first and last possible day, both included; None if there is no bound. A qualifier
    (`~` approximate, `?` uncertain, `%` both) does not change them, but the real date may be outside them. An interval
    means one date within it: `2015/2017` is some day in those three years.

    >>> made = EdtfDate.parse("about 2016")
    >>> made.edtf, made.say(), made.earliest.isoformat(), made.approximate
    ('2016~', 'about 2016', '2016-01-01', True)
    >>> EdtfDate.parse("the nineties").say()
    'the 1990s'
    """

    edtf: str
    earliest: date | None = field(init=False, compare=False, repr=False)
    latest: date | None = field(init=False, compare=False, repr=False)
    approximate: bool = field(init=False, compare=False, repr=False)
    uncertain: bool = field(init=False, compare=False, repr=False)
    start_unknown: bool = field(init=False, compare=False, repr=False)
    end_unknown: bool = field(init=False, compare=False, repr=False)
    _read: Moment | Interval = field(init=False, compare=False, repr=False)

    def __post_init__(self) -> None:
        for name, value in _meaning(self.edtf).items():
            object.__setattr__(self, name, value)

    # A pickle or copy holds the text alone.

    def __getstate__(self) -> str:
        return self.edtf

    def __setstate__(self, edtf: str) -> None:
        object.__setattr__(self, "edtf", edtf)
        self.__post_init__()

    @classmethod
    def parse(cls, text: str) -> Self:
        """Read EDTF of level 0 or 1, or everyday words; a time of day is left out.

        Raises ValueError in words for the maker, with the nearest right form.
        """
        if len(text) > _LONGEST_TEXT:
            raise ValueError(f"{quoted(text)} is too long for a date. Write it like {EXAMPLES}.")
        if any(character.isnumeric() and not character.isascii() for character in text):
            raise ValueError(f"{quoted(text)}: write the figures as 0 to 9, like {EXAMPLES}.")
        plain = " ".join(text.translate(_DASHES).lower().split())
        if not plain:
            raise ValueError(f"The date is empty. Write it like {EXAMPLES}, or leave the field out.")
        edtf = everyday_to_edtf(plain)
        if edtf is None:
            raise ValueError(f"{quoted(text)} {what_is_wrong(plain)}")
        return cls(edtf)

    def __str__(self) -> str:
        """The EDTF text; `EdtfDate.parse` reads it back as the same date."""
        return self.edtf

    # What is known ----------------------------------------------------------------------------

    @property
    def sort_key(self) -> tuple[date, date, str]:
        """Sorts by first day, then last day, then text; an open start comes first, an open end last."""
        return (self.earliest or date.min, self.latest or date.max, self.edtf)

    @property
    def exact_day(self) -> date | None:
        """The day, if it is a single day without a qualifier."""
        doubtful = self.approximate or self.uncertain
        return self.earliest if self.earliest == self.latest and not doubtful else None

    @property
    def year(self) -> int | None:
        """The calendar year of both first and last day, if it is the same. A qualifier does not change it."""
        if self.earliest and self.latest and self.earliest.year == self.latest.year:
            return self.earliest.year
        return None

    def decades(self) -> tuple[int, ...]:
        """The first year of each decade that it may be in; with one known end, only the decade of that end."""
        known = [bound.year for bound in (self.earliest, self.latest) if bound]
        return tuple(range(known[0] // 10 * 10, known[-1] + 1, 10))

    @property
    def doubt(self) -> timedelta:
        """How far the real date may be outside its bounds: 0, or with a qualifier the length of its span."""
        if not (self.approximate or self.uncertain):
            return timedelta(0)
        if self.earliest is None or self.latest is None:
            return timedelta(days=366)
        return self.latest - self.earliest + timedelta(days=1)

    def surely_before(self, other: "EdtfDate") -> bool:
        """Is its last possible day before the first possible day of `other`, even with the doubt of both?

        >>> about, may = EdtfDate.parse("about 2015"), EdtfDate.parse("2016-05")
        >>> about.surely_before(may), EdtfDate.parse("2015").surely_before(may)
        (False, True)
        """
        if self.latest is None or other.earliest is None:
            return False
        return other.earliest - self.latest > self.doubt + other.doubt

    def passed(self, on: date) -> Literal["surely", "maybe", "no"]:
        """Is its last possible day before this day? "maybe" if a qualifier leaves it open."""
        if self.latest is None or self.latest >= on:
            return "no"
        return "surely" if on - self.latest > self.doubt else "maybe"

    def within(self, start: date, end: date) -> Literal["surely", "maybe", "no"]:
        """Is it between `start` and `end`, both included?

        A date with a qualifier gives "maybe" if its bounds meet that range and "no" if they don't: `2016~` may count
        for 2016 and for no other year.
        """
        if (self.earliest and self.earliest > end) or (self.latest and self.latest < start):
            return "no"
        bounded = self.earliest and self.latest and start <= self.earliest and self.latest <= end
        return "surely" if bounded and not (self.approximate or self.uncertain) else "maybe"

    # What people say --------------------------------------------------------------------------

    def say(self) -> str:
        """As people say it, in English: `about 2016`, `the 1990s`, `12 May 2016`, `2015 or later`."""
        if isinstance(self._read, Moment):
            return _say_moment(self._read)
        return third_words(self.edtf) or _say_interval(self._read.start, self._read.end)


_QUALIFIER_WORDS = {"": "", "~": "about ", "?": "possibly ", "%": "possibly about "}
_SEASON_NAMES = {SPRING: "spring", SUMMER: "summer", AUTUMN: "autumn", WINTER: "winter"}


def _say_moment(moment: Moment) -> str:
    return _QUALIFIER_WORDS[moment.qualifier] + _say_unqualified(moment)


def _say_unqualified(moment: Moment) -> str:
    year = moment.earliest.year
    if moment.grain == "decade" and year % 100:
        return f"the {year}s"
    if "X" in moment.year:
        # "The 2000s" could be ten years or a hundred.
        return f"some time from {year} to {moment.latest.year}"
    if moment.grain == "season":
        years = _winter_years(year) if int(moment.month) == WINTER else str(year)
        return f"{_SEASON_NAMES[int(moment.month)]} {years}"
    month = f"{MONTHS[moment.earliest.month - 1]} {year}"
    if moment.day == "XX":
        return f"some day in {year if moment.month == 'XX' else month}"
    if moment.month == "XX":
        return f"some time in {year}"
    return f"{moment.earliest.day} {month}" if moment.day else month if moment.month else str(year)


def _winter_years(year: int) -> str:
    following = year + 1
    return f"{year}–{following % 100:02}" if following % 100 else f"{year}–{following}"


def _say_interval(start: Moment | End, end: Moment | End) -> str:
    if start is End.OPEN:
        return f"{_say_end(end)} or earlier"
    if end is End.OPEN:
        return f"{_say_end(start)} or later"
    return f"{_say_end(start)} to {_say_end(end)}"


def _say_end(end: Moment | End) -> str:
    return _say_moment(end) if isinstance(end, Moment) else "an unknown date"
