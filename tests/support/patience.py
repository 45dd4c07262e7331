"""How tests bound what they wait for and what work may take, without a test that looks at a clock.

What is waited for is a state, such as a line in a terminal, however long a busy machine takes to
reach it. What must not take long is measured in seconds of the processor, with room: they do not
run on while others use the machine, though each of them then gets less done.
`tests/test_no_clock.py` holds that no other module of tests reads a clock.
"""

import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import IO

MOST_SECONDS = 2.0  # of work, promised of any input on a machine of today
ROOM = 5  # for slower machines, and busy ones
LONG_ENOUGH = 300  # seconds, for what comes within one or never


@contextmanager
def soon(what: str = "it") -> Iterator[None]:
    """What is done within takes little work, of this process and its threads."""
    begun = time.process_time()
    yield
    took = time.process_time() - begun
    assert took < ROOM * MOST_SECONDS, f"{what} took {took:.1f} s of work"


def wait_until(reached: Callable[[], object], what: str) -> None:
    """Look for a state until it is there; AssertionError where it never comes."""
    for _ in range(20 * LONG_ENOUGH):
        if reached():
            return
        time.sleep(0.05)
    raise AssertionError(f"never came: {what}")


class Terminal:
    """The lines that a running program writes, kept while it runs."""

    def __init__(self, stream: IO[str]):
        self.lines: list[str] = []
        self._more = threading.Condition()
        self._ended = False
        self._reader = threading.Thread(target=self._read, args=(stream,), daemon=True)
        self._reader.start()

    def __str__(self) -> str:
        return "".join(self.lines)

    def wait_until_said(self, text: str) -> None:
        """Until a line holds the text; AssertionError where the program ends without it."""
        with self._more:
            self._more.wait_for(lambda: self._ended or text in str(self), LONG_ENOUGH)
            assert text in str(self), f"the terminal never showed {text!r}: {self.lines}"

    def end(self) -> None:
        """Wait until all that was written is here."""
        self._reader.join(LONG_ENOUGH)

    def _read(self, stream: IO[str]) -> None:
        for line in stream:
            with self._more:
                self.lines.append(line)
                self._more.notify_all()
        with self._more:
            self._ended = True
            self._more.notify_all()
