"""How long a build takes when nothing, or one quilt, has changed since the last one.

Run: python tests/benchmarks/bench_rebuild.py [QUILTS] [ROUNDS]
Whole processes. The yardsticks are our own build from nothing, and hugo's builds of the same pages (see
hugo_site.py), where it is on the machine. Goals: nothing changed 0.15 s at 1,000 quilts and 0.5 s at 10,000,
one changed 0.3 s and 1 s, and at most half of hugo's time.
"""

import itertools
import re
import shutil
import sys
import tempfile
import time
from pathlib import Path

from hugo_site import HugoSites
from many_quilts import many_quilts
from timed_runs import COUNTERPANE, Taken, forget_what_is_kept, in_turns, run, tell


def main(count: int, rounds: int) -> None:
    with tempfile.TemporaryDirectory() as temporary:
        folder, output, fresh = (Path(temporary, name) for name in ("quilts", "site", "fresh"))
        many_quilts(folder, count)
        build = [*COUNTERPANE, "build", folder, "--on", "2026-01-01", "--output"]
        quilt, numbers = sorted((folder / "quilts").iterdir())[count // 2], itertools.count()
        as_it_was = re.sub(r"^kept_at: .*\n", "", quilt.read_text(encoding="utf-8"), flags=re.MULTILINE)
        # What was written this very moment proves nothing by its time.
        time.sleep(2.1)
        run([*build, output])

        def from_nothing() -> Taken:
            shutil.rmtree(fresh, ignore_errors=True)
            forget_what_is_kept()
            return run([*build, fresh])

        def changed_to(text: str) -> Taken:
            """From what it was, whatever the one before made of it."""
            quilt.write_text(f"{as_it_was}kept_at: Nowhere\n", encoding="utf-8")
            run([*build, output])
            quilt.write_text(text, encoding="utf-8")
            return run([*build, output])

        def with_words() -> Taken:
            return changed_to(f"{as_it_was}kept_at: Shelf {next(numbers)}\n")

        def with_title() -> Taken:
            title = as_it_was.replace("title: ", f"title: No {next(numbers)} ", 1)
            return changed_to(f"{title}kept_at: Nowhere\n")

        contestants = {
            "counterpane, from nothing": from_nothing,
            "counterpane, one quilt kept elsewhere": with_words,
            "counterpane, one quilt with another title": with_title,
            "counterpane, nothing changed": lambda: run([*build, output]),
        }
        if shutil.which("hugo") is None:
            print("There is no hugo here to compare with.")
        else:
            sites = HugoSites(output, Path(temporary, "hugo"))
            sites.build(anew=True)

            def hugo_with_words() -> Taken:
                sites.change_one(f"Other words {next(numbers)}")
                return sites.build(anew=False)

            contestants |= {
                "hugo, one page changed": hugo_with_words,
                "hugo, nothing changed": lambda: sites.build(anew=False),
            }
        taken = in_turns(contestants, rounds)
        print(f"{count:,} quilts, {rounds} rounds, medians")
        tell(taken, next(name for name in reversed(taken) if name.startswith(("hugo", "counterpane, from"))))


if __name__ == "__main__":
    main(*map(int, [*sys.argv[1:], *("1000", "5")[len(sys.argv) - 1 :]]))
