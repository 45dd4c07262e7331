"""What each page of an edition looked at when it was made, from one build to the next."""

from collections.abc import Mapping
from typing import Any

from site_builder.incremental.dependencies import PageDependencies
from site_builder.incremental.manifest import BuildNotes


class DependencyStore:
    """The looks of an edition's pages by their paths.

    Those of pages that were not noted since are gone when they are saved.
    """

    def __init__(self, notes: BuildNotes, edition: str):
        self._notes, self._name = notes, f"{edition}-looks"
        self._before = _from_data(notes.read_entries(self._name))
        self._now: dict[str, PageDependencies] = {}
        self._sets: dict[frozenset[str], frozenset[str]] = {}

    def before(self, path: str) -> PageDependencies | None:
        """What the page looked at when it was last made; None when that is not known."""
        return self._before.get(path)

    def note(self, path: str, looks: PageDependencies) -> None:
        """Of a page as it is now. Pages of a kind look at the same, so each set of names is kept once."""

        def kept(names: frozenset[str]) -> frozenset[str]:
            return self._sets.setdefault(names, names)

        others = {quilt: kept(names) for quilt, names in looks.others.items()}
        self._now[path] = PageDependencies(kept(looks.usual), others, kept(looks.beside))

    def save(self) -> None:
        if self._now != self._before:
            self._notes.write_entries(self._name, _as_data(self._now))


_ALL = "looks"


def _as_data(looks: Mapping[str, PageDependencies]) -> dict[str, list[Any]]:
    """As plain values, each set of names once."""
    sets: dict[frozenset[str], int] = {}

    def number(names: frozenset[str]) -> int:
        return sets.setdefault(names, len(sets))

    pages = {
        path: [number(each.usual), number(each.beside), {quilt: number(names) for quilt, names in each.others.items()}]
        for path, each in looks.items()
    }
    return {_ALL: [[sorted(names) for names in sets], pages]}


def _from_data(data: Mapping[str, list[Any]]) -> dict[str, PageDependencies]:
    """The inverse of `_as_data`; empty when it is of no use."""
    try:
        sets, pages = data[_ALL]
        names = [frozenset(each) for each in sets]
        return {
            path: PageDependencies(names[usual], {quilt: names[each] for quilt, each in others.items()}, names[beside])
            for path, (usual, beside, others) in pages.items()
        }
    except (KeyError, ValueError, TypeError, IndexError, AttributeError):
        return {}
