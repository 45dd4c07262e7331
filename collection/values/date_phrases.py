"""Converts dates in everyday English to EDTF: `about 2016`, `the early nineties`, `12 May 2016`, `before 2010`.

Rules where English is ambiguous:
- early, mid and late in a decade are its years 0 to 3, 4 to 6 and 7 to 9; in a year, its months 1 to 4, 5 to 8 and
  9 to 12; always as approximate intervals. Common practice, no source.
- before and after exclude the year, month or day they name; by, until and since include it.
- the thirties to the nineties are in the 20th century.
- three numbers with the year last are a day and a month, if only one order gives a valid date (`11/20/2026`); with
  the year first they are year, month and day.
A date with two plausible meanings (`5/12/2016`, `the 2000s`, `the twenties`) is refused.
"""

import re
from collections.abc import Iterator

from collection.values.edtf import (
    AUTUMN,
    MONTHS,
    SPRING,
    SUMMER,
    WINTER,
    Moment,
    is_edtf,
    just_after,
    just_before,
    read_edtf,
    read_moment,
    without_time_of_day,
)

MONTH_NUMBERS = {
    name: number
    for number, month in enumerate(MONTHS, start=1)
    for name in (month.lower(), month[:3].lower(), month[:3].lower() + ".")
} | {"sept": 9, "sept.": 9}
SEASON_NUMBERS = {"spring": SPRING, "summer": SUMMER, "autumn": AUTUMN, "fall": AUTUMN, "winter": WINTER}
_DECADE_NUMBER = {
    "thirties": 193, "forties": 194, "fifties": 195, "sixties": 196, "seventies": 197, "eighties": 198,
    "nineties": 199,
}  # fmt: skip

_FILLERS = ("some time ", "sometime ", "some day ", "in ", "on ", "during ", "the ")
_DOUBTS: dict[str, set[str]] = {"": set(), "~": {"~"}, "?": {"?"}, "%": {"~", "?"}}
_QUALIFYING = {
    "~": ("about ", "around ", "approximately ", "approx. ", "approx ", "roughly ", "circa ", "ca. ", "ca.", "ca ",
          "c. ", "c.", "c "),
    "?": ("maybe ", "perhaps ", "possibly ", "probably "),
}  # fmt: skip
_QUALIFYING_AFTER = {"~": (" or so", "-ish", "ish", "~"), "?": ("?",), "%": ("%",)}

_THIRDS = {
    # {0} is the year without its last digit, {1} the year.
    "decade": {"early": "{0}0~/{0}3~", "mid": "{0}4~/{0}6~", "late": "{0}7~/{0}9~"},
    "year": {"early": "{1}-01~/{1}-04~", "mid": "{1}-05~/{1}-08~", "late": "{1}-09~/{1}-12~"},
}

_ONE_BOUND = (
    # words before the date, words after it, which end of the date is the bound, the interval
    ("before ", "", "before", "../{}"),
    ("pre-", "", "before", "../{}"),
    ("after ", "", "after", "{}/.."),
    ("by ", "", "end", "../{}"),
    ("until ", "", "end", "../{}"),
    ("up to ", "", "end", "../{}"),
    ("", " or earlier", "end", "../{}"),
    ("since ", "", "start", "{}/.."),
    ("", " or later", "start", "{}/.."),
    ("", " onwards", "start", "{}/.."),
    ("", " to an unknown date", "start", "{}/"),
    ("an unknown date to ", "", "end", "/{}"),
)


def everyday_to_edtf(text: str) -> str | None:
    """The EDTF text for `text`; None if it is not a date.

    `text` is in lower case, with single spaces and plain hyphens. Raises ValueError for a day or month that does not
    exist.
    """
    if (bare := without_filler(text)) != text:
        return everyday_to_edtf(bare)
    for reading in (_one_date, _one_bound, _third, _two_dates):
        if (edtf := reading(text)) is not None:
            return edtf
    qualifier, rest = _take_qualifier(text)
    edtf = everyday_to_edtf(rest) if qualifier else None
    return None if edtf is None else _qualify(edtf, qualifier)


