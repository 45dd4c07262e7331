"""The log of changes, newest first, and undo of the newest."""

import asyncio
from dataclasses import dataclass
from datetime import datetime

from collection.problems import CollectionProblems
from collection.storage.change_log import LoggedChange
from collection.storage.undo import Undo, change_log, prepare_undo, undone_by
from site_builder.desk.handlers import Answers, DeskForm, DeskPage
from site_builder.desk.log_entries import AT_THE_DESK

SHOWN = 50


@dataclass(frozen=True, slots=True)
class ShownLogEntry:
    """A change in the list."""

    number: int
    lines: tuple[str, ...]
    day: str
    time: str
    files: tuple[str, ...]
    taken_back: bool


class ChangesPage(DeskPage):
    """The newest changes in the log."""

    async def get(self) -> None:
        await self.reading()
        log = await asyncio.to_thread(change_log, self.desk.folder)
        back = undone_by(log)
        await self.show(
            "changes.html", "What was changed",
            changes=[shown_change(each, each.number in back) for each in reversed(log.changes)][:SHOWN],
            last=log.done[-1].number if log.done else None,
            again=log.undone[-1].number if log.undone else None,
            damage=await self.desk.links_to(log.damage),
        )  # fmt: skip


class TakeBackPage(DeskForm):
    """Shows what undo would do to each file, and undoes the newest change on confirmation."""

    async def get(self, which: str) -> None:
        await self.reading()
        await self._show(which == "again")

    async def take(self, answers: Answers) -> None:
        again = self.path_args[0] == "again"
        try:
            taken = await asyncio.to_thread(prepare_undo, self.desk.folder, again=again)
            if taken is None or str(taken.change.number) != answers.one("number"):
                await self._show(again, meanwhile=True)
                return
            build = await self.desk.prepare_undo(lambda: taken.commit(datetime.now().astimezone(), AT_THE_DESK))
        except CollectionProblems as refused:
            await self._refuse(again, refused)
            return
        self.to_built(build, "/desk/changes", "again" if again else "back")

    async def _show(self, again: bool, *, meanwhile: bool = False) -> None:
        try:
            taken: Undo | None = await asyncio.to_thread(prepare_undo, self.desk.folder, again=again)
        except CollectionProblems as refused:
            await self._refuse(again, refused)
            return
        title = "Do it again" if again else "Take it back"
        if taken is None:
            await self.show("nothing_back.html", title, again=again)
            return
        await self.show(
            "take_back.html", title, again=again, change=shown_change(taken.change, again),
            becomes=sorted(taken.becomes.items()), meanwhile=meanwhile,
        )  # fmt: skip

    async def _refuse(self, again: bool, refused: CollectionProblems) -> None:
        lead = "Nothing was changed. This is what stands in the way:"
        title = "It can't be done again" if again else "It can't be taken back"
        await self.show_problems(title, refused.problems, lead=lead, back="/desk/changes")


def shown_change(change: LoggedChange, taken_back: bool) -> ShownLogEntry:
    at = change.entry.at
    return ShownLogEntry(
        change.number,
        tuple(change.entry.what.splitlines()),
        f"{at.day} {at:%B %Y}",
        f"{at:%H:%M}",
        tuple(file.name for file in change.files),
        taken_back,
    )
