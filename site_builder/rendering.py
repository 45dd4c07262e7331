"""From a view to the bytes of a page: a pure function of both and of the templates."""

from functools import cached_property
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined

from site_builder.views.pages import PageHead


class Renderer:
    """Renders pages by the templates of the package. Escaping is on; an unknown name is an error."""

    @cached_property
    def _environment(self) -> Environment:
        environment = Environment(
            loader=PackageLoader("site_builder"),
            autoescape=True,
            undefined=StrictUndefined,
            trim_blocks=True,
            lstrip_blocks=True,
        )
        return environment

    def page(self, template: str, head: PageHead, view: Any) -> bytes:
        """One page as UTF-8."""
        return self.text(template, page=head, view=view)

    def text(self, template: str, **values: Any) -> bytes:
        """What a template makes of some values, as UTF-8: for what is no page of an edition."""
        return self._environment.get_template(template).render(**values).encode("utf-8")
