"""Gifts: how far each quilt is on its way, who received it, and the totals of a year.

A gift to a charity counts in the year in which it reached the charity. A quilt that is still with a go-between is on
its way, one whose day has not come is planned (see `collection.records.as_of`), one whose year is not known counts in none, and
one that came back is counted no more. A quilt given to a person is counted apart. Nothing here guesses a value.
"""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction
from functools import cached_property
from typing import assert_never

from collection.giving.arrival import ARRIVED, State, arrival_of, delivered_on, state_of
from collection.giving.cost_estimates import Estimated, add_estimates
from collection.giving.years import giving_year, may_lie_in, month_of, year_bounds, year_of
from collection.records.as_of import PlannedDonation, PlannedGift
from collection.records.collection import Collection
from collection.records.destinations import Donated, Gifted, Lost, Promised, Staying
from collection.records.narrowing import Contradiction, StepInItsPlace, narrowed, step_of
from collection.records.partner import Partner
from collection.records.quilt import Quilt
from collection.values.dates import EdtfDate
from collection.values.money import Money

UNNAMED = "unnamed_charity"
"""The public ID of a charity that is not known. No file can have it: an ID has no underscore."""


def goes_or_went(quilt: Quilt) -> bool:
    """Is it promised, given or lost, was it once, or will it be given on a later day?"""
    return (
        not isinstance(quilt.destination, Staying) or isinstance(quilt.destination, PlannedGift) or bool(quilt.history)
    )


@dataclass(frozen=True, slots=True)
class Gift:
    """One quilt on its way to a charity, there, or planned to go.

    `delivered` is when it arrived as it is written down, `arrived_on` when that was by all that is recorded. `year` is the
    giving year that it counts in, None before it arrived and where the day is not known that exactly.
    """

    quilt: Quilt
    donation: Donated
    state: State
    delivered: EdtfDate | None
    arrived_on: EdtfDate | None
    year: int | None

    @property
    def arrived(self) -> bool:
        return self.state in ARRIVED

    @property
    def materials(self) -> Money | None:
        cost = self.quilt.materials_cost
        return cost.total if cost else None

    @property
    def left(self) -> EdtfDate | None:
        """When it left the house, by all that is recorded; of one that has left."""
        return step_of(self.quilt, len(self.quilt.history), "handed_over").when

    @property
    def planned_for(self) -> EdtfDate | None:
        """When it should arrive, or at least leave, while it is planned."""
        return self.donation.delivered or self.donation.handed_over

    @property
    def planned_days(self) -> EdtfDate | None:
        """The same by all that is recorded."""
        if self.planned_for is None:
            return None
        field = "delivered" if self.donation.delivered is not None else "handed_over"
        return step_of(self.quilt, len(self.quilt.history), field, planned=self.donation).when


@dataclass(frozen=True, slots=True)
class PersonalGift:
    """One quilt given to a person, or to be given on a later day (`is_planned`). `given_on` is when, by all that is
    recorded."""

    quilt: Quilt
    gifted: Gifted
    given_on: EdtfDate | None
    year: int | None
    is_planned: bool = False

    @property
    def planned_for(self) -> EdtfDate | None:
        return self.gifted.on

    @property
    def planned_days(self) -> EdtfDate | None:
        """The same by all that is recorded."""
        if self.planned_for is None:
            return None
        return step_of(self.quilt, len(self.quilt.history), "on", planned=self.gifted).when


