"""How soon the command answers: help, beside a bare interpreter and one that loads click alone.

Run: python tests/benchmarks/bench_start.py [ROUNDS]
Goal: help under 80 ms where a bare interpreter takes 10, so under 8 times as long.
"""

import sys
from collections.abc import Callable

from timed_runs import COUNTERPANE, Taken, in_turns, run, tell

IN_A_ROW = 5


def main(rounds: int) -> None:
    def starting(*words: str) -> Callable[[], Taken]:
        return lambda: run(list(words), runs=IN_A_ROW)

    taken = in_turns(
        {
            "python, and nothing else": starting(sys.executable, "-c", "pass"),
            "python with click": starting(sys.executable, "-c", "import click"),
            "counterpane --help": starting(*COUNTERPANE, "--help"),
            "counterpane build --help": starting(*COUNTERPANE, "build", "--help"),
        },
        rounds,
    )
    tell(taken, "python, and nothing else")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 15)
