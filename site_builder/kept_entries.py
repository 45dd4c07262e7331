"""What is said of each quilt in a list of all of them, kept from one build to the next."""

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from site_builder import build_notes


class KeptEntries:
    """Entries of an edition's quilts by ID, plain values for JSON; each is made anew when its quilt has changed.

    `shared` stands for what all entries are made from, `quilts` has for each quilt what stands for it. What
    was not asked for since is gone when they are saved.
    """

    def __init__(self, output: Path, name: str, program: str, shared: str, quilts: Mapping[str, str]):
        self._place = output, name, f"{program} {shared}"
        self._quilts = quilts
        self._before = build_notes.read_entries(*self._place)
        self._now: dict[str, list[Any]] = {}

    def __call__(self, quilt_id: str, make: Callable[[], Any]) -> Any:
        """The entry of a quilt."""
        rests_on, known = self._quilts[quilt_id], self._before.get(quilt_id)
        if known is None or known[0] != rests_on:
            known = [rests_on, make()]
        self._now[quilt_id] = known
        return known[1]

    def save(self) -> None:
        """OSError when they can't be written."""
        if self._now != self._before:
            build_notes.write_entries(*self._place, self._now)
