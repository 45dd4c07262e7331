"""Links as words that may lead somewhere, as HTML: there are a dozen on every quilt's page."""

from collections.abc import Iterable

from markupsafe import Markup

from site_builder.escaping import escaped
from site_builder.views.parts import Link


def words(link: Link) -> Markup:
    """A link where there is somewhere to go, else its words; then how many quilts are there, if that is known.

    >>> words(Link("Log cabin", "../blocks/log-cabin.html", count=3))
    Markup('<a href="../blocks/log-cabin.html">Log cabin</a> <span class="count">3</span>')
    >>> words(Link("tied", ""))
    Markup('tied')
    """
    return Markup(_words(link))


def words_in_a_row(links: Iterable[Link]) -> Markup:
    """Several links in one line."""
    return Markup(", ".join([_words(link) for link in links]))


def _words(link: Link) -> str:
    label = escaped(link.label)
    said = f'<a href="{escaped(link.href)}">{label}</a>' if link.href else label
    return said if link.count is None else f'{said} <span class="count">{link.count}</span>'
