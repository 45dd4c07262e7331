"""The files of an edition for programs: the feed, the site map, and the catalogue as data."""

import json
import re
from collections.abc import Sequence
from datetime import date
from xml.etree import ElementTree

from markupsafe import Markup

from collection.records.quilt import Quilt
from collection.values.lengths import Length, Size
from site_builder.pages.binder.notice import NOTICE, NOTICE_FILE
from site_builder.pages.cards import PICTURE_FOLDER
from site_builder.pages.edition import Edition
from site_builder.pages.facets import colour_terms, newest_first
from site_builder.pages.quilt import describe, story_of
from site_builder.text.urls import NOT_FOUND, quilt_path, relative
from site_builder.text.wording import standing_of

NEWEST = 30
NO_DATE = "1970-01-01T00:00:00Z"
FEED_PICTURE = 800
"""The least number of pixels of the longer edge, for the column of text of a feed reader."""

ATOM = "http://www.w3.org/2005/Atom"
SITE_MAP = "http://www.sitemaps.org/schemas/sitemap/0.9"

# Characters that no XML file may contain, not even escaped. Source: XML 1.0, production 2 (Char).
_NOT_IN_XML = "[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]"


def web_files(edition: Edition, pages: Sequence[str]) -> dict[str, bytes]:
    """The files by their paths; `pages` are the paths of the edition's pages.

    The binder has none for programs, only a notice that it is private.
    """
    if edition.is_binder:
        return {NOTICE_FILE: NOTICE.encode()}
    made = {"catalogue.json": _catalogue(edition)}
    url = edition.collection.settings.site.url
    if url:
        base = url.rstrip("/") + "/"
        made["feed.xml"] = _as_xml(_feed(edition, base))
        made["sitemap.xml"] = _as_xml(_site_map(pages, base))
    return {path: text.encode("utf-8") for path, text in made.items()}


# The catalogue as data --------------------------------------------------------------------------


def _catalogue(edition: Edition) -> str:
    """JSON with a line for each quilt, so that two versions of it can be compared line by line."""
    quilts = (_quilt_as_data(edition, quilt) for quilt in newest_first(edition.collection.quilts.values()))
    lines = ",\n".join(json.dumps(quilt, ensure_ascii=False) for quilt in quilts)
    title = json.dumps(edition.collection.settings.title, ensure_ascii=False)
    return f'{{"title": {title}, "quilts": [\n{lines}\n]}}\n'


def _quilt_as_data(edition: Edition, quilt: Quilt) -> dict[str, object]:
    """One quilt's public facts, without the unknown ones. Addresses are relative to the catalogue."""
    size = quilt.finished_size
    standing = standing_of(quilt, edition.collection)
    facts: dict[str, object] = {
        "id": quilt.id,
        "title": quilt.title,
        "address": relative(quilt_path(quilt.id), seen_from=""),
        "number": quilt.number,
        "made": str(quilt.made) if quilt.made else None,
        "finished_size": _size(size) if size else None,
        "category": edition.collection.category_key(quilt),
        "pattern": quilt.pattern.name if quilt.pattern else None,
        "fabric_lines": [line.name for line in quilt.fabric_lines],
        "blocks": list(quilt.blocks),
        "techniques": list(quilt.techniques),
        "colours": list(colour_terms(edition, quilt)) if edition.shows("colours") else [],
        "palette": list(edition.palette(quilt)),
        "suits": list(quilt.suits),
        "destination": None if standing == "undecided" else standing,
    }
    return {name: fact for name, fact in facts.items() if fact not in (None, [])}


def _size(size: Size) -> dict[str, object]:
    """Width and length; of an approximate size its middle, with the least and the most that it may be."""
    middle: dict[str, object] = {"width": _length(size.width), "length": _length(size.length)}
    if not size.approximate:
        return middle
    least, most = ({"width": _length(each.width), "length": _length(each.length)} for each in (size.least, size.most))
    return {**middle, "approximate": True, "least": least, "most": most}


