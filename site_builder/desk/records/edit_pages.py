"""The form of a record. It is saved into the record's own file, and never over changes made there meanwhile."""

import asyncio

from tornado.web import HTTPError

from collection.forms.form import Field, FilledIn, Form, Kind, file_of, text_digest
from collection.forms.load import form_for
from collection.forms.save import fill_in
from collection.loading.loader import Reading
from collection.problems import CollectionProblems, Problem
from collection.quotes import listed
from collection.storage.transaction import FileChanges
from site_builder.desk.handlers import Answers, DeskForm
from site_builder.desk.links import edit_address
from site_builder.desk.log_entries import log_entry
from site_builder.desk.problem_links import problem_links
from site_builder.desk.records.conflicts import differences, merged
from site_builder.desk.records.files import FOLDER_OF, KIND_OF, RecordText, name_on_disk, read_record
from site_builder.desk.records.form_errors import form_errors, warnings_of
from site_builder.pages.cards import card

NAMED_AT_MOST = 4
_GIVEN = ("secret", "digest", "then", "id", "begun")


class RecordPage(DeskForm):
    """The form of an existing record."""

    async def get(self, *_: str) -> None:
        kind, record_id = self._place()
        reading = await self.reading()
        try:
            file = await asyncio.to_thread(self._file, kind, record_id)
        except CollectionProblems as refused:
            await self.show_problems("This form can't be opened", refused.problems, lead="", back="/desk/")
            return
        form = form_for(kind, record_id, file.text, reading.collection, files=reading.texts)
        self.desk.former_texts.remember(file.text)
        await self._show_form(form, reading)

    async def take(self, answers: Answers) -> None:
        kind, record_id = self._place()
        reading = await self.reading()
        written = _written(answers)
        try:
            file = await asyncio.to_thread(self._file, kind, record_id)
        except CollectionProblems as refused:
            await self.show_problems("This was not saved", refused.problems, lead="Nothing was changed.", back="/desk/")
            return
        filled = fill_in(kind, record_id, file.text, written, reading.collection, files=reading.texts)
        if text_digest(file.text) != answers.one("digest"):
            await self._show_meanwhile(kind, record_id, file, written, answers.one("digest"), reading)
        elif filled.errors:
            self.desk.former_texts.remember(file.text)
            await self._show_form(filled.form, reading, problems=filled, digest=answers.one("digest"))
        else:
            await self._save(file, filled, answers, reading)

    async def take_again(self, answers: Answers) -> None:
        """Show what was written in a form of an earlier run of the preview, so that it can be sent again."""
        kind, record_id = self._place()
        reading = await self.reading()
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
            said = "begun" if answers.one("begun") else "same"
            self.go("/desk/saved", build=answers.one("begun"), to=_page_of(form), said=said, edit=here)
            return
        what = f"{form.title}: {what_changed(form_for(form.kind, form.record_id, file.text, reading.collection), form)}"
        try:
            build = await self.desk.write(lambda: (changes, log_entry(what)))
        except CollectionProblems as refused:
            now = await asyncio.to_thread(read_record, self.desk.folder, file.name)
            if now.content != file.content:
                await self._show_meanwhile(
                    form.kind, form.record_id, now, _written(answers), answers.one("digest"), reading
                )
                return
            await self.show_problems("This was not saved", refused.problems, lead="Nothing was changed.", back=here)
            return
        if answers.one("then") == "stay" or warnings_of(form):
            self.go(here, saved="yes")
        else:
            self.to_built(build, _page_of(form), "saved", edit=here)

    async def _show_meanwhile(
        self, kind: Kind, record_id: str, file: RecordText, written: dict[str, str], digest: str, reading: Reading
    ) -> None:
        former = self.desk.former_texts.text(digest)
        before = (
            form_for(kind, record_id, former, reading.collection, files=reading.texts) if former is not None else None
        )
        now = form_for(kind, record_id, file.text, reading.collection, files=reading.texts)
        together = merged(written, before, now)
        filled = fill_in(kind, record_id, file.text, together, reading.collection, files=reading.texts)
        if filled.text == file.text and not filled.errors:
            self.go("/desk/saved", to=_page_of(now), said="same", edit=_address(now))
            return
        self.desk.former_texts.remember(file.text)
        await self._show_form(
            filled.form, reading,
            problems=filled if filled.errors else None, digest=text_digest(file.text),
            meanwhile=differences(together, before, now),
            was_changed=True,
        )  # fmt: skip

    async def _show_form(
        self, form: Form, reading: Reading, *, status: int = 200, problems: FilledIn | None = None, **more: object
    ) -> None:
        quilt = reading.collection.quilts.get(form.record_id) if form.kind == "quilt" else None
        shown = (
            card(await self.desk.edition(reading.collection), quilt, seen_from="desk/edit/quilts/x") if quilt else None
        )
        await self.show(
            "record.html", form.title, status=status,
            **{
                "form": form, "faults": form_errors(form, problems.errors if problems else ()), "address": _address(form), "card": shown, "page": _page_of(form), "note": "",
                "meanwhile": (), "photos": reading.collection.photos, "was_changed": False, "digest": form.digest,
                "saved": self.request.method == "GET" and self.get_query_argument("saved", "") == "yes",
                "troubles": problem_links(form.problems, reading), "warnings": warnings_of(form), "begun": self._begun(),
                "unsaved": self.request.method == "POST",
            } | more,
        )  # fmt: skip

    def _begun(self) -> str:
        """The number of the first build that shows a new record, until the record is edited."""
        if self.request.method == "POST":
            return self.get_body_argument("begun", "")
        return self.get_query_argument("begun", "")

    def _place(self) -> tuple[Kind, str]:
        """The kind and ID of the record in the address; the collection's settings have no ID."""
        if not self.path_args:
            return "collection", ""
        folder, record_id = self.path_args
        return KIND_OF[folder], record_id

    def _file(self, kind: Kind, record_id: str) -> RecordText:
        name = name_on_disk(self.desk.folder, kind, record_id)
        if name is None and self.request.method == "POST":
            remedy = "This file was moved or removed while its form was open, and none is written in its place. Go back to what you wrote."
            raise CollectionProblems([Problem(file_of(kind, record_id), 1, "", "", remedy)])
        if name is None:
            raise HTTPError(404)
        return read_record(self.desk.folder, name)


