"""The file that a command writes for the user: its suffix decides the format, and it is written whole or not at all."""

import os
from collections.abc import Iterable
from pathlib import Path

import click

from collection.problems import nearest_word
from collection.storage import part_files
from collection.storage.part_files import remove_left_parts


def ending_of(path: Path, known: Iterable[str]) -> str:
    """The ending of a file's name, without the dot, if it is a known one. UsageError otherwise."""
    known = tuple(known)
    ending = path.suffix.removeprefix(".").lower()
    if ending in known:
        return ending
    near = nearest_word(ending, known) if ending else None
    wrong = f"ends in .{ending}, and that is no kind of file that this can be" if ending else "has no ending"
    wanted = f"Write {path.stem}.{near or known[0]}" + (f"; or one of .{', .'.join(known)}." if len(known) > 1 else ".")
    raise click.UsageError(f"{path.name} {wrong}. {wanted}")


def refuse_file(path: Path, endings: Iterable[str]) -> None:
    """UsageError if no such file can be written there. Call it before anything is made or changed."""
    ending_of(path, endings)
    if path.is_dir():
        raise click.UsageError(f"{path} is a folder. Name a file in it.")
    if not path.parent.is_dir():
        raise click.UsageError(f"There is no folder {path.parent}. Make it first, or name another place.")
    if not os.access(path.parent, os.W_OK):
        raise click.UsageError(f"Nothing may be written into {path.parent}. Name another place.")


def write_whole(path: Path, content: bytes) -> None:
    """Write a whole file or none; an existing one is kept until then. UsageError or OSError if it can't be written."""
    if path.is_dir():
        raise click.UsageError(f"{path} is a folder. Name a file in it, such as {path / 'sheet.pdf'}.")
    remove_left_parts(path.parent)
    part_files.write_whole(path, content)
