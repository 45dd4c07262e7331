"""Begins the record of a partner or request from the few answers that it needs."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from collection.forms.form import Kind
from collection.forms.save import fill_in
from collection.loading.loader import Reading
from collection.problems import CollectionProblems
from collection.records.collection import Collection
from collection.storage.change_log import LogEntry
from collection.storage.transaction import FileChanges
from collection.transfers.wording import request_name
from collection.values.dates import EdtfDate
from site_builder.desk.handlers import Answers, DeskForm
from site_builder.desk.links import edit_address
from site_builder.desk.log_entries import log_entry
from site_builder.desk.records.files import FOLDER_OF, new_id, plain_name

Begun = Literal["partner", "request"]
"""The kinds of record that begin with a few answers."""


@dataclass(frozen=True, slots=True)
class Known:
    """An existing record."""

    name: str
    address: str


class NewRecordPage(DeskForm):
    """Asks the first questions about a new partner or request, then opens its form."""

    async def get(self, kind: Begun) -> None:
        await self._show(kind, await self.reading())

    async def take(self, answers: Answers) -> None:
        kind: Begun = "partner" if self.path_args[0] == "partner" else "request"
        reading = await self.reading()
        collection = reading.collection
        words, first, faults = _begun(kind, answers, collection)
        if faults:
            await self._show(kind, reading, answers=answers, faults=faults)
            return
        same = [] if answers.one("anyway") else _same(kind, first, collection)
        if same:
            await self._show(kind, reading, answers=answers, same=same)
            return
        made: list[str] = []

        def prepare() -> tuple[FileChanges, LogEntry]:
            taken = _taken(self.desk.folder, kind)
            record_id = new_id(words, taken)
            changes = FileChanges(self.desk.folder)
            name = f"{FOLDER_OF[kind]}/{record_id}.yaml"
            filled = fill_in(kind, record_id, "", first, self.desk.read_now().collection)
            if filled.errors:
                raise CollectionProblems(filled.errors)
            changes.add(name, None, filled.text.encode())
            made.append(record_id)
            return changes, log_entry(f"{filled.form.title}: begun at the desk")

        try:
            build = await self.desk.write(prepare)
        except CollectionProblems as refused:
            await self.show_problems(
                "This was not begun", refused.problems, lead="Nothing was changed.", back=f"/desk/new/{kind}"
            )
            return
        self.go(edit_address(f"{FOLDER_OF[kind]}/{made[0]}"), begun=build)

    async def _show(
        self,
        kind: Begun,
        reading: Reading,
        *,
        answers: Answers | None = None,
        faults: Mapping[str, str] | None = None,
        same: Sequence[Known] = (),
    ) -> None:
        partners = sorted(reading.collection.partners.values(), key=lambda each: each.name.casefold())
        given = {
            name: answers.one(name) if answers else "" for name in ("name", "kind", "partner", "line", "count", "asked")
        }
        if not answers and kind == "request":
            given["asked"] = self.desk.today().isoformat()
        await self.show(
            f"new_{kind}.html", "A new charity or go-between" if kind == "partner" else "A new request",
            given=given, faults=faults or {}, same=same,
            charities=[each for each in partners if each.kind == "charity"],
        )  # fmt: skip


def _begun(kind: Begun, answers: Answers, collection: Collection) -> tuple[str, dict[str, str], dict[str, str]]:
    """The words for a new record's ID, its first answers, and error messages by field."""
    faults: dict[str, str] = {}
    if kind == "partner":
        name = answers.one("name").strip()
        if not name:
            faults["name"] = "Write the name of the charity, or of the person who passes quilts on."
        first = {"name": name, "kind": answers.one("kind") or "charity"}
        return name, first, faults
    partner, line, number = (answers.one(name).strip() for name in ("partner", "line", "count"))
    asked = answers.one("asked").strip()
    if partner not in collection.partners:
        faults["partner"] = "Choose the charity that asks."
    try:
        EdtfDate.parse(asked) if asked else None
    except ValueError as error:
        faults["asked"] = str(error)
    if not line:
        faults["line"] = "Give what they ask for a short name, such as cots or laps."
    if not number.isdecimal() or not 0 < int(number) <= 10_000:
        faults["count"] = "Write how many they ask for, such as 6."
    first = {
        "partner": partner,
        "asked": asked,
        "lines.0.id": new_id(line, ()) if line else "",
        "lines.0.count": number,
    }
    words = " ".join(filter(None, [asked[:4], partner, line]))
    return words, first, faults


def _same(kind: Begun, first: dict[str, str], collection: Collection) -> list[Known]:
    """Existing partners of the same name, or requests of the same charity, day and short name."""
    if kind == "partner":
        wanted = plain_name(first["name"])
        return [
            Known(each.name, edit_address(f"partners/{each.id}"))
            for each in collection.partners.values()
            if plain_name(each.name) == wanted
        ]
    asked = EdtfDate.parse(first["asked"]) if first["asked"] else None
    return [
        Known(request_name(each, collection.partners), edit_address(f"requests/{each.id}"))
        for each in collection.requests.values()
        if (each.partner, each.asked) == (first["partner"], asked) and each.line(first["lines.0.id"])
    ]


def _taken(folder: Path, kind: Kind) -> set[str]:
    place = folder / FOLDER_OF[kind]
    return {path.stem.lower() for path in place.iterdir()} if place.is_dir() else set()
