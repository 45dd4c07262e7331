"""Computes the giving report of a year, which page, PDF, spreadsheet and `--json` all show."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from collection.giving.cost_estimates import Estimated, MaterialEstimate, add_estimates, estimate_materials
from collection.giving.donations import FormerGift, Gift, Giving, GivingReport, NotPlaced, PersonalGift, Totals
from collection.giving.qualification import QUALIFICATIONS, Qualification, qualification
from collection.giving.tax_notes import TaxNote, tax_notes
from collection.giving.years import may_lie_in, year_bounds, year_label
from collection.records.as_of import as_of
from collection.records.collection import Collection
from collection.values.money import Money


@dataclass(frozen=True, slots=True)
class GiftRow:
    """One quilt given: the gift, and an estimate of its materials if their cost is not recorded."""

    gift: Gift
    estimate: MaterialEstimate | None

    @property
    def estimated(self) -> Money | None:
        return self.estimate.total if self.estimate else None


@dataclass(frozen=True, slots=True)
class Sums:
    """The totals of some gifts; recorded and estimated costs are apart. `lacking` quilts have neither."""

    totals: Totals
    estimated: Estimated

    @property
    def lacking(self) -> int:
        return self.totals.materials.lacking - self.estimated.count


@dataclass(frozen=True, slots=True)
class CharityPart:
    """What one charity received in the year. `charity` is a partner's ID, None if not recorded.

    `name` is the partner's name; its ID if it has no file.
    """

    charity: str | None
    name: str | None
    qualification: Qualification
    rows: tuple[GiftRow, ...]
    sums: Sums


@dataclass(frozen=True, slots=True)
class AnnualReport:
    """A year of giving; each given quilt is in exactly one part.

    `parts` are sorted by the number of quilts, most first; qualified organisations come before the others if the
    report separates them (`tells_qualified_apart`). `before` is the year before; `lifetime` is all years, gifts without
    a date included. `on` is the day as of which the report is made, if any: later events are left out. No total counts
    gifts `planned` for the year, gifts that may belong to it (`not_placed`), or gifts that came back (`former`), which
    are listed in the year of the gift and in that of the return.
    """

    giving: Giving
    year: int
    label: str
    first: date
    last: date
    on: date | None
    tells_qualified_apart: bool
    parts: tuple[CharityPart, ...]
    of_year: GivingReport
    sums: Sums
    before: Sums
    lifetime: Sums
    planned: tuple[Gift | PersonalGift, ...]
    not_placed: tuple[NotPlaced, ...]
    former: tuple[FormerGift, ...]
    notes: tuple[TaxNote, ...]

    @property
    def collection(self) -> Collection:
        return self.giving.collection

    @property
    def rows(self) -> tuple[GiftRow, ...]:
        """All given quilts, each once, in the order of the parts."""
        return tuple(row for part in self.parts for row in part.rows)

    @property
    def qualified_parts(self) -> tuple[CharityPart, ...]:
        return tuple(part for part in self.parts if part.qualification == "qualified")

    @property
    def other_parts(self) -> tuple[CharityPart, ...]:
        """The parts of charities abroad, or not known to be qualified."""
        return tuple(part for part in self.parts if part.qualification != "qualified")

    @property
    def label_before(self) -> str:
        """The label of the year before."""
        return year_label(self.year - 1, self.collection.settings.giving_year_starts)

    @property
    def has_ended(self) -> bool:
        """Whether the year is over on the day of the report; True if the report has no day."""
        return self.on is None or self.on > self.last

    def sums_of(self, parts: Iterable[CharityPart]) -> Sums:
        """The totals of some of the parts together."""
        return _sums(self.giving, [row.gift for part in parts for row in part.rows])


def giving_report(
    collection: Collection, year: int, on: date | None = None, *, giving: Giving | None = None
) -> AnnualReport:
    """The report of the giving year that begins in `year`, as of the day `on`.

    Pass `giving`, of the collection as of that day, to avoid computing it anew for each year.
    """
    if giving is None:
        giving = Giving.of(collection if on is None else as_of(collection, on), on)
    collection = giving.collection
    starts = collection.settings.giving_year_starts
    first, last = year_bounds(year, starts)
    of_year = giving.report(year)
    return AnnualReport(
        giving=giving,
        year=year,
        label=year_label(year, starts),
        first=first,
        last=last,
        on=on,
        tells_qualified_apart=_tells_qualified_apart(collection, of_year.given),
        parts=_parts(giving, of_year.given),
        of_year=of_year,
        sums=_sums(giving, of_year.given),
        before=_sums(giving, giving.report(year - 1).given),
        lifetime=Sums(giving.lifetime().totals, giving.estimated),
        planned=tuple(gift for gift in giving.planned if _is_planned_for(gift, first, last, on)),
        not_placed=tuple(each for each in giving.not_placed if each.may_count_in(first, last, on=on)),
        former=tuple(gift for gift in giving.former if gift.is_said_in(first, last)),
        notes=tax_notes(giving, year, on),
    )


def _is_planned_for(gift: Gift | PersonalGift, first: date, last: date, on: date | None) -> bool:
    """Whether a planned gift may be in these days. Without a planned day it may be any day from the report's on."""
    if gift.planned_for is None:
        return on is None or on <= last
    return may_lie_in(gift.planned_days, first, last)


def _parts(giving: Giving, gifts: Sequence[Gift]) -> tuple[CharityPart, ...]:
    found: dict[str | None, list[Gift]] = {}
    for gift in gifts:
        found.setdefault(gift.donation.to, []).append(gift)
    parts = [_part(giving, charity, members) for charity, members in found.items()]
    tells_apart = _tells_qualified_apart(giving.collection, gifts)
    return tuple(
        sorted(
            parts,
            key=lambda part: (
                tells_apart and part.qualification != "qualified",
                -len(part.rows),
                part.name or "",
                part.charity or "",
            ),
        )
    )


def _part(giving: Giving, charity: str | None, gifts: Sequence[Gift]) -> CharityPart:
    collection = giving.collection
    partner = collection.partners.get(charity or "")
    return CharityPart(
        charity=charity,
        name=partner.name if partner else charity,
        qualification=qualification(gifts[0].donation, collection.partners),
        rows=tuple(GiftRow(gift, estimate_materials(gift.quilt, collection.settings)) for gift in gifts),
        sums=_sums(giving, gifts),
    )


def _sums(giving: Giving, gifts: Sequence[Gift]) -> Sums:
    quilts = [gift.quilt for gift in gifts]
    return Sums(giving.totals(gifts), add_estimates(quilts, giving.collection.settings))


def _tells_qualified_apart(collection: Collection, gifts: Iterable[Gift]) -> bool:
    """Whether the report separates qualified charities: if tax notes are on, or any charity's status is recorded."""
    if collection.settings.tax_notes == "us":
        return True
    kinds = {qualification(gift.donation, collection.partners) for gift in gifts}
    return bool(kinds & (set(QUALIFICATIONS) - {"not known", "nobody named"}))
