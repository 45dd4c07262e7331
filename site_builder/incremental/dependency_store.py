"""The dependencies of each page of an edition, from one build to the next."""

from collections.abc import Mapping
from typing import Any

from site_builder.incremental.dependencies import PageDependencies
from site_builder.incremental.manifest import BuildNotes


class DependencyStore:
    """The dependencies of an edition's pages by path. Saving keeps only those of pages noted in this build."""

    def __init__(self, notes: BuildNotes, edition: str):
        self._notes, self._name = notes, f"{edition}-looks"
        self._before = _from_data(notes.read_entries(self._name))
        self._now: dict[str, PageDependencies] = {}
        self._sets: dict[frozenset[str], frozenset[str]] = {}

    def before(self, path: str) -> PageDependencies | None:
        """The dependencies of the page when it was last made; None if they are not known."""
        return self._before.get(path)

    def note(self, path: str, dependencies: PageDependencies) -> None:
        """Note the dependencies of a page now. Similar pages have the same ones, so each set of names is kept once."""

        def kept(names: frozenset[str]) -> frozenset[str]:
            return self._sets.setdefault(names, names)

        others = {quilt: kept(names) for quilt, names in dependencies.others.items()}
        self._now[path] = PageDependencies(kept(dependencies.usual), others, kept(dependencies.beside))

    def save(self) -> None:
        if self._now != self._before:
            self._notes.write_entries(self._name, _as_data(self._now))


_ALL = "looks"


def _as_data(dependencies: Mapping[str, PageDependencies]) -> dict[str, list[Any]]:
    """Plain JSON values, with each set of names once."""
    sets: dict[frozenset[str], int] = {}

    def number(names: frozenset[str]) -> int:
        return sets.setdefault(names, len(sets))

    pages = {
        path: [number(each.usual), number(each.beside), {quilt: number(names) for quilt, names in each.others.items()}]
        for path, each in dependencies.items()
    }
    return {_ALL: [[sorted(names) for names in sets], pages]}


def _from_data(data: Mapping[str, list[Any]]) -> dict[str, PageDependencies]:
    """The inverse of `_as_data`; empty if the data is invalid."""
    try:
        sets, pages = data[_ALL]
        names = [frozenset(each) for each in sets]
        return {
            path: PageDependencies(names[usual], {quilt: names[each] for quilt, each in others.items()}, names[beside])
            for path, (usual, beside, others) in pages.items()
        }
    except (KeyError, ValueError, TypeError, IndexError, AttributeError):
        return {}
