"""The gifts that count in no total of a year: planned, given on an uncertain day, or returned."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from collection.giving.donations import FormerGift, Gift, NotPlaced, PersonalGift
from collection.giving.years import year_of
from collection.records.collection import Collection
from collection.records.destinations import Gifted
from collection.records.quilt import Quilt
from collection.values.dates import EdtfDate
from site_builder.text.wording import NOT_RECORDED

PLANNED = "Planned, and still in the house"
NOT_PLACED = "In no year yet"
CAME_BACK = "Came back, or lost on the way"


@dataclass(frozen=True, slots=True)
class UncountedList:
    """A list in words. `labels` are those of the columns after the quilt's; `rows` have each quilt with its cells."""

    anchor: str
    heading: str
    note: str
    labels: tuple[str, ...]
    rows: tuple[tuple[Quilt, tuple[str, ...]], ...]


def uncounted_lists(
    collection: Collection,
    planned: Sequence[Gift | PersonalGift],
    not_placed: Sequence[NotPlaced],
    former: Sequence[FormerGift],
) -> Iterator[UncountedList]:
    """A list for each kind of gift, if there are any."""
    if planned:
        yield UncountedList(
            "planned",
            PLANNED,
            "Their day has not come: they are counted in no total.",
            ("Planned for", "For", "Through"),
            tuple((gift.quilt, _planned(collection, gift)) for gift in planned),
        )
    if not_placed:
        yield UncountedList(
            "not-placed",
            NOT_PLACED,
            "Given, on a day that is not known exactly enough to say in which giving year: they are counted in the total "
            "of no year. With what stands beside each, it counts in its year.",
            ("When, as recorded", "To", "What would place it"),
            tuple((each.quilt, _not_placed(collection, each)) for each in not_placed),
        )
    if former:
        yield UncountedList(
            "came-back",
            CAME_BACK,
            "They are counted in no total, neither of the year in which they were given nor of another.",
            ("When given", "To", "Came back"),
            tuple((each.quilt, _former(collection, each)) for each in former),
        )


def placed_by(each: NotPlaced, starts: str) -> str:
    """The fact that would assign a gift to a giving year, such as `the day on which it was delivered`, and which dates
    contradict each other.

    Where giving years begin within a month, only the day is sure to: the possible days include some of that month on
    either side of the new year.
    """
    contradiction = each.contradiction
    if contradiction is None:
        return _fact_wanted(each, starts)
    return f"{_fact_wanted(each, starts)}; as recorded, {contradiction.say()}, so one of the two dates is wrong"


def _fact_wanted(each: NotPlaced, starts: str) -> str:
    what = {"delivered": "it was delivered", "handed_over": "it was handed over", "on": "it was given"}[each.field]
    when = each.step.most_likely
    first, last = (when.earliest, when.latest) if when else (None, None)
    if first and last and year_of(first, starts) == year_of(last, starts):
        return f"that {what} then, for certain"
    if starts == "01-01":
        return f"the year in which {what}"
    if starts.endswith("-01"):
        return f"the month in which {what}"
    return f"the day on which {what}"


def _planned(collection: Collection, gift: Gift | PersonalGift) -> tuple[str, ...]:
    if isinstance(gift, PersonalGift):
        return _say(gift.planned_for), gift.gifted.to or NOT_RECORDED, ""
    donation = gift.donation
    through = partner_name(collection, donation.through) if donation.through else ""
    return _say(gift.planned_for), partner_name(collection, donation.to), through


def _not_placed(collection: Collection, each: NotPlaced) -> tuple[str, ...]:
    starts = collection.settings.giving_year_starts
    return _say(each.recorded), recipient(collection, each.gift), placed_by(each, starts)


def _former(collection: Collection, each: FormerGift) -> tuple[str, ...]:
    if each.arrived is None and each.state == "on its way":
        given = f"never arrived; left {_say(each.left)}"
    else:
        given = _say(each.arrived)
    to = each.way.to or NOT_RECORDED if isinstance(each.way, Gifted) else partner_name(collection, each.way.to)
    return given, to, f"lost, missed {_say(each.ended)}" if each.is_lost else _say(each.ended)


def recipient(collection: Collection, gift: Gift | PersonalGift) -> str:
    """The charity or person that has the quilt, or will have it."""
    if isinstance(gift, PersonalGift):
        return gift.gifted.to or NOT_RECORDED
    return partner_name(collection, gift.donation.to)


def partner_name(collection: Collection, partner_id: str | None) -> str:
    """The name of a charity or go-between; its ID if it has no file."""
    partner = collection.partners.get(partner_id or "")
    return partner.name if partner else partner_id or "not said yet"


def _say(day: EdtfDate | None) -> str:
    return day.say() if day else "not recorded"
