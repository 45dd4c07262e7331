"""Does the same work on many files, some at a time, and ends soon when it is stopped."""

from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import ThreadPoolExecutor
from typing import TypeVar

Item = TypeVar("Item")
Result = TypeVar("Result")


def side_by_side(work: Callable[[Item], Result], items: Iterable[Item], *, jobs: int) -> Iterator[Result]:
    """The result for each item, in their order, with at most `jobs` running at a time.

    If it is stopped, it waits only for those that are running.

    >>> list(side_by_side(str, [1, 2, 3], jobs=2))
    ['1', '2', '3']
    """
    pool = ThreadPoolExecutor(max_workers=max(1, jobs))
    try:
        yield from pool.map(work, items)
    finally:
        pool.shutdown(cancel_futures=True)
