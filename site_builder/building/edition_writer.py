"""Writing the files of an edition, those alone that differ from what lies in its place."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from collection.storage.fingerprints import digest_of
from site_builder.building.publish import StagedEdition
from site_builder.incremental.manifest import EditionNotes, FileNote, fingerprint_of_output, folders_of

_COPIED = FileNote(())


@dataclass(frozen=True, slots=True)
class WrittenEdition:
    """An edition whose files are all written.

    `pages_changed` counts the pages that are new, changed or gone; None when there was nothing to compare
    with. `notes` are those of each file that was made here: of copies there is nothing to note. `left` stands
    for all files and folders as they will lie.
    """

    is_changed: bool
    pages_changed: int | None
    notes: Mapping[str, FileNote]
    left: str


class EditionWriter:
    """Puts files into a staged edition. What is known to be the same already is kept.

    `before` is what the last build noted of this edition. A note counts as long as the file has the stamp
    that it had then: whoever changed or moved it since, it is made anew.
    """

    def __init__(self, staged: StagedEdition, before: EditionNotes | None):
        self._staged = staged
        self._had_before = before is not None
        self._before: Mapping[str, FileNote] = before.files if before else {}
        self._left_before = before.left if before else ""
        self._made: dict[str, tuple[str, str | None]] = {}
        self._pages_written = 0

    def kept(self, path: str, input_digest: Sequence[str]) -> bool:
        """Keep the file if it was made from one of these."""
        note = self._before.get(path)
        if note is None or note.input_digest not in input_digest or not self._is_untouched(path, note):
            return False
        self._keep(path, note.content, note.input_digest)
        return True

    def keep_all(self) -> bool:
        """Keep every file as the last build left it, if the edition lies there as it was left; else keep none."""
        former = self._staged.former
        if not former or fingerprint_of_output(former) != self._left_before:
            return False
        for path in former:
            if not path.endswith("/"):
                note = self._before.get(path, _COPIED)
                self._keep(path, note.content, note.input_digest)
        return True

    def put(self, path: str, content: bytes, input_digest: str | None = None) -> None:
        """A file with this content, made from what `input_digest` stands for."""
        digest, note = digest_of(content), self._before.get(path)
        if note is not None and note.content == digest and self._is_untouched(path, note):
            self._keep(path, digest, input_digest)
            return
        self._staged.write(path, content)
        self._made[path] = digest, input_digest
        self._pages_written += path.endswith(".html")

    def copy(self, source: Path, path: str, read: Callable[[Path], bytes]) -> None:
        """A file that is named by its content, and read by `read`."""
        self._staged.copy(source, path, read=read)
        self._made[path] = "", None

    def finish(self) -> WrittenEdition:
        """All is written: what there is to note of it. Nothing is kept of it here."""
        staged = self._staged
        gone = staged.former.keys() - staged.files.keys()
        staged.finish()
        written = WrittenEdition(
            is_changed=staged.is_changed,
            pages_changed=self._pages_written + sum(path.endswith(".html") for path in gone)
            if self._had_before
            else None,
            notes={path: FileNote(staged.files[path], *made) for path, made in self._made.items() if made[0]},
            left=fingerprint_of_output(staged.files | dict.fromkeys(folders_of(staged.files), ())),
        )
        staged.forget()
        self._made, self._before = {}, {}
        return written

    def _is_untouched(self, path: str, note: FileNote) -> bool:
        return self._staged.may_keep(path, note.stamp)

    def _keep(self, path: str, digest: str, input_digest: str | None) -> None:
        self._staged.keep(path)
        self._made[path] = digest, input_digest
