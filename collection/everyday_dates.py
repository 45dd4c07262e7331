"""Dates as people say them, put into EDTF: `about 2016`, `the early nineties`, `12 May 2016`, `before 2010`.

What English leaves open is settled here, once:
- early, mid and late of a decade are its years 0 to 3, 4 to 6 and 7 to 9; of a year, its months 1 to 4, 5 to 8 and
  9 to 12; always as approximate intervals. Common practice, no source.
- before and after leave out the year, month or day they name; by, until and since include it.
- the thirties to the nineties are those of the 20th century.
What has two sensible readings (`5/12/2016`, `the 2000s`, `the twenties`) is refused, with both of them.
"""

import re

from collection.edtf_grammar import (
    AUTUMN,
    MONTHS,
    SPRING,
    SUMMER,
    WINTER,
    Moment,
    just_after,
    just_before,
    read_edtf,
    read_moment,
    without_time_of_day,
)

EXAMPLES = "2016-05-12, 2016-05, 2016, about 2016 or 1990s"

_MONTH_NUMBER = {
    name: number
    for number, month in enumerate(MONTHS, start=1)
    for name in (month.lower(), month[:3].lower(), month[:3].lower() + ".")
} | {"sept": 9, "sept.": 9}
_SEASON_NUMBER = {"spring": SPRING, "summer": SUMMER, "autumn": AUTUMN, "fall": AUTUMN, "winter": WINTER}
_DECADE_NUMBER = {"thirties": 193, "forties": 194, "fifties": 195, "sixties": 196, "seventies": 197, "eighties": 198, "nineties": 199}

_FILLERS = ("some time ", "sometime ", "some day ", "in ", "on ", "during ", "the ")
_QUALIFYING = {
    "~": ("about ", "around ", "approximately ", "approx. ", "approx ", "roughly ", "circa ", "ca. ", "ca.", "ca ", "c. ", "c.", "c "),
    "?": ("maybe ", "perhaps ", "possibly ", "probably "),
}
_QUALIFYING_AFTER = {"~": (" or so", "~"), "?": ("?",), "%": ("%",)}

_THIRDS_OF_A_DECADE = {"early": (0, 3), "mid": (4, 6), "late": (7, 9)}
_THIRDS_OF_A_YEAR = {"early": (1, 4), "mid": (5, 8), "late": (9, 12)}

