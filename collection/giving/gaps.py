"""Finds missing facts, the most useful first: those that block giving, then insurance, then the catalogue.

A gap is not an error: a record may be nearly empty.
"""

from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import Literal

from collection.giving.donations import Giving, NotPlaced
from collection.records.collection import Collection, is_kept, stays
from collection.records.destinations import Donated, Gifted, Lost, Promised
from collection.records.quilt import Quilt

Blocks = Literal["giving", "insurance", "catalogue"]
ORDER: tuple[Blocks, ...] = ("giving", "insurance", "catalogue")


@dataclass(frozen=True, slots=True)
class Gap:
    """A missing fact of a quilt, what it blocks, and why it matters.

    `is_last`: it is the only gap of this quilt that blocks the same.
    """

    quilt: str
    field: str
    blocks: Blocks
    why: str
    is_last: bool


def find_gaps(collection: Collection) -> tuple[Gap, ...]:
    """All gaps, by fact, the most pressing first; for each fact the gaps with `is_last` first, then by quilt ID.

    Giving needs facts of quilts that leave or have left, insurance of those that stay, the catalogue of all that are
    not lost. For an unfinished quilt only facts that can be known yet are gaps.
    """
    unplaced = {each.quilt.id: each for each in Giving.of(collection).not_placed}
    gaps = [gap for quilt in collection.quilts.values() for gap in _gaps_of(quilt, unplaced.get(quilt.id))]
    rank = {(fact.blocks, fact.field, fact.why): number for number, fact in enumerate(_FACTS)}
    return tuple(sorted(gaps, key=lambda gap: (rank[gap.blocks, gap.field, gap.why], not gap.is_last)))


def by_fact(gaps: Iterable[Gap]) -> tuple[tuple[Gap, ...], ...]:
    """The gaps grouped by what is missing and why, in their order."""
    facts: dict[tuple[str, str, str], list[Gap]] = {}
    for gap in gaps:
        facts.setdefault((gap.blocks, gap.field, gap.why), []).append(gap)
    return tuple(map(tuple, facts.values()))


def _gaps_of(quilt: Quilt, unplaced: NotPlaced | None) -> Iterator[Gap]:
    missing: dict[str, _Fact] = {}
    for fact in _FACTS:
        # A field is reported once, for the first thing that it blocks.
        is_missing = fact.would_place(unplaced) if fact.placing else fact.asked_of(quilt) and not fact.known(quilt)
        if fact.field not in missing and is_missing:
            missing[fact.field] = fact
    held_up = Counter(fact.blocks for fact in missing.values())
    for fact in missing.values():
        yield Gap(quilt.id, fact.field, fact.blocks, fact.why, is_last=held_up[fact.blocks] == 1)


# Of which quilts a fact is asked ---------------------------------------------------------------


def _is_to_go(quilt: Quilt) -> bool:
    bound = isinstance(quilt.destination, Promised) or stays(quilt, "free")
    return bound and quilt.stage == "finished"


def _is_donated(quilt: Quilt) -> bool:
    return isinstance(quilt.destination, Donated)


def _has_left_for_a_charity(quilt: Quilt) -> bool:
    return _is_donated(quilt) and not quilt.in_the_house


def _went_with_a_go_between(quilt: Quilt) -> bool:
    return isinstance(quilt.destination, Donated) and quilt.destination.through is not None


def _went_to_a_person(quilt: Quilt) -> bool:
    return isinstance(quilt.destination, Gifted)


def _can_be_seen(quilt: Quilt) -> bool:
    return not isinstance(quilt.destination, Lost)


def _is_finished(quilt: Quilt) -> bool:
    return _can_be_seen(quilt) and quilt.stage == "finished"


# Whether it is known ---------------------------------------------------------------------------


def _has(field: str) -> Callable[[Quilt], bool]:
    """A test for whether a field such as `care.washed` has a value; `false` is one, an empty list is not."""

    def known(quilt: Quilt) -> bool:
        value: object = quilt
        for name in field.split("."):
            value = getattr(value, name, None)
        return value not in (None, ())

    return known


