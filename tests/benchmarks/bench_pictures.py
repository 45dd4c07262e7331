"""How long a photo takes, as a ratio to bare decoding at half size in the same run.

Run it by hand, on a quiet machine: `.venv/bin/python tests/benchmarks/bench_pictures.py [PHOTOS] [ROUNDS]`.
The photos are drawn (12 MP, some turned, half of them with a wide-gamut profile; each shows a quilt whole, which
is the dearest case). All ways run in turn, each with as many workers, and medians are shown. Processor time is the
steadier figure when other programs are busy. The most memory is that of a process of its own which prepares all
photos (Linux only).

- bare decoding: read, and decoded at half size by libjpeg-turbo
- three widths: read, decoded, upright, sRGB, three JPEGs in memory
- the whole: `PictureStore.prepare`, so with the photo's name by content, its colours, the quilt's outline, the
  quilt alone and flattened as a fourth JPEG, files and index
- three widths by libvips, in two ways, if pyvips can be imported; nothing here needs it. To have it for this only:
  `python3 -m venv /tmp/yard && /tmp/yard/bin/pip install 'pyvips[binary]'`, then run this with
  `PYTHONPATH` set to that environment's site-packages. Each worker has one thread of libvips.

In the end it says what newer formats would take and save. None is written: JPEG is read everywhere, and is quick.
"""

import io
import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from PIL import Image

sys.path.insert(0, str(Path(__file__).parents[2]))

from site_builder.images import decode, encode
from site_builder.images.store import PictureStore
from tests.site_builder.images.drawn_photos import DISPLAY_P3, decoded, encoded, exif, patchwork, psnr

os.environ.setdefault("VIPS_CONCURRENCY", "1")
try:
    import pyvips
except ImportError:
    pyvips = None

WIDTH, HEIGHT = 4032, 3024
DISTINCT = 6
NEWER = {
    "WebP": ("WEBP", {"quality": 80, "method": 2}),
    "AVIF, quick": ("AVIF", {"quality": 65, "speed": 10, "max_threads": 1}),
    "AVIF": ("AVIF", {"quality": 65, "speed": 8, "max_threads": 1}),
}

Times = tuple[float, float]
"""Seconds by the clock, and of processor time in all threads."""


def drawn_photos(folder: Path, count: int) -> list[Path]:
    """So many 12 MP photos, all of them with different content for the store."""
    kinds = []
    for seed in range(DISTINCT):
        options = {"icc_profile": DISPLAY_P3} if seed % 2 else {}
        size = (WIDTH, HEIGHT) if seed % 3 else (HEIGHT, WIDTH)
        orientation = 6 if seed == 4 else 1
        kinds.append(encoded(patchwork(*size, seed), quality=95, exif=exif(orientation), **options))
    paths = []
    for number in range(count):
        path = folder / f"{number}.jpg"
        path.write_bytes(kinds[number % DISTINCT] + number.to_bytes(4))
        paths.append(path)
    return paths


# --- ways


