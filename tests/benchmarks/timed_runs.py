"""Timing whole processes against each other: medians of runs that take turns, so that all meet the same machine."""

import os
import resource
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[2]
COUNTERPANE = [
    sys.executable, "-c", f"import sys; sys.path.insert(0, {str(ROOT)!r}); from site_builder.cli.main import main; main()",
]  # fmt: skip


CACHES = tempfile.TemporaryDirectory(prefix="counterpane-benchmark-")
"""Where builds that are timed keep what they find out."""


def surroundings() -> dict[str, str]:
    """As where it is installed: what Python has compiled once is there at the next start."""
    own = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    return own | {"XDG_CACHE_HOME": CACHES.name}


def forget_what_is_kept() -> None:
    """So that the next build is one from nothing."""
    for place in Path(CACHES.name).iterdir():
        shutil.rmtree(place)


@dataclass(frozen=True)
class Taken:
    """Seconds: by the clock on the wall, and of the processors, which is steadier on a busy machine."""

    wall: float
    processor: float


def run(words: list[object], *, runs: int = 1) -> Taken:
    """Run a command to its end, which must be a good one; the mean of some runs in a row."""
    started, before = time.perf_counter(), resource.getrusage(resource.RUSAGE_CHILDREN)
    for _ in range(runs):
        subprocess.run([str(word) for word in words], check=True, capture_output=True, env=surroundings())
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    processor = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    return Taken((time.perf_counter() - started) / runs, processor / runs)


def in_turns(contestants: Mapping[str, Callable[[], Taken]], rounds: int) -> dict[str, Taken]:
    """The median of each, all of them run once in each round."""
    taken: dict[str, list[Taken]] = {name: [] for name in contestants}
    for _ in range(rounds):
        for name, contestant in contestants.items():
            taken[name].append(contestant())
    return {
        name: Taken(
            statistics.median(each.wall for each in all_of), statistics.median(each.processor for each in all_of)
        )
        for name, all_of in taken.items()
    }


def tell(taken: Mapping[str, Taken], yardstick: str) -> None:
    """A line for each, with its ratio to the yardstick."""
    print(f"{'':44}  wall s  ratio  processor s  ratio")
    one = taken[yardstick]
    for name, each in taken.items():
        ratios = each.wall / one.wall, each.processor / one.processor
        print(f"{name:44}  {each.wall:6.3f}  {ratios[0]:5.2f}  {each.processor:11.3f}  {ratios[1]:5.2f}")
