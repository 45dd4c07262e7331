"""Links as words that may lead somewhere, as HTML: there are a dozen on every quilt's page."""

from markupsafe import Markup

from site_builder.escaping import escaped
from site_builder.views.parts import Fact, Link


def words(link: Link) -> Markup:
    """A link where there is somewhere to go, else its words; then how many quilts are there, if that is known.

    >>> words(Link("Log cabin", "../blocks/log-cabin.html", count=3))
    Markup('<a href="../blocks/log-cabin.html">Log cabin</a> <span class="count">3</span>')
    >>> words(Link("tied", ""))
    Markup('tied')
    """
    return Markup(_words(link))


def entries(fact: Fact) -> Markup:
    """What a label says under a term: short words in one line, else each for itself.

    >>> entries(Fact("Fibre", (Link("cotton top", ""), Link("wool batting", ""))))
    Markup('<dd>cotton top</dd><dd>wool batting</dd>')
    """
    between = ", " if fact.in_a_row else "</dd><dd>"
    return Markup(f"<dd>{between.join([_words(entry) for entry in fact.entries])}</dd>")


def _words(link: Link) -> str:
    label = escaped(link.label)
    said = f'<a href="{escaped(link.href)}">{label}</a>' if link.href else label
    return said if link.count is None else f'{said} <span class="count">{link.count}</span>'
