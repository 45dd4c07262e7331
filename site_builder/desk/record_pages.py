"""The form of a record: shown, sent, saved into the record's own file, and never over what an editor wrote meanwhile."""
import asyncio

from tornado.web import HTTPError

from collection.forms.filling import fill_in
from collection.forms.form import FilledIn, Form, Kind, digest_of
from collection.forms.showing import form_for
from collection.holdings import Collection
from collection.problems import CollectionProblems
from collection.reading import Reading
from collection.safe_writing import FileChanges
from site_builder.cards import card
from site_builder.desk.changes_told import told
from site_builder.desk.form_faults import faults_of
from site_builder.desk.meanwhile import differences, merged
from site_builder.desk.pages import Answers, DeskForm
from site_builder.desk.record_texts import FOLDER_OF, KIND_OF, RecordText, free_id, name_on_disk, read_record
from site_builder.desk.troubles import troubles
from site_builder.desk.ways_in import edit_address

_GIVEN = ("secret", "digest", "then", "id")


class RecordPage(DeskForm):
    """The form of a record that has a file already."""

    async def get(self, folder: str = "", record_id: str = "") -> None:
        kind = _kind(folder)
        reading = await self.collection()
        try:
            file = await asyncio.to_thread(self._file, kind, record_id)
        except CollectionProblems as refused:
            await self.show_problems("This form can't be opened", refused.problems, lead="", back="/desk/")
            return
        form = form_for(kind, record_id, file.text, reading.collection, files=reading.texts)
        self.desk.former_texts.remember(file.text)
        await self._show_form(form, reading)

    async def take(self, answers: Answers, folder: str = "", record_id: str = "") -> None:
        kind = _kind(folder)
        reading = await self.collection()
        written = _written(answers)
        try:
            file = await asyncio.to_thread(self._file, kind, record_id)
        except CollectionProblems as refused:
            await self.show_problems("This was not saved", refused.problems, lead="Nothing was changed.", back="/desk/")
            return
        filled = fill_in(kind, record_id, file.text, written, reading.collection, files=reading.texts)
        if digest_of(file.text) != answers.one("digest"):
            await self._show_meanwhile(kind, record_id, file, written, answers.one("digest"), reading)
        elif filled.errors:
            self.desk.former_texts.remember(file.text)
            await self._show_form(filled.form, reading, problems=filled, digest=answers.one("digest"))
        else:
            await self._save(file, filled, answers, reading)

    async def take_again(self, answers: Answers, folder: str = "", record_id: str = "") -> None:
        """From a form of an earlier run of the preview: what was written is shown again, to be sent once more."""
        kind = _kind(folder)
        reading = await self.collection()
        file = await asyncio.to_thread(self._file, kind, record_id)
        filled = fill_in(kind, record_id, file.text, _written(answers), reading.collection, files=reading.texts)
        self.desk.former_texts.remember(file.text)
        await self._show_form(
            filled.form, reading, status=403, digest=answers.one("digest"),
            note="The preview was started anew since this form was opened, so nothing was saved yet. Here is what you wrote: save it once more.",
        )  # fmt: skip

    async def _save(self, file: RecordText, filled: FilledIn, answers: Answers, reading: Reading) -> None:
        form = filled.form
        changes = FileChanges(self.desk.folder)
        changes.add(file.name, file.content, filled.text.encode("utf-8", "surrogateescape"))
        here = _address(form)
        if not changes.changes:
            self.go("/desk/saved", to=_page_of(form), said="same", edit=here)
            return
        try:
            build = await self.desk.write(lambda: (changes, told(f"{form.title}: {_what_changed(form)} at the desk")))
        except CollectionProblems as refused:
            now = await asyncio.to_thread(read_record, self.desk.folder, file.name)
            if now.content != file.content:
                await self._show_meanwhile(form.kind, form.record_id, now, _written(answers), answers.one("digest"), reading)
                return
            await self.show_problems("This was not saved", refused.problems, lead="Nothing was changed.", back=here)
            return
        if answers.one("then") == "stay":
            self.go(here, saved="yes")
        else:
            self.to_built(build, _page_of(form), "saved", edit=here)

    async def _show_meanwhile(
        self, kind: Kind, record_id: str, file: RecordText, written: dict[str, str], digest: str, reading: Reading
    ) -> None:
        former = self.desk.former_texts.text(digest)
        before = form_for(kind, record_id, former, reading.collection, files=reading.texts) if former is not None else None
        now = form_for(kind, record_id, file.text, reading.collection, files=reading.texts)
        together = merged(written, before, now)
        filled = fill_in(kind, record_id, file.text, together, reading.collection, files=reading.texts)
        self.desk.former_texts.remember(file.text)
        await self._show_form(
            filled.form, reading,
            problems=filled if filled.errors else None, digest=digest_of(file.text),
            meanwhile=differences(together, before, now),
            was_changed=True,
        )  # fmt: skip

    async def _show_form(self, form: Form, reading: Reading, *, status: int = 200, problems: FilledIn | None = None, **more) -> None:
        quilt = reading.collection.quilts.get(form.record_id) if form.kind == "quilt" else None
        shown = card(await self.desk.edition(reading.collection), quilt, seen_from="desk/edit/quilts/x") if quilt else None
        await self.show(
            "record.html", form.title, status=status,
            **{
                "form": form, "faults": faults_of(form, problems.errors if problems else ()), "address": _address(form), "card": shown, "page": _page_of(form), "note": "",
                "meanwhile": (), "photos": reading.collection.photos, "was_changed": False, "digest": form.digest,
                "saved": self.request.method == "GET" and self.get_query_argument("saved", "") == "yes",
                "troubles": troubles(form.problems),
            } | more,
        )  # fmt: skip

    def _file(self, kind: Kind, record_id: str) -> RecordText:
        name = name_on_disk(self.desk.folder, kind, record_id)
        if name is None:
            raise HTTPError(404)
        return read_record(self.desk.folder, name)