def without_filler(text: str) -> str:
    """`text` without the first words that mean nothing for a date, such as `some time in the`."""
    for filler in _FILLERS:
        text = text.removeprefix(filler)
    return text


def _take_qualifier(text: str) -> tuple[str, str]:
    """The qualifier that the first word or the last sign means (`~`, `?` or ""), and the text without it."""
    for qualifier, words in _QUALIFYING.items():
        for word in words:
            if text.startswith(word):
                return qualifier, text.removeprefix(word)
    if re.match(r"c[0-9]", text):
        return "~", text[1:]
    for qualifier, words in _QUALIFYING_AFTER.items():
        for word in words:
            # A space before the sign may come with another mistake, so `date_hints` handles it.
            if text.endswith(word) and not text.removesuffix(word).endswith(" "):
                return qualifier, text.removesuffix(word)
    return "", text


def _qualify(edtf: str, qualifier: str) -> str:
    """Add a qualifier to each end that is a date, besides those it has."""
    return "/".join(end if end in ("..", "") else _qualify_date(end, qualifier) for end in edtf.split("/"))


def _qualify_date(edtf: str, qualifier: str) -> str:
    unqualified = edtf.rstrip("~?%")
    doubts = _DOUBTS[edtf.removeprefix(unqualified)] | _DOUBTS[qualifier]
    return unqualified + ("%" if len(doubts) == 2 else "".join(doubts))


# One date -------------------------------------------------------------------------------------


def _one_date(text: str) -> str | None:
    """EDTF for a single date in words or figures, or for text that is EDTF already."""
    edtf = read_edtf(without_time_of_day(text.upper()))
    if edtf is not None:
        return str(edtf)
    return _decade(text) or _season(text) or _month_or_day(text) or _in_figures(text)


def _decade(text: str) -> str | None:
    if text in _DECADE_NUMBER:
        return f"{_DECADE_NUMBER[text]}X"
    if found := re.fullmatch(r"'?([3-9])0'?s", text):
        return f"19{found[1]}X"
    # 1900s and 2000s could be a decade or a century.
    found = re.fullmatch(r"([0-9]{2}[1-9])0'?s", text)
    return f"{found[1]}X" if found else None


def _season(text: str) -> str | None:
    found = re.fullmatch(r"([a-z]+),? (?:of )?([0-9]{4})(?:[-/]([0-9]{4}|[0-9]{2}))?", text)
    if found is None or found[1] not in SEASON_NUMBERS:
        return None
    season, year, until = found.groups()
    if until and not (season == "winter" and f"{int(year) + 1:04}".endswith(until)):
        return None
    return f"{year}-{SEASON_NUMBERS[season]}"


def _month_or_day(text: str) -> str | None:
    day = r"(?P<day>[0-9]{1,2})(?:st|nd|rd|th|\.)?"
    month, year = r"(?P<month>[a-z]{3,9}\.?)", r"(?P<year>[0-9]{4})"
    for pattern in (rf"{month},? (?:of )?{year}", rf"{day} (?:of )?{month},? {year}", rf"{month} {day},? {year}"):
        found = re.fullmatch(pattern, text)
        if found and found["month"] in MONTH_NUMBERS:
            parts = [found["year"], f"{MONTH_NUMBERS[found['month']]:02}"]
            if "day" in found.groupdict():
                parts.append(found["day"].zfill(2))
            return "-".join(parts)
    return None


