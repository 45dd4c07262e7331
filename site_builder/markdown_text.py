"""The maker's own words in Markdown, made into HTML that can do no harm."""

import re
import threading
from functools import lru_cache
from typing import TYPE_CHECKING

import nh3
from markupsafe import Markup, escape

from site_builder.markdown_effort import effort

if TYPE_CHECKING:
    from markdown import Markdown

_TAGS = {
    "a", "abbr", "b", "blockquote", "br", "cite", "code", "dd", "del", "dl", "dt", "em", "h1", "h2", "h3",
    "h4", "h5", "h6", "hr", "i", "ins", "li", "ol", "p", "pre", "q", "s", "small", "strong", "sub", "sup",
    "table", "tbody", "td", "th", "thead", "tr", "ul",
}  # fmt: skip
_ATTRIBUTES = {"a": {"href", "title"}, "abbr": {"title"}, "ol": {"start"}, "th": {"scope"}}
_SCHEMES = {"http", "https", "mailto"}
MOST_EFFORT = 2_000_000


# A story stands on a quilt's page in each edition, and in the feed.
@lru_cache(maxsize=4096)
def to_html(text: str, *, headings_below: int = 1) -> Markup:
    """Markdown as HTML of plain tags only: no script, no style, no picture, no address but web and mail.

    The headings of the text are moved below the level of the page's own, so that the outline stays whole.
    What would take too long to read as Markdown, as nobody writes it, is shown as it is written.
    """
    safe = nh3.clean(
        _raw_html(text),
        tags=_TAGS,
        attributes=_ATTRIBUTES,
        url_schemes=_SCHEMES,
        link_rel="noopener",
        clean_content_tags={"script", "style", "iframe", "object", "svg", "math"},
    )
    return Markup(_lower_headings(safe, headings_below))


def _raw_html(text: str) -> str:
    if effort(text) > MOST_EFFORT:
        return f"<pre>{escape(text)}</pre>"
    try:
        return _reader().reset().convert(text)
    except RecursionError:  # lists within lists, deeper than anybody means them
        del _OF_THREAD.reader  # It goes on where it stopped, whatever the next text is.
        return f"<pre>{escape(text)}</pre>"


# To make a reader takes longer than to read a story. Each thread has one, as it remembers what it is reading.
_OF_THREAD = threading.local()


def _reader() -> "Markdown":
    if not hasattr(_OF_THREAD, "reader"):
        from markdown import Markdown  # Many builds read no words anew, and it takes long to load.

        _OF_THREAD.reader = Markdown(extensions=["tables", "sane_lists"], output_format="html")
    return _OF_THREAD.reader


def _lower_headings(html: str, below: int) -> str:
    """Number the headings anew from the level below the page's: each one level below the last that is
    above it, so that no level is left out."""
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
