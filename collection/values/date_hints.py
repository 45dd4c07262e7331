"""Suggests what to write instead of a date that could not be read: the nearest valid form, or two if both fit."""

import re
from collections.abc import Callable

from collection.values.date_phrases import MONTH_NUMBERS, SEASON_NUMBERS, without_filler
from collection.values.edtf import is_edtf

EXAMPLES = "2016-05-12, 2016-05, 2016, about 2016 or 1990s"
_NO_DATE = "is not a date as it stands."


def what_is_wrong(text: str) -> str:
    """The message that follows the quoted `text` of an invalid date: what is wrong, and what would be right."""
    for shape, hint in _HINTS:
        found = re.fullmatch(shape, without_filler(text))
        if found and (words := hint(found)):
            return words
    within = re.search(r"(?<![0-9])([0-9]{1,2})[-/.]([0-9]{1,2})[-/.]([0-9]{4})(?![0-9])", text)
    if within and "two ways" in (words := _day_and_month(within)):
        return f"holds {within[0]}, which {words}"
    return f"{_NO_DATE} Write it like {EXAMPLES}."


def _write(*dates: str) -> str:
    """A message that offers the valid dates among these EDTF texts; "" if there are none."""
    offered = [text for text in dict.fromkeys(dates) if is_edtf(text)]
    if len(offered) == 2:
        return f"could be read in two ways. Write {offered[0]} or {offered[1]}."
    return f"{_NO_DATE} Write {offered[0]}." if offered else ""


def _iso(year: str, *parts: str) -> str:
    return "-".join([year, *(part.zfill(2) for part in parts)])


def _day_and_month(found: re.Match[str]) -> str:
    first, second, year = found.groups()
    return _write(_iso(year, first, second), _iso(year, second, first))


def _qualifier_inside(found: re.Match[str]) -> str:
    sign = next(character for character in found[0] if character in "?~%")
    date_alone = re.sub("[?~%]", "", found[0]).upper()
    return _write(date_alone + sign)


def _figures_open_in_an_interval(found: re.Match[str]) -> str:
    start, end = (part.upper().replace("-XX", "") for part in (found[1], found[2]))
    return _write(f"{start.replace('X', '0')}/{end.replace('X', '9')}")


_LEAVE_OUT = "says no date. If the date is not known, leave the field out."
_FOUR_FIGURES = f"{_NO_DATE} Write the year with four figures, like 1998."
_YEAR_TOO = f"{_NO_DATE} Write the year too, like 2016."
_TOO_EARLY = "lies before the year 1, and no quilt does. Write the year like 2016."
_OPEN = "[0-9]{4}|[0-9]{3}x|[0-9]{2}xx"
_DATE = r"[0-9]{4}(?:-[0-9]{2}){0,2}"
_OPEN_DATE = rf"(?:{_OPEN})(?:-xx)*|{_DATE}(?:-xx)?"
_NAMES = "|".join(map(re.escape, [*MONTH_NUMBERS, *SEASON_NUMBERS]))

# For EDTF of level 2 (marked), the nearest form of level 1 is offered.
_HINTS: tuple[tuple[str, Callable[[re.Match[str]], str]], ...] = (
    (r"unknown|not known|undated|n\.?d\.?|none|\?+|-+|x+|[./ ]*", lambda _: _LEAVE_OUT),
    (r"([0-9]{1,2})[-/. ]([0-9]{1,2})[-/. ]([0-9]{4})", _day_and_month),
    (r"([0-9]{4})[-/. ]([0-9]{1,2})", lambda m: _write(_iso(m[1], m[2]), f"{m[1]}/{m[1][:2]}{m[2]:0>2}")),
    (r"([0-9]{4})[-/. ]?([0-9]{1,2})[-/. ]?([0-9]{1,2})(?:[t ].*)?", lambda m: _write(_iso(m[1], m[2], m[3]))),
    (r"([0-9]{4})([0-9]{2})", lambda m: _write(_iso(m[1], m[2]))),
    (r"([0-9]{1,2})[-/. ]([0-9]{4})", lambda m: _write(_iso(m[2], m[1]))),
    (r"[0-9]{1,2}[-/.][0-9]{1,2}[-/.][0-9]{2}|(?:[a-z]+ )*'?[0-9]{2}", lambda _: _FOUR_FIGURES),
    (rf"((?:{_OPEN})(?:-[0-9x]{{2}}){{0,2}}) ([?~%])", lambda m: _write(f"{m[1]}{m[2]}".upper())),
    (r"([0-9]{3})[?_-]", lambda m: _write(f"{m[1]}X")),
    (r"-[0-9]+.*", lambda _: _TOO_EARLY),
    (r"y-?[0-9].*|[0-9]{5,}", lambda _: _FOUR_FIGURES),
    (r"([0-9]{2})00'?s", lambda m: _write(f"{m[1]}0X", f"{m[1]}XX")),
    (r"twenties|'?20'?s", lambda _: "could be read in two ways. Write 1920s or 2020s."),
    (r"tens|teens|'?10'?s", lambda _: "could be read in two ways. Write 1910s or 2010s."),
    (r"/([0-9]{4})/", lambda m: _write(m[1])),
    (rf"(?:[0-9]{{1,2}}[a-z]{{0,2}} )?(?:{_NAMES})(?: [0-9]{{1,2}}[a-z]{{0,2}})?", lambda _: _YEAR_TOO),
    (rf"({_DATE}) or ({_DATE})", lambda m: _write(f"{m[1]}/{m[2]}")),
    (rf"[\[{{] ?({_DATE}) ?(?:,|\.\.) ?({_DATE}) ?[\]}}]", lambda m: _write(f"{m[1]}/{m[2]}")),  # level 2: sets
    (r"([0-9]{3})[0-9x]s[0-9]+", lambda m: _write(f"{m[1]}X")),  # level 2: significant digits
    (r"[0-9x?~%-]*[?~%][0-9x-][0-9x?~%-]*", _qualifier_inside),  # level 2: a qualifier of one part
    (rf"({_OPEN_DATE})/({_OPEN_DATE})", _figures_open_in_an_interval),  # level 2
    (r"([0-9]{3}x|[0-9]{2}xx)-.*", lambda m: _write(m[1].upper())),  # level 2: an open year with a month
    (r"([0-9]{4})-xx-[0-9]{2}", lambda m: _write(f"{m[1]}-XX-XX")),  # level 2: an open month with a day
    (r"([0-9])[0-9x]xx", lambda m: f"{_NO_DATE} Leave at most two figures of the year open, like {m[1]}0XX."),
)  # fmt: skip
