"""How long photos take to be taken in, as a ratio to making the pages' pictures of the same photos in the same run.

Run it by hand, on a quiet machine:
`.venv/bin/python tests/benchmarks/bench_photo_intake.py [PHOTOS] [ROUNDS]`. The photos are drawn (12 MP), each a
quilt of its own. Both run in turn, each with two workers and an empty store; medians are shown. A second run over
the same folder looks at the collection's photos where their duplicates are kept. The goal is a ratio of 1.3 at most.
"""

import contextlib
import io
import statistics
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from site_builder.images.store import PictureStore
from tests.site_builder.images.drawn_photos import encoded, patchwork
from tests.site_builder.photo_import.photos import notes, take_in

WIDTH, HEIGHT = 4032, 3024
GOAL = 1.3


def drawn_photos(folder: Path, count: int) -> list[Path]:
    """So many photos, each of another patchwork."""
    folder.mkdir()
    for number in range(count):
        size = (WIDTH, HEIGHT) if number % 3 else (HEIGHT, WIDTH)
        photo = encoded(patchwork(*size, number), quality=90, exif=notes(orientation=6 if number % 4 == 1 else 1))
        (folder / f"IMG_{number:04}.jpg").write_bytes(photo)
    return sorted(folder.iterdir())


def seconds_to_take_in(collection: Path, source: Path) -> float:
    """Seconds that it takes."""
    begun = time.perf_counter()
    with contextlib.redirect_stderr(io.StringIO()), contextlib.redirect_stdout(io.StringIO()):
        take_in(collection, source)
    return time.perf_counter() - begun


def main() -> None:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 24
    rounds = int(sys.argv[2]) if len(sys.argv) > 2 else 3
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch)
        paths = drawn_photos(folder / "source", count)
        megabytes = sum(path.stat().st_size for path in paths) / 1e6 / count
        taken, pipeline, again = [], [], []
        for number in range(rounds):
            collection = folder / f"collection {number}"
            (collection / "quilts").mkdir(parents=True)
            taken.append(seconds_to_take_in(collection, folder / "source") / count)
            drafts = len(list((collection / "quilts").iterdir()))
            assert drafts == count, f"{drafts} drafts of {count} photos: some were taken for one another"
            begun = time.perf_counter()
            PictureStore(folder / f"store {number}").prepare(paths, jobs=2)
            pipeline.append((time.perf_counter() - begun) / count)
            time.sleep(2.5)  # until the copies' stamps can be trusted
            seconds_to_take_in(collection, folder / "source")
            again.append(seconds_to_take_in(collection, folder / "source") / count)
        ratio = statistics.median(a / b for a, b in zip(taken, pipeline, strict=True))
        print(f"{count} different photos of {WIDTH} x {HEIGHT}, {megabytes:.1f} MB each, {rounds} rounds")
        for name, seconds in (("taken in", taken), ("the pages' pictures", pipeline), ("all there already", again)):
            spread = f"{1000 * min(seconds):.1f} to {1000 * max(seconds):.1f}"
            print(f"{name}: {1000 * statistics.median(seconds):.1f} ms a photo ({spread})")
        print(f"ratio {ratio:.2f} (goal {GOAL} at most)")


if __name__ == "__main__":
    main()
