"""Makes glibc return freed memory. Does nothing on other systems."""

import ctypes
from contextlib import suppress

_M_ARENA_MAX = -8  # Source: glibc's malloc.h


def share_among_threads() -> None:
    """Make all threads share one memory arena. Call it before a second thread starts; afterwards it is too late.

    Otherwise each thread keeps freed memory of its own: eight of them keep more than the limit of the whole program.
    """
    _ask("mallopt", _M_ARENA_MAX, 1)


def give_back() -> None:
    """Return free memory to the system."""
    _ask("malloc_trim", 0)


def _ask(name: str, *numbers: int) -> None:
    with suppress(AttributeError, OSError, TypeError):  # no such library here
        getattr(ctypes.CDLL(None), name)(*numbers)
