"""Facts in words: sizes in both units, money, dates, and the state of a quilt."""

from collections.abc import Callable, Iterator, Mapping
from datetime import date
from fractions import Fraction
from typing import TypeVar, assert_never

from collection.giving.arrival import State, delivered_on, state_of
from collection.giving.donations import UNNAMED, Totals
from collection.privacy import shown_as
from collection.records.as_of import PlannedDonation, PlannedGift
from collection.records.collection import Collection
from collection.records.destinations import Destination, Donated, Gifted, Lost, Promised, Staying
from collection.records.partner import Partner
from collection.records.quilt import Quilt
from collection.sizes.categories import area_in_square_metres, area_in_square_yards
from collection.values.dates import EdtfDate
from collection.values.lengths import CM_PER_INCH, HALF_CENTIMETRE, Length, Size
from collection.values.money import Money

T = TypeVar("T")

NOT_RECORDED = "not recorded"
NOT_MEASURED = "not measured"

# For each state of a quilt, by its key in addresses: its label, and the heading over several quilts.
STANDINGS = {
    "free": ("Looking for a home", "Free to go"),
    "undecided": ("Undecided", "Not decided yet"),
    "kept": ("Stays with its maker", "Staying with the maker"),
    "promised": ("Promised", "Promised to a charity"),
    "on-its-way": ("On its way", "On their way with a go-between"),
    "given": ("Given to a charity", "Given to charities"),
    "gift": ("A gift", "Gifts to people"),
    "lost": ("Not to be found", "Not to be found"),
}

_GIFT_STANDS: dict[State, str] = {
    "planned": "promised",
    "on its way": "on-its-way",
    "delivered": "given",
    "acknowledged": "given",
}


def count_of(count: int, one: str, many: str | None = None) -> str:
    """A count with its noun: `1 quilt`, `2 quilts`."""
    return f"{count:,} {one if count == 1 else many or one + 's'}"


def quilts_to_charities(totals: Totals, unknown: str, *, verb: str = "to", when: str = "") -> str:
    """How many quilts went to how many charities. Quilts whose charity is not known are counted separately.

    `unknown` describes their charity, such as `not known yet`; `when` follows the first clause.
    """
    clauses = []
    if totals.charities:
        known = count_of(totals.count - totals.without_charity, "quilt")
        clauses.append(f"{known} {verb} {count_of(totals.charities, 'charity', 'charities')}{when}")
    if totals.without_charity:
        count = f"{totals.without_charity:,} more" if clauses else count_of(totals.without_charity, "quilt")
        charity = "a charity" if totals.without_charity == 1 else "charities"
        clauses.append(f"{count} {verb} {charity} {unknown}{'' if clauses else when}")
    return ", and ".join(clauses) or f"No quilt {verb} a charity{when}"


def size_in(size: Size, units: str, step: Fraction = HALF_CENTIMETRE) -> str:
    """A size in one unit, with no-break spaces: `60 1/2 × 72 in`. `step` is the rounding step in centimetres."""
    text = size.in_inches() if units == "in" else size.in_cm(step)
    return f"{text.replace(' x ', ' × ')} {units}".replace(" ", "\u00a0")


def size_both(size: Size, units: str) -> str:
    """A size in both units, the collection's own first."""
    other = "cm" if units == "in" else "in"
    return f"{size_in(size, units)} ({size_in(size, other)})"


def measured_size(quilt: Quilt, units: str) -> str:
    """The quilt's size in both units, or that nobody has measured it."""
    return size_both(quilt.finished_size, units) if quilt.finished_size else NOT_MEASURED


def length_in(length: Length, units: str, step: Fraction = HALF_CENTIMETRE) -> str:
    return f"{length.in_inches() if units == 'in' else length.in_cm(step)} {units}"


def area_words(area: Fraction, units: str) -> str:
    """An area in square yards or square metres, to one decimal; given in square inches."""
    if units == "in":
        return f"{float(area / 36**2):,.1f} square yards"
    return f"{float(area * (CM_PER_INCH / 100) ** 2):,.1f} square metres"


def size_area_words(size: Size) -> str:
    yards, metres = area_in_square_yards(size), area_in_square_metres(size)
    about = "about " if size.approximate else ""
    return f"{about}{float(yards):.2f} sq yd ({about}{float(metres):.2f} m²)"


def measured_words(quilt: Quilt) -> str | None:
    """Whether the size was measured before or after washing; None where that is not recorded."""
    return {"washed": "measured after washing", "quilted": "measured before washing", None: None}[quilt.measured]


