"""Plans for a few records with one word changed."""

from datetime import date

from collection.matching.match import match
from collection.records.request import Request
from tests.support.made_records import a_collection, a_quilt, a_request

ON = date(2026, 4, 1)


def free(quilt_id: str, size: str | None = "40 x 40", **fields):
    sized = {"finished_size": size} if size else {}
    return a_quilt(quilt_id, destination="free", **sized, **fields)


def asks(request_id: str, *lines: dict, **fields) -> Request:
    return a_request(request_id, lines=[{"count": 1, **line} for line in lines], **fields)


def plan_of(*records, **settings):
    return match(a_collection(*records, **settings), on=ON)


def placed(plan) -> dict[str, tuple[str, str]]:
    return {each.quilt: (each.request, each.line) for each in plan.assigned}
