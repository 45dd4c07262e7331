"""The kinds of page in a build, and the page of each kind that the browser tests open.

A new kind of page is a new row here; a page that fits no row fails a test.
"""

import functools
from dataclasses import dataclass
from fnmatch import fnmatchcase
from pathlib import Path

from site_builder.pages.facets import FACETS


@dataclass(frozen=True)
class Kind:
    """Pages of one edition that share a template; the first row that fits a page is its kind.

    A kind that is not `opened` has the same template and the same facts in the other edition, where
    it is; the checks over all pages read it all the same.
    """

    edition: str
    name: str
    patterns: tuple[str, ...]
    opened: bool = True

    def fits(self, path: str) -> bool:
        return any(fnmatchcase(path, f"{self.edition}/{pattern}") for pattern in self.patterns)

    def __str__(self) -> str:
        return f"{self.edition}: {self.name}"


def _in_both_editions(name: str, *patterns: str, opened_in_binder: bool = False) -> list[Kind]:
    return [
        Kind("catalogue", name, patterns),
        Kind("binder", name, patterns, opened=opened_in_binder),
    ]


def _in_the_binder(*names: str) -> list[Kind]:
    return [Kind("binder", name, (f"{name}.html",)) for name in names]


KINDS = (
    *_in_both_editions("not found", "404.html"),
    *_in_both_editions("wall", "index.html", "wall/*.html", opened_in_binder=True),
    *_in_both_editions("quilt", "quilts/*.html", opened_in_binder=True),
    *_in_both_editions("browse", "browse.html"),
    *_in_both_editions("homes", "homes.html"),
    *_in_both_editions("giving", "giving/index.html"),
    *_in_both_editions("giving year", "giving/*.html", opened_in_binder=True),
    *_in_both_editions("text", "pages/*.html"),
    *_in_both_editions("groups", *(f"{facet.kind}/index.html" for facet in FACETS)),
    *_in_both_editions("group", *(f"{facet.kind}/*.html" for facet in FACETS)),
    *_in_the_binder(
        "requests",
        "plan",
        "handovers",
        "recipients",
        "costs",
        "places",
        "loans",
        "to-finish",
        "insurance",
        "follow-ups",
        "gaps",
    ),
)
OPENED = [kind for kind in KINDS if kind.opened]


@functools.cache
def pages_by_kind(built: Path) -> dict[Kind | None, list[str]]:
    """The paths of all pages in a build, sorted, by their kind; None is the kind of the unknown."""
    by_kind: dict[Kind | None, list[str]] = {}
    for file in sorted(built.rglob("*.html")):
        path = file.relative_to(built).as_posix()
        by_kind.setdefault(next((kind for kind in KINDS if kind.fits(path)), None), []).append(path)
    return by_kind


@functools.cache
def fullest_page(built: Path, kind: Kind) -> str:
    """The largest page of a kind: it shows the most parts. KeyError when the build has none."""
    return max(pages_by_kind(built)[kind], key=lambda path: (built / path).stat().st_size)
