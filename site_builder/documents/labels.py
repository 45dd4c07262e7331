"""Labels to print on fabric and sew on, and storage tags with a QR code of the quilt's page.

A label leaves the house with its quilt, so it holds only public facts and how to wash the quilt. A tag stays in the
house, and names the place of the quilt.
"""

import io
from collections.abc import Iterable
from dataclasses import dataclass
from urllib.parse import quote

from collection.care.washing import care_line
from collection.records.collection import Collection
from collection.records.quilt import Quilt
from site_builder.text.urls import quilt_path
from site_builder.text.wording import measured_size, number_words

ERROR_LEVEL = "m"
"""15 % of a code may be worn away. Source: from memory, ISO/IEC 18004."""

QUIET_ZONE = 4
"""Modules left blank round a code. Source: from memory, ISO/IEC 18004."""


@dataclass(frozen=True, slots=True)
class QuiltLabel:
    """A label to print on cloth."""

    id: str
    title: str
    by: str | None
    quilted_by: str | None
    made: str | None
    care: tuple[str, str]


@dataclass(frozen=True, slots=True)
class StorageTag:
    """A tag for the quilt at home. `address` is the URL in its code; None where the quilt has no public page."""

    id: str
    number: str | None
    title: str
    size: str
    place: str
    address: str | None


@dataclass(frozen=True, slots=True)
class LabelSheet:
    """Labels or tags in the order of printing. `language` is that of the maker's own words."""

    title: str
    kind: str
    labels: tuple[QuiltLabel, ...] | tuple[StorageTag, ...]
    language: str
    foot: str = ""


def label_sheet(collection: Collection, quilts: Iterable[Quilt]) -> LabelSheet:
    """Labels to sew on."""
    labels = tuple(quilt_label(collection, quilt) for quilt in quilts)
    return LabelSheet("Quilt labels", "label", labels, language=collection.settings.site.language)


def tag_sheet(collection: Collection, quilts: Iterable[Quilt]) -> LabelSheet:
    """Tags for the house."""
    tags = tuple(storage_tag(collection, quilt) for quilt in quilts)
    return LabelSheet("Storage tags", "tag", tags, language=collection.settings.site.language)


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
    return StorageTag(
        id=quilt.id,
        number=number_words(quilt),
        title=quilt.title,
        size=measured_size(quilt, collection.settings.units),
        place=quilt.kept_at or "place not recorded",
        address=page_address(collection, quilt),
    )


def page_address(collection: Collection, quilt: Quilt) -> str | None:
    """The URL of the quilt's public page; None without a web address, or where the quilt is not in the catalogue."""
    url = collection.settings.site.url
    return f"{url.rstrip('/')}/{quote(quilt_path(quilt.id))}" if url and quilt.public else None


def code_drawing(address: str) -> bytes:
    """An SVG of the QR code of an address, with its quiet zone. A phone reads it from 20 mm on.

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
