"""The desk's first page, the page after saving, and the sheet of a batch."""

import asyncio
from urllib.parse import unquote

from tornado.web import HTTPError

from collection.giving.follow_ups import find_follow_ups
from collection.giving.gaps import find_gaps
from collection.matching.open_places import open_requests
from collection.records.collection import Collection, inventory_order
from collection.storage.undo import change_log, undone_by
from collection.transfers.handovers import Batch, find_batches
from collection.transfers.wording import line_name, request_name
from site_builder.desk.handlers import DeskPage, local_address
from site_builder.desk.photos.pages import PhotoForm
from site_builder.desk.problem_links import problem_links
from site_builder.desk.security import SHEET_POLICY
from site_builder.desk.transfers.kinds import TRANSFER_KINDS
from site_builder.desk.undo_pages import shown_change
from site_builder.documents.as_page import set_as_page
from site_builder.documents.giving_report.thumbnails import thumbnails
from site_builder.documents.handover_sheet import handover_sheet
from site_builder.text.wording import count_of

SAID = {
    "saved": "Saved.",
    "same": "Nothing was changed: the file says this already.",
    "moved": "Recorded.",
    "photos": "The photos are with the quilt.",
    "back": "It was taken back.",
    "again": "It was done again.",
}
LATEST = 3
WARNINGS_SHOWN = 6


class FrontPage(DeskPage):
    """The first page: all that can be done at the desk."""

    async def get(self) -> None:
        reading = await self.reading()
        collection = reading.collection
        log = await asyncio.to_thread(change_log, self.desk.folder)
        back = undone_by(log)
        partners = sorted(collection.partners.values(), key=lambda each: each.name.casefold())
        gaps = find_gaps(collection)
        await self.show(
            "front.html", "The desk",
            kinds=list(TRANSFER_KINDS.values()), limits=PhotoForm.limits,
            quilts=sorted(collection.quilts.values(), key=inventory_order),
            count=count_of(len(collection.quilts), "quilt"),
            partners=partners,
            requests=sorted(collection.requests.values(), key=lambda each: (each.closed is not None, each.id)),
            lines_of={
                each.id: ", ".join(line_name(line.id) for line in each.lines) for each in collection.requests.values()
            },
            called={each.id: request_name(each, collection.partners) for each in collection.requests.values()},
            open_places=sum(line.places for each in open_requests(collection) for line in each.lines),
            gaps=len(gaps), waiting=len(find_follow_ups(collection, self.desk.today())),
            latest=[shown_change(each, each.number in back) for each in reversed(log.changes)][:LATEST],
            last=log.done[-1].number if log.done else None,
            troubles=problem_links(reading.errors, reading),
            warnings=problem_links(self.desk.warnings(reading), reading), warnings_shown=WARNINGS_SHOWN,
            build_failed=self.desk.builds.failed,
        )  # fmt: skip


class SavedPage(DeskPage):
    """Says that something was saved, and leads to the changed page once it is built."""

    async def get(self) -> None:
        build, said, sheet = self._build(), self.get_query_argument("said", ""), self.get_query_argument("sheet", "")
        edit = local_address(self.get_query_argument("edit", ""), "")
        stays = bool(sheet) or said == "begun"
        state = "none" if build is None else "built" if self.desk.builds.is_done(build) else "building"
        if state == "built" and self.desk.builds.failed:
            state = "failed"
        elif state == "built" and not stays:
            # Built before this page was requested: redirect at once.
            self.redirect(local_address(self.get_query_argument("to", "/desk/")))
            return
        words = await self._begun(edit) if said == "begun" else SAID.get(said, SAID["saved"])
        await self.show(
            "saved.html", words.rstrip("."), said=words, state=state, stays=stays,
            to=local_address(self.get_query_argument("to", "/desk/")),
            edit=edit, sheet=sheet, when_built=f"/desk/when-built?{self.request.query}",
            troubles=await self.desk.problem_links() if state == "failed" else (),
        )  # fmt: skip

    async def _begun(self, edit: str) -> str:
        """The sentence for a new record, found by the address of its form."""
        name = (await self.desk.names()).of_record(unquote(edit.removeprefix("/desk/edit/")))
        return f"{name} was added." if name else "It was added."

    def _build(self) -> int | None:
        given = self.get_query_argument("build", "")
        return int(given) if given.isdecimal() and len(given) < 10 else None


class WhenBuiltPage(SavedPage):
    """Answers when the build has ended: redirects to the page, or back to what went wrong."""

    async def get(self) -> None:
        build = self._build()
        if build is not None:
            await self.desk.builds.done(build)
        if build is not None and self.desk.builds.failed:
            self.redirect(f"/desk/saved?{self.request.query}")
        else:
            self.redirect(local_address(self.get_query_argument("to", "/desk/")))


class SheetPage(DeskPage):
    """The sheet of the last batch with which a quilt left, to print from the browser."""

    async def get(self, quilt_id: str) -> None:
        reading = await self.reading()
        batches = [batch for batch in find_batches(reading.collection) if batch.holds(quilt_id)]
        if not batches:
            raise HTTPError(404)
        page = await asyncio.to_thread(self._sheet, reading.collection, batches[-1])
        self.set_header("Content-Type", "text/html; charset=utf-8")
        self.set_header("Content-Security-Policy", SHEET_POLICY)
        self.finish(page)

    def _sheet(self, collection: Collection, batch: Batch) -> bytes:
        pictures = thumbnails(collection, (handed.quilt for handed in batch.handed))
        return set_as_page("handover_sheet.html", handover_sheet(collection, batch), pictures=pictures)
