"""What is missing, in the order in which it blocks: giving first, then insurance, then the catalogue.

A gap is no mistake: a record may be nearly empty. It is told so that an evening spent on filling gaps
begins where it helps most.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from collection.holdings import Collection
from collection.records.destinations import Donated, Gifted, Lost, Promised, Staying
from collection.records.quilt import Quilt

Blocks = Literal["giving", "insurance", "catalogue"]
ORDER: tuple[Blocks, ...] = ("giving", "insurance", "catalogue")


@dataclass(frozen=True, slots=True)
class Gap:
    """A fact of a quilt that nobody wrote down, what its lack holds up, and why it matters."""

    quilt: str
    field: str
    blocks: Blocks
    why: str


def find_gaps(collection: Collection) -> tuple[Gap, ...]:
    """All gaps, the most pressing first, then by quilt in the order of the alphabet.

    Giving asks of what is to go, or is on its way; insurance of what stays; the catalogue of all.
    """
    gaps = [gap for quilt in collection.quilts.values() for gap in _gaps_of(quilt)]
    return tuple(sorted(gaps, key=lambda gap: ORDER.index(gap.blocks)))


def _gaps_of(quilt: Quilt) -> Iterator[Gap]:
    told: set[str] = set()
    for blocks, field, why in (*_giving(quilt), *_insurance(quilt), *_catalogue(quilt)):
        # A fact is missed once, under the first thing that it blocks.
        if field not in told:
            told.add(field)
            yield Gap(quilt.id, field, blocks, why)


Missing = tuple[Blocks, str, str]


def _giving(quilt: Quilt) -> Iterator[Missing]:
    destination = quilt.destination
    to_go = isinstance(destination, Promised) or (
        isinstance(destination, Staying) and destination.is_ == "free"
    )
    if to_go:
        if quilt.finished_size is None:
            yield "giving", "finished_size", "Without its size no request can be matched."
        if quilt.fibre is None or quilt.fibre.top is None:
            yield "giving", "fibre", "Many charities ask what it is made of."
        if quilt.care is None or quilt.care.washed is None:
            yield "giving", "care.washed", "Charities ask for washed, or for unwashed."
        if quilt.care is None or quilt.care.label is None:
            yield "giving", "care.label", "Charities ask whether a label is sewn on."
        if quilt.condition is None:
            yield "giving", "condition", "A charity takes what is in good condition."
        if quilt.quilting is None or quilt.quilting.how is None:
            yield "giving", "quilting.how", "Some charities take no tied quilts."
    if isinstance(destination, Donated):
        if destination.to is None:
            yield "giving", "destination.to", "Which charity has it?"
        if destination.through is None and destination.delivered is None and destination.handed_over is None:
            yield "giving", "destination.delivered", "Without a day it counts in no giving year."
        if destination.through is not None and destination.handed_over is None and destination.delivered is None:
            yield "giving", "destination.handed_over", "When did the go-between take it?"
        if quilt.finished_size is None:
            yield "giving", "finished_size", "The giving report lists sizes."
        if quilt.materials_cost is None:
            yield "giving", "materials_cost", "The giving report adds up the cost of materials."
    if isinstance(destination, Gifted) and destination.on is None:
        yield "giving", "destination.on", "Without a day it counts in no year."


def _insurance(quilt: Quilt) -> Iterator[Missing]:
    destination = quilt.destination
    if not isinstance(destination, Staying) or destination.is_ != "kept":
        return
    if not quilt.photos:
        yield "insurance", "photos", "A picture shows what there was."
    if quilt.finished_size is None:
        yield "insurance", "finished_size", "A list for insurance gives the size."
    if quilt.number is None:
        yield "insurance", "number", "A number ties list, photo and quilt together."
    if quilt.materials_cost is None and quilt.appraisal is None:
        yield "insurance", "appraisal", "Insurers ask for an appraisal, or at least the cost of materials."
    if quilt.kept_at is None and quilt.current_loan is None:
        yield "insurance", "kept_at", "Where is it?"


def _catalogue(quilt: Quilt) -> Iterator[Missing]:
    if isinstance(quilt.destination, Lost):
        return
    if not quilt.photos:
        yield "catalogue", "photos", "A quilt is known by its looks."
    if quilt.made is None:
        yield "catalogue", "made", "Even 'about 1995' or '1990s' puts it in its place."
    if quilt.finished_size is None:
        yield "catalogue", "finished_size", "Its size is drawn on a bed."
    if quilt.pattern is None:
        yield "catalogue", "pattern", "Is there a pattern, or is it your own design?"
