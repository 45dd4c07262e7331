"""Dates as makers write them in a sheet: `'94`, `Mar-98`, `5/94`, `1998/99`, `Christmas 2005`, `2014 (finished)`.

`collection.values.dates` reads what is clear by itself. What only the other cells of a column can show, such as
which number in 5/12/2016 is the day, is decided here.
"""

import re
from collections.abc import Callable, Iterable, Iterator
from typing import Literal, NamedTuple

from collection.spreadsheet_import.values.reading import LONGEST_VALUE, Read, kept_as_note
from collection.values.date_phrases import MONTH_NUMBERS, SEASON_NUMBERS
from collection.values.dates import EdtfDate

Order = Literal["day first", "month first"]

_THREE = re.compile(r"([0-9]{1,2})[-/. ]([0-9]{1,2})[-/. ]([0-9]{2}|[0-9]{4})")
_NAMES = "|".join(sorted(map(re.escape, [*MONTH_NUMBERS, *SEASON_NUMBERS]), key=len, reverse=True))


def read_date(text: str, field: str, *, latest_year: int, order: Order = "month first", settled: bool = False) -> Read:
    """Reads a date for one field. A two-digit year is the latest such year that is not after `latest_year`.

    `order` says which number in 5/12/2016 is the day, and `settled` whether the column proves it; if not, the cell is
    kept in the notes as well.

    >>> read_date("'94", "made", latest_year=2026).fields, read_date("Mar-98", "made", latest_year=2026).fields
    ({'made': '1994'}, {'made': '1998-03'})
    >>> read_date("2014 (finished)", "made", latest_year=2026)
    Read(fields={'made': '2014'}, exact=False, doubt='')
    """
    if len(text) > LONGEST_VALUE:
        return kept_as_note()
    for candidate, exact in _candidates(text, _Column(latest_year, order, settled)):
        try:
            date = EdtfDate.parse(candidate)
        except ValueError:
            continue
        if _beyond(date, latest_year):
            return kept_as_note("it lies in the future")
        return Read({field: date.edtf}, exact)
    return kept_as_note()


def order_shown(texts: Iterable[str]) -> Order | None:
    """Which number is the day, if one above 12 shows it; None if none does, or they contradict each other."""
    orders: set[Order] = set()
    for text in texts:
        found = _THREE.fullmatch(text.strip())
        if found:
            first, second = int(found[1]), int(found[2])
            if first > 12 >= second:
                orders.add("day first")
            elif second > 12 >= first:
                orders.add("month first")
    return orders.pop() if len(orders) == 1 else None


def looks_like_a_date(text: str) -> bool:
    return bool(read_date(text, "made", latest_year=9999).fields)


def _beyond(date: EdtfDate, latest_year: int) -> bool:
    return date.earliest is not None and date.earliest.year > latest_year


class _Column(NamedTuple):
    """What the other cells of a column show about its dates (see `read_date`)."""

    latest_year: int
    order: Order
    settled: bool

    def year(self, figures: str) -> str:
        """A year of two or four digits as four digits."""
        if len(figures) == 4:
            return figures
        year = self.latest_year // 100 * 100 + int(figures)
        return str(year if year <= self.latest_year else year - 100)


def _candidates(text: str, column: _Column) -> Iterator[tuple[str, bool]]:
    """The possible readings of a cell, the most certain first, and whether each covers the whole cell."""
    bare = text.strip().strip(".,;")
    yield text.strip(), True
    yield from _spelled_out(bare, column)
    aside = re.sub(r"\([^)]*\)|\[[^]]*\]", " ", bare).strip(" ,;-")
    shorter = re.sub(
        r"^(?:finished|completed|made|done|bound|quilted|started|begun)\b[ :,]*(?:in|on)?\b"
        r"|\b(?:finished|completed|made|done|i think|i guess|or thereabouts)$",
        "",
        aside,
        flags=re.IGNORECASE,
    ).strip(" ,;:-")
    for candidate in dict.fromkeys((aside, shorter)):
        if candidate and candidate != bare:
            yield candidate, False
            yield from ((spelled, False) for spelled, _ in _spelled_out(candidate, column))


def _spelled_out(text: str, column: _Column) -> Iterator[tuple[str, bool]]:
    """The text in forms that `EdtfDate` reads, and whether each is certain."""
    plain = " ".join(text.lower().replace("’", "'").replace("‘", "'").split())
    doubt, plain = _without_doubt(plain)
    if doubt:
        yield doubt + plain, True
    for pattern, takes_doubt, read in _FORMS:
        if (found := pattern.fullmatch(plain)) and (spelled := read(found, column)):
            yield (doubt if takes_doubt else "") + spelled[0], spelled[1]


