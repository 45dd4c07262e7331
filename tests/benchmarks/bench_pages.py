"""How long the pages of many quilts take from nothing, beside a compiled general-purpose site generator.

Run: python tests/benchmarks/bench_pages.py [QUILTS] [ROUNDS]
The yardstick is hugo, given the same pages (see hugo_site.py); without it on the machine only our own time
is told. The quilts have no photos. Goal: a ratio of 1, by the wall.
"""

import shutil
import sys
import tempfile
from pathlib import Path

from hugo_site import HugoSites
from many_quilts import many_quilts
from timed_runs import COUNTERPANE, Taken, forget_what_is_kept, in_turns, run, tell


def main(count: int, rounds: int) -> None:
    with tempfile.TemporaryDirectory() as temporary:
        folder, output = Path(temporary, "quilts"), Path(temporary, "site")
        many_quilts(folder, count)
        words = [*COUNTERPANE, "build", folder, "--output", output, "--on", "2026-01-01"]

        def ours() -> Taken:
            shutil.rmtree(output, ignore_errors=True)
            forget_what_is_kept()
            return run(words)

        first = ours()
        if shutil.which("hugo") is None:
            print(f"{count:,} quilts: {first.wall:.2f} s. There is no hugo here to compare with.")
            return
        sites = HugoSites(output, Path(temporary, "hugo"))
        taken = in_turns({"hugo": lambda: sites.build(anew=True), "counterpane build": ours}, rounds)
        assert sites.written() == sites.pages
        print(f"{count:,} quilts, {sites.pages:,} pages, {rounds} rounds, medians")
        tell(taken, "hugo")


if __name__ == "__main__":
    main(*map(int, [*sys.argv[1:], *("5000", "3")[len(sys.argv) - 1 :]]))
