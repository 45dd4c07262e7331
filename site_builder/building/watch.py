"""Builds again whenever a file of the collection changes, while the program does other work.

Builds run in a thread, one at a time. Files are compared with their fingerprints from before the build: a change
during a build starts another one, so no change is missed.
"""

import asyncio
import os
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

from collection.storage.fingerprints import Fingerprint, fingerprint_of

SECONDS_BETWEEN_LOOKS = 0.4
SECONDS_OF_CALM = 0.15

Fingerprints = dict[str, Fingerprint]


def file_fingerprints(folder: Path, *, leave_out: Path) -> Fingerprints:
    """The fingerprint of every file under `folder`, as builds use it.

    It shows a file that was moved in from elsewhere, however old it is, and one that was rewritten with the same size
    and modification time. Hidden files, editors' backups and the folder `leave_out` are skipped.
    """
    fingerprints: Fingerprints = {}
    walked: set[str] = set()

    def walk(path: str) -> None:
        here = os.path.realpath(path)
        if here in walked or here == leave_out_path:
            return
        walked.add(here)
        with suppress(OSError), os.scandir(path) as entries:
            for entry in entries:
                if entry.name.startswith((".", "#")) or entry.name.endswith("~"):
                    continue
                with suppress(OSError):
                    if entry.is_dir():
                        walk(entry.path)
                    elif (fingerprint := fingerprint_of(entry.path)) is not None:
                        fingerprints[entry.path] = fingerprint

    leave_out_path = os.path.realpath(leave_out)
    walk(os.fspath(folder))
    return fingerprints


class Builds:
    """Runs the builds: which one the pages are from, and when the next one starts."""

    def __init__(
        self,
        collection: Path,
        output: Path,
        rebuild: Callable[[], bool],
        report: Callable[[str], None],
    ):
        self._collection = collection
        self._output = output
        self._rebuild = rebuild
        self._report = report
        self._begun = 0
        self._done = 0
        self._at_rest = asyncio.Event()
        self._asked = asyncio.Event()
        self._one_done = asyncio.Condition()
        self.failed = False

    @property
    def name(self) -> str:
        """The name of the build that made the pages; never the same in two runs of the preview."""
        return f"{os.getpid()}-{self._done}"

    @property
    def in_hand(self) -> bool:
        return not self._at_rest.is_set()

    async def at_rest(self) -> None:
        """Wait for the end of the build that runs or was asked for, if there is one."""
        await self._at_rest.wait()

    def ask(self) -> int:
        """Start a build now, or after the one that runs; returns its number."""
        self._asked.set()
        self._at_rest.clear()
        return self._begun + 1

    def is_done(self, build: int) -> bool:
        """Has this build ended, well or not? One that was never asked for counts as done."""
        return build <= self._done or build > self._begun + 1

    async def done(self, build: int) -> None:
        """Wait for the end of a build that was asked for."""
        async with self._one_done:
            await self._one_done.wait_for(lambda: self.is_done(build))

    async def keep_current(self, *, then: Callable[[], None]) -> None:
        """Build now and after every change, forever; call `then` after each build."""
        built_from = None
        while True:
            asked = self._asked.is_set()
            self._asked.clear()
            seen = await self._look()
            if asked or seen != built_from:
                if not asked and built_from is not None:
                    seen = await self._when_calm(seen)
                await self._build()
                built_from = seen
                then()
            # wait_for in Python 3.11 ignores a Ctrl-C that comes just as it ends.
            with suppress(TimeoutError):
                async with asyncio.timeout(SECONDS_BETWEEN_LOOKS):
                    await self._asked.wait()

    async def _look(self) -> Fingerprints:
        return await asyncio.to_thread(file_fingerprints, self._collection, leave_out=self._output)

    async def _when_calm(self, seen: Fingerprints) -> Fingerprints:
        """Wait out a save of several files, or a copy from a camera."""
        while True:
            await asyncio.sleep(SECONDS_OF_CALM)
            now = await self._look()
            if now == seen:
                return now
            seen = now

    async def _build(self) -> None:
        self._at_rest.clear()
        self._begun += 1
        self.failed = not await asyncio.to_thread(self._try_to_build)
        async with self._one_done:
            self._done = self._begun
            if not self._asked.is_set():
                self._at_rest.set()
            self._one_done.notify_all()

    def _try_to_build(self) -> bool:
        try:
            if self._rebuild():
                return True
            kept = "The pages of the last good build are still shown."
        except (Exception, SystemExit) as fault:  # noqa: BLE001  the preview continues, whatever a build does
            kept = (
                f"Counterpane itself went wrong while building ({type(fault).__name__}: {fault})."
                " The pages of the last good build are still shown, and your files were not touched."
            )
        self._report(kept)
        return False