Spelled = tuple[str, bool] | None


def _three_figures(found: re.Match[str], column: _Column) -> Spelled:
    first, second, year = int(found[1]), int(found[2]), column.year(found[3])
    day, month = (first, second) if column.order == "day first" else (second, first)
    if month > 12 >= day:
        day, month = month, day
    return f"{year}-{month:02}-{day:02}", column.settled or first == second or max(first, second) > 12


def _month_and_year(found: re.Match[str], column: _Column) -> Spelled:
    """03/98 is a month; 98/99 and 05/06 are not."""
    if 1 <= int(found[1]) <= 12 and not (len(found[2]) == 2 and int(found[2]) <= 12):
        year = column.year(found[2].removeprefix("'"))
        return f"{year}-{int(found[1]):02}", True
    return None


def _short_years(found: re.Match[str], column: _Column) -> Spelled:
    """98/99 are two years."""
    if 1 <= int(found[1]) <= 12 and int(found[2]) > 12 or int(found[2]) != (int(found[1]) + 1) % 100:
        return None
    return f"{column.year(found[1])}/{column.year(found[2])}", True


def _years(found: re.Match[str], column: _Column) -> Spelled:
    """1998-99 and 1999/00 are two years; 1998-05 is a month."""
    until = found[1][:2] + found[2]
    if int(found[2]) > 12 and until > found[1]:
        return f"{found[1]}/{until}", True
    return (f"{found[1]}/{int(found[1]) + 1}", True) if found[1][2:] == "99" and found[2] == "00" else None


def _either_year(found: re.Match[str], column: _Column) -> Spelled:
    until = found[2] if len(found[2]) == 4 else found[1][:2] + found[2]
    return f"{found[1]}/{until}", True


_FORMS: tuple[tuple[re.Pattern[str], bool, Callable[[re.Match[str], _Column], Spelled]], ...] = (
    (_THREE, True, _three_figures),
    (re.compile(r"'?([0-9]{2})"), True, lambda found, column: (column.year(found[1]), True)),
    (re.compile(r"([0-9]{1,2})[-/. ]([0-9]{4}|'?[0-9]{2})"), True, _month_and_year),
    (re.compile(r"([0-9]{1,2})[-/. ]([0-9]{2})"), False, _short_years),
    (re.compile(r"([0-9]{4}) ?[-/–] ?'?([0-9]{2})"), False, _years),
    (
        re.compile(rf"({_NAMES})[-, ]+(?:of )?'?([0-9]{{2}}|[0-9]{{4}})"),
        True,
        lambda found, column: (f"{found[1]} {column.year(found[2])}", True),
    ),
    (
        re.compile(rf"([0-9]{{1,2}})[- ]({_NAMES})[- ,]+'?([0-9]{{2}}|[0-9]{{4}})"),
        True,
        lambda found, column: (f"{found[1]} {found[2]} {column.year(found[3])}", True),
    ),
    (
        re.compile(r"(?:christmas|xmas|chr\.?)[ ,-]*'?([0-9]{2}|[0-9]{4})"),
        False,
        lambda found, column: (f"{column.year(found[1])}-12~", False),
    ),
    (re.compile(r"([0-9]{4}) (?:or|and|&) '?([0-9]{4}|[0-9]{2})"), False, _either_year),
    (
        re.compile(r"(early|mid|late)[- ]?(?:the )?'?([3-9]0)'?s"),
        False,
        lambda found, column: (f"{found[1]} {found[2]}s", True),
    ),
)
"""The forms of dates in sheets: the pattern, whether words of doubt may precede it, and its reader."""


def _without_doubt(plain: str) -> tuple[str, str]:
    found = re.fullmatch(r"(?:about|abt\.?|around|circa|ca?\.?|approx\.?|~) ?(?=['0-9a-z])(.+)", plain)
    if found and not plain.startswith("c") or found and re.match(r"c(?:irca|a?\.)? ?'?[0-9]", plain):
        return "about ", found[1]
    if plain.endswith("ish"):
        return "about ", plain.removesuffix("ish").strip(" -")
    if plain.endswith("?") and not plain.startswith("?"):
        return "maybe ", plain.rstrip("? ")
    return "", plain
