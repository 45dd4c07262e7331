"""The report as rows of values, one for each quilt, for the spreadsheet and the table of values."""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal, TypedDict, Unpack

from collection.giving.annual_report import AnnualReport, CharityPart
from collection.giving.donations import FormerGift, Gift, PersonalGift
from collection.giving.qualification import Qualification, qualification
from collection.giving.years import month_of
from collection.records.destinations import Gifted
from collection.records.quilt import Quilt
from collection.values.dates import EdtfDate
from collection.values.money import Money
from site_builder.documents.giving_report.uncounted import placed_by

ListedAs = Literal["given", "on its way", "to a person", "planned", "in no year yet", "came back", "lost"]


@dataclass(frozen=True, slots=True)
class ReportRow:
    """One quilt of the report. `to` is the charity's ID, `recipient` a name; `through` is the go-between's name.

    `delivered` is also the day on which a person received it; `month` is the year and month of a delivery, where they
    are certain. `planned_for` is when it should arrive, `ended` when it came back or was missed; `wanted` is the fact
    that would assign it to a year.
    """

    listed_as: ListedAs
    quilt: Quilt
    category: str | None
    to: str | None
    recipient: str | None
    qualification: Qualification | None
    through: str | None
    handed_over: EdtfDate | None = None
    delivered: EdtfDate | None = None
    month: tuple[int, int] | None = None
    acknowledged: EdtfDate | None = None
    recorded: Money | None = None
    estimated: Money | None = None
    planned_for: EdtfDate | None = None
    ended: EdtfDate | None = None
    wanted: str | None = None

    @property
    def area(self) -> Fraction | None:
        """In square inches."""
        return self.quilt.finished_size.area if self.quilt.finished_size else None


def all_rows(report: AnnualReport) -> tuple[ReportRow, ...]:
    """Each quilt that the report names, those given first."""
    kinds = (given_rows, on_its_way_rows, to_people_rows, planned_rows, not_placed_rows, former_rows)
    return tuple(row for rows in kinds for row in rows(report))


def given_rows(report: AnnualReport) -> tuple[ReportRow, ...]:
    """Each quilt given, once, charity by charity."""
    return tuple(row for part in report.parts for row in _rows_of(report, part))


def on_its_way_rows(report: AnnualReport) -> tuple[ReportRow, ...]:
    return tuple(
        _row(report, "on its way", gift, handed_over=gift.donation.handed_over) for gift in report.of_year.on_its_way
    )


def to_people_rows(report: AnnualReport) -> tuple[ReportRow, ...]:
    return tuple(_row(report, "to a person", gift, delivered=gift.gifted.on) for gift in report.of_year.to_people)


def planned_rows(report: AnnualReport) -> tuple[ReportRow, ...]:
    return tuple(_row(report, "planned", gift, planned_for=gift.planned_for) for gift in report.planned)


def not_placed_rows(report: AnnualReport) -> tuple[ReportRow, ...]:
    starts = report.collection.settings.giving_year_starts
    return tuple(
        _row(
            report,
            "in no year yet",
            each.gift,
            handed_over=None if isinstance(each.gift, PersonalGift) else each.gift.donation.handed_over,
            delivered=each.recorded,
            wanted=placed_by(each, starts),
        )
        for each in report.not_placed
    )


def former_rows(report: AnnualReport) -> tuple[ReportRow, ...]:
    return tuple(_former_row(report, each) for each in report.former)


def _former_row(report: AnnualReport, each: FormerGift) -> ReportRow:
    gift: Gift | PersonalGift
    if isinstance(each.way, Gifted):
        gift = PersonalGift(each.quilt, each.way, None, None)
    else:
        gift = Gift(each.quilt, each.way, each.state, each.arrived, None, None)
    left = None if isinstance(each.way, Gifted) else each.left
    listed_as: ListedAs = "lost" if each.is_lost else "came back"
    return _row(report, listed_as, gift, handed_over=left, delivered=each.arrived, ended=each.ended)


class _Days(TypedDict, total=False):
    handed_over: EdtfDate | None
    delivered: EdtfDate | None
    planned_for: EdtfDate | None
    ended: EdtfDate | None
    wanted: str | None


def _row(report: AnnualReport, listed_as: ListedAs, gift: Gift | PersonalGift, **days: Unpack[_Days]) -> ReportRow:
    """A quilt that counts in no total."""
    category = _category(report, gift.quilt)
    if isinstance(gift, PersonalGift):
        return ReportRow(listed_as, gift.quilt, category, None, gift.gifted.to, None, None, **days)
    donation = gift.donation
    return ReportRow(
        listed_as=listed_as,
        quilt=gift.quilt,
        category=category,
        to=donation.to,
        recipient=_name(report, donation.to),
        qualification=qualification(donation, report.collection.partners),
        through=_name(report, donation.through),
        **days,
    )


def _rows_of(report: AnnualReport, part: CharityPart) -> Iterator[ReportRow]:
    for row in part.rows:
        donation = row.gift.donation
        yield ReportRow(
            listed_as="given",
            quilt=row.gift.quilt,
            category=_category(report, row.gift.quilt),
            to=part.charity,
            recipient=part.name,
            qualification=part.qualification,
            through=_name(report, donation.through),
            handed_over=donation.handed_over,
            delivered=row.gift.delivered,
            month=month_of(row.gift.arrived_on),
            acknowledged=donation.acknowledged,
            recorded=row.gift.materials,
            estimated=row.estimated,
        )


def _category(report: AnnualReport, quilt: Quilt) -> str | None:
    """The name of the size category, with a note where the size is approximate."""
    category = report.collection.category(quilt)
    if category is None:
        return None
    approximate = quilt.finished_size is not None and quilt.finished_size.approximate
    return f"{category.box.name}, size approximate" if approximate else category.box.name


def _name(report: AnnualReport, partner_id: str | None) -> str | None:
    partner = report.collection.partners.get(partner_id or "")
    return partner.name if partner else partner_id
