"""How time and memory grow with the number of quilts, each with three small photos.

Run: python tests/benchmarks/bench_scale.py [QUILTS]
Builds a quarter of them and all of them, from nothing and with one quilt changed, as whole processes. The
yardstick is the quarter: a build whose time is linear takes four times as long. Goals: that, and less than
400 MB for 10,000 quilts and 30,000 photos.
"""

import shutil
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

from many_quilts import many_quilts
from PIL import Image
from timed_runs import COUNTERPANE, surroundings

SHOWS = ("front", "back", "detail")


@dataclass(frozen=True)
class Taken:
    """Seconds by the clock on the wall, and the most memory that all its processes held at once, in MB."""

    wall: float
    megabytes: int


def with_photos(folder: Path, count: int) -> Path:
    """Quilts with three photos each, no two of which are the same."""
    many_quilts(folder, count)
    for number, quilt in enumerate(sorted((folder / "quilts").iterdir())):
        place = folder / "photos" / quilt.stem
        place.mkdir(parents=True)
        for which, shows in enumerate(SHOWS):
            photo = Image.new("RGB", (48, 36), (number % 256, number // 256 % 256, 80 * which))
            photo.save(place / f"{shows}.jpg", quality=80)
        listed = "".join(f"  - {{file: {quilt.stem}/{shows}.jpg, shows: {shows}}}\n" for shows in SHOWS)
        quilt.write_text(quilt.read_text(encoding="utf-8").rstrip("\n") + f"\nphotos:\n{listed}", encoding="utf-8")
    return folder


def build(folder: Path, output: Path) -> Taken:
    words = [*COUNTERPANE, "build", folder, "--output", output, "--on", "2026-01-01"]
    began, most = time.perf_counter(), 0
    running = subprocess.Popen(
        [str(word) for word in words], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, env=surroundings()
    )
    while running.poll() is None:
        most = max(most, sum(map(held_by, (running.pid, *children_of(running.pid)))))
        time.sleep(0.1)
    assert running.returncode == 0
    return Taken(time.perf_counter() - began, most // 1024)


def children_of(process: int) -> list[int]:
    try:
        return [int(child) for child in Path(f"/proc/{process}/task/{process}/children").read_text().split()]
    except OSError:
        return []


def held_by(process: int) -> int:
    """Memory in kB; what several processes share counts for each in part, so that the sum is what is held."""
    try:
        lines = Path(f"/proc/{process}/smaps_rollup").read_text().splitlines()
    except OSError:  # it has just ended
        return 0
    return next((int(line.split()[1]) for line in lines if line.startswith("Pss:")), 0)


def main(count: int) -> None:
    with tempfile.TemporaryDirectory() as temporary:
        taken = {}
        for number in (count // 4, count):
            folder, output = with_photos(Path(temporary, f"quilts-{number}"), number), Path(temporary, "site")
            taken["from nothing", number] = build(folder, output)
            quilt = sorted((folder / "quilts").iterdir())[number // 2]
            quilt.write_text(
                quilt.read_text(encoding="utf-8").replace("title: ", "title: Another ", 1), encoding="utf-8"
            )
            taken["another title", number] = build(folder, output)
            shutil.rmtree(output)
        print(f"{'':16}{'quilts':>8}{'wall s':>9}{'ratio':>7}{'MB':>6}")
        for (what, number), each in sorted(taken.items(), reverse=True):
            ratio = each.wall / taken[what, count // 4].wall
            print(f"{what:16}{number:8,}{each.wall:9.2f}{ratio:7.2f}{each.megabytes:6,}")


if __name__ == "__main__":
    main(*map(int, sys.argv[1:] or ["10000"]))
