"""How long a photo takes, as a ratio to bare decoding at half size in the same run.

Run it by hand, on a quiet machine: `.venv/bin/python tests/benchmarks/bench_pictures.py [PHOTOS] [ROUNDS]`.
The photos are drawn (12 MP, some turned, half of them with a wide-gamut profile). Pipeline and yardstick
run in turn, each with as many workers, and medians are shown. Processor time is the steadier figure when other
programs are busy. The most memory is that of a process of its own which prepares all photos (Linux only).
"""

import io
import statistics
import subprocess
import sys
import tempfile
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from PIL import Image

sys.path.insert(0, str(Path(__file__).parents[2]))

from site_builder.picture_store import PictureStore
from tests.site_builder.drawn_photos import DISPLAY_P3, encoded, exif, patchwork

WIDTH, HEIGHT = 4032, 3024
DISTINCT = 6


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


def decode_at_half_size(path: Path) -> None:
    image = Image.open(io.BytesIO(path.read_bytes()))
    image.draft("RGB", (image.width // 2, image.height // 2))
    image.load()


def measured(work) -> tuple[float, float]:
    """Seconds by the clock, and of processor time in all threads."""
    clock, processor = time.perf_counter(), time.process_time()
    work()
    return time.perf_counter() - clock, time.process_time() - processor


def told(name: str, per_photo: list[tuple[float, float]]) -> str:
    clock, processor = zip(*per_photo, strict=True)
    return (
        f"{name} {1000 * statistics.median(clock):.1f} ms a photo ({1000 * min(clock):.1f} to "
        f"{1000 * max(clock):.1f}; processor {1000 * statistics.median(processor):.1f})"
    )


def ratio(of: list[tuple[float, float]], to: list[tuple[float, float]], which: int) -> float:
    return statistics.median(a[which] / b[which] for a, b in zip(of, to, strict=True))


def main() -> None:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 24
    rounds = int(sys.argv[2]) if len(sys.argv) > 2 else 5
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch)
        paths = drawn_photos(folder, count)
        sizes = [path.stat().st_size / 1e6 for path in paths]
        print(f"{count} photos of {WIDTH} x {HEIGHT}, {min(sizes):.1f} to {max(sizes):.1f} MB, {rounds} rounds")
        for jobs in (1, 2):
            pipeline, yardstick = [], []
            for number in range(rounds):
                store = PictureStore(folder / f"store {jobs} {number}")
                with ThreadPoolExecutor(jobs) as pool:
                    times = measured(lambda: list(pool.map(decode_at_half_size, paths)))
                yardstick.append(tuple(t / count for t in times))
                times = measured(lambda: store.prepare(paths, jobs=jobs))
                pipeline.append(tuple(t / count for t in times))
            print(f"{jobs} worker(s): {told('the whole', pipeline)}; {told('decoding alone', yardstick)}; "
                  f"ratio {ratio(pipeline, yardstick, 0):.2f}, of processor time {ratio(pipeline, yardstick, 1):.2f}")
        again = PictureStore(folder / f"store 2 {rounds - 1}")
        clock, _ = measured(lambda: again.prepare(paths))
        print(f"nothing changed: {1e6 * clock / count:.0f} microseconds a photo")
        print(f"most memory: {most_megabytes(paths, folder / 'store of its own'):.0f} MB")


def most_megabytes(paths: list[Path], store: Path) -> float:
    program = (
        "import re; from pathlib import Path; from site_builder.picture_store import PictureStore\n"
        f"PictureStore(Path({str(store)!r})).prepare(sorted(Path({str(paths[0].parent)!r}).glob('*.jpg')))\n"
        "print(re.search(r'VmHWM:\\s+(\\d+)', Path('/proc/self/status').read_text())[1])"
    )
    run = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    return int(run.stdout) / 1024


if __name__ == "__main__":
    main()
