"""Beginning a collection in an empty folder, from the desk and from the command line alike."""
from pathlib import Path

from collection.disk import real_path
from collection.forms.filling import fill_in
from collection.holdings import Collection
from collection.one_state import heal
from collection.problems import CollectionProblems, Problem
from collection.safe_writing import FileChanges
from site_builder.desk.changes_told import told
from site_builder.desk.pages import Answers, DeskForm

SETTINGS = "collection.yaml"
PLACES = ("photos", "quilts")


def no_collection_in(folder: Path) -> bool:
    """Is this a folder in which one can be begun: one that is not there yet, or holds nothing that shows?"""
    if not folder.exists():
        return True
    return folder.is_dir() and not any(not entry.name.startswith(".") for entry in folder.iterdir())


def begin_collection(folder: Path, *, title: str, maker: str = "", units: str = "in") -> None:
    """Write the first file of a collection, and the folders for photos and quilts.

    Raises CollectionProblems when what was said can't stand there, the folder can't be written, or a run that was
    interrupted had begun one there already.
    """
    answers = {"title": title, "maker.name": maker, "units": units}
    filled = fill_in("collection", "", "", {name: value for name, value in answers.items() if value}, Collection(folder))
    if filled.errors:
        raise CollectionProblems(filled.errors)
    folder.mkdir(parents=True, exist_ok=True)
    if heal(folder):
        remedy = "It was begun by a run that had been interrupted, which is finished now. Look at it before you change it."
        raise CollectionProblems([Problem(SETTINGS, 1, "", "", remedy)])
    changes = FileChanges(folder)
    changes.add(SETTINGS, None, filled.text.encode())
    changes.commit(told(f"{title}: begun"))
    # Last, so that a run that is stopped before leaves a folder in which it can be begun again.
    for place in PLACES:
        (folder / place).mkdir(exist_ok=True)


class BeginPage(DeskForm):
    """Two questions, and there is a collection."""

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
            await self._show(answers, fault="Give the collection a name, such as Quilts of mine.")
            return
        try:
            begin_collection(self.desk.folder, title=title, maker=answers.one("maker").strip(), units=answers.one("units") or "in")
        except CollectionProblems as refused:
            await self._show(answers, fault=refused.problems[0].remedy)
            return
        except OSError as error:
            await self._show(answers, fault=f"The folder can't be written: {error.strerror}.")
            return
        self.desk.builds.ask()
        self.go("/desk/new/quilt")

    async def _show(self, answers: Answers, *, fault: str = "") -> None:
        given = {name: answers.one(name) for name in ("title", "maker", "units")}
        await self.show(
            "begin.html", "Begin a collection", 
            given=given, fault=fault, folder=str(real_path(self.desk.folder)),
        )  # fmt: skip
