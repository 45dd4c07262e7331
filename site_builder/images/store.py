"""Every photo of a collection as pictures for the pages, kept from one build to the next.

The store is a folder of renditions named by their content, and an index that remembers which photo gave
which. It can be deleted at any time; all it saves is work.
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

# One more whenever the same photo would give another picture.
RECIPE = 11
INDEX_NAME = "index.json"
SAVE_AFTER = 32

Progress = Callable[[int, int], None]
Place = TypeVar("Place", str, Path)  # of many photos, plain names take less room


class SpoiledPicture(OSError):
    """A picture in the store was not as it was made."""


def _digest_of(jpeg: bytes) -> str:
    """What a rendition is called by."""
    return hashlib.blake2b(jpeg, digest_size=10).hexdigest()


def _remove(path: Path) -> None:
    """Remove a file, or whatever else is in its place. OSError where a file can't be removed."""
    if path.is_dir():
        remove_tree(path)
    else:
        path.unlink(missing_ok=True)


class PictureStore:
    """Makes and keeps the renditions of photos in a folder.

    `now` gives the time in nanoseconds; it only decides whether a photo is so new that its time proves
    nothing.
    """

    def __init__(self, folder: Path, *, now: Callable[[], int] = time.time_ns) -> None:
        self.folder = folder
        self._now = now
        self.settings = f"recipe {RECIPE}, Pillow {PIL.__version__}"
        self._photos: Photos = {}
        self._pictures: Pictures = {}
        self._present: dict[str, int] = {}
        self._is_recalled = False
        self._placeholder: tuple[Rendition, ...] = ()
        self._placeholder_lock = threading.Lock()
        self._unsaved = 0
        self._idle: list[str] = []

    def file(self, rendition: Rendition) -> Path:
        """Where the rendition is."""
        return self.folder / rendition.file_name

    def read(self, path: Path) -> bytes:
        """What a rendition holds. SpoiledPicture when it is not as it was made."""
        with suppress(OSError):
            content = path.read_bytes()
            if path.name.startswith(f"{_digest_of(content)}-"):
                return content
        raise SpoiledPicture(errno.EIO, "This picture was spoiled while it was kept", str(path))

    def remove_spoiled(self) -> None:
        """Remove every rendition that is not as it was made, so that it is made again."""
        for name in os.listdir(self.folder):
            path = self.folder / name
            if RENDITION_NAME.fullmatch(name):
                try:
                    self.read(path)
                except SpoiledPicture:
                    _remove(path)

    def prepare(
        self, paths: Iterable[Place], *, jobs: int = 2, progress: Progress | None = None
    ) -> dict[Place, Picture]:
        """A picture for each photo, in the order given; what is known already is not made again.

        At most `jobs` photos are in memory at any time, and large ones only as the memory budget lets them in. `progress` is called with the number done and the
        number of all, on the caller's own thread. A photo that cannot be used gets a placeholder; only a
        store that cannot be written raises (OSError).
        """
        wanted = list(dict.fromkeys(paths))
        make_private_folder(self.folder)
        self._recall()
        found = {path: known for path in wanted if (known := self._known(path))}
        if progress and found:
            progress(len(found), len(wanted))
        try:
            self._prepare_new([path for path in wanted if path not in found], found, jobs, progress)
        finally:
            if self._unsaved:
                self._save()
        return {path: found[path] for path in wanted}

    def known(self, paths: Iterable[Place]) -> dict[Place, Picture]:
        """The pictures that are there for photos as they are now; makes and writes nothing."""
        if not self.folder.is_dir():
            return {}
        self._recall()
        return {path: picture for path in dict.fromkeys(paths) if (picture := self._known(path))}

    def keep_only(self, keep: Iterable[Place]) -> None:
        """Forget all photos but these. The files that nothing needs any more are removed by `remove_idle_files`.

        `keep` are paths as `prepare` was given them. What is known of the photos then lies in the store, and is no
        longer held in memory.
        """
        if not self.folder.is_dir():
            return
        if not self._is_recalled:
            self._recall()
        before = len(self._photos), len(self._pictures)
        kept = {os.fspath(path) for path in keep}
        self._photos = {name: seen for name, seen in self._photos.items() if name in kept}
        digests = {digest for _, digest in self._photos.values()}
        self._pictures = {digest: picture for digest, picture in self._pictures.items() if digest in digests}
        if before != (len(self._photos), len(self._pictures)) or not (self.folder / INDEX_NAME).is_file():
            self._save()
        remove_left_parts(self.folder)
        self._idle = self._idle_files()
        self._photos, self._pictures, self._present, self._is_recalled = {}, {}, {}, False

    def remove_idle_files(self) -> int:
        """Remove what nothing needed when `keep_only` was called; how many files. Files that are not the store's own
        stay. No other run may use the store meanwhile."""
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
        self, paths: list[Place], found: dict[Place, Picture], jobs: int, progress: Progress | None
    ) -> None:
        if not paths:
            return
        from concurrent.futures import FIRST_COMPLETED, ThreadPoolExecutor, wait

        from site_builder.images.glibc_memory import share_among_threads

        share_among_threads()
        total = len(found) + len(paths)
        waiting = iter(paths)
        running: dict[Future[tuple[Picture, Fingerprint | None]], Place] = {}
        with ThreadPoolExecutor(max_workers=max(1, jobs)) as pool:
            while True:
                while len(running) < 2 * max(1, jobs) and (path := next(waiting, None)) is not None:
                    running[pool.submit(self._prepare_one, path)] = path
                if not running:
                    return
                for done in wait(running, return_when=FIRST_COMPLETED).done:
                    path = running.pop(done)
                    picture, stamp = done.result()
                    found[path] = picture
                    self._remember(path, picture, stamp)
                    if progress:
                        progress(len(found), total)

    def _prepare_one(self, path: Place) -> tuple[Picture, Fingerprint | None]:
        """The picture, and the stamp of its file if that is enough to know it again."""
        from site_builder.images.memory import room

        return room.bounded(lambda: self._made(path))

    def _made(self, path: Place) -> tuple[Picture, Fingerprint | None]:
        from site_builder.images import decode as photo_reading
        from site_builder.images import encode as renditions
        from site_builder.images.detection.colours import find_quilt_colours
        from site_builder.images.detection.flatten import flat_quilt

        digest = ""
        try:
            before = fingerprint_of(path)
            content = photo_reading.read_content(Path(path))
            stamp = before if before and before == fingerprint_of(path) and is_stable(before, self._now()) else None
            digest = hashlib.blake2b(content, digest_size=20).hexdigest()
            known = self._pictures.get(digest)
            if known and self._has_all(known.files):
                return known, stamp
            photo = photo_reading.decode(content, longest=renditions.LONG_EDGES[-1])
            sizes = renditions.reduced(photo.image)
            made = [renditions.encoded(size) for size in sizes]
            flat = flat_quilt(sizes)
        except photo_reading.UnusablePhoto as unusable:
            return self._stand_in(digest, str(unusable)), None
        except MemoryError:
            return self._stand_in(digest, photo_reading.NO_ROOM), None
        picture = Picture(
            digest=digest,
            width=photo.width,
            height=photo.height,
            renditions=tuple(self._write_rendition(one) for one in made),
            average_colour=renditions.average_colour(sizes[0]),
            colours=find_quilt_colours(sizes[0]),
            flat=self._write_rendition(renditions.encoded(flat)) if flat else None,
        )
        return picture, stamp

    def _stand_in(self, digest: str, problem: str) -> Picture:
        from site_builder.images import encode as renditions
        from site_builder.images import placeholders

        with self._placeholder_lock:
            if not self._placeholder:
                drawn = renditions.render(placeholders.draw_placeholder())
                self._placeholder = tuple(self._write_rendition(one) for one in drawn)
        largest = self._placeholder[-1]
        return Picture(digest, largest.width, largest.height, self._placeholder, placeholders.CLOTH, problem=problem)

    def _remember(self, path: Place, picture: Picture, stamp: Fingerprint | None) -> None:
        if picture.problem:  # the next build looks again: the photo, or this machine, may be better then
            return
        self._pictures[picture.digest] = picture
        self._photos[os.fspath(path)] = (stamp, picture.digest)
        self._unsaved += 1
        # Rarely enough that saving costs little, however many photos there are.
        if self._unsaved >= max(SAVE_AFTER, len(self._pictures) // 8):
            self._save()

    # --- what is known already ---

    def _recall(self) -> None:
        if not self._is_recalled:
            self._photos, self._pictures = read_index(self.folder / INDEX_NAME, self.settings)
            self._is_recalled = True
        self._present = self._files_present()

    def _known(self, path: Place) -> Picture | None:
        stamp, digest = self._photos.get(os.fspath(path), (None, ""))
        picture = self._pictures.get(digest)
        if picture and stamp and stamp == fingerprint_of(path) and self._has_all(picture.files):
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
