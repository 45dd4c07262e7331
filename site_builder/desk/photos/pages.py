"""Adds quilts from photos and photos to quilts, and shows photos that no page has yet."""

import asyncio
from collections.abc import Sequence
from typing import ClassVar

from tornado.web import HTTPError

from collection.loading.loader import Reading
from collection.problems import CollectionProblems
from collection.records.collection import Collection, inventory_order
from collection.storage.change_log import LogEntry
from collection.storage.files import real_path
from collection.storage.transaction import FileChanges
from site_builder.desk.handlers import Answers, DeskForm, DeskPage
from site_builder.desk.links import edit_address
from site_builder.desk.log_entries import log_entry
from site_builder.desk.photos.records import new_quilt, with_photos
from site_builder.desk.photos.uploads import (
    MOST_PHOTO_BYTES,
    MOST_PHOTOS_BYTES,
    TakenPhoto,
    taken_photos,
)
from site_builder.desk.records.files import name_on_disk, plain_name
from site_builder.images.decode import UnusablePhoto, decode, read_content
from site_builder.images.encode import encoded
from site_builder.images.memory import budget
from site_builder.images.placeholders import draw_placeholder
from site_builder.images.store_index import RENDITION_NAME
from site_builder.pages.cards import card
from site_builder.text.wording import count_of

_MB = 1_000_000
_SHOWN_EDGE = 640
SHOWS = ("front", "back", "label", "detail", "folded", "in use", "in progress", "damage", "scale")


def named_alike(collection: Collection, title: str) -> list[str]:
    """The quilts that already have this title, regardless of capitals and blanks."""
    wanted = plain_name(title)
    return [
        each.id for each in sorted(collection.quilts.values(), key=inventory_order) if plain_name(each.title) == wanted
    ]