def money_words(money: Money | None) -> str:
    return money.say() if money is not None else NOT_RECORDED


def standing_of(quilt: Quilt, collection: Collection) -> str:
    """The key of the quilt's state (see STANDINGS)."""
    destination = quilt.destination
    match destination:
        case Staying():
            return destination.is_
        case Promised():
            return "promised"
        case Gifted():
            return "gift"
        case Lost():
            return "lost"
        case Donated():
            return _GIFT_STANDS[state_of(destination, collection.partners)]
        case _:
            assert_never(destination)


def standing_words(quilt: Quilt, collection: Collection) -> str | None:
    """The quilt's state, with the charity where it is known; None while nothing is decided."""
    standing = standing_of(quilt, collection)
    if standing == "undecided":
        return None
    said = {"promised": "Promised to", "on-its-way": "On its way to", "given": "Given to"}
    charity = collection.partners.get(shown_as(getattr(quilt.destination, "to", None)) or "")
    if charity is None or standing not in said:
        return STANDINGS[standing][0]
    return f"{said[standing]} {'a charity' if charity.id == UNNAMED else charity.name}"


def steps_in_words(destination: Destination, partners: Mapping[str, Partner]) -> Iterator[str]:
    """Where a quilt is bound, for the household alone: a line for each step, with names and days."""

    def name(partner_id: str | None) -> str:
        partner = partners.get(partner_id or "")
        return partner.name if partner else (partner_id or "nobody has said yet")

    match destination:
        case PlannedDonation():
            yield f"planned for {name(destination.to)}" + _on(destination.by)
            yield from _if(destination.through, lambda through: f"through {name(through)}")
        case PlannedGift():
            yield f"planned for {destination.planned.to or 'a person not recorded'}" + _on(destination.planned.on)
        case Promised():
            yield f"promised to {name(destination.to)}" + _on(destination.on)
            yield from _if(destination.by, lambda day: f"to leave by {day.say()}")
        case Gifted():
            yield f"given to {destination.to or 'a person not recorded'}" + _on(destination.on)
            yield from _if(destination.occasion, lambda occasion: f"occasion: {occasion}")
        case Donated():
            yield from _donation_words(destination, partners, name)
        case Lost():
            yield "not to be found" + _on(destination.on, "missed")
            yield from _if(destination.through, lambda through: f"last with {name(through)}")
        case Staying():
            pass
        case _:
            assert_never(destination)


def _if(value: T | None, words: Callable[[T], str]) -> Iterator[str]:
    if value:
        yield words(value)


def _donation_words(
    donation: Donated, partners: Mapping[str, Partner], name: Callable[[str | None], str]
) -> Iterator[str]:
    if donation.through:
        yield f"through {name(donation.through)}" + _on(donation.handed_over, "handed over")
    elif donation.handed_over:
        yield f"handed over: {donation.handed_over.say()}"
    state = state_of(donation, partners)
    if state in ("delivered", "acknowledged"):
        day = delivered_on(donation, partners)
        yield f"with {name(donation.to)}" + (f", delivered: {day.say()}" if day else ", the day not recorded")
    else:
        yield f"meant for {name(donation.to)}"
    if donation.meant_for:
        yield f"was meant for {name(donation.meant_for)}"
    if donation.set_aside_for:
        yield f"set aside there for {donation.set_aside_for}"
    if donation.acknowledged:
        letter = f" ({donation.acknowledgement})" if donation.acknowledgement else ""
        yield f"acknowledged: {donation.acknowledged.say()}{letter}"


def _on(day: EdtfDate | None, word: str = "on") -> str:
    return f", {word}: {day.say()}" if day and word != "on" else (f", {day.say()}" if day else "")


def number_words(quilt: Quilt) -> str | None:
    """A quilt's inventory number in words: `No. 143`; None where it has none."""
    return f"No. {quilt.number}" if quilt.number is not None else None


def made_words(quilt: Quilt) -> str:
    return quilt.made.say() if quilt.made else "date not known"


def due_words(due: EdtfDate | None, on: date | None) -> str:
    """When something is due back, and whether that day has passed."""
    if due is None:
        return "no day set"
    passed = due.passed(on) if on is not None else "no"
    return due.say() + {"no": "", "maybe": ", perhaps overdue", "surely": ", overdue"}[passed]


def stage_words(quilt: Quilt) -> str | None:
    """How far an unfinished quilt is; None for a finished one."""
    return None if quilt.stage == "finished" else f"still at the {quilt.stage}"
