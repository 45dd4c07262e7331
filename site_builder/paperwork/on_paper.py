"""A view set as a PDF: the words of the view, and the pictures of its quilts by their IDs."""

from collections.abc import Mapping
from dataclasses import asdict
from datetime import date
from typing import Any

from site_builder.typesetting import Typeset, typeset


def set_on_paper(
    template: str, view: Any, *, paper: str, pictures: Mapping[str, bytes] | None = None, on: date | None = None
) -> Typeset:
    """`template` finds the fields of the view in its data, and under `pictures` the file's name by a quilt's ID.

    `pictures` are JPEGs, or SVGs, by the IDs of their quilts. No names of files, only numbers, reach the PDF.
    """
    pictures = pictures or {}
    names = {quilt: f"{number}{_ending(pictures[quilt])}" for number, quilt in enumerate(sorted(pictures), start=1)}
    data = asdict(view) | {"paper": paper, "pictures": names}
    return typeset(template, data, pictures={names[quilt]: pictures[quilt] for quilt in names}, on=on)


def _ending(content: bytes) -> str:
    return ".svg" if content.lstrip().startswith(b"<") else ".jpg"
