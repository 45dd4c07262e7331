"""Gifts: the state of each, who received it, and the totals of a year.

A gift to a charity counts in the year in which it reached the charity. A quilt with a go-between is on its way; one
whose day has not come is planned (see `collection.records.as_of`). A gift without a known year counts in no year, a
quilt that came back in no total. Gifts to people are counted separately. Nothing here guesses a value.
"""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction
from functools import cached_property

from collection.giving.arrival import ARRIVED, State, arrival_of, delivered_on, state_of
from collection.giving.cost_estimates import Estimated, add_estimates
from collection.giving.years import giving_year, may_lie_in, month_of, year_bounds, year_of
from collection.records.as_of import PlannedDonation, PlannedGift
from collection.records.collection import Collection
from collection.records.destinations import Donated, Gifted, Lost, Staying
from collection.records.narrowing import Contradiction, StepInItsPlace, narrowed, step_of
from collection.records.partner import Partner
from collection.records.quilt import Quilt
from collection.values.dates import EdtfDate
from collection.values.money import Money

UNNAMED = "unnamed_charity"
"""The public ID of an unknown charity. No file can have it: an ID has no underscore."""


def goes_or_went(quilt: Quilt) -> bool:
    """Whether it is promised, given or lost, was so once, or is planned as a gift."""
    return (
        not isinstance(quilt.destination, Staying) or isinstance(quilt.destination, PlannedGift) or bool(quilt.history)
    )


@dataclass(frozen=True, slots=True)
class Gift:
    """The gift of one quilt to a charity: planned, on its way, or arrived.

    `delivered` is the recorded date of arrival; `arrived_on` the date narrowed by the quilt's other dates. `year` is
    the giving year that it counts in; None before arrival, or if the date is too vague. `on` is as in `Giving`.
    """

    quilt: Quilt
    donation: Donated
    state: State
    delivered: EdtfDate | None
    arrived_on: EdtfDate | None
    year: int | None
    on: date | None = None

    @property
    def arrived(self) -> bool:
        return self.state in ARRIVED

    @property
    def materials(self) -> Money | None:
        cost = self.quilt.materials_cost
        return cost.total if cost else None

    @property
    def left(self) -> EdtfDate | None:
        """When it left the house, narrowed by its other dates; None if unknown."""
        return step_of(self.quilt, len(self.quilt.history), "handed_over", on=self.on).when

    @property
    def planned_for(self) -> EdtfDate | None:
        """The planned date of delivery, else of hand-over."""
        return self.donation.delivered or self.donation.handed_over

    @property
    def planned_days(self) -> EdtfDate | None:
        """`planned_for`, narrowed by the quilt's other dates."""
        if self.planned_for is None:
            return None
        field = "delivered" if self.donation.delivered is not None else "handed_over"
        return step_of(self.quilt, len(self.quilt.history), field, planned=self.donation).when


@dataclass(frozen=True, slots=True)
class PersonalGift:
    """One quilt given to a person, or planned to be (`is_planned`). `given_on` is the date, narrowed by the quilt's
    other dates."""

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
        """`planned_for`, narrowed by the quilt's other dates."""
        if self.planned_for is None:
            return None
        return step_of(self.quilt, len(self.quilt.history), "on", planned=self.gifted).when


