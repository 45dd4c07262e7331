"""Sound records with one word changed, written as the files would have them."""

from pathlib import Path

from collection.records.collection import Collection
from collection.records.partner import Partner
from collection.records.quilt import Quilt
from collection.records.request import Request
from collection.records.settings import Settings

IN_DOLLARS = {"currency": "USD"}


def a_quilt(quilt_id: str = "low-tide", **fields) -> Quilt:
    """A quilt of which only the title is known, and whatever is given."""
    return Quilt.model_validate(
        {"id": quilt_id, "title": quilt_id.replace("-", " ").title(), **fields}, context=IN_DOLLARS
    )


def a_charity(partner_id: str = "river-street", **fields) -> Partner:
    return Partner.model_validate({"id": partner_id, "name": partner_id.replace("-", " ").title(), **fields})


def a_go_between(partner_id: str = "nell", **fields) -> Partner:
    return a_charity(partner_id, kind="go-between", **fields)


def a_request(request_id: str = "spring-cots", **fields) -> Request:
    sound = {"id": request_id, "partner": "river-street", "lines": [{"id": "cots", "count": 3}]}
    return Request.model_validate(sound | fields)


def a_collection(*records: Quilt | Partner | Request, **settings) -> Collection:
    """A collection of these records; River Street, Hill Hospice and Nell are always partners of it.
    It counts in dollars where nothing else is given."""
    known = [a_charity(), a_charity("hill-hospice"), a_go_between()]

    def of(kind: type) -> dict:
        return {record.id: record for record in (*known, *records) if isinstance(record, kind)}

    return Collection(
        folder=Path("a-collection"),
        settings=Settings.model_validate({"currency": "USD"} | settings, context=IN_DOLLARS),
        quilts=dict(sorted(of(Quilt).items())),
        partners=dict(sorted(of(Partner).items())),
        requests=dict(sorted(of(Request).items())),
    )


def donated(**fields) -> dict:
    """The destination of a quilt that was given to River Street, if nothing else is said."""
    return {"is": "donated", "to": "river-street"} | fields
