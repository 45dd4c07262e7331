"""Begins a collection in an empty folder, for the desk and the command line."""

from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path
from types import MappingProxyType

from collection.forms.save import fill_in
from collection.problems import CollectionProblems, Problem
from collection.records.collection import Collection
from collection.storage.consistent_read import recover
from collection.storage.files import real_path
from collection.storage.transaction import FileChanges
from collection.values.currency_by_country import currency_in, currency_meant, units_in
from site_builder.desk.country import Category, country_of_reader
from site_builder.desk.handlers import Answers, DeskForm
from site_builder.desk.log_entries import log_entry

SETTINGS = "collection.yaml"
PLACES = ("photos", "quilts")
ASKED = {
    "title": "The collection's name",
    "maker": "Who makes the quilts",
    "units": "Units",
    "currency": "Currency",
}
"""The first questions, with the labels of their answers."""


def no_collection_in(folder: Path) -> bool:
    """Can a collection be begun in this folder? It must not exist yet, or hold only hidden files."""
    if not folder.exists():
        return True
    return folder.is_dir() and not any(not entry.name.startswith(".") for entry in folder.iterdir())


def begin_collection(folder: Path, *, title: str, maker: str = "", units: str = "in", currency: str = "") -> None:
    """Write the first file of a collection, and the folders for photos and quilts.

    Raises CollectionProblems if an answer is not valid, the folder can't be written, or an interrupted run had
    already begun a collection there.
    """
    answers = {"title": title, "maker.name": maker, "units": units, "currency": currency}
    filled = fill_in(
        "collection", "", "", {name: value for name, value in answers.items() if value}, Collection(folder)
    )
    if filled.errors:
        raise CollectionProblems(filled.errors)
    folder.mkdir(parents=True, exist_ok=True)
    if recover(folder):
        remedy = (
            "It was begun by a run that had been interrupted, which is finished now. Look at it before you change it."
        )
        raise CollectionProblems([Problem(SETTINGS, 1, "", "", remedy)])
    changes = FileChanges(folder)
    changes.add(SETTINGS, None, filled.text.encode())
    changes.commit(log_entry(f"{title}: begun"))
    # Last, so that a run that is stopped earlier leaves a folder in which it can be begun again. A full disk is no
    # error here: whatever writes into these folders creates them.
    with suppress(OSError):
        for place in PLACES:
            (folder / place).mkdir(exist_ok=True)


def _asked(field: str) -> str:
    """The question that a field of the settings belongs to."""
    return field.partition(".")[0] if field.partition(".")[0] in ASKED else "title"


class BeginPage(DeskForm):
    """Asks a few questions, and begins a collection."""

    async def get(self) -> None:
        if no_collection_in(self.desk.folder):
            await self._show(Answers({}, {}))
            return
        try:
            await self.desk.read()
        except CollectionProblems as none:
            lead = "There is no collection in it, and none is begun beside other things: name an empty folder for that."
            await self.show_problems("This folder holds something else", none.problems, lead=lead, back="/")
            return
        self.redirect("/desk/")

    async def take(self, answers: Answers) -> None:
        if not no_collection_in(self.desk.folder):
            self.go("/desk/")
            return
        title = answers.one("title").strip()
        if not title:
            await self._show(answers, faults={"title": "Give the collection a name, such as Quilts of mine."})
            return
        currency = currency_meant(answers.one("currency"), self._country("LC_MONETARY"))
        try:
            begin_collection(
                self.desk.folder, title=title, maker=answers.one("maker").strip(), units=answers.one("units") or "in", currency=currency,
            )  # fmt: skip
        except CollectionProblems as refused:
            await self._show(
                answers, faults={_asked(problem.field): problem.remedy for problem in reversed(refused.problems)}
            )
            return
        except OSError as error:
            await self._show(answers, faults={"title": f"The folder can't be written: {error.strerror}."})
            return
        self.desk.builds.ask()
        self.go("/desk/new/quilt")

    def _country(self, category: Category) -> str | None:
        return country_of_reader(self.request.headers.get("Accept-Language", ""), category)

    async def _show(self, answers: Answers, *, faults: Mapping[str, str] = MappingProxyType({})) -> None:
        first = {
            "units": units_in(self._country("LC_MEASUREMENT")),
            "currency": currency_in(self._country("LC_MONETARY")) or "",
        }
        given = {name: answers.one(name) if answers.words else first.get(name, "") for name in ASKED}
        await self.show(
            "begin.html", "Begin a collection",
            given=given, faults=faults, labels=ASKED, folder=str(real_path(self.desk.folder)),
        )  # fmt: skip
