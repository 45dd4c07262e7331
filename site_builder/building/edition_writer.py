"""Writes the files of an edition, but only those that differ from the former edition."""

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

    `pages_changed` counts the pages that are new, changed or removed; None if there was nothing to compare with.
    `notes` are those on each file that was made here; copies have none. `left` is the fingerprint of the whole folder.
    """

    is_changed: bool
    pages_changed: int | None
    notes: Mapping[str, FileNote]
    left: str


class EditionWriter:
    """Puts files into a staged edition, and keeps those that are known to be the same.

    `before` are the last build's notes on this edition. A note counts only if the file still has its fingerprint:
    a file that was changed or moved since is made again.
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
        """Keep every file if the edition is as the last build left it; else keep none."""
        former = self._staged.former
        if not former or fingerprint_of_output(former) != self._left_before:
            return False
        for path in former:
            if not path.endswith("/"):
                note = self._before.get(path, _COPIED)
                self._keep(path, note.content, note.input_digest)
        return True

    def put(self, path: str, content: bytes, input_digest: str | None = None) -> None:
        """Put a file with this content, made from inputs with this digest."""
        digest, note = digest_of(content), self._before.get(path)
        if note is not None and note.content == digest and self._is_untouched(path, note):
            self._keep(path, digest, input_digest)
            return
        self._staged.write(path, content)
        self._made[path] = digest, input_digest
        self._pages_written += path.endswith(".html")

    def copy(self, source: Path, path: str, read: Callable[[Path], bytes]) -> None:
        """Copy a file that is named by its content, and read by `read`."""
        self._staged.copy(source, path, read=read)
        self._made[path] = "", None

    def finish(self) -> WrittenEdition:
        """Finish the edition; returns the notes on it, and frees the memory that they took here."""
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
        return self._staged.may_keep(path, note.fingerprint)

    def _keep(self, path: str, digest: str, input_digest: str | None) -> None:
        self._staged.keep(path)
        self._made[path] = digest, input_digest
