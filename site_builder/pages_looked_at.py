"""What each page of an edition looked at when it was made, from one build to the next."""

from collections.abc import Mapping
from pathlib import Path

from site_builder import build_notes


class PagesLookedAt:
    """The names of what a page was made from, by its path (see `site_builder.looked_at`).

    Pages of a kind look at the same, so each set of names is kept once. Pages that were not noted since are
    gone when they are saved.
    """

    def __init__(self, output: Path, edition: str, program: str):
        self._place = output, f"{edition}-looks", program
        self._before = _by_path(build_notes.read_entries(*self._place))
        self._now: dict[str, frozenset[str]] = {}
        self._sets: dict[frozenset[str], frozenset[str]] = {}

    def before(self, path: str) -> frozenset[str] | None:
        """What the page looked at when it was last made; None when that is not known."""
        return self._before.get(path)

    def note(self, path: str, names: frozenset[str]) -> None:
        """Of a page as it is now."""
        self._now[path] = self._sets.setdefault(names, names)

    def save(self) -> None:
        """OSError when they can't be written."""
        if self._now != self._before:
            build_notes.write_entries(*self._place, _by_names(self._now))


def _by_path(written: Mapping[str, list]) -> dict[str, frozenset[str]]:
    try:
        return {path: names for names, paths in ((frozenset(names), paths) for names, paths in written.values()) for path in paths}
    except TypeError:
        return {}


def _by_names(looks: Mapping[str, frozenset[str]]) -> dict[str, list]:
    paths: dict[frozenset[str], list[str]] = {}
    for path, names in looks.items():
        paths.setdefault(names, []).append(path)
    return {str(number): [sorted(names), of] for number, (names, of) in enumerate(paths.items())}
