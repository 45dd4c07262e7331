"""Labels to sew on, printed on sheets of fabric, and storage tags, each with a code to the quilt's page.

A label goes out into the world with its quilt: it says what the maker publishes and how to wash the quilt,
in words. A tag stays in the house, and says where the quilt is kept.
"""

import io
from collections.abc import Iterable
from dataclasses import dataclass
from urllib.parse import quote

from collection.care_lines import care_line
from collection.holdings import Collection
from collection.records.quilt import Quilt
from site_builder.addresses import quilt_path
from site_builder.words import number_words, size_both

ERROR_LEVEL = "m"
"""15 % of a code may be worn away. Source: from memory, ISO/IEC 18004."""

QUIET_ZONE = 4
"""Modules left blank round a code. Source: from memory, ISO/IEC 18004."""


@dataclass(frozen=True, slots=True)
class QuiltLabel:
    """What is printed on the cloth."""

    id: str
    title: str
    by: str | None
    quilted_by: str | None
    made: str | None
    care: tuple[str, str]


@dataclass(frozen=True, slots=True)
class StorageTag:
    """What hangs on the quilt at home. `address` is where the code leads; None where there is no page to lead to."""

    id: str
    number: str | None
    title: str
    size: str
    place: str
    address: str | None


@dataclass(frozen=True, slots=True)
class LabelSheet:
    """Labels or tags in the order in which they are printed. `language` is that of the maker's own words."""

    title: str
    kind: str
    labels: tuple[QuiltLabel, ...] | tuple[StorageTag, ...]
    language: str
    foot: str


def label_sheet(collection: Collection, quilts: Iterable[Quilt]) -> LabelSheet:
    """Labels to sew on."""
    return _sheet(collection, "label", "Quilt labels", tuple(quilt_label(collection, quilt) for quilt in quilts))


def tag_sheet(collection: Collection, quilts: Iterable[Quilt]) -> LabelSheet:
    """Tags for the house."""
    return _sheet(collection, "tag", "Storage tags", tuple(storage_tag(collection, quilt) for quilt in quilts))


def _sheet(collection: Collection, kind: str, title: str, labels: tuple) -> LabelSheet:
    language = collection.settings.site.language
    return LabelSheet(title=title, kind=kind, labels=labels, language=language, foot="")


def quilt_label(collection: Collection, quilt: Quilt) -> QuiltLabel:
    maker = collection.settings.maker
    quilter = quilt.quilting.by if quilt.quilting else None
    return QuiltLabel(
        id=quilt.id,
        title=quilt.title,
        by=", ".join(filter(None, [maker.name, maker.place])) or None,
        quilted_by=quilter if quilter != maker.name else None,
        made=quilt.made.say() if quilt.made else None,
        care=care_line(quilt).short,
    )


def storage_tag(collection: Collection, quilt: Quilt) -> StorageTag:
    size = quilt.finished_size
    units = collection.settings.units
    return StorageTag(
        id=quilt.id,
        number=number_words(quilt),
        title=quilt.title,
        size=size_both(size, units) if size else "not measured",
        place=quilt.kept_at or "place not recorded",
        address=page_address(collection, quilt),
    )


def page_address(collection: Collection, quilt: Quilt) -> str | None:
    """Where the quilt's public page is; None where there is no web address, or the quilt is kept out of the catalogue."""
    url = collection.settings.site.url
    return f"{url.rstrip('/')}/{quote(quilt_path(quilt.id))}" if url and quilt.public else None


def code_drawing(address: str) -> bytes:
    """An SVG of the code that leads to an address, its quiet zone included. A phone reads it from 20 mm on.

    Common practice, no source: a module of 1/3 mm or more is read by any phone; the codes of the longest
    addresses have some 60 modules to a side.
    """
    import segno

    out = io.BytesIO()
    code = segno.make(address, error=ERROR_LEVEL, micro=False)
    code.save(out, kind="svg", border=QUIET_ZONE, xmldecl=False)
    return out.getvalue()


def code_drawings(sheet: LabelSheet) -> dict[str, bytes]:
    """The codes of a sheet of tags, by the IDs of their quilts."""
    return {tag.id: code_drawing(tag.address) for tag in sheet.labels if isinstance(tag, StorageTag) and tag.address}