def _written(answers: Answers) -> dict[str, str]:
    """What was written into each field; several ticked values, one on each line."""
    return {
        name: "\n".join(value for value in values if value) if len(values) > 1 else values[0]
        for name, values in answers.words.items()
        if name not in _GIVEN
    }


def _address(form: Form) -> str:
    return edit_address("collection" if form.kind == "collection" else f"{FOLDER_OF[form.kind]}/{form.record_id}")


def _page_of(form: Form) -> str:
    """The page of the binder that shows the record."""
    return {
        "quilt": f"/binder/quilts/{form.record_id}.html",
        "partner": "/binder/recipients.html",
        "request": "/binder/requests.html",
        "collection": "/binder/",
    }[form.kind]


def what_changed(before: Form, after: Form) -> str:
    """The fields that a form changed, in the words of the log."""
    was, is_now = ({field.name: field for field in form.fields()} for form in (before, after))
    names = [name for name in is_now | was if _value(was, name) != _value(is_now, name)]
    labels = list(dict.fromkeys(small_first((is_now | was)[name].label) for name in names))
    if not labels:
        return "written anew"
    return (
        listed(labels)
        if len(labels) <= NAMED_AT_MOST
        else f"{listed(labels[:NAMED_AT_MOST])} and {len(labels) - NAMED_AT_MOST} more"
    )


def _value(fields: dict[str, Field], name: str) -> str:
    return fields[name].value if name in fields else ""


def small_first(label: str) -> str:
    return label[:1].lower() + label[1:]