def _in_figures(text: str) -> str | None:
    """EDTF for `20/11/2026` or `11/20/2026`, which can be only one day, and for `2026/11/20`."""
    if found := re.fullmatch(r"([0-9]{4})[-/. ]([0-9]{1,2})[-/. ]([0-9]{1,2})", text):
        return _iso_day(*found.groups())
    found = re.fullmatch(r"([0-9]{1,2})([-/. ])([0-9]{1,2})\2([0-9]{4})", text)
    if found is None:
        return None
    first, _, second, year = found.groups()
    days = {_iso_day(year, *month_and_day) for month_and_day in ((first, second), (second, first))}
    there_are = {day for day in days if is_edtf(day)}
    if len(there_are) == 1:
        return there_are.pop()
    # If the month is valid, the day is wrong (30 February): reading it raises the error.
    for day in sorted(days - there_are, reverse=True):
        if 1 <= int(day[5:7]) <= 12:
            read_edtf(day)
    return None


def _iso_day(year: str, month: str, day: str) -> str:
    return f"{year}-{month:0>2}-{day:0>2}"


def _end(text: str) -> Moment | None:
    """One end of a span, with its qualifiers."""
    text = without_filler(text.strip())
    qualifier, rest = _take_qualifier(text)
    if qualifier:
        moment = _end(rest)
        return None if moment is None else read_moment(_qualify(str(moment), qualifier))
    edtf = _one_date(text)
    return None if edtf is None else read_moment(edtf)


# Spans ----------------------------------------------------------------------------------------


def _one_bound(text: str) -> str | None:
    for before, behind, bounding, interval in _ONE_BOUND:
        if text.startswith(before) and text.endswith(behind):
            moment = _end(text.removeprefix(before).removesuffix(behind))
            if moment is not None:
                return interval.format(_bound(moment, bounding))
    if text.startswith("from ") and (moment := _end(text.removeprefix("from "))):
        return f"{_bound(moment, 'start')}/.."
    return None


def _bound(moment: Moment, bounding: str) -> str:
    """The EDTF text for one end of an interval, which may not contain X."""
    if bounding == "before":
        return just_before(moment)
    if bounding == "after":
        return just_after(moment)
    if "X" not in moment.unqualified:
        return str(moment)
    kept = {"century": 4, "decade": 4, "year": 4, "day": 7}[moment.grain]
    return (moment.earliest if bounding == "start" else moment.latest).isoformat()[:kept] + moment.qualifier


def _third(text: str) -> str | None:
    found = re.fullmatch(r"(early|mid|late)[- ](?:in )?(?:the )?(.+)", text)
    if found is None:
        return None
    # "The early 2000s" means the decade, though "the 2000s" alone could also mean the century.
    decade = re.fullmatch(r"([0-9]{3})0'?s", found[2])
    whole = read_moment(f"{decade[1]}X" if decade else _one_date(found[2]) or "")
    if whole is None or str(whole) != whole.year or whole.grain not in _THIRDS:
        return None
    return _THIRDS[whole.grain][found[1]].format(whole.year[:-1], whole.year)


def third_words(edtf: str) -> str | None:
    """The words for an interval that `_third` makes, such as `the early 1990s`; None for any other."""
    for grain, words in (("decade", "the {} {}0s"), ("year", "{} {}")):
        for part, interval in _THIRDS[grain].items():
            year = edtf[:3] if grain == "decade" else edtf[:4]
            if edtf == interval.format(edtf[:3], edtf[:4]):
                return words.format(part, year)
    return None


def _two_dates(text: str) -> str | None:
    for ends in _split_in_two(text):
        start, end = (_end(words) for words in ends)
        if start is not None and end is not None:
            edtf = f"{_bound(start, 'start')}/{_bound(end, 'end')}"
            read_edtf(edtf)
            return edtf
    return None


def _split_in_two(text: str) -> Iterator[list[str]]:
    joints: tuple[str, ...] = (" to ", " until ", " till ", " through ", " - ", " / ", "-")
    if text.startswith("between "):
        joints = (" and ",)
    text = text.removeprefix("between ").removeprefix("from ")
    for joint in joints:
        ends = text.split(joint)
        if len(ends) == 2:
            yield ends
