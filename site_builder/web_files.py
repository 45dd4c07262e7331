"""What an edition has besides pages, for programs: the feed, the site map, and the catalogue as data."""

import json
from collections.abc import Sequence
from xml.sax.saxutils import escape, quoteattr

from collection.records.quilt import Quilt
from site_builder.addresses import quilt_path, relative
from site_builder.edition import Edition, PageSpec
from site_builder.facets import colour_terms, newest_first
from site_builder.quilt_pages import describe, story_of
from site_builder.words import standing_of

NEWEST = 30
NO_DATE = "1970-01-01T00:00:00Z"


def web_files(edition: Edition, specs: Sequence[PageSpec]) -> dict[str, bytes]:
    """The files by their paths. The binder has none: nothing out there should read it."""
    if edition.is_binder:
        return {}
    made = {"catalogue.json": _catalogue(edition)}
    url = edition.collection.settings.site.url
    if url:
        base = url.rstrip("/") + "/"
        made["feed.xml"] = _feed(edition, base)
        made["sitemap.xml"] = _site_map(specs, base)
    return {path: text.encode("utf-8") for path, text in made.items()}


def _catalogue(edition: Edition) -> str:
    quilts = [_quilt_as_data(edition, quilt) for quilt in newest_first(edition.collection.quilts.values())]
    whole = {"title": edition.collection.settings.title, "quilts": quilts}
    return json.dumps(whole, ensure_ascii=False, indent=1) + "\n"


def _quilt_as_data(edition: Edition, quilt: Quilt) -> dict[str, object]:
    """One quilt's public facts; what is not known is left out."""
    size = quilt.finished_size
    facts: dict[str, object | None] = {
        "id": quilt.id,
        "title": quilt.title,
        "address": quilt_path(quilt.id),
        "number": quilt.number,
        "made": str(quilt.made) if quilt.made else None,
        "finished_size": {"in": size.in_inches(), "cm": size.in_cm()} if size else None,
        "category": edition.collection.category_key(quilt),
        "pattern": quilt.pattern.name if quilt.pattern else None,
        "fabric_lines": [line.name for line in quilt.fabric_lines],
        "blocks": list(quilt.blocks),
        "techniques": list(quilt.techniques),
        "colours": list(colour_terms(edition, quilt)) if edition.shows("colours") else [],
        "palette": list(edition.palette(quilt)),
        "suits": list(quilt.suits),
        "destination": standing_of(quilt, edition.collection) if edition.shows("destination") else None,
    }
    return {name: fact for name, fact in facts.items() if fact not in (None, [])}


def _feed(edition: Edition, base: str) -> str:
    """Atom 1.0. An entry's day is when the quilt was made, as exactly as that is known.

    Source: RFC 4287.
    """
    settings = edition.collection.settings
    dated = [q for q in edition.collection.quilts.values() if q.made is not None and q.made.latest is not None]
    newest = sorted(dated, key=lambda quilt: (quilt.made.latest, quilt.id), reverse=True)[:NEWEST]
    updated = _instant(newest[0]) if newest else NO_DATE
    author = settings.maker.name or settings.title
    entries = "".join(_entry(edition, quilt, base) for quilt in newest)
    return (
        '<?xml version="1.0" encoding="utf-8"?>\n'
        '<feed xmlns="http://www.w3.org/2005/Atom">\n'
        f"<id>{escape(base)}</id>\n<title>{escape(settings.title)}</title>\n"
        f"<updated>{updated}</updated>\n<author><name>{escape(author)}</name></author>\n"
        f"<link href={quoteattr(base)}/>\n<link rel=\"self\" href={quoteattr(base + 'feed.xml')}/>\n"
        f"{entries}</feed>\n"
    )


def _entry(edition: Edition, quilt: Quilt, base: str) -> str:
    address = base + relative(quilt_path(quilt.id), seen_from="")
    story = story_of(quilt)
    content = f'<content type="html">{escape(story)}</content>\n' if story else ""
    return (
        f"<entry>\n<id>{escape(address)}</id>\n<title>{escape(quilt.title)}</title>\n"
        f"<updated>{_instant(quilt)}</updated>\n<link href={quoteattr(address)}/>\n"
        f"<summary>{escape(describe(edition, quilt))}</summary>\n{content}</entry>\n"
    )


def _instant(quilt: Quilt) -> str:
    return f"{quilt.made.latest.isoformat()}T00:00:00Z"


def _site_map(specs: Sequence[PageSpec], base: str) -> str:
    """Source: sitemaps.org protocol 0.9."""
    addresses = [base + relative(spec.path, seen_from="") for spec in specs if spec.path != "404.html"]
    lines = "".join(f"<url><loc>{escape(address)}</loc></url>\n" for address in addresses)
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        f'<urlset xmlns="http://www.sitemaps.org/schemas/sitemap/0.9">\n{lines}</urlset>\n'
    )
