"""A strict parser for dates in EDTF, levels 0 and 1, with the first and last day each may mean.

The features of level 1 that belong to a single date (a season, unspecified digits, a qualifier) may be combined.
A time of day is dropped, and years are 0001 to 9999.

Source: Library of Congress, Extended Date/Time Format Specification, 4 February 2019; ISO 8601-2. It gives no
dates for seasons: they begin and end here as in northern meteorology, and a winter belongs to the year it begins in.
"""

import calendar
import re
from dataclasses import dataclass
from datetime import date, timedelta
from enum import Enum
from typing import Literal

from collection.quotes import quoted

Grain = Literal["century", "decade", "year", "season", "month", "day"]

SPRING, SUMMER, AUTUMN, WINTER = 21, 22, 23, 24
_SEASON_BEGINS = {SPRING: 3, SUMMER: 6, AUTUMN: 9, WINTER: 12}

MONTHS = ("January", "February", "March", "April", "May", "June",
          "July", "August", "September", "October", "November", "December")  # fmt: skip

_SHAPE = re.compile(r"([0-9]{4}|[0-9]{3}X|[0-9]{2}XX)(?:-([0-9]{2}|XX)(?:-([0-9]{2}|XX))?)?([?~%]?)")
_TIME_OF_DAY = re.compile(
    r"(?<=-[0-9]{2})T(?:[01][0-9]|2[0-3]):[0-5][0-9]:[0-5][0-9](?:Z|[+-][0-9]{2}(?::[0-5][0-9])?)?$"
)


class End(Enum):
    """An end of an interval that is not a date."""

    OPEN = ".."
    UNKNOWN = ""


@dataclass(frozen=True, slots=True)
class Moment:
    """One EDTF date with the precision that is known: `2016`, `201X`, `2016-05~`, `2016-XX`, `2016-21`.

    `year`, `month` and `day` are as written, with X for an unknown digit; "" for a missing part.
    """

    year: str
    month: str
    day: str
    qualifier: str
    grain: Grain
    earliest: date
    latest: date

    @property
    def approximate(self) -> bool:
        return self.qualifier in ("~", "%")

    @property
    def uncertain(self) -> bool:
        return self.qualifier in ("?", "%")

    @property
    def unqualified(self) -> str:
        return "-".join(part for part in (self.year, self.month, self.day) if part)

    def __str__(self) -> str:
        return self.unqualified + self.qualifier


@dataclass(frozen=True, slots=True)
class Interval:
    """From one date to another; one of the two ends may be open or unknown."""

    start: Moment | End
    end: Moment | End

    def __str__(self) -> str:
        return "/".join(end.value if isinstance(end, End) else str(end) for end in (self.start, self.end))


def read_edtf(text: str) -> Moment | Interval | None:
    """Read a date or an interval; None if the text does not have that form.

    Raises ValueError, with a message for the maker, if it has the form but there is no such date.
    """
    start, slash, end = text.partition("/")
    return _read_interval(start, end) if slash else read_moment(text)


def is_edtf(text: str) -> bool:
    """Does the text have the form of an EDTF date, and does the date exist?"""
    try:
        return read_edtf(text) is not None
    except ValueError:
        return False


def without_time_of_day(text: str) -> str:
    """The day of a level 0 date and time, as written: no time zone is converted."""
    return _TIME_OF_DAY.sub("", text)


def read_moment(text: str) -> Moment | None:
    """Read one date; None if the text does not have that form. Raises like `read_edtf`."""
    shape = _SHAPE.fullmatch(text)
    if shape is None or not _filled_from_the_left(*shape.group(1, 2, 3)):
        return None
    year, month, day, qualifier = (part or "" for part in shape.groups())
    first_year, last_year = int(year.replace("X", "0")), int(year.replace("X", "9"))
    if first_year == 0:
        raise ValueError(f"{quoted(text)} lies before the year 1, and no quilt does. Write the year like 2016.")
    if "X" in year:
        grain: Grain = "century" if year.endswith("XX") else "decade"
        bounds = date(first_year, 1, 1), date(last_year, 12, 31)
    elif month in ("", "XX"):
        grain, bounds = "year", (date(first_year, 1, 1), date(first_year, 12, 31))
    elif int(month) in _SEASON_BEGINS and not day:
        grain, bounds = "season", _season(first_year, int(month), text)
    else:
        grain, bounds = _month_or_day(first_year, month, day, text)
    return Moment(year, month, day, qualifier, grain, *bounds)


def _filled_from_the_left(year: str, month: str | None, day: str | None) -> bool:
    """In level 1, unknown digits are on the right: `2016-XX-XX`, but not `201X-05`."""
    if "X" in year:
        return month is None
    return month != "XX" or day in (None, "XX")


def _season(year: int, season: int, text: str) -> tuple[date, date]:
    begins = date(year, _SEASON_BEGINS[season], 1)
    if season == WINTER and year == 9999:
        raise ValueError(f"{quoted(text)} is out of reach. Write years up to 9998.")
    last_month, last_year = (begins.month + 2, year) if season != WINTER else (2, year + 1)
    return begins, _last_of_month(last_year, last_month)


def _month_or_day(year: int, month: str, day: str, text: str) -> tuple[Grain, tuple[date, date]]:
    if not 1 <= int(month) <= 12:
        years = f", or {year}/{year // 100}{month} for the years" if int(month) > year % 100 and not day else ""
        raise ValueError(f"{quoted(text)}: there is no month {month}. Write months as 01 to 12{years}.")
    first, last = date(year, int(month), 1), _last_of_month(year, int(month))
    if day in ("", "XX"):
        return "day" if day else "month", (first, last)
    if not 1 <= int(day) <= last.day:
        raise ValueError(f"{quoted(text)}: {MONTHS[first.month - 1]} {year} has the days 01 to {last.day}.")
    return "day", (first.replace(day=int(day)),) * 2


def _last_of_month(year: int, month: int) -> date:
    return date(year, month, calendar.monthrange(year, month)[1])


def _read_interval(start: str, end: str) -> Interval | None:
    ends = [End(text) if text in ("..", "") else read_moment(text) for text in (start, end)]
    first, last = ends
    if first is None or last is None or (isinstance(first, End) and isinstance(last, End)):
        return None
    if any(isinstance(moment, Moment) and "X" in moment.unqualified for moment in ends):
        return None
    if isinstance(first, Moment) and isinstance(last, Moment) and first.earliest > last.latest:
        raise ValueError(f"{quoted(f'{start}/{end}')} runs backwards. Write {end}/{start}.")
    return Interval(first, last)


def just_before(moment: Moment) -> str:
    """The EDTF year, month or day just before `moment`. ValueError before the year 1."""
    if moment.earliest == date.min:
        raise ValueError(f"What is before {moment} is out of reach. Write a later date.")
    return _at_grain(moment.earliest - timedelta(1), moment)


def just_after(moment: Moment) -> str:
    """The EDTF year, month or day just after `moment`. ValueError after the year 9999."""
    if moment.latest == date.max:
        raise ValueError(f"What is after {moment} is out of reach. Write an earlier date.")
    return _at_grain(moment.latest + timedelta(1), moment)


def _at_grain(day: date, moment: Moment) -> str:
    iso = day.isoformat()
    kept = {"day": 10, "month": 7, "season": 7}.get(moment.grain, 4)
    return iso[:kept] + moment.qualifier
