"""What each page of an edition looked at when it was made, from one build to the next."""

from collections.abc import Mapping
from pathlib import Path

from site_builder import build_notes
from site_builder.looked_at import Looks


class PagesLookedAt:
    """The looks of an edition's pages by their paths.

    Those of pages that were not noted since are gone when they are saved.
    """

    def __init__(self, output: Path, edition: str, program: str):
        self._place = output, f"{edition}-looks", program
        self._before = _from_data(build_notes.read_entries(*self._place))
        self._now: dict[str, Looks] = {}

    def before(self, path: str) -> Looks | None:
        """What the page looked at when it was last made; None when that is not known."""
        return self._before.get(path)

    def note(self, path: str, looks: Looks) -> None:
        """Of a page as it is now."""
        self._now[path] = looks

    def save(self) -> None:
        """OSError when they can't be written."""
        if self._now != self._before:
            build_notes.write_entries(*self._place, _as_data(self._now))


_ALL = "looks"


def _as_data(looks: Mapping[str, Looks]) -> dict[str, list]:
    """As plain values: pages of a kind look at the same, so each set of names stands there once."""
    sets: dict[frozenset[str], int] = {}

    def number(names: frozenset[str]) -> int:
        return sets.setdefault(names, len(sets))

    pages = {
        path: [number(each.usual), number(each.beside), {quilt: number(names) for quilt, names in each.others.items()}]
        for path, each in looks.items()
    }
    return {_ALL: [[sorted(names) for names in sets], pages]}


def _from_data(data: Mapping[str, list]) -> dict[str, Looks]:
    """The inverse of `_as_data`; empty when it is of no use."""
    try:
        sets, pages = data[_ALL]
        names = [frozenset(each) for each in sets]
        return {
            path: Looks(names[usual], {quilt: names[each] for quilt, each in others.items()}, names[beside])
            for path, (usual, beside, others) in pages.items()
        }
    except (KeyError, ValueError, TypeError, IndexError, AttributeError):
        return {}
