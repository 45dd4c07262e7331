"""Gifts: how far each quilt is on its way, who received it, and the totals of a year.

A gift to a charity counts in the year in which it reached the charity. A quilt that is still with a go-between is on
its way, one whose day has not come is planned (see `collection.as_of`), one whose year is not known counts in none, and
one that came back is counted no more. A quilt given to a person is counted apart. Nothing here guesses a value.
"""

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import MAXYEAR, MINYEAR, date
from fractions import Fraction
from functools import cached_property
from typing import Literal, assert_never

from collection.as_of import PlannedDonation, PlannedGift, UnderWay
from collection.as_written import as_written
from collection.dates import EdtfDate
from collection.holdings import Collection
from collection.material_estimates import Estimated, add_estimates
from collection.money import Money
from collection.records.destinations import Donated, Gifted, Lost, Promised, Staying
from collection.records.partner import Partner
from collection.records.quilt import Quilt

State = Literal["planned", "on its way", "delivered", "acknowledged"]
ARRIVED: tuple[State, ...] = ("delivered", "acknowledged")

UNNAMED = "unnamed_charity"
"""The public ID of a charity that is not known. No file can have it: an ID has no underscore."""


# How far ----------------------------------------------------------------------------------------


def delivered_on(donation: Donated, partners: Mapping[str, Partner]) -> EdtfDate | None:
    """When a quilt reached the charity, as far as that is known.

    A go-between who acts for the charity has received it for the charity: then the hand-over is the delivery, whenever
    the quilt was carried on. Without a go-between, the hand-over counts where no delivery is recorded. With any other
    go-between only a recorded delivery counts. Source: from memory, Treas. Reg. 1.170A-1(b): delivered to the charity
    or to its agent.
    """
    if isinstance(donation, UnderWay):
        return None
    if donation.handed_over is not None and _receives_for_the_charity(donation, partners):
        return donation.handed_over
    if donation.delivered is not None:
        return donation.delivered
    return donation.handed_over if donation.through is None else None


def state_of(donation: Donated, partners: Mapping[str, Partner]) -> State:
    """How far a donated quilt is.

    A quilt that went to a charity with no go-between and no date has been delivered, on a day that nobody wrote down;
    one with a go-between and no date has not left yet. "planned" is thus the one state in which the quilt is still in
    the house.
    """
    if donation.acknowledged is not None:
        return "acknowledged"
    if isinstance(donation, UnderWay):
        return "on its way"
    if delivered_on(donation, partners) is not None:
        return "delivered"
    if donation.through is None:
        return "delivered" if donation.to is not None else "planned"
    return "on its way" if donation.handed_over is not None else "planned"


def has_arrived(donation: Donated, partners: Mapping[str, Partner]) -> bool:
    """Whether the quilt has reached a charity."""
    return state_of(donation, partners) in ARRIVED


def _receives_for_the_charity(donation: Donated, partners: Mapping[str, Partner]) -> bool:
    """A charity is named in `acts_for` itself: to act for the whole is not to act for a chapter of it."""
    go_between = partners.get(donation.through or "")
    return go_between is not None and donation.to in go_between.acts_for


# Years ------------------------------------------------------------------------------------------


def year_bounds(year: int, starts: str) -> tuple[date, date]:
    """The first and last day of the giving year that begins in `year` on `starts` (month-day).

    >>> [str(day) for day in year_bounds(2026, "04-06")]
    ['2026-04-06', '2027-04-05']
    """
    month, day = (int(part) for part in starts.split("-"))
    # A mistyped year may be at either end of the calendar; a build does not stop for that.
    first = date(year, month, day) if year >= MINYEAR else date.min
    if year >= MAXYEAR:
        return first, date.max
    next_first = date(year + 1, month, day) if year + 1 >= MINYEAR else date.min
    return first, date.fromordinal(max(1, next_first.toordinal() - 1))


def year_of(day: date, starts: str) -> int:
    """The giving year of a day.

    >>> year_of(date(2027, 4, 5), "04-06"), year_of(date(2027, 4, 6), "04-06")
    (2026, 2027)
    """
    return day.year if f"{day:%m-%d}" >= starts else day.year - 1


def year_label(year: int, starts: str) -> str:
    """What a giving year is called.

    >>> year_label(2026, "01-01"), year_label(2026, "04-06")
    ('2026', '2026/27')
    """
    return str(year) if starts == "01-01" else f"{year}/{(year + 1) % 100:02d}"


