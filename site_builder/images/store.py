"""The renditions of all photos of a collection, cached from one build to the next.

The store is a folder of renditions that are named by their content, and an index of the photos that they were made
from. It can be deleted at any time; it only saves work.
"""

import errno
import hashlib
import os
import threading
import time
from collections.abc import Callable, Iterable
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

import PIL

from collection.storage.fingerprints import Fingerprint, fingerprint_of, is_stable
from collection.storage.part_files import (
    PRIVATE,
    make_private_folder,
    remove_folder_in_place_of,
    remove_left_parts,
    write_whole,
)
from site_builder.images.picture import Picture, Rendition
from site_builder.images.store_index import RENDITION_NAME, Photos, Pictures, read_index, write_index
from site_builder.removal import remove_tree

if TYPE_CHECKING:  # Pillow itself and threads are only needed, and loaded, when there is a new photo
    from concurrent.futures import Future

    from site_builder.images.encode import Encoded

# Increase it when the same photo would give another picture.
RECIPE = 11
INDEX_NAME = "index.json"
SAVE_AFTER = 32

Progress = Callable[[int, int], None]
AnyPath = TypeVar("AnyPath", str, Path)  # for many photos, plain strings take less memory


class SpoiledPicture(OSError):
    """A picture in the store has changed since it was made."""


def _digest_of(jpeg: bytes) -> str:
    """The digest in a rendition's name."""
    return hashlib.blake2b(jpeg, digest_size=10).hexdigest()


def _remove(path: Path) -> None:
    """Remove a file, or a folder in its place. OSError if a file can't be removed."""
    if path.is_dir():
        remove_tree(path)
    else:
        path.unlink(missing_ok=True)


