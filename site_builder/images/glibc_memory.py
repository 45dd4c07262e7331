"""What Linux's usual library for C keeps of memory that a program has freed. Other systems are left alone."""

import ctypes
from contextlib import suppress

_M_ARENA_MAX = -8  # Source: glibc's malloc.h


def share_among_threads() -> None:
    """Have all threads take from what is free. To be called before there is a second one: it is too late afterwards.

    Else each thread keeps memory of its own: eight of them more than all that is promised of the program.
    """
    _ask("mallopt", _M_ARENA_MAX, 1)


def give_back() -> None:
    """Give what is free back to the system."""
    _ask("malloc_trim", 0)


def _ask(name: str, *numbers: int) -> None:
    with suppress(AttributeError, OSError, TypeError):  # no such library here
        getattr(ctypes.CDLL(None), name)(*numbers)
