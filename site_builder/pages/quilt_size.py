"""A quilt's size on the beds it covers, and its block setting with what to cut."""

from dataclasses import dataclass
from functools import lru_cache

from collection.construction.cutting import Cut, cut_sizes, finished_size
from collection.construction.take_up import compare
from collection.records.quilt import BlockSetting, Quilt
from collection.sizes.categories import beds_covered
from collection.sizes.tables import Mattress
from collection.values.lengths import MILLIMETRE, Size, Unit
from site_builder.drawings.bed import bed_drawing
from site_builder.drawings.block_setting import setting_drawing
from site_builder.pages.edition import Edition
from site_builder.text.urls import group_path, relative
from site_builder.text.wording import length_in, measured_words, size_area_words, size_both, size_in
from site_builder.views.pages import BedView, SettingView, SizeView
from site_builder.views.parts import Cell, Column, Table

MOST_BEDS = 3


def size_view(edition: Edition, quilt: Quilt, *, seen_from: str) -> SizeView | None:
    """The size in both units, its category, and the largest beds it covers, drawn to scale."""
    size = quilt.finished_size
    if size is None:
        return None
    units = edition.collection.settings.units
    category = edition.collection.category(quilt)
    return SizeView(
        inches=size_in(size, "in"),
        centimetres=size_in(size, "cm"),
        category=category.say(units) if category else "",
        category_href=(relative(group_path("sizes", category.box.key), seen_from=seen_from) if category else None),
        measured=measured_words(quilt),
        area=size_area_words(size),
        beds=_beds(size, _Mattresses(edition.collection.mattresses), units, edition.palette(quilt)),
    )


_ARRANGEMENTS = {"on point": "on point", "straight": "in a straight set", None: "taken as a straight set"}


# A quilt's pages in the two editions are made one soon after the other, and show the same drawings.
@lru_cache(maxsize=64)
def _beds(size: Size, mattresses: "_Mattresses", units: Unit, colours: tuple[str, ...]) -> tuple[BedView, ...]:
    """The largest beds that a quilt covers."""
    return tuple(
        BedView(coverage.say(units), bed_drawing(size, coverage.mattress, turned=coverage.turned, colours=colours))
        for coverage in beds_covered(size, mattresses.all)[:MOST_BEDS]
    )


@dataclass(frozen=True, slots=True)
class _Mattresses:
    """The beds that sizes are shown on; cached, as a build has one or two such lists, which are compared quickly."""

    all: tuple[Mattress, ...]

    def __hash__(self) -> int:
        return len(self.all)


def setting_view(edition: Edition, quilt: Quilt) -> SettingView | None:
    """The setting as a diagram and a cutting table; None where it is not recorded."""
    if quilt.setting is None:
        return None
    units = edition.collection.settings.units
    washed = quilt.measured != "quilted"
    return _setting_view(quilt.setting, quilt.finished_size, washed, units, edition.palette(quilt))


@lru_cache(maxsize=64)
def _setting_view(
    setting: BlockSetting, measured: Size | None, washed: bool, units: Unit, colours: tuple[str, ...]
) -> SettingView:
    computed = finished_size(setting)
    how = _ARRANGEMENTS[setting.arrangement]
    summary = (
        f"{setting.blocks.columns} × {setting.blocks.rows} blocks of {length_in(setting.block, units, MILLIMETRE)} "
        f"finished, {how}: {size_both(computed, units)}."
    )
    return SettingView(
        summary=summary,
        drawing=setting_drawing(setting, colours=colours),
        cutting=_cutting_table(setting, units),
        comparison=compare(computed, measured, washed=washed).say(units) if measured else None,
    )


def _cutting_table(setting: BlockSetting, units: Unit) -> Table:
    """What to cut; a column for how to cut only where there are triangles."""
    other: Unit = "cm" if units == "in" else "in"
    by_unit = [cut_sizes(setting, unit) for unit in (units, other)]
    cuts = by_unit[0]
    triangles = any(cut.cut for cut in cuts)
    labels = [Column("Piece"), Column("How many", numeric=True)]
    labels += [Column(f"Cut size, {unit}", numeric=True) for unit in (units, other)]
    labels += [Column("How")] if triangles else []
    rows = tuple(
        (
            Cell(cut.name),
            Cell(f"{cut.count:,}"),
            *(Cell(size_in(Size(each.width, each.length), each.unit, MILLIMETRE)) for each in (cut, in_other)),
            *((Cell(_how(cut)),) if triangles else ()),
        )
        for cut, in_other in zip(*by_unit, strict=True)
    )
    return Table("What to cut, quarter-inch seams included", tuple(labels), rows)


def _how(cut: Cut) -> str:
    """From what shapes the pieces come, where the shape is not the piece."""
    if cut.cut is None:
        return ""
    squares = "1 square" if cut.shapes == 1 else f"{cut.shapes} squares"
    return f"from {squares}, cut {cut.cut} corner to corner"
