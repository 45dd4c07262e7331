"""A quilt as linked data, for search engines: a schema.org VisualArtwork.

Source: schema.org/VisualArtwork; unit codes from UN/CEFACT Recommendation 20 (INH inch, CMT centimetre).
"""

import json

from markupsafe import Markup

from collection.records.quilt import Quilt
from collection.values.dates import EdtfDate
from collection.values.lengths import Length
from site_builder.pages.cards import PICTURE_FOLDER
from site_builder.pages.edition import Edition
from site_builder.pages.facets import colour_terms
from site_builder.text.urls import quilt_path, relative


def artwork(edition: Edition, quilt: Quilt, *, base: str | None) -> dict[str, object]:
    """The public facts of a quilt as schema.org has them, without the unknown ones.

    `base` is the address of the site; without it nothing has an address or a picture. A quilt's length is a work's
    height there. It never holds a recipient, a value or a place.
    """
    settings = edition.collection.settings
    by = quilt.quilting.by if quilt.quilting else None
    facts: dict[str, object] = {
        "@context": "https://schema.org",
        "@type": "VisualArtwork",
        "name": quilt.title,
        "alternateName": list(quilt.also_called),
        "artform": "Quilt",
        "creator": _person(settings.maker.name),
        "contributor": _person(by),
        "artMedium": list(quilt.techniques),
        "material": quilt.fibre.top if quilt.fibre else None,
        **_sides(quilt, settings.units),
        **_dates(quilt.made),
        "keywords": [*quilt.blocks, *(colour_terms(edition, quilt) if edition.shows("colours") else ())],
        "identifier": str(quilt.number) if quilt.number is not None else None,
        "isBasedOn": _pattern(quilt),
        **_addresses(edition, quilt, base),
    }
    return {name: fact for name, fact in facts.items() if fact not in (None, [])}


def _sides(quilt: Quilt, units: str) -> dict[str, object]:
    size = quilt.finished_size
    if size is None:
        return {}
    least, most = size.least, size.most
    width, height = _quantity(least.width, most.width, units), _quantity(least.length, most.length, units)
    return {"width": width, "height": height}


def _dates(made: EdtfDate | None) -> dict[str, object]:
    if made is None:
        return {}
    plain = _iso_date(made)
    return {"dateCreated": plain} if plain else {"temporalCoverage": made.say()}


def _addresses(edition: Edition, quilt: Quilt, base: str | None) -> dict[str, object]:
    if base is None:
        return {}
    cover = edition.cover(quilt)
    image = f"{base}{PICTURE_FOLDER}/{cover.largest.file_name}" if cover else None
    return {"url": base + relative(quilt_path(quilt.id), seen_from=""), "image": image}


_JSON = json.JSONEncoder(ensure_ascii=False, separators=(",", ":"))


def as_script(data: dict[str, object]) -> Markup:
    """Linked data for a script element: nothing in it can end the element."""
    text = _JSON.encode(data)
    return Markup(text.replace("&", "\\u0026").replace("<", "\\u003c").replace(">", "\\u003e"))


def _person(name: str | None) -> dict[str, str] | None:
    return {"@type": "Person", "name": name} if name else None


def _quantity(least: Length, most: Length, units: str) -> dict[str, object]:
    """The value where it is exact, else its least and most."""
    low, high = (round(float(length.inches if units == "in" else length.cm), 2) for length in (least, most))
    value = {"value": low} if least == most else {"minValue": low, "maxValue": high}
    return {"@type": "QuantitativeValue", **value, "unitCode": "INH" if units == "in" else "CMT"}


def _iso_date(made: EdtfDate) -> str | None:
    """A plain year, month or day; schema.org has no approximate dates."""
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
