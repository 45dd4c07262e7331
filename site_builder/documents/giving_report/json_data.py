"""The giving report for programs. The shape is stable; tests hold it."""

from typing import Any

from collection.giving.annual_report import AnnualReport, GiftRow, Sums
from collection.giving.donations import FormerGift, Gift, NotPlaced, PersonalGift
from collection.records.destinations import Gifted
from collection.values.dates import EdtfDate
from collection.values.lengths import CM_PER_INCH
from collection.values.money import Money
from site_builder.documents.giving_report.uncounted import placed_by


def report_data(report: AnnualReport) -> dict[str, Any]:
    """The output of `report --json`: quilts, charities and go-betweens by ID, dates as EDTF, money with its currency.

    Recorded and estimated costs are always separate. None means not known, or not decided yet.
    """
    return {
        "year": report.year,
        "currency": report.collection.settings.currency,
        "given": [_given(row) for row in report.rows],
        "on_its_way": [_on_its_way(gift) for gift in report.of_year.on_its_way],
        "to_people": [_to_a_person(gift) for gift in report.of_year.to_people],
        "totals": _totals(report.sums),
        "notes": [
            {"key": note.key, "sentence": note.sentence, "quilts": list(note.quilts), "authority": note.authority}
            for note in report.notes
        ],
        "on": report.on.isoformat() if report.on else None,
        "planned": [_planned(gift) for gift in report.planned],
        "not_placed": [_not_placed(report, each) for each in report.not_placed],
        "came_back": [_came_back(each) for each in report.former],
    }


def _given(row: GiftRow) -> dict[str, Any]:
    donation = row.gift.donation
    return {
        "quilt": row.gift.quilt.id,
        "to": donation.to,
        "handed_over": _edtf(donation.handed_over),
        "delivered": _edtf(row.gift.delivered),
        "acknowledged": _edtf(donation.acknowledged),
        "materials": {"recorded": _amount(row.gift.materials), "estimated": _amount(row.estimated)},
    }


def _on_its_way(gift: Gift) -> dict[str, Any]:
    donation = gift.donation
    return {
        "quilt": gift.quilt.id,
        "to": donation.to,
        "through": donation.through,
        "handed_over": _edtf(donation.handed_over),
    }


def _to_a_person(gift: PersonalGift) -> dict[str, Any]:
    return {"quilt": gift.quilt.id, "to": gift.gifted.to, "on": _edtf(gift.gifted.on)}


def _planned(gift: Gift | PersonalGift) -> dict[str, Any]:
    return {**_recipient(gift), "planned_for": _edtf(gift.planned_for)}


def _not_placed(report: AnnualReport, each: NotPlaced) -> dict[str, Any]:
    wanted = placed_by(each, report.collection.settings.giving_year_starts)
    return {**_recipient(each.gift), "recorded": _edtf(each.recorded), "field": each.field, "wanted": wanted}


def _came_back(each: FormerGift) -> dict[str, Any]:
    return {
        "quilt": each.quilt.id,
        "to": each.way.to,
        "to_a_person": isinstance(each.way, Gifted),
        "left": _edtf(each.left),
        "arrived": _edtf(each.arrived),
        "ended": _edtf(each.ended),
        "lost": each.is_lost,
    }


def _recipient(gift: Gift | PersonalGift) -> dict[str, Any]:
    to = gift.gifted.to if isinstance(gift, PersonalGift) else gift.donation.to
    return {"quilt": gift.quilt.id, "to": to, "to_a_person": isinstance(gift, PersonalGift)}


def _totals(sums: Sums) -> dict[str, Any]:
    totals = sums.totals
    by_charity = sorted(totals.by_charity.items(), key=lambda item: (-item[1], item[0] or ""))
    by_month = sorted(totals.by_month.items(), key=lambda item: item[0] or (10_000, 0))
    return {
        "count": totals.count,
        "area": {
            "square_in": str(totals.area),
            "square_cm": round(float(totals.area * CM_PER_INCH**2), 2),
            "measured": totals.count - totals.unmeasured,
        },
        "by_charity": [{"charity": charity, "count": count} for charity, count in by_charity],
        "by_size": [{"size": size, "count": count} for size, count in sorted(totals.by_size.items(), key=_none_last)],
        "by_month": [{"month": _month(month), "count": count} for month, count in by_month],
        "materials": {
            "recorded": str(totals.materials.known),
            "recorded_count": totals.materials.recorded,
            "estimated": str(sums.estimated.total),
            "estimated_count": sums.estimated.count,
            "lacking_count": sums.lacking,
        },
    }


def _none_last(item: tuple[str | None, int]) -> tuple[bool, str]:
    return item[0] is None, item[0] or ""


def _month(month: tuple[int, int] | None) -> str | None:
    return f"{month[0]:04d}-{month[1]:02d}" if month else None


def _edtf(day: EdtfDate | None) -> str | None:
    return day.edtf if day else None


def _amount(money: Money | None) -> str | None:
    return str(money) if money is not None else None