class PhotoForm(DeskForm):
    """The base of pages that accept photos."""

    most_bytes = MOST_PHOTOS_BYTES

    limits: ClassVar = {"one": MOST_PHOTO_BYTES // _MB, "all": MOST_PHOTOS_BYTES // _MB}

    async def photos_in(self, answers: Answers) -> tuple[list[TakenPhoto], list[str]]:
        """The photos that were sent now or are held, and a sentence for each unusable one."""
        if held := self.desk.held.look(answers.one("held")):
            return held, []
        return await asyncio.to_thread(taken_photos, answers.files.get("photos", []), on=self.desk.today())

    async def show_too_much(self) -> None:
        await self.show("too_much.html", "That was too much at once", status=413, most=self.limits["all"])


class NewQuiltPage(PhotoForm):
    """Begins a quilt from photos, or from its name alone."""

    async def get(self) -> None:
        await self.reading()
        await self._show("")

    async def take(self, answers: Answers) -> None:
        reading = await self.reading()
        title = " ".join(answers.one("title").split())
        photos, faults = await self.photos_in(answers)
        if not photos and not title and not faults:
            faults = ["Choose a photo, or give the quilt a name; both is best."]
        if faults:
            await self._show(title, faults=faults)
            return
        if not answers.one("anyway"):
            called = named_alike(reading.collection, title or photos[0].seen.name.title)
            alike = [] if answers.one("held") else await self.desk.duplicates.quilts_alike(photos, reading.collection)
            if called or alike:
                await self._ask_whether_known(title, photos, reading, called, alike)
                return
        made: list[str] = []

        def prepare() -> tuple[FileChanges, LogEntry]:
            quilt_id, called, changes = new_quilt(self.desk.read_now().collection, title, photos)
            made.append(quilt_id)
            return changes, log_entry(
                f"{called}: begun" + (f" with {count_of(len(photos), 'photo')}" if photos else "")
            )

        try:
            build = await self.desk.write(prepare)
        except CollectionProblems as refused:
            await self.show_problems(
                "It was not added", refused.problems, lead="Nothing was changed.", back="/desk/new/quilt"
            )
            return
        self.desk.held.let_go(answers.one("held"))
        self.go(edit_address(f"quilts/{made[0]}"), begun=build)

    async def _show(self, title: str, *, faults: Sequence[str] = ()) -> None:
        await self.show("new_quilt.html", "Add a quilt", written=title, faults=faults, limits=self.limits)

    async def _ask_whether_known(
        self, title: str, photos: list[TakenPhoto], reading: Reading, called: list[str], alike: list[str]
    ) -> None:
        edition = await self.desk.edition(reading.collection)
        known = {
            each: card(edition, reading.collection.quilts[each], seen_from="desk/new/x")
            for each in dict.fromkeys([*called, *alike])
        }
        if called:
            heading = f"There is already a quilt called {known[called[0]].title}"
        else:
            heading = "This looks like a photo you have"
        await self.show(
            "alike.html", heading, written=title, held=self.desk.held.hold(photos) if photos else "",
            alike=list(known.values()), photos=photos,
            count="the photo" if len(photos) == 1 else f"the {len(photos)} photos",
        )  # fmt: skip


class AddPhotosPage(PhotoForm):
    """Adds photos to an existing quilt."""

    async def get(self, quilt_id: str) -> None:
        reading = await self.reading()
        await self._show(quilt_id, reading)

    async def take(self, answers: Answers) -> None:
        (quilt_id,) = self.path_args
        reading = await self.reading()
        photos, faults = await self.photos_in(answers)
        if not photos and not faults:
            faults = ["Choose at least one photo."]
        shows = answers.one("shows") if answers.one("shows") in SHOWS else ""
        if faults:
            await self._show(quilt_id, reading, faults=faults, shows=shows)
            return

        def prepare() -> tuple[FileChanges, LogEntry]:
            reading = self.desk.read_now()
            quilt = reading.collection.quilts.get(quilt_id)
            title = quilt.title if quilt else quilt_id
            changes = with_photos(reading.collection, quilt_id, photos, shows)
            return changes, log_entry(f"{title}: {count_of(len(photos), 'photo')} added")

        try:
            build = await self.desk.write(prepare)
        except CollectionProblems as refused:
            await self.show_problems(
                "They were not added", refused.problems, lead="Nothing was changed.", back=self.request.path
            )
            return
        self.desk.held.let_go(answers.one("held"))
        self.to_built(
            build,
            f"/binder/quilts/{quilt_id}.html",
            "photos",
            edit=f"{edit_address(f'quilts/{quilt_id}')}#field-photos",
        )

    async def _show(self, quilt_id: str, reading: Reading, *, faults: Sequence[str] = (), shows: str = "") -> None:
        quilt = reading.collection.quilts.get(quilt_id)
        if quilt is None:
            if name_on_disk(self.desk.folder, "quilt", quilt_id) is None:
                raise HTTPError(404)
            self.redirect(edit_address(f"quilts/{quilt_id}"))
            return
        edition = await self.desk.edition(reading.collection)
        await self.show(
            "add_photos.html", f"Photos of {quilt.title}", quilt=quilt, faults=faults, limits=self.limits,
            card=card(edition, quilt, seen_from="desk/photos/x"), choices=SHOWS, shows=shows,
        )  # fmt: skip


class PhotoPage(DeskPage):
    """A photo of the collection, small, whether or not a build has seen it."""

    async def get(self, name: str) -> None:
        reading = await self.reading()
        if name not in reading.collection.photos:
            raise HTTPError(404)
        try:
            jpeg = await asyncio.to_thread(self._small, name)
        except UnusablePhoto:
            jpeg = encoded(draw_placeholder()).jpeg
        self.set_header("Content-Type", "image/jpeg")
        self.finish(jpeg)

    def _small(self, name: str) -> bytes:
        path = self.desk.folder / "photos" / name
        if not real_path(path).is_relative_to(real_path(self.desk.folder / "photos")):
            raise UnusablePhoto("elsewhere")
        return budget.bounded(lambda: encoded(decode(read_content(path), longest=_SHOWN_EDGE).image).jpeg)


class RenditionPage(DeskPage):
    """A picture that a build has made."""

    async def get(self, name: str) -> None:
        path = self.desk.pictures / name
        if not RENDITION_NAME.fullmatch(name) or not path.is_file():
            raise HTTPError(404)
        self.set_header("Content-Type", "image/jpeg")
        self.finish(await asyncio.to_thread(path.read_bytes))
