"""A view as a PDF, with the pictures of its quilts."""

from collections.abc import Mapping
from dataclasses import asdict
from datetime import date
from typing import Any

from site_builder.documents.typesetting import Typeset, typeset


def set_on_paper(
    template: str, view: Any, *, paper: str, pictures: Mapping[str, bytes] | None = None, on: date | None = None
) -> Typeset:
    """Typeset a view. The data of `template` are the fields of the view, and file names of pictures by quilt ID.

    `pictures` are JPEGs or SVGs by quilt ID. In the PDF they are numbered: no file name of the maker's reaches it.
    """
    pictures = pictures or {}
    names = {quilt: f"{number}{_ending(pictures[quilt])}" for number, quilt in enumerate(sorted(pictures), start=1)}
    data = asdict(view) | {"paper": paper, "pictures": names}
    return typeset(template, data, pictures={names[quilt]: pictures[quilt] for quilt in names}, on=on)


def _ending(content: bytes) -> str:
    return ".svg" if content.lstrip().startswith(b"<") else ".jpg"
