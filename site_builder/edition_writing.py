"""Writing the files of an edition, those alone that differ from what lies in its place."""

from collections.abc import Mapping, Sequence
from pathlib import Path

from collection.file_stamps import digest_of
from site_builder.build_notes import EditionNotes, FileNote, folders_of
from site_builder.publishing import StagedEdition


class EditionWriter:
    """Puts files into a staged edition. What is known to be the same already is kept.

    `before` is what the last build noted of this edition. A note counts as long as the file has the stamp
    that it had then: whoever changed or moved it since, it is made anew.
    """

    def __init__(self, staged: StagedEdition, before: EditionNotes | None):
        self._staged = staged
        self.had_before = before is not None
        self._before: Mapping[str, FileNote] = before.files if before else {}
        self._made: dict[str, tuple[str, str | None]] = {}
        self._pages_written = 0

    def kept(self, path: str, rests_on: Sequence[str]) -> bool:
        """Keep the file if it was made from one of these."""
        note = self._before.get(path)
        if note is None or note.rests_on not in rests_on or not self._is_untouched(path, note):
            return False
        self._keep(path, note.content, note.rests_on)
        return True

    def keep_all(self) -> bool:
        """Keep every file as the last build left it, if each is still there untouched; else keep none."""
        files = {path: note for path, note in self._before.items() if not path.endswith("/")}
        if not files or not all(self._is_untouched(path, note) for path, note in files.items()):
            return False
        for path, note in files.items():
            self._keep(path, note.content, note.rests_on)
        return True

    def put(self, path: str, content: bytes, rests_on: str | None = None) -> None:
        """A file with this content, made from what `rests_on` stands for."""
        digest, note = digest_of(content), self._before.get(path)
        if note is not None and note.content == digest and self._is_untouched(path, note):
            self._keep(path, digest, rests_on)
            return
        self._staged.write(path, content)
        self._made[path] = digest, rests_on
        self._pages_written += path.endswith(".html")

    def copy(self, source: Path, path: str) -> None:
        """A file that is named by its content."""
        self._staged.copy(source, path)
        self._made[path] = "", None

    @property
    def is_changed(self) -> bool:
        return self._staged.is_changed

    @property
    def pages_changed(self) -> int:
        """Pages that are new, changed or gone."""
        gone = self._staged.former.keys() - self._staged.files.keys()
        return self._pages_written + sum(path.endswith(".html") for path in gone)

    @property
    def notes(self) -> dict[str, FileNote]:
        """What to note of every file and folder, once all is written."""
        files = self._staged.files
        made = {path: FileNote(files[path], *self._made[path]) for path in files}
        return made | {folder: FileNote(()) for folder in folders_of(files)}

    def _is_untouched(self, path: str, note: FileNote) -> bool:
        return self._staged.may_keep(path, note.stamp)

    def _keep(self, path: str, digest: str, rests_on: str | None) -> None:
        self._staged.keep(path)
        self._made[path] = digest, rests_on