@dataclass(frozen=True, slots=True)
class FormerGift:
    """A gift that ended: the quilt came back, or was lost before it arrived (`is_lost`). It counts in no total.

    `left`, `arrived` and `ended` (returned or missed) are recorded dates, or None. `state` is the last state. `began_on`
    is when it arrived, or left if it never arrived, and `ended_on` when it ended, both narrowed by other dates.
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
        """`began_on` and `ended_on`, each only if a date of its own is recorded."""
        began = self.began_on if self.arrived or self.left else None
        ended = self.ended_on if self.ended else None
        return tuple(day for day in (began, ended) if day is not None)

    def is_said_in(self, first: date, last: date) -> bool:
        """Whether it began or ended within these days, or may have."""
        return any(may_lie_in(day, first, last) for day in self.recorded or (self.began_on,))


@dataclass(frozen=True, slots=True)
class NotPlaced:
    """A gift that counts in no giving year, as its date is missing or too vague. `step` has the date that would
    place it."""

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
        """The date that would place it, as recorded."""
        return self.step.step.when

    @property
    def contradiction(self) -> Contradiction | None:
        return self.step.contradiction

    def may_count_in(self, first: date, last: date, *, on: date | None = None) -> bool:
        """Whether it may have been within these days, and not after the day `on`.

        Without a date of its own, where two other dates contradict each other, it may have been on either; after both,
        if both belong to earlier steps.
        """
        last = last if on is None else min(last, on)
        if last < first:
            return False
        contradiction = self.contradiction
        if self.recorded is not None or contradiction is None:
            return may_lie_in(self.step.most_likely, first, last)
        if contradiction.second in self.step.earlier:
            return may_lie_in(narrowed(None, after=[contradiction.second.when]), first, last)
        return any(may_lie_in(each.when, first, last) for each in (contradiction.first, contradiction.second))


@dataclass(frozen=True, slots=True)
class Materials:
    """The recorded cost of materials, the number of quilts that have one, and of those that lack it."""

    known: Money
    recorded: int
    lacking: int


@dataclass(frozen=True, slots=True)
class Totals:
    """The totals of some gifts. `area` is in square inches, of quilts with a recorded size.

    `by_charity` counts by partner ID (None or UNNAMED: unknown), `by_size` by category key (None: not measured),
    `by_month` by (year, month) of delivery (None: unknown or too vague).
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
        """The number of known charities among the recipients."""
        return len(set(self.by_charity) - {None, UNNAMED})

    @property
    def without_charity(self) -> int:
        """The number of gifts whose charity is unknown."""
        return sum(self.by_charity.get(nobody, 0) for nobody in (None, UNNAMED))


@dataclass(frozen=True, slots=True)
class GivingReport:
    """The gifts and totals of one giving year; of the lifetime if `year` is None."""

    year: int | None
    given: tuple[Gift, ...]
    on_its_way: tuple[Gift, ...]
    to_people: tuple[PersonalGift, ...]
    totals: Totals