@dataclass(frozen=True, slots=True)
class FormerGift:
    """One that is over: the quilt came back, or was lost before it arrived (`is_lost`). It counts in no total.

    `arrived` is when a charity or a person had it, `left` when it left the house, `ended` when it was back or missed;
    None where that is not recorded. `state` is how far it was. By all that is recorded, `began_on` is when it arrived, or
    left if it never arrived, and `ended_on` when it ended.
    """

    quilt: Quilt
    way: Donated | Gifted
    state: State
    left: EdtfDate | None
    arrived: EdtfDate | None
    ended: EdtfDate | None
    is_lost: bool
    began_on: EdtfDate | None
    ended_on: EdtfDate | None

    @property
    def recorded(self) -> tuple[EdtfDate, ...]:
        """When it began and when it ended, by all that is recorded, as far as either day is written down."""
        began = self.began_on if self.arrived or self.left else None
        ended = self.ended_on if self.ended else None
        return tuple(day for day in (began, ended) if day is not None)

    def is_said_in(self, first: date, last: date) -> bool:
        """Whether it began or ended in these days, or may have."""
        return any(may_lie_in(day, first, last) for day in self.recorded or (self.began_on,))


@dataclass(frozen=True, slots=True)
class NotPlaced:
    """A gift that counts in no giving year, as the day is not known that exactly. `step` has the date that would place
    it."""

    gift: Gift | PersonalGift
    step: StepInItsPlace

    @property
    def quilt(self) -> Quilt:
        return self.gift.quilt

    @property
    def field(self) -> str:
        return self.step.step.field

    @property
    def recorded(self) -> EdtfDate | None:
        """The date that would place it, as it is written down."""
        return self.step.step.when

    @property
    def contradiction(self) -> Contradiction | None:
        return self.step.contradiction

    def may_count_in(self, first: date, last: date, *, on: date | None = None) -> bool:
        """Whether it may have been in these days, and not after the day `on`.

        Where no day is recorded and others contradict each other, it may have been in the days of either; after both of
        them, where both were before it.
        """
        last = last if on is None else min(last, on)
        if last < first:
            return False
        contradiction = self.contradiction
        if self.recorded is not None or contradiction is None:
            return may_lie_in(self.step.when, first, last)
        if contradiction.second in self.step.earlier:
            return may_lie_in(narrowed(None, after=[contradiction.second.when]), first, last)
        return any(may_lie_in(each.when, first, last) for each in (contradiction.first, contradiction.second))


@dataclass(frozen=True, slots=True)
class Materials:
    """What materials cost as far as it is recorded, and how many quilts lack it."""

    known: Money
    recorded: int
    lacking: int


@dataclass(frozen=True, slots=True)
class Totals:
    """What some gifts came to. `area` is in square inches, of those whose size is recorded.

    `by_charity` counts by partner ID (None or UNNAMED: not said yet), `by_size` by category key (None: not measured),
    `by_month` by (year, month) of delivery (None: not known that exactly).
    """

    count: int
    area: Fraction
    unmeasured: int
    by_charity: Mapping[str | None, int]
    by_size: Mapping[str | None, int]
    by_month: Mapping[tuple[int, int] | None, int]
    materials: Materials
    unacknowledged: int

    @property
    def charities(self) -> int:
        """How many charities received them, as far as it is known which; those that are not named count."""
        return len(set(self.by_charity) - {None, UNNAMED})

    @property
    def without_charity(self) -> int:
        """Those whose charity is not known."""
        return sum(self.by_charity.get(nobody, 0) for nobody in (None, UNNAMED))


@dataclass(frozen=True, slots=True)
class GivingReport:
    """One giving year, or with `year` None the lifetime."""

    year: int | None
    given: tuple[Gift, ...]
    on_its_way: tuple[Gift, ...]
    to_people: tuple[PersonalGift, ...]
    totals: Totals


