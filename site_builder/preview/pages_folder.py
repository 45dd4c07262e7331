"""The folder of a preview's pages. The first preview of a collection keeps it for the next start, others do not."""

from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from itertools import count
from pathlib import Path

from collection.storage.locks import held_alone
from collection.storage.part_files import make_private_folder
from site_builder.incremental.cache_folder import CacheFolder
from site_builder.removal import remove_tree

_FIRST = "1"


@contextmanager
def preview_folder(cache: CacheFolder) -> Iterator[Path]:
    """A folder for the pages of one preview alone. Folders left by previews that were killed are removed."""
    make_private_folder(cache.previews)
    for folder in cache.previews.iterdir():
        if folder.name != _FIRST:
            _remove_if_left(folder)
    with ExitStack() as until_the_end:
        folder = next(
            folder
            for number in count(1)
            if until_the_end.enter_context(_is_had(folder := cache.previews / str(number)))
        )
        try:
            yield folder / "pages"
        finally:
            if folder.name != _FIRST:
                remove_tree(folder)


@contextmanager
def _is_had(folder: Path) -> Iterator[bool]:
    make_private_folder(folder)
    with held_alone(folder) as is_held:
        yield is_held


def _remove_if_left(folder: Path) -> None:
    with held_alone(folder) as is_left:
        if is_left:
            remove_tree(folder)
