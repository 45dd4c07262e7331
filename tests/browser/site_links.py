"""Where the files of an edition point to, and whether what they point to is there.

An edition may be moved anywhere, opened from a disk whose letter case counts, and put on a server.
So every address in it has to be relative, stay inside the edition, and name a file (never a folder)
exactly as it is written, with a fragment that is there.
"""

import posixpath
import re
from dataclasses import dataclass, field
from html.parser import HTMLParser
from pathlib import Path
from urllib.parse import unquote, urlsplit

FOLLOWED_BY_A_PERSON = {"a", "area"}
SCHEMES_TO_FOLLOW = {"http", "https", "mailto", "tel"}
ADDRESS_ATTRIBUTES = {
    ("a", "href"),
    ("area", "href"),
    ("link", "href"),
    ("base", "href"),
    ("use", "href"),
    ("use", "xlink:href"),
    ("image", "href"),
    ("image", "xlink:href"),
    ("img", "src"),
    ("script", "src"),
    ("source", "src"),
    ("iframe", "src"),
    ("embed", "src"),
    ("audio", "src"),
    ("video", "src"),
    ("video", "poster"),
    ("track", "src"),
    ("input", "src"),
    ("object", "data"),
    ("form", "action"),
    ("button", "formaction"),
}
SET_ATTRIBUTES = {("img", "srcset"), ("source", "srcset"), ("link", "imagesrcset")}
NEVER_FETCHED = {"canonical", "alternate", "author", "license", "me"}
CSS_ADDRESS = re.compile(r"""url\(\s*(['"]?)(.*?)\1\s*\)|@import\s+(['"])(.*?)\3""")
SRCSET_CANDIDATE = re.compile(r"\s*([^\s,]\S*[^\s,]|[^\s,])(?:\s+([^,\s]*))?\s*(?:,|$)")


@dataclass(frozen=True)
class Reference:
    """An address as it stands in a file; `fetched` when a browser loads it without being asked."""

    address: str
    line: int
    fetched: bool


@dataclass
class Page:
    names: set[str] = field(default_factory=set)
    references: list[Reference] = field(default_factory=list)


def srcset_candidates(value: str) -> dict[str, str]:
    """The addresses of a srcset, each with the width or density that it claims.

    >>> srcset_candidates("a-400.jpg 400w, a-800.jpg 800w"), srcset_candidates("b.jpg")
    ({'a-400.jpg': '400w', 'a-800.jpg': '800w'}, {'b.jpg': ''})
    """
    return {found[1]: found[2] or "" for found in SRCSET_CANDIDATE.finditer(value)}


def css_addresses(text: str) -> list[str]:
    """The addresses of a style sheet or of a style attribute.

    >>> css_addresses("@import 'a.css'; p { background: url(b.png) }")
    ['a.css', 'b.png']
    """
    return [found[2] or found[4] for found in CSS_ADDRESS.finditer(text)]


class _Reader(HTMLParser):
    def __init__(self):
        super().__init__(convert_charrefs=True)
        self.page = Page()
        self._in_style = False

    def handle_starttag(self, tag, attributes):
        self._in_style = tag == "style"
        given = {name: value or "" for name, value in attributes}
        if given.get("id"):
            self.page.names.add(given["id"])
        relations = set(given.get("rel", "").split())
        named_only = tag == "link" and relations & NEVER_FETCHED
        fetched = tag not in FOLLOWED_BY_A_PERSON and not named_only
        for name, value in given.items():
            if (tag, name) in ADDRESS_ATTRIBUTES:
                self._note([value], fetched)
            elif (tag, name) in SET_ATTRIBUTES:
                self._note(srcset_candidates(value), fetched)
            elif name == "style":
                self._note(css_addresses(value), fetched=True)
        if tag == "meta" and given.get("http-equiv", "").lower() == "refresh":
            self._note([given["content"].partition("url=")[2]], fetched=True)

    handle_startendtag = handle_starttag

    def handle_data(self, data):
        if self._in_style:
            self._note(css_addresses(data), fetched=True)

    def _note(self, addresses, fetched):
        line, _ = self.getpos()
        self.page.references += [Reference(address, line, fetched) for address in addresses]


def read_page(text: str) -> Page:
    reader = _Reader()
    reader.feed(text)
    reader.close()
    return reader.page


@dataclass
class Edition:
    """The files of an edition by their path inside it, and what pages and style sheets refer to.

    Only `shown_anywhere`, which a web server shows at any address, may count its ways from the site's root:
    it must, and the root of the site is taken to be the edition.
    """

    files: set[str]
    pages: dict[str, Page]
    shown_anywhere: str | None = None

    @classmethod
    def read(cls, folder: Path, *, shown_anywhere: str | None = None) -> "Edition":
        files = {path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()}
        pages = {}
        for name in sorted(files):
            if name.endswith((".html", ".svg")):
                pages[name] = read_page((folder / name).read_text(encoding="utf-8"))
            elif name.endswith(".css"):
                found = css_addresses((folder / name).read_text(encoding="utf-8"))
                pages[name] = Page(references=[Reference(address, 0, True) for address in found])
        return cls(files, pages, shown_anywhere)

    def broken(self) -> list[str]:
        """A line for every address that leads nowhere, or out of the edition."""
        return [
            f"{name}:{reference.line}: {reference.address!r} {fault}"
            for name, page in self.pages.items()
            for reference in page.references
            if (fault := self._fault(name, reference))
        ]

    def unreachable(self, start: str = "index.html") -> set[str]:
        """Pages that nobody gets to by following links from the first one."""
        reached, waiting = {start}, [start]
        while waiting:
            for target in self._targets(waiting.pop()) - reached:
                reached.add(target)
                waiting.append(target)
        return {name for name in self.pages if name.endswith(".html")} - reached

    def _targets(self, name: str) -> set[str]:
        addresses = (urlsplit(reference.address) for reference in self.pages[name].references)
        inside = {self._inside(name, unquote(parts.path)) for parts in addresses if not parts.scheme}
        return inside & self.pages.keys()

    def _inside(self, name: str, path: str) -> str:
        return posixpath.normpath(posixpath.join(posixpath.dirname(name), path)) if path else name

    def _fault(self, name: str, reference: Reference) -> str | None:
        parts = urlsplit(reference.address)
        if parts.scheme == "data" and reference.fetched:
            return None
        if parts.scheme or parts.netloc:
            if reference.fetched or parts.scheme not in SCHEMES_TO_FOLLOW:
                return "is loaded from elsewhere" if reference.fetched else "cannot be followed"
            return None
        rooted = reference.address.startswith("/")
        if rooted and name != self.shown_anywhere:
            return "works only at the root of a server"
        if name == self.shown_anywhere and not rooted and parts.path:
            return "works at one address only"
        path = unquote(parts.path).removeprefix("/")
        target = self._inside(name, path)
        if target.startswith(".."):
            return "leads out of the edition"
        if path.endswith("/") or target not in self.files:
            return self._why_missing(target)
        has_names = target in self.pages and target.endswith((".html", ".svg"))
        if parts.fragment and has_names and unquote(parts.fragment) not in self.pages[target].names:
            return f"names a place that {target} does not have"
        return None

    def _why_missing(self, target: str) -> str:
        if any(file.startswith(f"{target}/") for file in self.files) or target == ".":
            return "names a folder, which opens no page from a disk"
        for file in self.files:
            if file.casefold() == target.casefold():
                return f"is written {file} on the disk"
        return "leads nowhere"
