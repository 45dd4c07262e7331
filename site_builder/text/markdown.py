"""Safe HTML from the maker's own words in Markdown.

cmark-gfm reads any text in linear time. Its HTML can still be large, or nested so deeply that cleaning takes long: no
text that people write comes near the two limits here.
"""

import re
from collections import Counter
from functools import lru_cache

import nh3
from markupsafe import Markup, escape

_TAGS = {
    "a", "abbr", "b", "blockquote", "br", "cite", "code", "dd", "del", "dl", "dt", "em", "h1", "h2", "h3",
    "h4", "h5", "h6", "hr", "i", "ins", "li", "ol", "p", "pre", "q", "s", "small", "strong", "sub", "sup",
    "table", "tbody", "td", "th", "thead", "tr", "ul",
}  # fmt: skip
_ATTRIBUTES = {"a": {"href", "title"}, "abbr": {"title"}, "ol": {"start"}, "th": {"scope"}}
_SCHEMES = {"http", "https", "mailto"}
_TAG = re.compile(r"<(/?)([a-z][a-z0-9]*)", re.IGNORECASE)
# The start of a tag that separates words, as all but these do.
_PARTS_WORDS = re.compile(r"<(?!/?(?:a|abbr|b|cite|code|del|em|i|ins|q|s|small|strong|sub|sup)\b)")
_WITHOUT_END = {"br", "hr", "img", "input", "wbr"}

MOST_HTML = 1_000_000
MOST_DEPTH = 500


# A story is on a quilt's page in each edition, and in the feed.
@lru_cache(maxsize=4096)
def to_html(text: str, *, headings_below: int = 1) -> Markup:
    """Markdown as HTML of plain tags only: no script, no style, no picture, no address but web and mail.

    The headings of the text are moved below the level of the page's own, so that the outline stays whole.
    A text whose HTML would be longer than `MOST_HTML` characters, or deeper than `MOST_DEPTH` elements, is shown as
    it is written.
    """
    raw = _raw_html(text)
    if len(raw) > MOST_HTML or _depth(raw) > MOST_DEPTH:
        raw = f"<pre>{escape(text)}</pre>"
    safe = nh3.clean(
        raw,
        tags=_TAGS,
        attributes=_ATTRIBUTES,
        url_schemes=_SCHEMES,
        link_rel="noopener",
        clean_content_tags={"script", "style", "iframe", "object", "svg", "math"},
    )
    return Markup(_lower_headings(safe.rstrip("\n"), headings_below))


def to_words(text: str) -> str:
    """The words that a page shows of a text in Markdown, as plain text: nothing of comments, tags or addresses.

    >>> to_words("*Low* tide.<!-- for a cousin --> [See](https://example.org)")
    'Low tide. See'
    """
    return Markup(_PARTS_WORDS.sub(" <", to_html(text))).striptags()


def heading_words(line: str) -> str:
    """The words that are shown of a heading in Markdown, without the signs before it.

    >>> heading_words("About *us* <!-- and the shed -->")
    'About us'
    """
    return to_words(f"# {line}")


def _raw_html(text: str) -> str:
    """The HTML of a text, with the tags that it holds itself: they are cleaned afterwards."""
    import cmarkgfm  # Many builds need no Markdown.
    from cmarkgfm.cmark import Options

    # Lone surrogates can't be passed to C, nor be on a page.
    known = text.encode("utf-8", "replace").decode("utf-8")
    html: str = cmarkgfm.markdown_to_html_with_extensions(known, options=Options.CMARK_OPT_UNSAFE, extensions=["table"])
    return html


def _depth(html: str) -> int:
    """At least the depth of the nesting. An end tag closes only an element of its own name."""
    opened: Counter[str] = Counter()
    depth = deepest = 0
    for end, name in _TAG.findall(html):
        tag = name.lower()
        if not end and tag not in _WITHOUT_END:
            opened[tag] += 1
            depth += 1
            deepest = max(deepest, depth)
        elif end and opened[tag]:
            opened[tag] -= 1
            depth -= 1
    return deepest


def _lower_headings(html: str, below: int) -> str:
    """Renumber the headings from the level below the page's, so that no level is left out."""
    above: list[int] = []
    opened: list[int] = []

    def lower(match: re.Match[str]) -> str:
        if match[1]:
            return f"</h{opened.pop()}>"
        level = int(match[2])
        while above and above[-1] >= level:
            above.pop()
        above.append(level)
        opened.append(min(6, below + len(above)))
        return f"<h{opened[-1]}>"

    return re.sub(r"<(/?)h([1-6])>", lower, html)
