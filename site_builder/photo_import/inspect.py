"""Inspects each picture of a source once, at a small scale: what it shows, and when and with what it was taken."""

import hashlib
import io
from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from pathlib import Path

from PIL import Image

from site_builder.images.decode import FORMATS, NO_ROOM, UnusablePhoto, decode, read_content
from site_builder.images.memory import budget
from site_builder.photo_import.file_names import PictureName, read_name, shown_by
from site_builder.photo_import.find_files import LeftOut, PictureFile
from site_builder.photo_import.side_by_side import side_by_side
from site_builder.photo_import.similarity import LOOKED_AT, Similarity, likeness_of

Progress = Callable[[int, int], None]

FIRST_PHONES_AND_CAMERAS = date(1990, 1, 1)
"""A camera without a set clock writes earlier days. Common practice, no source."""

# Source: Exif 2.3: the tags of make, model and the Exif IFD, and in it of the time of taking and of scanning.
_MAKE, _MODEL, _NOTES, _TAKEN, _SCANNED = 0x010F, 0x0110, 0x8769, 0x9003, 0x9004

Colours = dict[tuple[int, int, int], float]


@dataclass(frozen=True, slots=True)
class SeenPicture:
    """A picture of the source. Width and height are upright, in pixels; `taken` is the camera's own time, without a time
    zone."""

    file: PictureFile
    name: PictureName
    likeness: Similarity
    width: int
    height: int
    taken: datetime | None
    camera: str
    colours: Colours = field(repr=False, compare=False)

    @property
    def path(self) -> Path:
        return self.file.path

    @property
    def shows(self) -> str | None:
        """What it shows by its own name, or by its folder's, such as `details`."""
        folder = self.file.folders[-1] if self.file.folders else ""
        return self.name.shows or shown_by(folder)


def look_at_all(
    files: Iterable[PictureFile], *, on: date, jobs: int = 2, progress: Progress | None = None
) -> tuple[tuple[SeenPicture, ...], tuple[LeftOut, ...]]:
    """Every picture that can be used, in the given order, and why the others can't be.

    At most `jobs` pictures are in memory at a time. Days after `on` come from a wrong clock, and are ignored.
    """
    files = list(files)
    seen: list[SeenPicture] = []
    left_out: list[LeftOut] = []
    for done, result in enumerate(side_by_side(lambda file: _look(file, on), files, jobs=jobs), 1):
        if isinstance(result, SeenPicture):
            seen.append(result)
        else:
            left_out.append(result)
        if progress:
            progress(done, len(files))
    return tuple(seen), tuple(left_out)


def look_at(content: bytes, file: PictureFile, *, on: date) -> SeenPicture:
    """Inspect one picture by its file's content. Raises `UnusablePhoto`."""
    photo = decode(content, longest=LOOKED_AT)
    taken, camera = _notes_of_camera(content)
    name = read_name(Path(file.name).stem)
    return SeenPicture(
        file=file,
        name=name,
        likeness=likeness_of(photo.image, photo_digest(content)),
        width=photo.width,
        height=photo.height,
        taken=_if_likely(taken, on) or _if_likely(name.taken, on),
        camera=camera,
        colours=colours_of(photo.image),
    )


def photo_digest(content: bytes) -> str:
    return hashlib.blake2b(content, digest_size=20).hexdigest()


def colours_of(image: Image.Image) -> Colours:
    """The shares of coarse colours in the middle of a picture, where the quilt is."""
    width, height = image.size
    middle = image.crop((width // 5, height // 5, width - width // 5, height - height // 5))
    middle = middle.resize((min(48, middle.width), min(48, middle.height)), Image.Resampling.BOX).convert("YCbCr")
    light, blue, red = (channel.tobytes() for channel in middle.split())
    counted = Counter((y >> 6, b >> 4, r >> 4) for y, b, r in zip(light, blue, red, strict=True))
    return {colour: count / len(light) for colour, count in counted.items()}


def colours_in_common(one: SeenPicture, other: SeenPicture) -> float:
    """The share of two pictures that has the same coarse colours, from 0 to 1."""
    return sum(min(share, other.colours.get(colour, 0.0)) for colour, share in one.colours.items())


def _look(file: PictureFile, on: date) -> SeenPicture | LeftOut:
    try:
        return budget.bounded(lambda: look_at(read_content(file.path), file, on=on))
    except UnusablePhoto as unusable:
        return LeftOut(file.name, str(unusable))
    except MemoryError:
        return LeftOut(file.name, NO_ROOM)


def _notes_of_camera(content: bytes) -> tuple[datetime | None, str]:
    """When a picture was taken and with which camera, as far as its metadata can be read."""
    try:
        with Image.open(io.BytesIO(content), formats=FORMATS) as opened:
            exif = opened.getexif()
            further = exif.get_ifd(_NOTES)
            written = further.get(_TAKEN) or further.get(_SCANNED) or exif.get(_TAKEN)
            camera = " ".join(str(exif.get(tag) or "").strip("\0 ") for tag in (_MAKE, _MODEL)).strip()
    except Exception:  # noqa: BLE001 - a picture with broken metadata can still be used
        return None, ""
    try:
        return datetime.strptime(str(written).strip("\0 ")[:19], "%Y:%m:%d %H:%M:%S"), camera
    except ValueError:
        return None, camera


def _if_likely(taken: datetime | None, on: date) -> datetime | None:
    if taken is None:
        return None
    # In the time zone of the camera's clock it may be tomorrow already.
    likely = FIRST_PHONES_AND_CAMERAS <= taken.date() and taken - timedelta(days=2) < datetime.combine(on, time())
    return taken if likely else None