def is_stand_in(title: str, number: object = None) -> bool:
    """Whether a title is a placeholder for a missing one. `number` is the quilt's inventory number.

    >>> is_stand_in("Untitled, row 27 of my-quilts.xlsx"), is_stand_in("Quilt 143", 143), is_stand_in("Quilt 143")
    (True, True, False)
    """
    return title.startswith("Untitled") or title == f"Quilt {number}"


def _is_named(quilt: Quilt) -> bool:
    return not is_stand_in(quilt.title, quilt.number)


def _has_set_out(quilt: Quilt) -> bool:
    return isinstance(quilt.destination, Donated) and quilt.destination.has_set_out


@dataclass(frozen=True, slots=True)
class _Fact:
    blocks: Blocks
    field: str
    asked_of: Callable[[Quilt], bool]
    why: str
    is_known: Callable[[Quilt], bool] | None = None
    placing: Literal["no day", "a vague day"] | None = None
    """Applies to gifts that count in no giving year: without a date, or with one that is too vague."""

    def would_place(self, gift: NotPlaced | None) -> bool:
        if gift is None or self.field != f"destination.{gift.field}":
            return False
        return self.placing == ("no day" if gift.recorded is None else "a vague day")

    def known(self, quilt: Quilt) -> bool:
        return (self.is_known or _has(self.field))(quilt)


NO_DAY = "Without a day it counts in no year."
VAGUE_DAY = "The date may fall in more than one giving year, so it counts in none. With a more exact date it counts."

# In the order in which a quilt's gaps are listed.
_FACTS = (
    _Fact("giving", "finished_size", _is_to_go, "Without its size no request can be matched."),
    _Fact("giving", "fibre.top", _is_to_go, "Many charities ask what it is made of."),
    _Fact("giving", "care.washed", _is_to_go, "Some charities want washed quilts, others unwashed ones."),
    _Fact("giving", "care.label", _is_to_go, "Charities ask whether a label is sewn on."),
    _Fact("giving", "condition", _is_to_go, "Charities ask in what condition it is."),
    _Fact("giving", "quilting.how", _is_to_go, "Some charities take no tied quilts."),
    _Fact("giving", "destination.to", _has_left_for_a_charity, "Which charity is it for?"),
    _Fact(
        "giving",
        "destination.handed_over",
        _went_with_a_go_between,
        "When did the go-between take it? Without a day it counts as still in the house.",
        _has_set_out,
    ),
    _Fact("giving", "destination.delivered", _is_donated, NO_DAY, placing="no day"),
    _Fact("giving", "destination.on", _went_to_a_person, NO_DAY, placing="no day"),
    _Fact("giving", "destination.delivered", _is_donated, VAGUE_DAY, placing="a vague day"),
    _Fact("giving", "destination.handed_over", _is_donated, VAGUE_DAY, placing="a vague day"),
    _Fact("giving", "destination.on", _went_to_a_person, VAGUE_DAY, placing="a vague day"),
    _Fact("giving", "finished_size", _is_donated, "The giving report lists sizes."),
    _Fact("giving", "materials_cost", _is_donated, "The giving report adds up the cost of materials."),
    _Fact("insurance", "photos", is_kept, "A picture shows what there was."),
    _Fact("insurance", "finished_size", is_kept, "A list for insurance gives the size."),
    _Fact("insurance", "number", is_kept, "A number ties list, photo and quilt together."),
    _Fact(
        "insurance",
        "appraisal",
        is_kept,
        "Insurers ask for an appraisal, or at least the cost of materials.",
        lambda quilt: quilt.appraisal is not None or quilt.materials_cost is not None,
    ),
    _Fact(
        "insurance",
        "kept_at",
        is_kept,
        "Where is it?",
        lambda quilt: quilt.kept_at is not None or quilt.current_loan is not None,
    ),
    _Fact("catalogue", "title", _can_be_seen, "Its title only stands in. What is it called?", _is_named),
    _Fact("catalogue", "photos", _can_be_seen, "A quilt is known by its looks."),
    _Fact("catalogue", "made", _is_finished, "Even 'about 1995' or '1990s' puts it in its place."),
    _Fact("catalogue", "finished_size", _is_finished, "Its size is drawn on a bed."),
    _Fact("catalogue", "pattern", _can_be_seen, "Is there a pattern, or is it your own design?"),
)