def read_year(text: str, starts: str) -> int:
    """The giving year that somebody means: by its label, or by the calendar year in which it begins.

    >>> read_year("2026/27", "04-06"), read_year("2026-27", "04-06"), read_year("2026", "04-06")
    (2026, 2026, 2026)

    Raises ValueError in words for the maker.
    """
    match = re.fullmatch(r"([0-9]{4})(?:[/-]([0-9]{2}|[0-9]{4}))?", text.strip(), re.ASCII)
    example = year_label(2026, starts)
    if match is None or int(match[1]) < MINYEAR:
        raise ValueError(f"{as_written(text)} is not a year. Write it with four figures, such as {example}.")
    year, end = int(match[1]), match[2]
    if end is not None and starts == "01-01":
        raise ValueError(f"{as_written(text)}: here a giving year is a calendar year. Write {year}.")
    if end is not None and int(end) not in (year + 1, (year + 1) % 100):
        raise ValueError(f"{as_written(text)}: a giving year ends in the year after. Write {year_label(year, starts)}.")
    return year


def giving_year(when: EdtfDate | None, starts: str) -> int | None:
    """The giving year that surely holds a date; None where it is not known that exactly.

    `about 2016` is surely in no year; `2016` is, but in none that begins in April.
    """
    bounds = _bounds(when)
    if bounds is None:
        return None
    first, last = (year_of(day, starts) for day in bounds)
    return first if first == last else None


def _bounds(when: EdtfDate | None) -> tuple[date, date] | None:
    """The first and last day that a date may be; None where it has no bounds, or is in doubt."""
    if when is None or when.earliest is None or when.latest is None or when.approximate or when.uncertain:
        return None
    return when.earliest, when.latest


# Gifts ------------------------------------------------------------------------------------------


def goes_or_went(quilt: Quilt) -> bool:
    """Is it promised, given or lost, was it once, or will it be given on a later day?"""
    return not isinstance(quilt.destination, Staying) or isinstance(quilt.destination, PlannedGift) or bool(quilt.history)


def may_lie_in(when: EdtfDate | None, first: date, last: date) -> bool:
    """Whether it may have been in these days, which nothing is known of where there is no date."""
    return when is None or when.within(first, last) != "no"


@dataclass(frozen=True, slots=True)
class Gift:
    """One quilt on its way to a charity, there, or planned to go. `year` is the giving year that it counts in,
    None before it arrived and where the day is not known that exactly."""

    quilt: Quilt
    donation: Donated
    state: State
    delivered: EdtfDate | None
    year: int | None

    @property
    def arrived(self) -> bool:
        return self.state in ARRIVED

    @property
    def materials(self) -> Money | None:
        cost = self.quilt.materials_cost
        return cost.total if cost else None


    @property
    def planned_for(self) -> EdtfDate | None:
        """When it should arrive, or at least leave, while it is planned."""
        return self.donation.delivered or self.donation.handed_over


@dataclass(frozen=True, slots=True)
class PersonalGift:
    """One quilt given to a person, or to be given on a later day (`is_planned`)."""

    quilt: Quilt
    gifted: Gifted
    year: int | None
    is_planned: bool = False

    @property
    def planned_for(self) -> EdtfDate | None:
        return self.gifted.on


@dataclass(frozen=True, slots=True)
class FormerGift:
    """One that is over: the quilt came back, or was lost before it arrived (`is_lost`). It counts in no total.

    `arrived` is when a charity or a person had it, `left` when it left the house, `ended` when it was back or missed;
    None where that is not recorded. `state` is how far it was.
    """

    quilt: Quilt
    way: Donated | Gifted
    state: State
    left: EdtfDate | None
    arrived: EdtfDate | None
    ended: EdtfDate | None
    is_lost: bool

    @property
    def began(self) -> EdtfDate | None:
        """The day by which it is said in a year: that of its arrival, or of leaving if it never arrived."""
        return self.arrived or self.left

    def is_said_in(self, first: date, last: date) -> bool:
        """Whether it began or ended in these days, or may have."""
        known = [day for day in (self.began, self.ended) if day is not None]
        return not known or any(may_lie_in(day, first, last) for day in known)


