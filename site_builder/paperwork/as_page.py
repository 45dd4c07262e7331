"""A sheet as one HTML file with its pictures inside it, to look at or to print from any browser."""

from base64 import b64encode
from collections.abc import Mapping
from typing import Any

from site_builder.rendering import Renderer


def set_as_page(template: str, view: Any, *, pictures: Mapping[str, bytes] | None = None) -> bytes:
    """UTF-8 by a template of `site_builder/templates/`; `pictures` are JPEGs by the IDs of their quilts."""
    inside = {
        quilt: f"data:image/jpeg;base64,{b64encode(content).decode()}" for quilt, content in (pictures or {}).items()
    }
    return Renderer().text(template, view=view, pictures=inside)
