"""The report as rows of values, one for each quilt: what the spreadsheet and the table of values are written from."""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from collection.dates import EdtfDate
from collection.giving import Gift
from collection.giving_report import AnnualReport, CharityPart
from collection.money import Money
from collection.qualification import Qualification, qualification
from collection.records.quilt import Quilt

ListedAs = Literal["given", "on its way", "to a person"]


@dataclass(frozen=True, slots=True)
class ReportRow:
    """One quilt of the report. `to` names a charity by its ID, `recipient` in words; `through` is a go-between's name.

    `delivered` is also the day on which a person received it.
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
    acknowledged: EdtfDate | None = None
    recorded: Money | None = None
    estimated: Money | None = None

    @property
    def area(self) -> Fraction | None:
        """In square inches."""
        return self.quilt.finished_size.area if self.quilt.finished_size else None


def given_rows(report: AnnualReport) -> tuple[ReportRow, ...]:
    """Each quilt given, once, charity by charity."""
    return tuple(row for part in report.parts for row in _rows_of(report, part))


def on_its_way_rows(report: AnnualReport) -> tuple[ReportRow, ...]:
    return tuple(_on_its_way(report, gift) for gift in report.of_year.on_its_way)


def to_people_rows(report: AnnualReport) -> tuple[ReportRow, ...]:
    return tuple(
        ReportRow(
            listed_as="to a person",
            quilt=gift.quilt,
            category=_category(report, gift.quilt),
            to=None,
            recipient=gift.gifted.to,
            qualification=None,
            through=None,
            delivered=gift.gifted.on,
        )
        for gift in report.of_year.to_people
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
            acknowledged=donation.acknowledged,
            recorded=row.gift.materials,
            estimated=row.estimated,
        )


def _on_its_way(report: AnnualReport, gift: Gift) -> ReportRow:
    donation = gift.donation
    return ReportRow(
        listed_as="on its way",
        quilt=gift.quilt,
        category=_category(report, gift.quilt),
        to=donation.to,
        recipient=_name(report, donation.to),
        qualification=qualification(donation, report.collection.partners),
        through=_name(report, donation.through),
        handed_over=donation.handed_over,
    )


def _category(report: AnnualReport, quilt: Quilt) -> str | None:
    category = report.collection.category(quilt)
    return category.box.name if category else None


def _name(report: AnnualReport, partner_id: str | None) -> str | None:
    partner = report.collection.partners.get(partner_id or "")
    return partner.name if partner else partner_id
