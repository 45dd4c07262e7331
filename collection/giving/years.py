"""Giving years: they begin on the day that the maker has chosen, such as 6 April."""

import re
from datetime import MAXYEAR, MINYEAR, date

from collection.quotes import quoted
from collection.values.dates import EdtfDate


def year_bounds(year: int, starts: str) -> tuple[date, date]:
    """The first and last day of the giving year that begins in `year` on `starts` (month-day).

    >>> [str(day) for day in year_bounds(2026, "04-06")]
    ['2026-04-06', '2027-04-05']
    """
    month, day = (int(part) for part in starts.split("-"))
    # A mistyped year at either end of the calendar must not stop a build.
    first = date(year, month, day) if year >= MINYEAR else date.min
    if year >= MAXYEAR:
        return first, date.max
    next_first = date(year + 1, month, day) if year + 1 >= MINYEAR else date.min
    return first, date.fromordinal(max(1, next_first.toordinal() - 1))


def year_of(day: date, starts: str) -> int:
    """The giving year of a day.

    >>> year_of(date(2027, 4, 5), "04-06"), year_of(date(2027, 4, 6), "04-06")
    (2026, 2027)
    """
    return day.year if f"{day:%m-%d}" >= starts else day.year - 1


def year_label(year: int, starts: str) -> str:
    """The label of a giving year.

    >>> year_label(2026, "01-01"), year_label(2026, "04-06")
    ('2026', '2026/27')
    """
    return str(year) if starts == "01-01" else f"{year}/{(year + 1) % 100:02d}"


def read_year(text: str, starts: str) -> int:
    """Parses a giving year: its label, or the calendar year in which it begins.

    >>> read_year("2026/27", "04-06"), read_year("2026-27", "04-06"), read_year("2026", "04-06")
    (2026, 2026, 2026)

    Raises ValueError in words for the maker.
    """
    match = re.fullmatch(r"([0-9]{4})(?:[/-]([0-9]{2}|[0-9]{4}))?", text.strip(), re.ASCII)
    example = year_label(2026, starts)
    if match is None or int(match[1]) < MINYEAR:
        raise ValueError(f"{quoted(text)} is not a year. Write it with four figures, such as {example}.")
    year, end = int(match[1]), match[2]
    if end is not None and starts == "01-01":
        raise ValueError(f"{quoted(text)}: here a giving year is a calendar year. Write {year}.")
    if end is not None and int(end) not in (year + 1, (year + 1) % 100):
        raise ValueError(f"{quoted(text)}: a giving year ends in the year after. Write {year_label(year, starts)}.")
    return year


def giving_year(when: EdtfDate | None, starts: str) -> int | None:
    """The giving year that surely contains a date; None if there is no date or it is too vague.

    `about 2016` is too vague for any year; `2016` is exact enough, except for years that begin in April.
    """
    bounds = _bounds(when)
    if bounds is None:
        return None
    first, last = (year_of(day, starts) for day in bounds)
    return first if first == last else None


def month_of(day: EdtfDate | None) -> tuple[int, int] | None:
    """The year and month that surely contain a date; None if there is no date or it is too vague."""
    bounds = _bounds(day)
    if bounds is None:
        return None
    first, last = ((each.year, each.month) for each in bounds)
    return first if first == last else None


def may_lie_in(when: EdtfDate | None, first: date, last: date) -> bool:
    """Whether a date may be within these days; True if there is no date."""
    return when is None or when.within(first, last) != "no"


def _bounds(when: EdtfDate | None) -> tuple[date, date] | None:
    """The first and last day that a date may mean; None if it has no bounds, or is in doubt."""
    if when is None or when.earliest is None or when.latest is None or when.approximate or when.uncertain:
        return None
    return when.earliest, when.latest