class NewRecordPage(DeskForm):
    """A new partner or request: its name first, then its form."""

    async def get(self, kind: str) -> None:
        await self._show(kind, await self.collection())

    async def take(self, answers: Answers, kind: str) -> None:
        reading = await self.collection()
        collection = reading.collection
        begun, faults = _begun(kind, answers, collection)
        if faults:
            await self._show(kind, reading, answers=answers, faults=faults)
            return
        made: list[str] = []

        def prepare():
            taken = _taken(self.desk.folder, kind)
            record_id = free_id(begun["id"], taken)
            changes = FileChanges(self.desk.folder)
            name = f"{FOLDER_OF[kind]}/{record_id}.yaml"
            filled = fill_in(kind, record_id, "", begun["answers"], self.desk.read_now().collection)
            if filled.errors:
                raise CollectionProblems(filled.errors)
            changes.add(name, None, filled.text.encode())
            made.append(record_id)
            return changes, told(f"{filled.form.title}: begun at the desk")

        try:
            await self.desk.write(prepare)
        except CollectionProblems as refused:
            await self.show_problems("This was not begun", refused.problems, lead="Nothing was changed.", back=f"/desk/new/{kind}")
            return
        self.go(edit_address(f"{FOLDER_OF[kind]}/{made[0]}"), begun="yes")

    async def _show(self, kind: str, reading: Reading, *, answers: Answers | None = None, faults=None) -> None:
        partners = sorted(reading.collection.partners.values(), key=lambda each: each.name.casefold())
        given = {name: answers.one(name) if answers else "" for name in ("name", "kind", "partner", "line", "count", "asked")}
        if not answers and kind == "request":
            given["asked"] = self.desk.today().isoformat()
        await self.show(
            f"new_{kind}.html", "A new charity or go-between" if kind == "partner" else "A new request",
            given=given, faults=faults or {},
            charities=[each for each in partners if each.kind == "charity"],
        )  # fmt: skip


def _begun(kind: str, answers: Answers, collection: Collection) -> tuple[dict, dict[str, str]]:
    """The first answers of a new record and the words of its ID; or what has to be said first."""
    faults: dict[str, str] = {}
    if kind == "partner":
        name = answers.one("name").strip()
        if not name:
            faults["name"] = "Write the name of the charity, or of the person who passes quilts on."
        first = {"name": name, "kind": answers.one("kind") or "charity"}
        return {"id": name, "answers": first}, faults
    partner, line, number = (answers.one(name).strip() for name in ("partner", "line", "count"))
    asked = answers.one("asked").strip()
    if partner not in collection.partners:
        faults["partner"] = "Choose the charity that asks."
    if not line:
        faults["line"] = "Give what they ask for a short name, such as cots or laps."
    if not number.isdecimal() or not 0 < int(number) <= 10_000:
        faults["count"] = "Write how many they ask for, such as 6."
    first = {"partner": partner, "asked": asked, "lines.0.id": free_id(line, ()) if line else "", "lines.0.count": number}
    words = " ".join(filter(None, [asked[:4], partner, line]))
    return {"id": words, "answers": first}, faults


def _taken(folder, kind: Kind) -> set[str]:
    place = folder / FOLDER_OF[kind]
    return {path.stem.lower() for path in place.iterdir()} if place.is_dir() else set()


def _kind(folder: str) -> Kind:
    return KIND_OF[folder] if folder else "collection"


def _written(answers: Answers) -> dict[str, str]:
    """What was written into each field. Of several values that were ticked, one to a line."""
    return {
        name: "\n".join(value for value in values if value) if len(values) > 1 else values[0]
        for name, values in answers.words.items()
        if name not in _GIVEN
    }


def _address(form: Form) -> str:
    return edit_address("collection" if form.kind == "collection" else f"{FOLDER_OF[form.kind]}/{form.record_id}")


def _page_of(form: Form) -> str:
    """The page of the binder on which the record is shown."""
    return {
        "quilt": f"/binder/quilts/{form.record_id}.html",
        "partner": "/binder/recipients.html",
        "request": "/binder/requests.html",
        "collection": "/binder/",
    }[form.kind]


def _what_changed(form: Form) -> str:
    return "written"
