"""The pages of a built site once more, as a compiled general-purpose site generator writes them.

Each page is a content file for it: what its head says and the cards of its quilts as front matter, of
which a template makes HTML, and the rest as HTML to be taken over. So it reads, templates and writes as
many pages with the same contents; it has nothing to reckon, and need not make the sizes, settings and
tables of a quilt's page.
"""

import html
import json
import re
import shutil
from pathlib import Path

from timed_runs import Taken, run

EDITIONS = ("catalogue", "binder")

_PAGE = """<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>{{ .Title }}</title>
<meta name="description" content="{{ .Description }}">
{{- with .Params.canonical }}
<link rel="canonical" href="{{ . }}">
<meta property="og:url" content="{{ . }}">
{{- end }}
<meta property="og:title" content="{{ .Title }}">
<meta property="og:description" content="{{ .Description }}">
{{- $top := .Params.top }}
{{- range (slice "tokens" "base" "stitch" "page" "hung" "wall" "wall-tools" "quilt" "patchwork" "tables") }}
<link rel="stylesheet" href="{{ $top }}assets/css/{{ . }}.css">
{{- end }}
</head>
<body>
{{ .Params.strip | safeHTML }}
<nav aria-label="Pages">
<ul class="nav">
{{- range .Params.nav }}
<li><a href="{{ .href }}"{{ with .current }} aria-current="{{ . }}"{{ end }}>{{ .label }}</a></li>
{{- end }}
</ul>
</nav>
<main class="main" id="main">
{{- range .Params.parts }}
{{- with .html }}{{ . | safeHTML }}{{ end }}
{{- with .cards }}
<ul class="hang">
{{- range . }}
<li class="{{ .class }}"><a href="{{ .href }}">{{ .picture | safeHTML }}<span class="title">{{ .title }}</span></a>
{{- range .facts }}<p>{{ . }}</p>{{ end }}</li>
{{- end }}
</ul>
{{- end }}
{{- end }}
</main>
<footer class="colophon"><p>Kept here.</p></footer>
</body>
</html>
"""
_KINDS_NOT_WANTED = ["home", "section", "taxonomy", "term", "RSS", "sitemap", "robotsTXT", "404"]

_CARDS = re.compile(r'<ul class="hang[^"]*">\n(.*?)\n</ul>', re.DOTALL)
_CARD = re.compile(
    r'<li class="([^"]*)"><a href="([^"]*)">(.*?)<span class="title">(.*?)</span></a>(.*?)</li>', re.DOTALL
)


class HugoSites:
    """Both editions of a built site as sources of hugo, and a command that builds them."""

    def __init__(self, built: Path, place: Path):
        self.place = place
        self.pages = sum(self._write_site(built / name, place / name) for name in EDITIONS)

    def build(self, *, anew: bool) -> Taken:
        """Build both, one after the other; `anew` without the pages of the time before."""
        taken = []
        for name in EDITIONS:
            if anew:
                shutil.rmtree(self.place / name / "public", ignore_errors=True)
            taken.append(run(["hugo", "--source", self.place / name, "--quiet"]))
        return Taken(sum(each.wall for each in taken), sum(each.processor for each in taken))

    def change_one(self, words: str) -> None:
        """Other words on one quilt's page in each edition."""
        for name in EDITIONS:
            path = next((self.place / name / "content").glob(_content_name("quilts/*")))
            front = json.loads(path.read_text(encoding="utf-8"))
            front["description"] = words
            path.write_text(json.dumps(front) + "\n", encoding="utf-8")

    def written(self) -> int:
        return sum(1 for name in EDITIONS for _ in (self.place / name / "public").rglob("*.html"))

    @staticmethod
    def _write_site(edition: Path, site: Path) -> int:
        (site / "layouts/_default").mkdir(parents=True)
        (site / "layouts/_default/single.html").write_text(_PAGE)
        (site / "config.json").write_text(
            json.dumps({"baseURL": "https://quilts.example/", "disableKinds": _KINDS_NOT_WANTED})
        )
        (site / "content").mkdir()
        pages = sorted(edition.rglob("*.html"))
        for page in pages:
            path = page.relative_to(edition).as_posix()
            front = _front_matter(path, page.read_text(encoding="utf-8"))
            (site / "content" / _content_name(path)).write_text(json.dumps(front) + "\n", encoding="utf-8")
        return len(pages)


def _content_name(path: str) -> str:
    """Not `index.html`, which has a meaning of its own."""
    return f"page--{path.replace('/', '--')}"


def _front_matter(path: str, page: str) -> dict[str, object]:
    begin = page.index('<main class="main" id="main">')
    head, main = page[:begin], page[page.index("\n", begin) : page.rindex("</main>")]

    def found(pattern: str) -> str:
        match = re.search(pattern, head, re.DOTALL)
        return match[1] if match else ""

    return {
        "url": f"/{path}",
        "top": "../" * path.count("/"),
        "title": html.unescape(found(r"<title>(.*?)</title>")),
        "description": html.unescape(found(r'name="description" content="([^"]*)"')),
        "canonical": found(r'rel="canonical" href="([^"]*)"'),
        "strip": found(r'(<svg class="head-strip".*?</svg>)'),
        "nav": [
            {"href": href, "current": current, "label": html.unescape(label)}
            for href, current, label in re.findall(
                r'<li><a href="([^"]*)"(?: aria-current="(\w+)")?>([^<]*)</a></li>', head
            )
        ],
        "parts": _parts(main),
    }


def _parts(main: str) -> list[dict[str, object]]:
    """A page's own part: HTML as it is, and between it the cards."""
    parts: list[dict[str, object]] = []
    at = 0
    for cards in _CARDS.finditer(main):
        parts.append({"html": main[at : cards.start()]})
        parts.append(
            {
                "cards": [
                    {
                        "class": kind,
                        "href": href,
                        "picture": picture,
                        "title": html.unescape(title),
                        "facts": [html.unescape(fact) for fact in re.findall(r"<p>(.*?)</p>", facts)],
                    }
                    for kind, href, picture, title, facts in _CARD.findall(cards[1])
                ]
            }
        )
        at = cards.end()
    return [*parts, {"html": main[at:]}]
