"""A quilt by the categories of Object ID, by which police, insurers and museums identify a stolen object.

Source: seen, archives.icom.museum/object-id, and the J. Paul Getty Trust's guide of 1999, for the categories, the
extras and what the photographs should show.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from collection.quotes import listed
from collection.records.collection import Collection
from collection.records.quilt import Quilt
from collection.values.lengths import Length
from site_builder.text.markdown import to_html
from site_builder.text.wording import (
    length_in,
    made_words,
    measured_words,
    money_words,
    size_area_words,
    size_both,
)

LONGEST_DESCRIPTION = 240
"""Characters of a short description, not the story."""

_WAYS = {"hand": "by hand", "domestic machine": "on a domestic machine", "longarm": "on a longarm", "tied": "tied"}


@dataclass(frozen=True, slots=True)
class Entry:
    """One category and its recorded facts; None where there are none. `own`: in the maker's words."""

    category: str
    words: str | None
    own: bool = False


def object_record(collection: Collection, quilt: Quilt) -> tuple[Entry, ...]:
    """All categories of Object ID, and the number and place from its extras, with or without recorded facts."""
    return (
        Entry("Inventory number", str(quilt.number) if quilt.number is not None else None),
        Entry("Type of object", "quilt" if quilt.stage == "finished" else f"quilt, still at the {quilt.stage}"),
        Entry("Materials and techniques", _joined(_materials(quilt)), own=True),
        Entry("Measurements", _measurements(collection, quilt)),
        Entry("Inscriptions and markings", _joined(_inscriptions(quilt)), own=True),
        Entry("Distinguishing features", _joined(_distinguishing(quilt)), own=True),
        Entry("Title", _title(quilt), own=True),
        Entry("Subject", _joined(_subject(quilt)), own=True),
        Entry("Date or period", made_words(quilt) if quilt.made else None),
        Entry("Maker", _joined(_makers(collection, quilt)), own=True),
        Entry("Description", _description(quilt), own=True),
        Entry("Photographs", _photographs(quilt)),
        Entry("Place", place_words(quilt), own=True),
    )


def place_words(quilt: Quilt) -> str | None:
    """Where the quilt is now: its borrower, else the place where it is kept."""
    return f"on loan: {quilt.current_loan.to}" if quilt.current_loan else quilt.kept_at


def appraisal_words(quilt: Quilt) -> str:
    """An appraisal with its kind and date, which give its value a meaning; `none` where there is none."""
    appraisal = quilt.appraisal
    if appraisal is None:
        return "none"
    words = [
        money_words(appraisal.value),
        appraisal.kind or "kind not recorded",
        f"by {appraisal.by}" if appraisal.by else None,
        appraisal.on.say() if appraisal.on else "undated",
    ]
    return ", ".join(filter(None, words))


def _joined(words: Iterator[str | None]) -> str | None:
    return "; ".join(filter(None, words)) or None


def _materials(quilt: Quilt) -> Iterator[str | None]:
    fibre = quilt.fibre
    layers = (("top", fibre.top), ("backing", fibre.backing), ("batting", fibre.batting)) if fibre else ()
    yield ", ".join(f"{what} {layer}" for layer, what in layers if what)
    yield ", ".join(quilt.techniques)
    how = quilt.quilting.how if quilt.quilting else None
    yield (how if how == "tied" else f"quilted {_WAYS[how]}") if how else None
    yield ", ".join(line.name for line in quilt.fabric_lines)


def _measurements(collection: Collection, quilt: Quilt) -> str | None:
    size = quilt.finished_size
    if size is None:
        return None
    units = collection.settings.units
    other = "cm" if units == "in" else "in"

    def side(length: Length) -> str:
        return f"{length_in(length, units)} ({length_in(length, other)})"

    if size.approximate:
        sides = f"width x length {size_both(size, units)}"
    else:
        sides = f"width {side(size.width)}, length {side(size.length)}"
    return "; ".join(filter(None, [f"{sides}, {size_area_words(size)}", measured_words(quilt)]))


def _inscriptions(quilt: Quilt) -> Iterator[str | None]:
    label = quilt.care.label if quilt.care else None
    yield {True: "a label is sewn on", False: "no label yet", None: None}[label]
    yield from (photo.caption for photo in quilt.photos if photo.shows == "label")


def _distinguishing(quilt: Quilt) -> Iterator[str | None]:
    yield ", ".join(quilt.features)
    yield ", ".join(quilt.colours)
    yield f"condition {quilt.condition}" if quilt.condition else None
    yield quilt.condition_note
    yield "hanging sleeve" if quilt.care and quilt.care.sleeve else None


def _title(quilt: Quilt) -> str:
    return quilt.title + (f"; also called {listed(quilt.also_called)}" if quilt.also_called else "")


def _subject(quilt: Quilt) -> Iterator[str | None]:
    pattern = quilt.pattern
    if pattern and (pattern.name or pattern.designer):
        yield " ".join(filter(None, ["pattern:", pattern.name, f"by {pattern.designer}" if pattern.designer else None]))
    yield f"{'blocks' if len(quilt.blocks) > 1 else 'block'}: {', '.join(quilt.blocks)}" if quilt.blocks else None


def _makers(collection: Collection, quilt: Quilt) -> Iterator[str | None]:
    maker = collection.settings.maker
    yield ", ".join(filter(None, [maker.name, maker.place]))
    by = quilt.quilting.by if quilt.quilting else None
    yield f"quilted by {by}" if by and by != maker.name else None


def _description(quilt: Quilt) -> str | None:
    """The first paragraph of the story as plain text, shortened."""
    if not quilt.story:
        return None
    words = to_html(quilt.story).partition("</p>")[0].striptags()
    if len(words) <= LONGEST_DESCRIPTION:
        return words or None
    return words[:LONGEST_DESCRIPTION].rpartition(" ")[0] + " …"


def _photographs(quilt: Quilt) -> str | None:
    """What the photos show, and which ones Object ID asks for besides."""
    shown = [photo.shows or ("front" if not index else "detail") for index, photo in enumerate(quilt.photos)]
    if not shown:
        return None
    worn = quilt.condition in ("fair", "worn") or quilt.condition_note is not None
    labelled = quilt.care is not None and quilt.care.label is True
    wanted = {"label": labelled, "damage": worn, "scale": True}
    lacking = [what for what, is_wanted in wanted.items() if is_wanted and what not in shown]
    taken = ", ".join(dict.fromkeys(shown))
    return f"{taken}; still to take: {', '.join(lacking)}" if lacking else taken
