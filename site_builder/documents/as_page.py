"""A sheet as one HTML file with its pictures embedded, to read or print in any browser."""

from base64 import b64encode
from collections.abc import Mapping
from typing import Any

from site_builder.rendering.renderer import Renderer


def set_as_page(template: str, view: Any, *, pictures: Mapping[str, bytes] | None = None) -> bytes:
    """The UTF-8 that a template of `site_builder/templates/` makes of a view; `pictures` are JPEGs by quilt ID."""
    return Renderer().text(template, view=view, pictures=data_urls(pictures or {}))


def data_urls(pictures: Mapping[str, bytes]) -> dict[str, str]:
    """JPEGs as data URLs, by the same keys."""
    return {quilt: f"data:image/jpeg;base64,{b64encode(content).decode()}" for quilt, content in pictures.items()}
