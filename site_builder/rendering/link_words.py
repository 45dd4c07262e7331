"""Links and facts as HTML."""

from markupsafe import Markup, escape

from site_builder.views.parts import Fact, Link


def words(link: Link) -> Markup:
    """A link, or only its label where it has no address; then the number of quilts there, if known.

    >>> words(Link("Log cabin", "../blocks/log-cabin.html", count=3))
    Markup('<a href="../blocks/log-cabin.html">Log cabin</a> <span class="count">3</span>')
    >>> words(Link("tied", ""))
    Markup('tied')
    """
    return Markup(_words(link))


def entries(fact: Fact) -> Markup:
    """The entries of a fact: short words on one line, else one line each.

    >>> entries(Fact("Fibre", (Link("cotton top", ""), Link("wool batting", ""))))
    Markup('<dd>cotton top</dd><dd>wool batting</dd>')
    """
    between = ", " if fact.in_a_row else "</dd><dd>"
    return Markup(f"<dd>{between.join([_words(entry) for entry in fact.entries])}</dd>")


def _words(link: Link) -> str:
    label = escape(link.label)
    said = f'<a href="{escape(link.href)}">{label}</a>' if link.href else label
    return said if link.count is None else f'{said} <span class="count">{link.count}</span>'
