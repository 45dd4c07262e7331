"""The giving report for programs. The shape is stable; tests hold it."""

from typing import Any

from collection.dates import EdtfDate
from collection.giving import Gift, PersonalGift
from collection.giving_report import AnnualReport, GiftRow, Sums
from collection.lengths import CM_PER_INCH
from collection.money import Money


def report_data(report: AnnualReport) -> dict[str, Any]:
    """What `report --json` prints: quilts, charities and go-betweens by ID, dates as EDTF, money with its currency.

    What was recorded and what is estimated stand apart everywhere. None is what is not known, or not said yet.
    """
    return {
        "year": report.year,
        "given": [_given(row) for row in report.rows],
        "on_its_way": [_on_its_way(gift) for gift in report.of_year.on_its_way],
        "to_people": [_to_a_person(gift) for gift in report.of_year.to_people],
        "totals": _totals(report.sums),
        "notes": [
            {"key": note.key, "sentence": note.sentence, "quilts": list(note.quilts), "authority": note.authority}
            for note in report.notes
        ],
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