def decode_at_half_size(path: Path) -> None:
    image = Image.open(io.BytesIO(path.read_bytes()))
    image.draft("RGB", (image.width // 2, image.height // 2))
    image.load()


def three_widths(path: Path) -> list[bytes]:
    content = decode.read_content(path)
    photo = decode.decode(content, longest=encode.LONG_EDGES[-1])
    return [made.jpeg for made in encode.render(photo.image)]


def three_widths_by_libvips(path: Path) -> list[bytes]:
    """By the call that libvips has for it."""
    large = encode.LONG_EDGES[-1]
    return _coded_by_libvips(
        pyvips.Image.thumbnail_buffer(path.read_bytes(), large, height=large, size="down", export_profile="srgb")
    )


def three_widths_by_libvips_from_half(path: Path) -> list[bytes]:
    """From the same decoding at half size, which libvips' own call avoids, and with a filter like the one used here."""
    picture = pyvips.Image.jpegload_buffer(path.read_bytes(), shrink=2, access="sequential")
    picture = picture.resize(encode.LONG_EDGES[-1] / max(picture.width, picture.height), kernel="linear")
    if picture.get_typeof("icc-profile-data"):
        picture = picture.icc_transform("srgb", embedded=True)
    return _coded_by_libvips(picture)


def _coded_by_libvips(largest: "pyvips.Image") -> list[bytes]:
    small, middle, large = encode.LONG_EDGES
    sizes = [largest.copy_memory().autorot()]
    sizes.append(sizes[-1].shrink(large / middle, large / middle).copy_memory())
    sizes.append(sizes[-1].resize(small / middle).copy_memory())
    return [size.jpegsave_buffer(Q=encode.QUALITY, keep="none", subsample_mode="on") for size in reversed(sizes)]


def each(work: Callable[[Path], object], paths: list[Path], jobs: int) -> None:
    with ThreadPoolExecutor(jobs) as pool:
        for _ in pool.map(work, paths):
            pass


# --- measuring


def measured(work: Callable[[], object], count: int) -> Times:
    clock, processor = time.perf_counter(), time.process_time()
    work()
    return (time.perf_counter() - clock) / count, (time.process_time() - processor) / count


def told(name: str, runs: list[Times], yardstick: list[Times]) -> str:
    clock, processor = ([1000 * run[which] for run in runs] for which in (0, 1))
    ratios = [statistics.median(a[which] / b[which] for a, b in zip(runs, yardstick, strict=True)) for which in (0, 1)]
    return (
        f"  {name:24} {statistics.median(clock):6.1f} ms a photo ({min(clock):.1f} to {max(clock):.1f}), "
        f"processor {statistics.median(processor):6.1f}; ratio {ratios[0]:.2f}, of processor time {ratios[1]:.2f}"
    )


def compare(paths: list[Path], folder: Path, jobs: int, rounds: int) -> PictureStore:
    """Tell how long each way takes, and return a store that knows all photos."""
    stores = [PictureStore(folder / f"store {jobs} {number}") for number in range(rounds)]
    fresh = iter(stores)
    ways: dict[str, Callable[[], object]] = {
        "bare decoding": lambda: each(decode_at_half_size, paths, jobs),
        "three widths": lambda: each(three_widths, paths, jobs),
        "the whole": lambda: next(fresh).prepare(paths, jobs=jobs),
    }
    if pyvips:
        pyvips.cache_set_max(0)
        ways["libvips, its own call"] = lambda: each(three_widths_by_libvips, paths, jobs)
        ways["libvips, from half size"] = lambda: each(three_widths_by_libvips_from_half, paths, jobs)
    runs: dict[str, list[Times]] = {name: [] for name in ways}
    for _ in range(rounds):
        for name, work in ways.items():
            runs[name].append(measured(work, len(paths)))
    print(f"{jobs} worker(s)")
    for name in ways:
        print(told(name, runs[name], runs["bare decoding"]))
    return PictureStore(stores[-1].folder)


def most_megabytes(paths: list[Path], store: Path) -> float:
    program = (
        "import re; from pathlib import Path; from site_builder.images.store import PictureStore\n"
        f"PictureStore(Path({str(store)!r})).prepare(sorted(Path({str(paths[0].parent)!r}).glob('*.jpg')))\n"
        "print(re.search(r'VmHWM:\\s+(\\d+)', Path('/proc/self/status').read_text())[1])"
    )
    run = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    return int(run.stdout) / 1024


def tell_newer_formats(paths: list[Path]) -> None:
    """What each would take in one thread and save, at about the same likeness to the picture before it is coded."""
    photos = [decode.decode(path.read_bytes(), longest=encode.LONG_EDGES[-1]) for path in paths]
    sizes = [size for photo in photos for size in encode.reduced(photo.image)]
    jpeg = ("JPEG", {"quality": encode.QUALITY, "subsampling": "4:2:0"})
    print("three widths coded, in one thread")
    for name, (kind, options) in {"JPEG": jpeg, **NEWER}.items():
        start, coded = time.process_time(), []
        for size in sizes:
            coded.append(encoded(size, kind, **options))
        took, weigh = time.process_time() - start, sum(map(len, coded))
        likeness = statistics.mean(
            psnr(size.convert("L").convert("RGB"), decoded(content).convert("L").convert("RGB"))
            for size, content in zip(sizes, coded, strict=True)
        )
        if kind == "JPEG":
            by_jpeg = weigh
        print(
            f"  {name:24} {1000 * took / len(photos):6.1f} ms a photo, {weigh / len(photos) / 1000:.0f} kB "
            f"({100 * (weigh / by_jpeg - 1):+.0f} %), {likeness:.1f} dB of light"
        )


def main() -> None:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 24
    rounds = int(sys.argv[2]) if len(sys.argv) > 2 else 5
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch)
        paths = drawn_photos(folder, count)
        sizes = [path.stat().st_size / 1e6 for path in paths]
        print(f"{count} photos of {WIDTH} x {HEIGHT}, {min(sizes):.1f} to {max(sizes):.1f} MB, {rounds} rounds")
        for jobs in (1, 2):
            known = compare(paths, folder, jobs, rounds)
        clock, _ = measured(lambda: known.prepare(paths), count)
        print(f"nothing changed: {1e6 * clock:.0f} microseconds a photo")
        print(f"most memory: {most_megabytes(paths, folder / 'store of its own'):.0f} MB")
        tell_newer_formats(paths[:DISTINCT])


if __name__ == "__main__":
    main()
