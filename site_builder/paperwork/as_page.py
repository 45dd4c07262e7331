"""A sheet as one HTML file with its pictures inside it, to look at or to print from any browser."""

from base64 import b64encode
from collections.abc import Mapping
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup


def set_as_page(template: str, view: Any, *, pictures: Mapping[str, bytes] | None = None) -> bytes:
    """UTF-8 by a template of `site_builder/paper/`; `pictures` are JPEGs by the IDs of their quilts."""
    environment = Environment(
        loader=PackageLoader("site_builder", "paper"),
        autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True,
    )  # fmt: skip
    style, _, _ = environment.loader.get_source(environment, "sheet.css")
    inside = {
        quilt: f"data:image/jpeg;base64,{b64encode(content).decode()}" for quilt, content in (pictures or {}).items()
    }
    text = environment.get_template(template).render(view=view, pictures=inside, style=Markup(style))
    return text.encode("utf-8")
