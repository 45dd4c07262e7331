"""Runs a function for many numbers in several processes, where the system can fork.

A worker shares its parent's memory, sends its results back through a pipe, and writes no file. So a killed worker
leaves nothing unfinished: the parent makes what is missing. A worker ends with its parent; otherwise it would keep
the parent's lock on a folder.
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
"""With fewer numbers, one process finishes before a second one could help."""

# A pipe holds 64 kB: enough for the numbers of all shares at once.
_TOKEN = 4
_MOST_SHARES = 8_000
_SHARE = 8


def made_by_several(make: Callable[[int], Made], count: int, processes: int) -> Iterator[tuple[int, Made]]:
    """Yield each number below `count` with the result of `make`, in the order in which the results arrive.

    Neighbouring numbers are made by the same process. An exception in `make` is raised here.
    """
    done = bytearray(count)
    if processes > 1 and count >= WORTH_IT and _can_fork():
        for number, made in _made_by_workers(make, count, processes):
            done[number] = True
            yield number, made
    for number in range(count):
        if not done[number]:
            yield number, make(number)


def _can_fork() -> bool:
    """Only with one thread: in a forked process, nobody would release a lock that another thread holds."""
    return sys.platform == "linux" and threading.active_count() == 1


def _made_by_workers(make: Callable[[int], Made], count: int, processes: int) -> Iterator[tuple[int, Made]]:
    from multiprocessing import get_context
    from multiprocessing.connection import wait

    shares = _shares(count)
    tokens = _pipe_with(len(shares))
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
            with writer, suppress(OSError):  # no memory for another: the others do its work
                worker.start()
                workers.append(worker)
        open_ones = set(readers)
        while open_ones:
            for reader in open_ones.intersection(wait(open_ones)):
                try:
                    yield from reader.recv()
                except (EOFError, OSError):  # it ended, or was killed while sending
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


def _pipe_with(shares: int) -> int:
    """The reading end of a pipe that holds the number of each share; the writing end is closed."""
    reading, writing = os.pipe()
    os.write(writing, b"".join(number.to_bytes(_TOKEN, "big") for number in range(shares)))
    os.close(writing)
    return reading


def _work(
    make: Callable[[int], Any], shares: Sequence[range], tokens: int, readers: Sequence[Any], writer: Any, parent: int
) -> None:
    """Make one share after another and send the results, until no share or no parent is left."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the parent also gets it, and ends the workers
    _end_with(parent)
    for reader in readers:
        reader.close()
    # The parent makes these numbers again, gets the same error, and reports it.
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
