"""The desk itself: the collection's folder, what was read from it, and the secret of this run."""

import asyncio
from collections.abc import Callable, Iterable, Mapping
from contextlib import suppress
from datetime import date
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from collection.loading.loader import Reading, read_collection
from collection.problems import CollectionProblems, Problem
from collection.records.as_of import as_of
from collection.records.collection import Collection
from collection.storage.consistent_read import consistent_read
from collection.storage.transaction import FileChanges
from site_builder.building.watch import Builds, Fingerprints, file_fingerprints
from site_builder.desk.photos.duplicates import Duplicates
from site_builder.desk.photos.uploads import HeldPhotos
from site_builder.desk.problem_links import ProblemLink, RecordNames, problem_links
from site_builder.desk.records.files import FormerTexts
from site_builder.desk.security import new_secret
from site_builder.images.picture import Picture
from site_builder.images.store import PictureStore
from site_builder.pages.edition import Edition
from site_builder.rendering.renderer import Renderer

if TYPE_CHECKING:
    from collection.storage.change_log import LogEntry


class Desk:
    """What all pages of the desk share. Writes run one at a time, in threads, so that pages are served meanwhile."""

    def __init__(
        self,
        folder: Path,
        output: Path,
        pictures: Path,
        builds: Builds,
        today: Callable[[], date],
        warnings: Callable[[], Iterable[Problem]],
    ):
        self.folder = folder
        self.output = output
        self.pictures = pictures
        self.builds = builds
        self.today = today
        self._warnings_of_build = warnings
        self.secret = new_secret()
        self.former_texts = FormerTexts()
        self.held = HeldPhotos()
        self.duplicates = Duplicates(folder)
        self._writing = asyncio.Lock()
        self._seen: Fingerprints | None = None
        self._reading: Reading | None = None

    @cached_property
    def renderer(self) -> Renderer:
        return Renderer()

    # Reading ------------------------------------------------------------------------------------

    async def read(self) -> Reading:
        """The collection as it is in the files now. Raises CollectionProblems if there is none."""
        return await asyncio.to_thread(self.read_now)

    def read_now(self) -> Reading:
        """The same, for a caller that is in a thread already."""
        fingerprints = file_fingerprints(self.folder, leave_out=self.output)
        if self._reading is None or fingerprints != self._seen:
            with consistent_read(self.folder):
                fingerprints = file_fingerprints(self.folder, leave_out=self.output)
                self._reading = read_collection(self.folder)
            self._seen = fingerprints
        return self._reading

    async def problem_links(self) -> tuple[ProblemLink, ...]:
        """The problems in the files that keep pages from being built."""
        try:
            reading = await self.read()
        except CollectionProblems as none:
            return problem_links(none.problems)
        return problem_links(reading.errors, reading)

    async def links_to(self, problems: Iterable[Problem]) -> tuple[ProblemLink, ...]:
        """Problems as pages show them, with the names of the records."""
        return problem_links(problems, await self._reading_if_any())

    async def names(self) -> RecordNames:
        return RecordNames(await self._reading_if_any())

    async def _reading_if_any(self) -> Reading | None:
        with suppress(CollectionProblems):
            return await self.read()
        return None

    def warnings(self, reading: Reading) -> tuple[Problem, ...]:
        """The warnings: from the files, and on photos from the last build."""
        photos = (warning for warning in self._warnings_of_build() if warning.field.startswith("photos."))
        return tuple(sorted({*reading.warnings, *photos}))

    async def edition(self, collection: Collection) -> Edition:
        """The edition that cards are made from: the binder, with the pictures made so far."""
        pictures = await asyncio.to_thread(self._known_pictures, collection)
        return Edition.binder(as_of(collection, self.today()), pictures, self.today())

    def _known_pictures(self, collection: Collection) -> Mapping[str, Picture]:
        root = self.folder / "photos"
        wanted = {root / photo.file: photo.file for quilt in collection.quilts.values() for photo in quilt.photos}
        with suppress(OSError):
            return {wanted[path]: picture for path, picture in PictureStore(self.pictures).known(wanted).items()}
        return {}

    async def look_through_photos(self) -> None:
        """After the first build, compute the similarity of each photo, so that duplicates are noticed."""
        await self.builds.at_rest()
        with suppress(CollectionProblems, OSError):  # adding a photo reads again, and reports what is wrong
            self.duplicates.look_through((await self.read()).collection)

    # Writing ------------------------------------------------------------------------------------

    async def write(self, prepare: Callable[[], tuple[FileChanges, "LogEntry"]]) -> int:
        """Prepare and write changes, with no other write of the desk in between; the number of the build that shows them.

        Raises what `prepare` raises, and CollectionProblems if a file was changed meanwhile.
        """
        async with self._writing:
            await asyncio.to_thread(_commit, prepare)
            return self.builds.ask()

    async def prepare_undo(self, commit: Callable[[], object]) -> int:
        """The same for a change that is undone."""
        async with self._writing:
            await asyncio.to_thread(commit)
            return self.builds.ask()


def _commit(prepare: Callable[[], tuple[FileChanges, "LogEntry"]]) -> None:
    changes, entry = prepare()
    changes.commit(entry)