@dataclass(frozen=True)
class Giving:
    """All gifts of a collection, each once, by date and then by ID.

    `_reports` caches the reports: each year is compared with others and with the lifetime.
    """

    gifts: tuple[Gift, ...]
    to_people: tuple[PersonalGift, ...]
    former: tuple[FormerGift, ...]
    collection: Collection
    _reports: dict[int | None, GivingReport] = field(default_factory=dict, init=False, repr=False, compare=False)

    @classmethod
    def of(cls, collection: Collection) -> "Giving":
        starts = collection.settings.giving_year_starts
        gifts: list[Gift] = []
        to_people: list[PersonalGift] = []
        former: list[FormerGift] = []
        for quilt in collection.quilts.values():
            destination = quilt.destination
            former += _former_gifts(quilt, collection.partners)
            match destination:
                case Donated():
                    gifts.append(_gift(quilt, destination, collection))
                case PlannedDonation():
                    gifts.append(Gift(quilt, destination.planned, "planned", None, None, None))
                case Gifted():
                    day = step_of(quilt, len(quilt.history), "on").when
                    to_people.append(PersonalGift(quilt, destination, day, giving_year(day, starts)))
                case PlannedGift():
                    to_people.append(PersonalGift(quilt, destination.planned, None, None, is_planned=True))
                case Staying() | Promised() | Lost():
                    pass
                case _:
                    assert_never(destination)
        gifts.sort(
            key=lambda gift: _in_order(gift.arrived_on if gift.delivered else gift.donation.handed_over, gift.quilt)
        )
        to_people.sort(key=lambda gift: _in_order(gift.given_on if gift.gifted.on else None, gift.quilt))
        former.sort(key=lambda gift: _in_order(gift.began_on if gift.arrived or gift.left else None, gift.quilt))
        return cls(tuple(gifts), tuple(to_people), tuple(former), collection)

    @property
    def years(self) -> tuple[int, ...]:
        """The giving years whose report holds anything, the latest first."""
        years = {
            *(gift.year for gift in self.gifts if gift.arrived),
            *(self._year_of_leaving(gift) for gift in self.gifts if gift.state == "on its way"),
            *(gift.year for gift in self.to_people),
            *(self._year_of(gift.planned_days) for gift in self.planned),
            *(self._year_of(day) for gift in self.former for day in gift.recorded or (gift.began_on,)),
        }
        return tuple(sorted((year for year in years if year is not None), reverse=True))

    @property
    def planned(self) -> tuple[Gift | PersonalGift, ...]:
        """The gifts that are still in the house."""
        return (
            *(gift for gift in self.gifts if gift.state == "planned"),
            *(gift for gift in self.to_people if gift.is_planned),
        )

    @property
    def not_placed(self) -> tuple[NotPlaced, ...]:
        """What was given and counts in no giving year, and what would place it."""
        return (
            *(NotPlaced(gift, self._arrival(gift)) for gift in self.gifts if gift.arrived and gift.year is None),
            *(
                NotPlaced(gift, step_of(gift.quilt, len(gift.quilt.history), "on"))
                for gift in self.to_people
                if gift.year is None and not gift.is_planned
            ),
        )

    def may_have_arrived_in(self, gift: Gift, first: date, last: date, *, on: date | None = None) -> bool:
        """Whether a gift that arrived may have done so in these days, and not after the day `on`."""
        return NotPlaced(gift, self._arrival(gift)).may_count_in(first, last, on=on)

    def _arrival(self, gift: Gift) -> StepInItsPlace:
        return arrival_of(gift.quilt, len(gift.quilt.history), gift.donation, self.collection.partners)

    def report(self, year: int) -> GivingReport:
        """What one giving year came to. On its way: what was handed over in it, or may have been, and has not
        arrived."""
        if year not in self._reports:
            self._reports[year] = self._report(year)
        return self._reports[year]

    def _report(self, year: int) -> GivingReport:
        first, last = year_bounds(year, self.collection.settings.giving_year_starts)
        given = tuple(gift for gift in self.gifts if gift.year == year)
        on_its_way = tuple(
            gift for gift in self.gifts if gift.state == "on its way" and may_lie_in(gift.left, first, last)
        )
        to_people = tuple(gift for gift in self.to_people if gift.year == year)
        return GivingReport(year, given, on_its_way, to_people, self.totals(given))

    def lifetime(self) -> GivingReport:
        """All that was ever given, also on days that nobody wrote down."""
        if None not in self._reports:
            self._reports[None] = self._lifetime()
        return self._reports[None]

    def _lifetime(self) -> GivingReport:
        given = tuple(gift for gift in self.gifts if gift.arrived)
        on_its_way = tuple(gift for gift in self.gifts if gift.state == "on its way")
        to_people = tuple(gift for gift in self.to_people if not gift.is_planned)
        return GivingReport(None, given, on_its_way, to_people, self.totals(given))

    @cached_property
    def estimated(self) -> Estimated:
        """The estimates for all that was ever given."""
        return add_estimates((gift.quilt for gift in self.lifetime().given), self.collection.settings)

    def _year_of(self, day: EdtfDate | None) -> int | None:
        return giving_year(day, self.collection.settings.giving_year_starts)

    def _year_of_leaving(self, gift: Gift) -> int | None:
        """A giving year in which it left the house, or may have."""
        left = gift.left
        day = left and (left.earliest or left.latest)
        return year_of(day, self.collection.settings.giving_year_starts) if day else None

    def totals(self, gifts: Sequence[Gift]) -> Totals:
        """What some of these gifts came to."""
        measured = [gift.quilt.finished_size for gift in gifts if gift.quilt.finished_size is not None]
        return Totals(
            count=len(gifts),
            area=sum((size.area for size in measured), Fraction(0)),
            unmeasured=len(gifts) - len(measured),
            by_charity=Counter(gift.donation.to for gift in gifts),
            by_size=Counter(self.collection.category_key(gift.quilt) for gift in gifts),
            by_month=Counter(month_of(gift.arrived_on) for gift in gifts),
            materials=add_materials((gift.quilt for gift in gifts), self.collection.settings.currency),
            unacknowledged=sum(gift.state != "acknowledged" for gift in gifts),
        )


