"""Editions of two small pages each, to put in their places."""

from pathlib import Path

from site_builder.building.publish import MARK, editions_replaced
from site_builder.building.swap import exchange

BOTH = ("catalogue", "binder")


def front(words: str) -> bytes:
    return b"<!doctype html><html><head>" + MARK + b"</head><body>" + words.encode() + b"</body></html>"


def publish(output: Path, words: str, names=BOTH) -> None:
    """A small edition of each name: a front page, and a page below it."""
    with editions_replaced(output, names) as staged:
        for edition in staged.values():
            edition.write("index.html", front(words))
            edition.write(f"quilts/{words}.html", words.encode())


def everything(output: Path) -> dict[str, bytes | None]:
    """All that is in a folder, hidden files too: contents by path, None for a folder."""
    return {
        path.relative_to(output).as_posix(): path.read_bytes() if path.is_file() else None
        for path in sorted(output.rglob("*"))
    }


def can_exchange(folder: Path) -> bool:
    one, other = folder / "one", folder / "other"
    one.mkdir()
    other.mkdir()
    can = exchange(one, other)
    one.rmdir()
    other.rmdir()
    return can
