"""Runs the same work on many things in several processes, where the system can fork.

A forked process has its parent's memory and sends its results back through a pipe; it writes no file. So
nothing half made is left when it or its parent is killed: the parent makes what it did not send, and it ends
with its parent, whose lock on a folder it would prolong.
"""

import gc
import os
import signal
import sys
import threading
from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from typing import Any, TypeVar

Made = TypeVar("Made")

WORTH_IT = 200
"""With fewer things, one process is done before a second one could help."""

# One pipe, which holds 64 kB, has the numbers of all shares before any is taken.
_TOKEN = 4
_MOST_SHARES = 8_000
_SHARE = 8


def made_by_several(make: Callable[[int], Made], count: int, processes: int) -> Iterator[tuple[int, Made]]:
    """The numbers below `count`, each with the result of `make`, in the order in which they are made.

    The same process makes neighbouring numbers. What `make` raises is raised here.
    """
    done = bytearray(count)
    if processes > 1 and count >= WORTH_IT and _can_fork():
        for number, made in _made_by_others(make, count, processes):
            done[number] = True
            yield number, made
    for number in range(count):
        if not done[number]:
            yield number, make(number)


def _can_fork() -> bool:
    """Only with one thread: a lock that another thread holds would be held for ever in a forked process."""
    return sys.platform == "linux" and threading.active_count() == 1


def _made_by_others(make: Callable[[int], Made], count: int, processes: int) -> Iterator[tuple[int, Made]]:
    from multiprocessing import get_context
    from multiprocessing.connection import wait

    shares = _shares(count)
    tokens = _full_of(len(shares))
    context = get_context("fork")
    workers, readers = [], []
    # The collector must not touch existing objects: in a forked process that would copy their memory.
    gc.freeze()
    try:
        for _ in range(processes):
            reader, writer = context.Pipe(duplex=False)
            readers.append(reader)
            worker = context.Process(
                target=_work, args=(make, shares, tokens, list(readers), writer, os.getpid()), daemon=True
            )
            with writer, suppress(OSError):  # no memory for one more: the others make its share
                worker.start()
                workers.append(worker)
        open_ones = set(readers)
        while open_ones:
            for reader in open_ones.intersection(wait(open_ones)):
                try:
                    yield from reader.recv()
                except (EOFError, OSError):  # ended, or killed while it sent
                    open_ones.remove(reader)
    finally:
        gc.unfreeze()
        os.close(tokens)
        for reader in readers:
            reader.close()
        for worker in workers:
            worker.kill()
            worker.join()


def _shares(count: int) -> Sequence[range]:
    size = max(_SHARE, -(-count // _MOST_SHARES))
    return [range(start, min(start + size, count)) for start in range(0, count, size)]


def _full_of(shares: int) -> int:
    """The reading end of a pipe with the number of each share; its other end is closed."""
    reading, writing = os.pipe()
    os.write(writing, b"".join(number.to_bytes(_TOKEN, "big") for number in range(shares)))
    os.close(writing)
    return reading


def _work(
    make: Callable[[int], Any], shares: Sequence[range], tokens: int, readers: Sequence[Any], writer: Any, parent: int
) -> None:
    """Make one share after another and send the results, until there is none left, or no parent."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the parent gets it too, and ends us
    _end_with(parent)
    for reader in readers:
        reader.close()
    # An error here occurs again in the parent, which reports it.
    with suppress(Exception):
        while token := os.read(tokens, _TOKEN):
            writer.send([(number, make(number)) for number in shares[int.from_bytes(token, "big")]])


_PR_SET_PDEATHSIG = 1  # Source: linux/prctl.h


def _end_with(parent: int) -> None:
    """Have the system end this process when its parent ends."""
    from ctypes import CDLL

    with suppress(AttributeError, OSError):
        CDLL(None).prctl(_PR_SET_PDEATHSIG, signal.SIGKILL)
    if os.getppid() != parent:  # it has ended already
        os._exit(1)
