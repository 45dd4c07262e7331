"""Dates as makers write them in a sheet: `'94`, `Mar-98`, `5/94`, `1998/99`, `Christmas 2005`, `2014 (finished)`.

`collection.dates` reads what is clear by itself. What is clear only beside the other cells of a column, such as
which figure of 5/12/2016 is the day, is settled here.
"""

import re
from collections.abc import Iterable, Iterator
from typing import Literal

from collection.dates import EdtfDate
from collection.everyday_dates import MONTH_NUMBERS, SEASON_NUMBERS
from collection.sheet_intake.readings import LONGEST_VALUE, Read, kept_as_note

Order = Literal["day first", "month first"]

_THREE = re.compile(r"([0-9]{1,2})[-/. ]([0-9]{1,2})[-/. ]([0-9]{2}|[0-9]{4})")
_NAMES = "|".join(sorted(map(re.escape, [*MONTH_NUMBERS, *SEASON_NUMBERS]), key=len, reverse=True))


def read_date(text: str, field: str, *, latest_year: int, order: Order = "month first", settled: bool = False) -> Read:
    """A date for one field. Two figures of a year are the latest such year that is not after `latest_year`.

    `order` says which figure of 5/12/2016 is the day, and `settled` whether the column shows that it is so; if it is
    not, the cell is kept in the notes too.

    >>> read_date("'94", "made", latest_year=2026).fields, read_date("Mar-98", "made", latest_year=2026).fields
    ({'made': '1994'}, {'made': '1998-03'})
    >>> read_date("2014 (finished)", "made", latest_year=2026)
    Read(fields={'made': '2014'}, exact=False, doubt='')
    """
    if len(text) > LONGEST_VALUE:
        return kept_as_note()
    for candidate, exact in _candidates(text, latest_year, order, settled):
        try:
            date = EdtfDate.parse(candidate)
        except ValueError:
            continue
        if _beyond(date, latest_year):
            return kept_as_note("it lies in the future")
        return Read({field: date.edtf}, exact)
    return kept_as_note()


def order_shown(texts: Iterable[str]) -> Order | None:
    """Which figure is the day, where a figure above 12 shows it; None where none does, or they are at odds."""
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


def _candidates(text: str, latest_year: int, order: Order, settled: bool) -> Iterator[tuple[str, bool]]:
    """What the cell may be read as, the surest first, and whether nothing of it is left out."""
    bare = text.strip().strip(".,;")
    yield text.strip(), True
    yield from _spelled_out(bare, latest_year, order, settled, whole=True)
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
            yield from (
                (spelled, False)
                for spelled, _ in _spelled_out(candidate, latest_year, order, settled, whole=False)
            )


def _spelled_out(
    text: str, latest_year: int, order: Order, settled: bool, *, whole: bool
) -> Iterator[tuple[str, bool]]:
    """The text in a form that is read, where it is one of those that sheets have."""
    plain = " ".join(text.lower().replace("’", "'").replace("‘", "'").split())
    doubt, plain = _without_doubt(plain)
    if doubt:
        yield doubt + plain, whole
    if found := _THREE.fullmatch(plain):
        first, second, year = int(found[1]), int(found[2]), _four_figures(found[3], latest_year)
        day, month = (first, second) if order == "day first" else (second, first)
        sure = settled or first == second or max(first, second) > 12
        if month > 12 >= day:
            day, month = month, day
        yield f"{doubt}{year}-{month:02}-{day:02}", whole and sure
    if found := re.fullmatch(r"'?([0-9]{2})", plain):
        yield doubt + _four_figures(found[1], latest_year), whole
    if found := re.fullmatch(r"([0-9]{1,2})[-/. ]([0-9]{4}|'?[0-9]{2})", plain):
        year = _four_figures(found[2].removeprefix("'"), latest_year)
        # 03/98 is a month; 98/99 are years.
        if 1 <= int(found[1]) <= 12 and not (len(found[2]) == 2 and int(found[2]) <= 12):
            yield f"{doubt}{year}-{int(found[1]):02}", whole
        elif len(found[2]) == 2 and int(found[2]) == (int(found[1]) + 1) % 100:
            yield f"{_four_figures(found[1], latest_year)}/{year}", whole
    if found := re.fullmatch(r"([0-9]{4}) ?[-/–] ?'?([0-9]{2})", plain):
        until = found[1][:2] + found[2]
        if int(found[2]) > 12 and until > found[1]:
            yield f"{found[1]}/{until}", whole
        elif int(found[2]) <= 12 and found[1][2:] == "99" and found[2] == "00":
            yield f"{found[1]}/{int(found[1]) + 1}", whole
    if found := re.fullmatch(rf"({_NAMES})[-, ]+(?:of )?'?([0-9]{{2}}|[0-9]{{4}})", plain):
        yield f"{doubt}{found[1]} {_four_figures(found[2], latest_year)}", whole
    if found := re.fullmatch(rf"([0-9]{{1,2}})[- ]({_NAMES})[- ,]+'?([0-9]{{2}}|[0-9]{{4}})", plain):
        yield f"{doubt}{found[1]} {found[2]} {_four_figures(found[3], latest_year)}", whole
    if found := re.fullmatch(r"(?:christmas|xmas|chr\.?)[ ,-]*'?([0-9]{2}|[0-9]{4})", plain):
        yield f"{_four_figures(found[1], latest_year)}-12~", False
    if found := re.fullmatch(r"([0-9]{4}) (?:or|and|&) '?([0-9]{4}|[0-9]{2})", plain):
        until = found[2] if len(found[2]) == 4 else found[1][:2] + found[2]
        yield f"{found[1]}/{until}", whole
    if found := re.fullmatch(r"(early|mid|late)[- ]?(?:the )?'?([3-9]0)'?s", plain):
        yield f"{found[1]} {found[2]}s", whole


def _without_doubt(plain: str) -> tuple[str, str]:
    found = re.fullmatch(r"(?:about|abt\.?|around|circa|ca?\.?|approx\.?|~) ?(?=['0-9a-z])(.+)", plain)
    if found and not plain.startswith("c") or found and re.match(r"c(?:irca|a?\.)? ?'?[0-9]", plain):
        return "about ", found[1]
    if plain.endswith("ish"):
        return "about ", plain.removesuffix("ish").strip(" -")
    if plain.endswith("?") and not plain.startswith("?"):
        return "maybe ", plain.rstrip("? ")
    return "", plain


def _four_figures(year: str, latest_year: int) -> str:
    if len(year) == 4:
        return year
    century = latest_year // 100 * 100
    return str(century + int(year) if century + int(year) <= latest_year else century - 100 + int(year))