class PictureStore:
    """Makes and keeps the renditions of photos in a folder.

    `now` gives the time in nanoseconds; it only decides whether a photo is too new for its time to prove anything.
    """

    def __init__(self, folder: Path, *, now: Callable[[], int] = time.time_ns) -> None:
        self.folder = folder
        self._now = now
        self.settings = f"recipe {RECIPE}, Pillow {PIL.__version__}"
        self._photos: Photos = {}
        self._pictures: Pictures = {}
        self._present: dict[str, int] = {}
        self._is_loaded = False
        self._placeholder: tuple[Rendition, ...] = ()
        self._placeholder_lock = threading.Lock()
        self._unsaved = 0
        self._idle: list[str] = []

    def file(self, rendition: Rendition) -> Path:
        """The path of a rendition."""
        return self.folder / rendition.file_name

    def read(self, path: Path) -> bytes:
        """The content of a rendition. SpoiledPicture if it has changed since it was made."""
        with suppress(OSError):
            content = path.read_bytes()
            if path.name.startswith(f"{_digest_of(content)}-"):
                return content
        raise SpoiledPicture(errno.EIO, "This picture was spoiled while it was kept", str(path))

    def remove_spoiled(self) -> None:
        """Remove every rendition that has changed since it was made, so that it is made again."""
        for name in os.listdir(self.folder):
            path = self.folder / name
            if RENDITION_NAME.fullmatch(name):
                try:
                    self.read(path)
                except SpoiledPicture:
                    _remove(path)

    def prepare(
        self, paths: Iterable[AnyPath], *, jobs: int = 2, progress: Progress | None = None
    ) -> dict[AnyPath, Picture]:
        """A picture for each photo, in the given order; known ones are not made again.

        At most `jobs` photos are in memory at a time, and large ones only within the memory budget. `progress` is
        called with the number done and the total, on the caller's thread. A photo that can't be used gets a
        placeholder. OSError if the store can't be written.
        """
        wanted = list(dict.fromkeys(paths))
        make_private_folder(self.folder)
        self._load()
        found = {path: known for path in wanted if (known := self._known(path))}
        if progress and found:
            progress(len(found), len(wanted))
        try:
            self._prepare_new([path for path in wanted if path not in found], found, jobs, progress)
        finally:
            if self._unsaved:
                self._save()
        return {path: found[path] for path in wanted}

    def known(self, paths: Iterable[AnyPath]) -> dict[AnyPath, Picture]:
        """The pictures in the store for these photos as they are now; makes and writes nothing."""
        if not self.folder.is_dir():
            return {}
        self._load()
        return {path: picture for path in dict.fromkeys(paths) if (picture := self._known(path))}

    def keep_only(self, keep: Iterable[AnyPath]) -> None:
        """Forget all photos but these; `remove_idle_files` then removes the files that are no longer needed.

        `keep` are paths as given to `prepare`. The index is saved, and no longer held in memory.
        """
        if not self.folder.is_dir():
            return
        if not self._is_loaded:
            self._load()
        before = len(self._photos), len(self._pictures)
        kept = {os.fspath(path) for path in keep}
        self._photos = {name: seen for name, seen in self._photos.items() if name in kept}
        digests = {digest for _, digest in self._photos.values()}
        self._pictures = {digest: picture for digest, picture in self._pictures.items() if digest in digests}
        if before != (len(self._photos), len(self._pictures)) or not (self.folder / INDEX_NAME).is_file():
            self._save()
        remove_left_parts(self.folder)
        self._idle = self._idle_files()
        self._photos, self._pictures, self._present, self._is_loaded = {}, {}, {}, False

    def remove_idle_files(self) -> int:
        """Remove the files that were not needed when `keep_only` was called, and return their number. Files that are not
        the store's own stay. No other run may use the store meanwhile."""
        for name in self._idle:
            _remove(self.folder / name)
        gone, self._idle = len(self._idle), []
        return gone

    def _idle_files(self) -> list[str]:
        """The store's own files that no picture needs."""
        needed = {rendition.file_name for picture in self._pictures.values() for rendition in picture.files}
        needed |= {rendition.file_name for rendition in self._placeholder}
        return [name for name in os.listdir(self.folder) if name not in needed and RENDITION_NAME.fullmatch(name)]

    # --- new photos ---

    def _prepare_new(
        self, paths: list[AnyPath], found: dict[AnyPath, Picture], jobs: int, progress: Progress | None
    ) -> None:
        if not paths:
            return
        from concurrent.futures import FIRST_COMPLETED, ThreadPoolExecutor, wait

        from site_builder.images.glibc_memory import share_among_threads

        share_among_threads()
        total = len(found) + len(paths)
        waiting = iter(paths)
        running: dict[Future[tuple[Picture, Fingerprint | None]], AnyPath] = {}
        with ThreadPoolExecutor(max_workers=max(1, jobs)) as pool:
            while True:
                while len(running) < 2 * max(1, jobs) and (path := next(waiting, None)) is not None:
                    running[pool.submit(self._prepare_one, path)] = path
                if not running:
                    return
                for done in wait(running, return_when=FIRST_COMPLETED).done:
                    path = running.pop(done)
                    picture, fingerprint = done.result()
                    found[path] = picture
                    self._remember(path, picture, fingerprint)
                    if progress:
                        progress(len(found), total)

    def _prepare_one(self, path: AnyPath) -> tuple[Picture, Fingerprint | None]:
        """The picture, and the fingerprint of its file if that is enough to recognise it again."""
        from site_builder.images.memory import budget

        return budget.bounded(lambda: self._made(path))

    def _made(self, path: AnyPath) -> tuple[Picture, Fingerprint | None]:
        from site_builder.images import decode, encode
        from site_builder.images.detection.colours import find_quilt_colours
        from site_builder.images.detection.flatten import flat_quilt

        digest = ""
        try:
            before = fingerprint_of(path)
            content = decode.read_content(Path(path))
            fingerprint = (
                before if before and before == fingerprint_of(path) and is_stable(before, self._now()) else None
            )
            digest = hashlib.blake2b(content, digest_size=20).hexdigest()
            known = self._pictures.get(digest)
            if known and self._has_all(known.files):
                return known, fingerprint
            photo = decode.decode(content, longest=encode.LONG_EDGES[-1])
            sizes = encode.reduced(photo.image)
            made = [encode.encoded(size) for size in sizes]
            flat = flat_quilt(sizes)
        except decode.UnusablePhoto as unusable:
            return self._placeholder_for(digest, str(unusable)), None
        except MemoryError:
            return self._placeholder_for(digest, decode.NO_ROOM), None
        picture = Picture(
            digest=digest,
            width=photo.width,
            height=photo.height,
            renditions=tuple(self._write_rendition(one) for one in made),
            average_colour=encode.average_colour(sizes[0]),
            colours=find_quilt_colours(sizes[0]),
            flat=self._write_rendition(encode.encoded(flat)) if flat else None,
        )
        return picture, fingerprint

    def _placeholder_for(self, digest: str, problem: str) -> Picture:
        from site_builder.images import encode, placeholders

        with self._placeholder_lock:
            if not self._placeholder:
                drawn = encode.render(placeholders.draw_placeholder())
                self._placeholder = tuple(self._write_rendition(one) for one in drawn)
        largest = self._placeholder[-1]
        return Picture(digest, largest.width, largest.height, self._placeholder, placeholders.CLOTH, problem=problem)

    def _remember(self, path: AnyPath, picture: Picture, fingerprint: Fingerprint | None) -> None:
        if picture.problem:  # the next build tries again
            return
        self._pictures[picture.digest] = picture
        self._photos[os.fspath(path)] = (fingerprint, picture.digest)
        self._unsaved += 1
        # So rarely that saving costs little, even with many photos.
        if self._unsaved >= max(SAVE_AFTER, len(self._pictures) // 8):
            self._save()

    # --- the index ---

    def _load(self) -> None:
        if not self._is_loaded:
            self._photos, self._pictures = read_index(self.folder / INDEX_NAME, self.settings)
            self._is_loaded = True
        self._present = self._files_present()

    def _known(self, path: AnyPath) -> Picture | None:
        fingerprint, digest = self._photos.get(os.fspath(path), (None, ""))
        picture = self._pictures.get(digest)
        if picture and fingerprint and fingerprint == fingerprint_of(path) and self._has_all(picture.files):
            return picture
        return None

    def _has_all(self, wanted: Iterable[Rendition]) -> bool:
        return all(self._present.get(rendition.file_name) == rendition.bytes for rendition in wanted)

    # --- the folder ---

    def _files_present(self) -> dict[str, int]:
        with os.scandir(self.folder) as entries:
            return {
                entry.name: entry.stat(follow_symlinks=False).st_size
                for entry in entries
                if RENDITION_NAME.fullmatch(entry.name) and entry.is_file(follow_symlinks=False)
            }

    def _write_rendition(self, made: "Encoded") -> Rendition:
        name = f"{_digest_of(made.jpeg)}-{max(made.width, made.height)}.jpg"
        rendition = Rendition(made.width, made.height, name, len(made.jpeg))
        if not self._has_all((rendition,)):
            remove_folder_in_place_of(self.folder / name)
            write_whole(self.folder / name, made.jpeg, mode=PRIVATE)
            self._present[name] = len(made.jpeg)
        return rendition

    def _save(self) -> None:
        write_index(self.folder / INDEX_NAME, self._photos, self._pictures, self.settings)
        self._unsaved = 0
