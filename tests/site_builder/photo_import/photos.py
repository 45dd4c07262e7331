"""Pictures to take in: as files with a camera's notes, and as they are once looked at."""

from datetime import date, datetime
from pathlib import Path, PurePosixPath

import click
from PIL import Image

from site_builder.cli.take_in_photos import take_in_photos
from site_builder.photo_import.file_names import read_name
from site_builder.photo_import.find_files import PictureFile
from site_builder.photo_import.inspect import SeenPicture
from site_builder.photo_import.similarity import likeness_of
from tests.site_builder.images.drawn_photos import encoded, patchwork

CAMERA = "Invented Optics Model Nine"
BLUE, RED = {(1, 10, 7): 1.0}, {(2, 7, 12): 1.0}


def notes(taken: str | None = None, *, orientation: int = 1, place: bool = False) -> bytes:
    """EXIF as a camera writes it: `taken` is like 2016:05:12 10:11:12."""
    tags = Image.Exif()
    tags[0x0112] = orientation
    tags[0x010F], tags[0x0110] = CAMERA.rsplit(" ", 2)[0], "Model Nine"
    if taken:
        tags.get_ifd(0x8769)[0x9003] = taken
    if place:
        tags.get_ifd(0x8825).update({1: "N", 2: (51.0, 28.0, 40.12), 3: "W", 4: (0.0, 0.0, 5.31)})
    return tags.tobytes()


def jpeg(seed: int, *, size: tuple[int, int] = (320, 240), **taken) -> bytes:
    """A drawn patchwork as a camera's JPEG; another seed is another quilt."""
    return encoded(patchwork(*size, seed), quality=88, exif=notes(**taken))


def seen(
    name: str, *, taken: str | None = None, colours=BLUE, camera: str = CAMERA, seed: int | None = None
) -> SeenPicture:
    """A picture that was looked at. `name` is its place below the source."""
    path = PurePosixPath(name)
    seed = sum(map(ord, name)) if seed is None else seed
    return SeenPicture(
        file=PictureFile(Path(name), name, path.parts[:-1], "jpeg"),
        name=read_name(path.stem),
        likeness=likeness_of(patchwork(64, 48, seed), f"{name} {seed}"),
        width=640, height=480,
        taken=datetime.fromisoformat(taken) if taken else None,
        camera=camera,
        colours=colours,
    )  # fmt: skip


def take_in(collection: Path, source: Path, **options) -> None:
    """Takes in as the command does, without a question unless `yes=False`."""
    with click.Context(click.Command("take-in")):
        take_in_photos(
            collection, source, **{"on": date(2026, 11, 25), "dry_run": False, "yes": True, "as_json": False, **options}
        )
