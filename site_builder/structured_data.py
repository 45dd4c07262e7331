"""A quilt as linked data, for search engines: a schema.org VisualArtwork.

Source: schema.org/VisualArtwork; unit codes from UN/CEFACT Recommendation 20 (INH inch, CMT centimetre).
"""

import json

from markupsafe import Markup

from collection.dates import EdtfDate
from collection.lengths import Length
from collection.records.quilt import Quilt
from site_builder.addresses import quilt_path, relative
from site_builder.cards import PICTURE_FOLDER
from site_builder.edition import Edition
from site_builder.facets import colour_terms


def artwork(edition: Edition, quilt: Quilt, *, base: str | None) -> dict[str, object]:
    """The public facts of a quilt as schema.org has them; what is not known is left out.

    `base` is the address of the site, without which nothing has an address or a picture. A quilt's
    length is a work's height there. Never a recipient, a value or a place.
    """
    settings = edition.collection.settings
    cover = edition.cover(quilt)
    size = quilt.finished_size
    made = quilt.made
    facts: dict[str, object | None] = {
        "@context": "https://schema.org",
        "@type": "VisualArtwork",
        "name": quilt.title,
        "alternateName": list(quilt.also_called),
        "artform": "Quilt",
        "creator": {"@type": "Person", "name": settings.maker.name} if settings.maker.name else None,
        "contributor": _person(quilt.quilting.by) if quilt.quilting and quilt.quilting.by else None,
        "artMedium": list(quilt.techniques),
        "material": quilt.fibre.top if quilt.fibre else None,
        "width": _quantity(size.least.width, size.most.width, settings.units) if size else None,
        "height": _quantity(size.least.length, size.most.length, settings.units) if size else None,
        "dateCreated": _iso_date(made) if made else None,
        "temporalCoverage": made.say() if made and not _iso_date(made) else None,
        "keywords": [*quilt.blocks, *(colour_terms(edition, quilt) if edition.shows("colours") else ())],
        "identifier": str(quilt.number) if quilt.number is not None else None,
        "isBasedOn": _pattern(quilt),
        "url": base + relative(quilt_path(quilt.id), seen_from="") if base else None,
        "image": f"{base}{PICTURE_FOLDER}/{cover.largest.file_name}"
        if base and cover
        else None,
    }
    return {name: fact for name, fact in facts.items() if fact not in (None, [])}


_JSON = json.JSONEncoder(ensure_ascii=False, separators=(",", ":"))


def as_script(data: dict[str, object]) -> Markup:
    """Linked data as it may stand inside a script element: nothing in it can end the element."""
    text = _JSON.encode(data)
    return Markup(text.replace("&", "\\u0026").replace("<", "\\u003c").replace(">", "\\u003e"))


def _person(name: str) -> dict[str, str]:
    return {"@type": "Person", "name": name}


def _quantity(least: Length, most: Length, units: str) -> dict[str, object]:
    """A value where it is known, else the two between which it lies."""
    low, high = (round(float(length.inches if units == "in" else length.cm), 2) for length in (least, most))
    value = {"value": low} if least == most else {"minValue": low, "maxValue": high}
    return {"@type": "QuantitativeValue", **value, "unitCode": "INH" if units == "in" else "CMT"}


def _iso_date(made: EdtfDate) -> str | None:
    """A plain year, month or day; schema.org knows nothing of `about`."""
    plain = str(made)
    return plain if plain.replace("-", "").isdigit() and _no_season(plain) else None


def _no_season(plain: str) -> bool:
    return len(plain) != 7 or int(plain[5:]) <= 12


def _pattern(quilt: Quilt) -> dict[str, object] | None:
    if quilt.pattern is None or not quilt.pattern.name:
        return None
    work: dict[str, object] = {"@type": "CreativeWork", "name": quilt.pattern.name}
    if quilt.pattern.designer:
        work["creator"] = _person(quilt.pattern.designer)
    if quilt.pattern.url:
        work["url"] = quilt.pattern.url
    return work