def _length(length: Length) -> dict[str, object]:
    return {"in": length.in_inches(), "cm": float(length.in_cm())}


# Feed -------------------------------------------------------------------------------------------


def _feed(edition: Edition, base: str) -> ElementTree.Element:
    """The newest quilts as an Atom feed. Source: RFC 4287.

    The same records give the same feed: the date of an entry is the first day on which its quilt may have been
    made. When that becomes known more exactly, the date can only become later, as feed readers expect of a change.
    A quilt without such a day is not in the feed.
    """
    settings = edition.collection.settings
    days = ((quilt.made and quilt.made.earliest, quilt) for quilt in edition.collection.quilts.values())
    dated = [(day, quilt) for day, quilt in days if day]
    newest = sorted(dated, key=lambda each: (each[0], each[1].id), reverse=True)[:NEWEST]
    feed = ElementTree.Element("feed", {"xmlns": ATOM, "xml:lang": settings.site.language})
    _add(feed, "id", base)
    _add(feed, "title", settings.title)
    if settings.site.description:
        _add(feed, "subtitle", settings.site.description)
    _add(feed, "updated", _instant(newest[0][0]) if newest else NO_DATE)
    _add(_add(feed, "author"), "name", settings.maker.name or settings.title)
    _add(feed, "link", href=base)
    _add(feed, "link", rel="self", href=f"{base}feed.xml")
    if settings.site.rights:
        _add(feed, "rights", settings.site.rights)
    _add(feed, "generator", "Counterpane")
    feed.extend(_entry(edition, quilt, day, base) for day, quilt in newest)
    return feed


def _entry(edition: Edition, quilt: Quilt, day: date, base: str) -> ElementTree.Element:
    address = base + relative(quilt_path(quilt.id), seen_from="")
    entry = ElementTree.Element("entry")
    _add(entry, "id", address)
    _add(entry, "title", quilt.title)
    _add(entry, "updated", _instant(day))
    _add(entry, "link", href=address)
    _add(entry, "summary", describe(edition, quilt))
    content = _picture(edition, quilt, base) + (story_of(quilt) or "")
    if content:
        _add(entry, "content", content, {"type": "html", "xml:base": address})
    return entry


def _picture(edition: Edition, quilt: Quilt, base: str) -> Markup:
    cover = edition.cover(quilt)
    if cover is None or cover.problem:
        return Markup()
    shown = cover.at_least(FEED_PICTURE)
    return Markup('<p><img src="{}" width="{}" height="{}" alt="{}"></p>').format(
        f"{base}{PICTURE_FOLDER}/{shown.file_name}", shown.width, shown.height, quilt.title
    )


def _instant(day: date) -> str:
    return f"{day.isoformat()}T00:00:00Z"


# Site map ---------------------------------------------------------------------------------------


def _site_map(pages: Sequence[str], base: str) -> ElementTree.Element:
    """Source: sitemaps.org protocol 0.9."""
    whole = ElementTree.Element("urlset", {"xmlns": SITE_MAP})
    for path in pages:
        if path != NOT_FOUND:
            _add(_add(whole, "url"), "loc", base + relative(path, seen_from=""))
    return whole


# XML --------------------------------------------------------------------------------------------


def _add(
    parent: ElementTree.Element,
    tag: str,
    text: str | None = None,
    attributes: dict[str, str] | None = None,
    **more: str,
) -> ElementTree.Element:
    child = ElementTree.SubElement(parent, tag, attributes or {}, **more)
    # A plain str, as ElementTree would escape Markup twice.
    child.text = str(text) if text is not None else None
    return child


def _as_xml(root: ElementTree.Element) -> str:
    ElementTree.indent(root, "")
    text = ElementTree.tostring(root, encoding="unicode")
    return '<?xml version="1.0" encoding="utf-8"?>\n' + re.sub(_NOT_IN_XML, "", text) + "\n"