@dataclass(frozen=True, slots=True)
class NotPlaced:
    """A gift that counts in no giving year, as the day is not known that exactly. `field` is the date that would
    place it, `recorded` what is known of that date."""

    gift: Gift | PersonalGift
    field: Literal["delivered", "handed_over", "on"]
    recorded: EdtfDate | None

    @property
    def quilt(self) -> Quilt:
        return self.gift.quilt

    def may_count_in(self, first: date, last: date) -> bool:
        """Whether it may have been in these days: by its date, else by when the quilt was made, left the house and
        was acknowledged, where that is not in doubt."""
        if self.recorded is not None:
            return may_lie_in(self.recorded, first, last)
        donation = self.gift.donation if isinstance(self.gift, Gift) else Donated()
        left, letter = donation.handed_over, donation.acknowledged
        starts = (day.earliest for day in (self.quilt.made, left) if day is not None and not day.doubt)
        is_too_early = any(day is not None and day > last for day in starts)
        is_too_late = letter is not None and not letter.doubt and letter.latest is not None and letter.latest < first
        return not (is_too_early or is_too_late)


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
                    day = delivered_on(destination, collection.partners)
                    state = state_of(destination, collection.partners)
                    gifts.append(Gift(quilt, destination, state, day, giving_year(day, starts)))
                case PlannedDonation():
                    gifts.append(Gift(quilt, destination.planned, "planned", None, None))
                case Gifted():
                    to_people.append(PersonalGift(quilt, destination, giving_year(destination.on, starts)))
                case PlannedGift():
                    to_people.append(PersonalGift(quilt, destination.planned, None, is_planned=True))
                case Staying() | Promised() | Lost():
                    pass
                case _:
                    assert_never(destination)
        gifts.sort(key=lambda gift: _in_order(gift.delivered or gift.donation.handed_over, gift.quilt))
        to_people.sort(key=lambda gift: _in_order(gift.gifted.on, gift.quilt))
        former.sort(key=lambda gift: _in_order(gift.began, gift.quilt))
        return cls(tuple(gifts), tuple(to_people), tuple(former), collection)

    @property
    def years(self) -> tuple[int, ...]:
        """The giving years whose report holds anything, the latest first."""
        years = {
            *(gift.year for gift in self.gifts if gift.arrived),
            *(self._year_of_leaving(gift) for gift in self.gifts if gift.state == "on its way"),
            *(gift.year for gift in self.to_people),
            *(self._year_of(gift.planned_for) for gift in self.planned),
            *(self._year_of(day) for gift in self.former for day in (gift.began, gift.ended)),
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
            *(NotPlaced(gift, self._placed_by(gift.donation), gift.delivered) for gift in self.gifts if gift.arrived and gift.year is None),
            *(NotPlaced(gift, "on", gift.gifted.on) for gift in self.to_people if gift.year is None and not gift.is_planned),
        )

    def _placed_by(self, donation: Donated) -> Literal["delivered", "handed_over"]:
        day = delivered_on(donation, self.collection.partners)
        return "handed_over" if day is not None and day is not donation.delivered else "delivered"

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
            gift
            for gift in self.gifts
            if gift.state == "on its way" and may_lie_in(gift.donation.handed_over, first, last)
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
        left = gift.donation.handed_over
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
            by_month=Counter(month_of(gift.delivered) for gift in gifts),
            materials=add_materials((gift.quilt for gift in gifts), self.collection.settings.currency),
            unacknowledged=sum(gift.state != "acknowledged" for gift in gifts),
        )


def _former_gifts(quilt: Quilt, partners: Mapping[str, Partner]) -> Iterator[FormerGift]:
    """What left the house once, and came back or was lost."""
    for way, following in zip(quilt.history, (*quilt.history[1:], quilt.destination)):
        if not isinstance(way, Donated | Gifted):
            continue
        lost = following if way.returned is None and isinstance(following, Lost) else None
        ended, is_lost = lost.on if lost else way.returned, lost is not None
        if isinstance(way, Gifted):
            yield FormerGift(quilt, way, "delivered", way.on, way.on, ended, is_lost)
        elif (state := state_of(way, partners)) != "planned":
            yield FormerGift(quilt, way, state, way.handed_over, delivered_on(way, partners), ended, is_lost)


def add_materials(quilts: Iterable[Quilt], currency: str | None) -> Materials:
    """The recorded cost of materials; what is not recorded is counted, never guessed."""
    costs = [quilt.materials_cost for quilt in quilts]
    recorded = [cost.total for cost in costs if cost is not None]
    return Materials(sum(recorded, Money.nothing(currency)), len(recorded), len(costs) - len(recorded))


def month_of(day: EdtfDate | None) -> tuple[int, int] | None:
    """The year and month that surely hold a date; None where it is not known that exactly."""
    bounds = _bounds(day)
    if bounds is None:
        return None
    first, last = ((each.year, each.month) for each in bounds)
    return first if first == last else None


def _in_order(when: EdtfDate | None, quilt: Quilt) -> tuple[bool, tuple[date, date, str] | None, str]:
    """Sorts by date, what has none last, then by ID."""
    return (when is None, when.sort_key if when else None, quilt.id)