@dataclass(frozen=True)
class Giving:
    """All gifts of a collection, each once, by date and then by ID.

    `on` is the day as of which the collection is, if any: a recorded date that may be before it counts as past.
    `_reports` caches the reports: each year is compared with others and with the lifetime.
    """

    gifts: tuple[Gift, ...]
    to_people: tuple[PersonalGift, ...]
    former: tuple[FormerGift, ...]
    collection: Collection
    on: date | None = None
    _reports: dict[int | None, GivingReport] = field(default_factory=dict, init=False, repr=False, compare=False)

    @classmethod
    def of(cls, collection: Collection, on: date | None = None) -> "Giving":
        starts = collection.settings.giving_year_starts
        gifts: list[Gift] = []
        to_people: list[PersonalGift] = []
        former: list[FormerGift] = []
        for quilt in collection.quilts.values():
            destination = quilt.destination
            former += _former_gifts(quilt, collection.partners, on)
            match destination:
                case Donated():
                    gifts.append(_gift(quilt, destination, collection, on))
                case PlannedDonation():
                    gifts.append(Gift(quilt, destination.planned, "planned", None, None, None))
                case Gifted():
                    day = step_of(quilt, len(quilt.history), "on", on=on).when
                    to_people.append(PersonalGift(quilt, destination, day, giving_year(day, starts)))
                case PlannedGift():
                    to_people.append(PersonalGift(quilt, destination.planned, None, None, is_planned=True))
                case _:
                    pass  # nothing is given
        gifts.sort(
            key=lambda gift: _in_order(gift.arrived_on if gift.delivered else gift.donation.handed_over, gift.quilt)
        )
        to_people.sort(key=lambda gift: _in_order(gift.given_on if gift.gifted.on else None, gift.quilt))
        former.sort(key=lambda gift: _in_order(gift.began_on if gift.arrived or gift.left else None, gift.quilt))
        return cls(tuple(gifts), tuple(to_people), tuple(former), collection, on)

    @property
    def years(self) -> tuple[int, ...]:
        """The giving years whose report is not empty, the latest first."""
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
        """The planned gifts, still in the house."""
        return (
            *(gift for gift in self.gifts if gift.state == "planned"),
            *(gift for gift in self.to_people if gift.is_planned),
        )

    @property
    def not_placed(self) -> tuple[NotPlaced, ...]:
        """The gifts made that count in no giving year, each with the date that would place it."""
        return (
            *(NotPlaced(gift, self._arrival(gift)) for gift in self.gifts if gift.arrived and gift.year is None),
            *(
                NotPlaced(gift, step_of(gift.quilt, len(gift.quilt.history), "on", on=self.on))
                for gift in self.to_people
                if gift.year is None and not gift.is_planned
            ),
        )

    def may_have_arrived_in(self, gift: Gift, first: date, last: date, *, on: date | None = None) -> bool:
        """Whether a gift may have arrived within these days, and not after the day `on`."""
        return NotPlaced(gift, self._arrival(gift)).may_count_in(first, last, on=on)

    def _arrival(self, gift: Gift) -> StepInItsPlace:
        return arrival_of(gift.quilt, len(gift.quilt.history), gift.donation, self.collection.partners, on=self.on)

    def report(self, year: int) -> GivingReport:
        """The report of one giving year. `on_its_way` is what was, or may have been, handed over in it and has not
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
        """The report of all gifts ever made, including those without a date."""
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
        """The estimated materials of all gifts ever made."""
        return add_estimates((gift.quilt for gift in self.lifetime().given), self.collection.settings)

    def _year_of(self, day: EdtfDate | None) -> int | None:
        return giving_year(day, self.collection.settings.giving_year_starts)

    def _year_of_leaving(self, gift: Gift) -> int | None:
        """A giving year in which it left the house, or may have; None if unknown."""
        left = gift.left
        day = left and (left.earliest or left.latest)
        return year_of(day, self.collection.settings.giving_year_starts) if day else None

    def totals(self, gifts: Sequence[Gift]) -> Totals:
        """The totals of some of these gifts."""
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


def _gift(quilt: Quilt, donation: Donated, collection: Collection, on: date | None) -> Gift:
    state, delivered = state_of(donation, collection.partners), delivered_on(donation, collection.partners)
    if state not in ARRIVED:
        return Gift(quilt, donation, state, delivered, None, None, on)
    day = arrival_of(quilt, len(quilt.history), donation, collection.partners, on=on).when
    return Gift(quilt, donation, state, delivered, day, giving_year(day, collection.settings.giving_year_starts), on)


def _former_gifts(quilt: Quilt, partners: Mapping[str, Partner], on: date | None) -> Iterator[FormerGift]:
    """The gifts of a quilt that ended: it came back or was lost."""
    for number, (way, following) in enumerate(zip(quilt.history, (*quilt.history[1:], quilt.destination))):
        if not isinstance(way, Donated | Gifted):
            continue
        is_lost = way.returned is None and isinstance(following, Lost)
        end = step_of(quilt, number + 1, "on", on=on) if is_lost else step_of(quilt, number, "returned", on=on)
        over = (end.step.when, is_lost)
        if isinstance(way, Gifted):
            began = step_of(quilt, number, "on", on=on).when
            yield FormerGift(quilt, way, "delivered", way.on, way.on, *over, began, end.when)
        elif (state := state_of(way, partners)) != "planned":
            delivered = delivered_on(way, partners)
            if state == "on its way":
                began = step_of(quilt, number, "handed_over", on=on).when
            else:
                began = arrival_of(quilt, number, way, partners, on=on).when
            yield FormerGift(quilt, way, state, way.handed_over, delivered, *over, began, end.when)


def add_materials(quilts: Iterable[Quilt], currency: str | None) -> Materials:
    """The sum of the recorded costs; quilts without one are counted, never guessed."""
    costs = [quilt.materials_cost for quilt in quilts]
    recorded = [cost.total for cost in costs if cost is not None]
    return Materials(sum(recorded, Money.nothing(currency)), len(recorded), len(costs) - len(recorded))


def _in_order(when: EdtfDate | None, quilt: Quilt) -> tuple[bool, tuple[date, date, str] | None, str]:
    """A sort key: by date, without a date last, then by ID."""
    return (when is None, when.sort_key if when else None, quilt.id)