def _gift(quilt: Quilt, donation: Donated, collection: Collection) -> Gift:
    state, delivered = state_of(donation, collection.partners), delivered_on(donation, collection.partners)
    if state not in ARRIVED:
        return Gift(quilt, donation, state, delivered, None, None)
    day = arrival_of(quilt, len(quilt.history), donation, collection.partners).when
    return Gift(quilt, donation, state, delivered, day, giving_year(day, collection.settings.giving_year_starts))


def _former_gifts(quilt: Quilt, partners: Mapping[str, Partner]) -> Iterator[FormerGift]:
    """What left the house once, and came back or was lost."""
    for number, (way, following) in enumerate(zip(quilt.history, (*quilt.history[1:], quilt.destination))):
        if not isinstance(way, Donated | Gifted):
            continue
        is_lost = way.returned is None and isinstance(following, Lost)
        end = step_of(quilt, number + 1, "on") if is_lost else step_of(quilt, number, "returned")
        over = (end.step.when, is_lost)
        if isinstance(way, Gifted):
            began = step_of(quilt, number, "on").when
            yield FormerGift(quilt, way, "delivered", way.on, way.on, *over, began, end.when)
        elif (state := state_of(way, partners)) != "planned":
            delivered = delivered_on(way, partners)
            if state == "on its way":
                began = step_of(quilt, number, "handed_over").when
            else:
                began = arrival_of(quilt, number, way, partners).when
            yield FormerGift(quilt, way, state, way.handed_over, delivered, *over, began, end.when)


def add_materials(quilts: Iterable[Quilt], currency: str | None) -> Materials:
    """The recorded cost of materials; what is not recorded is counted, never guessed."""
    costs = [quilt.materials_cost for quilt in quilts]
    recorded = [cost.total for cost in costs if cost is not None]
    return Materials(sum(recorded, Money.nothing(currency)), len(recorded), len(costs) - len(recorded))


def _in_order(when: EdtfDate | None, quilt: Quilt) -> tuple[bool, tuple[date, date, str] | None, str]:
    """Sorts by date, what has none last, then by ID."""
    return (when is None, when.sort_key if when else None, quilt.id)
