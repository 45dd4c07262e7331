"""What is wrong with a page as a document: its markup, its outline, its labels, its own policy."""

import json
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cached_property
from xml.etree.ElementTree import Element

import html5lib
from html5lib.constants import E as PARSE_ERRORS

HEADINGS = ("h1", "h2", "h3", "h4", "h5", "h6")
REFERRING = (
    "for",
    "aria-labelledby",
    "aria-describedby",
    "aria-controls",
    "aria-owns",
    "headers",
    "list",
)
DATA_SCRIPTS = ("application/json", "application/ld+json")
MAY_HOLD = {
    "ul": {"li", "script", "template"},
    "ol": {"li", "script", "template"},
    "dl": {"dt", "dd", "div", "script", "template"},
    "picture": {"source", "img"},
    "select": {"option", "optgroup", "hr"},
}
LABELLED = {"input", "select", "textarea"}
NAMED_BY_THEIR_VALUE = {"hidden", "submit", "reset", "button"}
NOT_IN_A_LINK = {"a", "button", "input", "select", "textarea", "summary"}


@dataclass(frozen=True)
class Document:
    """A parsed page, with what its parser complained about."""

    html: Element
    complaints: tuple[str, ...]

    @classmethod
    def parse(cls, text: str) -> "Document":
        parser = html5lib.HTMLParser(namespaceHTMLElements=False)
        root = parser.parse(text)
        complaints = [f"line {line}: {PARSE_ERRORS[code] % values}" for (line, _), code, values in parser.errors]
        return cls(root, tuple(complaints))

    @cached_property
    def elements(self) -> list[Element]:
        return [element for element in self.html.iter() if isinstance(element.tag, str)]

    def all(self, *tags: str) -> list[Element]:
        return [element for element in self.elements if element.tag in tags]

    @cached_property
    def ids(self) -> Counter[str]:
        return Counter(element.get("id") for element in self.elements if element.get("id") is not None)

    @property
    def title(self) -> str:
        return " ".join(text_of(title) for title in self.html.findall("head/title"))

    def meta(self, name: str) -> str | None:
        metas = (meta for meta in self.all("meta") if meta.get("name") == name)
        return next((meta.get("content") for meta in metas), None)

    @cached_property
    def policy(self) -> dict[str, list[str]]:
        """The page's own content security policy: the sources allowed, by directive."""
        for meta in self.all("meta"):
            if meta.get("http-equiv", "").lower() == "content-security-policy":
                directives = (part.split() for part in meta.get("content", "").split(";"))
                return {words[0]: words[1:] for words in directives if words}
        return {}

    def allows_inline(self, kind: str) -> bool:
        sources = self.policy.get(kind, self.policy.get("default-src"))
        return sources is None or "'unsafe-inline'" in sources


def text_of(element: Element) -> str:
    return " ".join("".join(element.itertext()).split())


def described(element: Element) -> str:
    given = (element.get(attribute) for attribute in ("id", "name", "src"))
    named = next(filter(None, given), text_of(element)[:40])
    return f"<{element.tag}> {named!r}"


def faults(document: Document) -> list[str]:
    """A line for everything wrong with a page; empty for a sound one."""
    return [*document.complaints, *(fault for rule in RULES for fault in rule(document))]


def _head(document: Document) -> Iterator[str]:
    if not document.html.get("lang"):
        yield "the page does not say its language"
    titles = document.html.findall("head/title")
    if len(titles) != 1 or not text_of(titles[0]):
        yield "the page needs one title"
    if not document.meta("description"):
        yield "the page does not describe itself"
    if not document.meta("viewport"):
        yield "the page does not fit itself to a phone"
    if not any("icon" in link.get("rel", "").split() for link in document.all("link")):
        yield "the page names no icon, so browsers ask for one at the root of the server"
    if not any(meta.get("charset", "").lower() == "utf-8" for meta in document.all("meta")):
        yield "the page does not say that it is UTF-8"


