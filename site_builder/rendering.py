"""From a view to the bytes of a page: a pure function of both and of the templates."""

from collections.abc import Iterable
from functools import cache
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined, Template
from markupsafe import Markup

from site_builder.compiled_templates import CompiledTemplates
from site_builder.escaping import escaped
from site_builder.link_words import entries, words
from site_builder.svg_shapes import box, paths, polygons
from site_builder.views.drawn import DrawnOnce
from site_builder.views.pages import PageHead


class Renderer:
    """Renders pages by the templates of the package. Escaping is on; an unknown name is an error."""

    def page(self, template: str, head: PageHead, view: Any) -> bytes:
        """One page as UTF-8."""
        return self.text(template, page=head, view=view)

    def text(self, template: str, **values: Any) -> bytes:
        """What a template makes of some values, as UTF-8: for what is no page of an edition."""
        return _environment().get_template(template).render(**values).encode("utf-8")


class _Templates(Environment):
    """Gives a template at once that it has given before: each page asks for half a dozen."""

    def __init__(self, **options: Any):
        super().__init__(**options)
        self._given: dict[str, Template] = {}

    def get_template(self, name: str, parent: str | None = None, globals: Any = None) -> Template:
        if name not in self._given:
            template = self._given[name] = super().get_template(name)
            # The name by which compiled templates call what escapes a value, a hundred times on each page.
            template.root_render_func.__globals__["escape"] = escaped
            # Those of all templates, in one dictionary: it is copied for each page, and compared for each import.
            template.globals = dict(template.globals)
        return self._given[name]


@cache
def _environment() -> Environment:
    """Templates are loaded once for each run of the program, however many builds it makes."""
    environment = _Templates(
        loader=PackageLoader("site_builder"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        # A program that runs has the templates that it came with.
        auto_reload=False,
        bytecode_cache=CompiledTemplates.of_the_program(),
    )
    # Filters are called at once, functions by way of the context.
    environment.filters |= {"polygons": polygons, "paths": paths, "box": box, "words": words, "entries": entries}
    environment.filters |= {"drawn_once": _drawn_once, "all_drawn_once": _all_drawn_once}
    return environment


def _drawn_once(part: DrawnOnce, template: str, macro: str, *more: object) -> Markup:
    """A part that stands on many pages, by a macro of a template; it remembers how it looks."""
    asked_for = (macro, *more)
    if asked_for not in part.drawn:
        part.drawn[asked_for] = getattr(_environment().get_template(template).module, macro)(part, *more)
    return part.drawn[asked_for]


def _all_drawn_once(parts: Iterable[DrawnOnce], template: str, macro: str, *more: object) -> Markup:
    """Several such parts, each on a line of its own."""
    asked_for = (macro, *more)
    drawn = [part.drawn.get(asked_for) or _drawn_once(part, template, macro, *more) for part in parts]
    return Markup("\n".join([*drawn, ""]))
