"""The paths of an edition's pages, and the links from one to another.

A path is relative to the edition's folder, with forward slashes. Links are relative, so that an edition works at any
address and from the disk.
"""

import re
import unicodedata
from functools import lru_cache
from urllib.parse import quote

from collection.storage.folder_layout import RESERVED_NAMES

WALL = "index.html"
BROWSE = "browse.html"
HOMES = "homes.html"
GIVING = "giving/index.html"
NOT_FOUND = "404.html"


# Limits of a file name: disks take 255 bytes, and a letter has up to four.
_MOST_CHARACTERS, _MOST_BYTES = 80, 200

# Nearly all paths need no quoting, and this check takes a tenth of its time.
_IS_PLAIN = re.compile(r"[A-Za-z0-9_.~/#-]*").fullmatch


def relative(target: str, *, seen_from: str) -> str:
    """The link to a path from another page.

    >>> relative("quilts/low-tide.html", seen_from="sizes/lap.html")
    '../quilts/low-tide.html'
    """
    return top(seen_from) + (target if _IS_PLAIN(target) else quote(target, safe="/#"))


def top(path: str) -> str:
    """The relative path from a page to the edition's folder: empty, or `../` for each folder."""
    return "../" * path.count("/")


def quilt_path(quilt_id: str) -> str:
    return f"quilts/{quilt_id}.html"


def wall_path(sheet: int) -> str:
    """The path of a sheet of the wall, from 1; the first one is the front page."""
    return WALL if sheet == 1 else f"wall/{sheet}.html"


def giving_path(label: str) -> str:
    return f"giving/{label.replace('/', '-')}.html"


def text_path(page_id: str) -> str:
    return f"pages/{page_id}.html"


def group_path(kind: str, key: str | None = None) -> str:
    """The page of one value of a facet (sizes, years, ...), or the overview of all its values."""
    return f"{kind}/{key or 'index'}.html"


# The same words recur from quilt to quilt.
@lru_cache(maxsize=4096)
def slug(words: str) -> str:
    """A value as part of a URL: letters and digits of any script, and hyphens.

    >>> slug("Grandmother's Flower Garden"), slug("Blåbær & Co.")
    ('grandmothers-flower-garden', 'blåbær-co')
    """
    plain = unicodedata.normalize("NFC", words).casefold().replace("'", "").replace("’", "")
    joined = re.sub(r"[\W_]+", "-", unicodedata.normalize("NFC", plain)).strip("-")[:_MOST_CHARACTERS]
    short = joined.encode()[:_MOST_BYTES].decode(errors="ignore").strip("-") or "unnamed"
    return f"{short}-1" if short in RESERVED_NAMES else short
