"""PDFs from data and pictures by typst templates.

The facts of a record reach a template only as data, in `data.json`: nothing that a maker writes is read as markup. The
same data give the same bytes.
"""

import json
import re
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date
from importlib.resources import as_file, files
from importlib.util import find_spec
from pathlib import Path
from typing import Any

from site_builder.temporary_folders import temporary_folder

_FONT_PACKAGE, _EAST_ASIAN_FONT_PACKAGE = "manimgx_fonts", "manimgx_fonts_cjk"

# Chinese, Japanese and Korean writing, from its radicals to its wide forms. Source: Unicode, Blocks.txt.
# The font for it has 33 MB, so it loads only where it is needed.
_EAST_ASIAN = re.compile(
    "[\u1100-\u11ff\u2e80-\ua4cf\ua960-\ua97f\uac00-\ud7ff\uf900-\ufaff\ufe30-\ufe4f\uff00-\uffef\U00020000-\U0003ffff]"
)

MISSING_LETTERS = (
    "Some letters are in none of the fonts that came with the program, so this file takes them from the fonts of "
    "this machine, or shows boxes in their place, and can't be marked as fully accessible."
)


@dataclass(frozen=True, slots=True)
class Typeset:
    """A finished PDF, and a sentence on its shortcoming, if it has one."""

    pdf: bytes
    shortcoming: str | None = None


def paper_size(currency: str | None) -> str:
    """The usual paper in a maker's printer, as typst calls it.

    Common practice, no source: Letter where people pay in dollars of the United States or Canada, in Mexican or
    in Philippine pesos, and where nobody says; A4 everywhere else.

    >>> paper_size("USD"), paper_size("GBP")
    ('us-letter', 'a4')
    """
    return "us-letter" if currency in (None, "USD", "CAD", "MXN", "PHP") else "a4"


def typeset(
    template: str, data: Mapping[str, Any], *, pictures: Mapping[str, bytes] | None = None, on: date | None = None
) -> Typeset:
    """A PDF by a template of `site_builder/paper/`: tagged, and to the rules of PDF/UA-1 where its letters allow.

    `data` is what the template reads by `json("data.json")`; `_page.typ` says what every template needs. `pictures`
    are JPEGs by their names, which it finds in `pictures/`. `on` is the day that the file says it was made; None
    leaves it out.
    """
    import typst

    made = [on.year, on.month, on.day] if on else None
    text = json.dumps({**data, "made": made}, ensure_ascii=False)
    with _workplace(text, pictures or {}) as place:

        def compiled(**how: Any) -> bytes:
            pdf: bytes = typst.compile(place / template, root=place, font_paths=_font_folders(text), **how)
            return pdf

        try:
            return Typeset(compiled(ignore_system_fonts=True, pdf_standards=["ua-1"]))
        except typst.TypstError as error:
            if "could not be displayed with font" not in str(error):
                raise
        return Typeset(compiled(ignore_system_fonts=False), MISSING_LETTERS)


@contextmanager
def _workplace(data: str, pictures: Mapping[str, bytes]) -> Iterator[Path]:
    """A folder that holds the templates, the data and the pictures, and nothing else that a template could read."""
    with temporary_folder() as place, as_file(files("site_builder") / "paper") as paper:
        for each in sorted(paper.glob("*.typ")):
            (place / each.name).write_bytes(each.read_bytes())
        (place / "data.json").write_text(data, encoding="utf-8")
        (place / "pictures").mkdir()
        for name, content in pictures.items():
            (place / "pictures" / name).write_bytes(content)
        yield place


def _font_folders(text: str) -> list[Path]:
    """The folders of the fonts for other scripts than Latin, Greek, Cyrillic and Hebrew."""
    wanted = [_FONT_PACKAGE, *([_EAST_ASIAN_FONT_PACKAGE] if _EAST_ASIAN.search(text) else [])]
    found = (find_spec(name) for name in wanted)
    return [Path(place) for spec in found if spec for place in spec.submodule_search_locations or ()]