def _ids(document: Document) -> Iterator[str]:
    for name, count in document.ids.items():
        if count > 1:
            yield f"the id {name!r} stands {count} times"
        if not name or name.split() != [name]:
            yield f"the id {name!r} is empty or has a space in it"
    for element in document.elements:
        for attribute in REFERRING:
            for name in element.get(attribute, "").split():
                if name not in document.ids:
                    yield f"{described(element)} has {attribute} {name!r}, which is not there"


def _pictures(document: Document) -> Iterator[str]:
    for picture in document.all("img"):
        if picture.get("alt") is None:
            yield f"{described(picture)} has no alt text"
        if not (picture.get("width", "").isdigit() and picture.get("height", "").isdigit()):
            yield f"{described(picture)} does not keep its place while it loads (width, height)"
        if " " in picture.get("srcset", "").strip() and not picture.get("sizes"):
            yield f"{described(picture)} has a srcset without sizes"


def _labels(document: Document) -> Iterator[str]:
    labelled = {label.get("for") for label in document.all("label")}
    wrapped = {field for label in document.all("label") for field in label.iter()}
    for field in document.all(*LABELLED):
        named = field.get("aria-label") or field.get("aria-labelledby")
        named = named or field in wrapped or field.get("id") in labelled
        if not named and field.get("type") not in NAMED_BY_THEIR_VALUE:
            yield f"{described(field)} has no label"


def _outline(document: Document) -> Iterator[str]:
    headings = document.all(*HEADINGS)
    if sum(heading.tag == "h1" for heading in headings) != 1:
        yield "the page needs one h1"
    if len(document.all("main")) != 1:
        yield "the page needs one main"
    level = 0
    for heading in headings:
        if not text_of(heading) and not list(heading.iter("img")):
            yield f"an empty {heading.tag}"
        here = int(heading.tag[1])
        if here > level + 1:
            yield f"{described(heading)} comes after a heading of level {level}"
        level = here


def _nesting(document: Document) -> Iterator[str]:
    for parent in document.elements:
        for child in parent:
            if isinstance(child.tag, str) and child.tag not in MAY_HOLD.get(parent.tag, {child.tag}):
                yield f"{described(parent)} holds {described(child)}"
    for outer in document.all("a", "button"):
        for inner in outer.iter():
            if inner is not outer and inner.tag in NOT_IN_A_LINK:
                yield f"{described(outer)} holds {described(inner)}, which wants clicks of its own"


def _tables(document: Document) -> Iterator[str]:
    for table in document.all("table"):
        if not list(table.iter("th")):
            yield f"{described(table)} has no heading cells"
        widths = Counter(
            sum(int(cell.get("colspan", 1)) for cell in row if cell.tag in ("td", "th")) for row in table.iter("tr")
        )
        spans_rows = any(cell.get("rowspan") for cell in table.iter())
        if len(widths) > 1 and not spans_rows:
            yield f"{described(table)} has rows of different lengths: {sorted(widths)}"


def _policy(document: Document) -> Iterator[str]:
    if not document.policy:
        yield "the page has no content security policy"
    elif "default-src" not in document.policy:
        yield "the policy says nothing of what it does not name (default-src)"
    if document.allows_inline("script-src"):
        yield "the policy allows inline scripts"
    for element in document.elements:
        for attribute in element.attrib:
            if attribute.startswith("on"):
                yield f"{described(element)} has a script in its {attribute}"
        if element.get("style") is not None and not document.allows_inline("style-src"):
            yield f"{described(element)} has a style of its own, which the policy forbids"
    for script in document.all("script"):
        if script.get("src") is None and script.get("type") not in DATA_SCRIPTS:
            yield f"an inline script: {text_of(script)[:40]!r}"
        if script.get("type") == "module":
            yield f"{described(script)} is a module, which does not load from a disk"
        if script.get("type") in DATA_SCRIPTS:
            try:
                json.loads("".join(script.itertext()))
            except ValueError as problem:
                yield f"a script of data that is no JSON: {problem}"
    if document.all("style") and not document.allows_inline("style-src"):
        yield "a style element, which the policy forbids"


RULES: tuple[Callable[[Document], Iterator[str]], ...] = (
    _head,
    _ids,
    _pictures,
    _labels,
    _outline,
    _nesting,
    _tables,
    _policy,
)