_ONE_BOUND = (
    # words before, words behind, what of the date bounds, the interval
    ("before ", "", "before", "../{}"),
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
    """The EDTF text for `text`, which is lower case with single spaces and plain hyphens; None when it is no date."""
    if (bare := _without_filler(text)) != text:
        return everyday_to_edtf(bare)
    for reading in (_one_date, _one_bound, _third, _two_dates):
        if (edtf := reading(text)) is not None:
            return edtf
    qualifier, rest = _take_qualifier(text)
    edtf = everyday_to_edtf(rest) if qualifier else None
    return None if edtf is None else _qualify(edtf, qualifier)


def _without_filler(text: str) -> str:
    for filler in _FILLERS:
        text = text.removeprefix(filler)
    return text


def _take_qualifier(text: str) -> tuple[str, str]:
    """A first word or last sign of doubt, and the text without it."""
    for qualifier, words in _QUALIFYING.items():
        for word in words:
            if text.startswith(word):
                return qualifier, text.removeprefix(word)
    if re.fullmatch(r"c[0-9]{4}", text):
        return "~", text[1:]
    for qualifier, words in _QUALIFYING_AFTER.items():
        for word in words:
            # A space before the sign is a slip that may hide another, so it is left to the hints.
            if text.endswith(word) and not text.removesuffix(word).endswith(" "):
                return qualifier, text.removesuffix(word)
    return "", text


def _qualify(edtf: str, qualifier: str) -> str:
    """Add a doubt to each end that is a date, beside the doubts it has."""
    ends = []
    for end in edtf.split("/"):
        both = {"%": "~?"}.get(end[-1:], end[-1:] if end[-1:] in ("~", "?") else "") + {"%": "~?"}.get(qualifier, qualifier)
        sign = "%" if len(set(both)) == 2 else both[:1]
        ends.append(end if end in ("..", "") else end.rstrip("~?%") + sign)
    return "/".join(ends)


# One date -------------------------------------------------------------------------------------


def _one_date(text: str) -> str | None:
    """A date that EDTF writes without a slash, or EDTF itself."""
    edtf = read_edtf(without_time_of_day(text.upper()))
    if edtf is not None:
        return str(edtf)
    return _decade(text) or _season(text) or _month_or_day(text)


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
    if found is None or found[1] not in _SEASON_NUMBER:
        return None
    season, year, until = found.groups()
    if until and not (season == "winter" and f"{int(year) + 1:04}".endswith(until)):
        return None
    return f"{year}-{_SEASON_NUMBER[season]}"


def _month_or_day(text: str) -> str | None:
    day = r"(?P<day>[0-9]{1,2})(?:st|nd|rd|th|\.)?"
    month, year = r"(?P<month>[a-z]{3,9}\.?)", r"(?P<year>[0-9]{4})"
    for pattern in (rf"{month},? (?:of )?{year}", rf"{day} (?:of )?{month},? {year}", rf"{month} {day},? {year}"):
        found = re.fullmatch(pattern, text)
        if found and found["month"] in _MONTH_NUMBER:
            parts = [found["year"], f"{_MONTH_NUMBER[found['month']]:02}"]
            if "day" in found.groupdict():
                parts.append(found["day"].zfill(2))
            return "-".join(parts)
    return None


def _end(text: str) -> Moment | None:
    """One end of a span, with its doubts."""
    text = _without_filler(text.strip())
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
    """The EDTF text that bounds a span; an interval's end may not have an open figure."""
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
    whole = read_moment(_one_date(found[2]) or "") if found else None
    if whole is None or whole.qualifier:
        return None
    if whole.grain == "decade":
        first, last = _THIRDS_OF_A_DECADE[found[1]]
        return f"{whole.earliest.year + first:04}~/{whole.earliest.year + last:04}~"
    if str(whole) == whole.year:
        first, last = _THIRDS_OF_A_YEAR[found[1]]
        return f"{whole}-{first:02}~/{whole}-{last:02}~"
    return None


def _two_dates(text: str) -> str | None:
    for ends in _split_in_two(text):
        start, end = (_end(words) for words in ends)
        if start is not None and end is not None:
            edtf = f"{_bound(start, 'start')}/{_bound(end, 'end')}"
            read_edtf(edtf)
            return edtf
    return None


def _split_in_two(text: str):
    if text.startswith("between "):
        joints, text = (" and ",), text.removeprefix("between ")
    else:
        joints, text = (" to ", " until ", " till ", " through ", " - ", " / ", "-"), text.removeprefix("from ")
    for joint in joints:
        ends = text.split(joint)
        if len(ends) == 2:
            yield ends


# What is nearest to right ---------------------------------------------------------------------


def remedy(text: str) -> str:
    """What would be right instead of `text`, which `everyday_to_edtf` could not read; one or two sentences."""
    for shape, hint in _HINTS:
        found = re.fullmatch(shape, _without_filler(text))
        if found and (words := hint(found)):
            return words
    return f"Write it like {EXAMPLES}."


def _real(*dates: str) -> list[str]:
    """Those of the EDTF texts that are dates, each once."""
    real = []
    for text in dates:
        try:
            if read_edtf(text) is not None and text not in real:
                real.append(text)
        except ValueError:
            continue
    return real


def _write(*dates: str) -> str:
    real = _real(*dates)
    return f"Write {' or '.join(real)}." if real else ""


def _numbers(found: re.Match[str]) -> str:
    first, second, year = found[1].zfill(2), found[2].zfill(2), found[3]
    readings = _real(f"{year}-{first}-{second}", f"{year}-{second}-{first}")
    if len(readings) == 2:
        return f"It could be read in two ways. Write {readings[0]} or {readings[1]}."
    return _write(*readings)


def _years_or_month(found: re.Match[str]) -> str:
    year, part = found[1], found[2].zfill(2)
    return _write(f"{year}-{part}", f"{year}/{year[:2]}{part}")


def _at_the_end(found: re.Match[str]) -> str:
    """A qualifier inside a date is level 2."""
    sign = next(character for character in found[0] if character in "?~%")
    date_alone = re.sub("[?~%]", "", found[0]).upper()
    return f"The {sign} stands at the end, for the whole date: {date_alone}{sign}." if _real(date_alone) else ""


def _whole_years(found: re.Match[str]) -> str:
    """Unspecified figures in an interval are level 2."""
    start, end = (read_edtf(_known_part(end, figure)) for end, figure in ((found[1], "0"), (found[2], "9")))
    return f"An interval has no X in it. {_write(f'{start}/{end}')}" if start and end else ""


def _known_part(end: str, figure: str) -> str:
    known = end.upper().removesuffix("-XX").removesuffix("-XX").replace("X", figure)
    return known if _real(known) else ""


def _one_of(found: re.Match[str]) -> str:
    return f"For one of several dates, write the time they span: {words}" if (words := _write(f"{found[1]}/{found[2]}".upper())) else ""


_LEAVE_OUT = "If the date is not known, leave the field out."
_FOUR_FIGURES = "Write the year with four figures, like 1998."
_YEAR_TOO = f"Write the year too, like {EXAMPLES}."
_END = r"[0-9]{4}(?:-[0-9]{2}){0,2}"
_LOOSE = r"([0-9]{4}|[0-9]{3}x|[0-9]{2}xx)((?:-(?:[0-9]{2}|xx)){0,2})"

_HINTS = (
    (r"unknown|not known|undated|n\.?d\.?|none|\?+|-+|x+|[./ ]*", lambda found: _LEAVE_OUT),
    (r"([0-9]{1,2})[-/. ]([0-9]{1,2})[-/. ]([0-9]{4})", _numbers),
    (r"([0-9]{4})[-/. ]([0-9]{1,2})", _years_or_month),
    (r"([0-9]{4})[-/. ]([0-9]{1,2})[-/. ]([0-9]{1,2})(?: .*)?", lambda found: _write(f"{found[1]}-{found[2]:0>2}-{found[3]:0>2}")),
    (r"([0-9]{4})-?([0-9]{2})-?([0-9]{2})t.*", lambda found: _write(f"{found[1]}-{found[2]}-{found[3]}")),
    (r"([0-9]{4})([0-9]{2})([0-9]{2})", lambda found: _write(f"{found[1]}-{found[2]}-{found[3]}")),
    (r"([0-9]{4})([0-9]{2})", lambda found: _write(f"{found[1]}-{found[2]}")),
    (r"([0-9]{1,2})[-/. ]([0-9]{4})", lambda found: _write(f"{found[2]}-{found[1]:0>2}")),
    (r"[0-9]{1,2}[-/.][0-9]{1,2}[-/.][0-9]{2}|(?:[a-z]+ )*'?[0-9]{2}", lambda found: _FOUR_FIGURES),
    (r"([0-9x]{4}(?:-[0-9x]{2}){0,2}) ([?~%])", lambda found: _write(f"{found[1]}{found[2]}".upper())),
    (r"([0-9]{3})[?_-]", lambda found: _write(f"{found[1]}X")),
    (r"-[0-9]+.*", lambda found: "Dates before the year 1 are not kept here. Write the year like 2016."),
    (r"y-?[0-9]+.*|[0-9]{5,}", lambda found: _FOUR_FIGURES.replace("1998", "2016")),
    (rf"[\[{{] ?({_END}) ?(?:,|\.\.) ?({_END}) ?[\]}}]", _one_of),
    (rf"({_END}) or ({_END})", _one_of),
    (r"([0-9]{3})[0-9x]s[0-9]+", lambda found: _write(f"{found[1]}X")),
    (r"[0-9x?~%-]*[?~%][0-9x-][0-9x?~%-]*", _at_the_end),
    (rf"{_LOOSE}/{_LOOSE}", lambda found: _whole_years(re.fullmatch("(.*)/(.*)", found[0]))),
    (r"([0-9]{3}x)-.*", lambda found: f"Write {found[1].upper()} for the decade; where the decade is open, so is the rest."),
    (r"([0-9]{4})-xx-[0-9]{2}", lambda found: _write(f"{found[1]}-XX-XX")),
    (r"([0-9])xxx", lambda found: f"Leave at most two figures of the year open, like {found[1]}0XX."),
    (r"([0-9]{2})00'?s", lambda found: f"It could be read in two ways. Write {found[1]}0X for the ten years or {found[1]}XX for the hundred."),
    (r"twenties|'?20'?s", lambda found: "It could be read in two ways. Write 1920s or 2020s."),
    (r"tens|teens|'?10'?s", lambda found: "It could be read in two ways. Write 1910s or 2010s."),
    (r"/?([0-9]{4})/", lambda found: _write(f"{found[1]}")),
    (rf"(?:[0-9]{{1,2}}(?:st|nd|rd|th)? )?(?:{'|'.join(map(re.escape, [*_MONTH_NUMBER, *_SEASON_NUMBER]))})(?: [0-9]{{1,2}}(?:st|nd|rd|th)?)?",
     lambda found: _YEAR_TOO),
)  # fmt: skip
