"""A plan: which quilt goes to which place, and why; which places stay open; which quilts are left; what to make."""

from dataclasses import dataclass

from collection.dates import EdtfDate
from collection.judgements import Check
from collection.lengths import Size


@dataclass(frozen=True, slots=True)
class Assigned:
    """A quilt for a place: how it fits, why it and no other, and what to look at before it goes."""

    quilt: str
    request: str
    line: str
    fit: str
    why: str
    checks: tuple[Check, ...]

    @property
    def check_first(self) -> tuple[str, ...]:
        """The fields to look at, each once."""
        return tuple(dict.fromkeys(check.field for check in self.checks))


@dataclass(frozen=True, slots=True)
class NearMiss:
    """A quilt that nearly fits a line, and what stands in the way."""

    quilt: str
    because: str


@dataclass(frozen=True, slots=True)
class OpenPlaces:
    """The places of a line that no quilt fills, and the quilts that come nearest."""

    request: str
    line: str
    places: int
    nearest: tuple[NearMiss, ...]


@dataclass(frozen=True, slots=True)
class NearestLine:
    """The line that a quilt comes nearest to, and what stands in the way."""

    request: str
    line: str
    because: str


@dataclass(frozen=True, slots=True)
class LeftOver:
    """A quilt that looks for a home and gets no place; `nearest` is None where nothing is open at all."""

    quilt: str
    nearest: NearestLine | None


@dataclass(frozen=True, slots=True)
class MakeNext:
    """A size that open requests are short of.

    `size` is the key of its category, None where they take any; `target` is what to make, where they say so;
    `by` is the first day on which one of them is needed; `must` counts those that are filled first.
    """

    size: str | None
    target: Size | None
    count: int
    must: int
    by: EdtfDate | None
    lines: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Plan:
    """The best plan for all open requests on a day."""

    assigned: tuple[Assigned, ...]
    open: tuple[OpenPlaces, ...]
    left_over: tuple[LeftOver, ...]
    make_next: tuple[MakeNext, ...]

    def as_data(self) -> dict:
        """The plan for programs, keys in snake case, dates as EDTF, lengths in both units."""
        return {
            "assigned": [
                {
                    "quilt": each.quilt,
                    "request": each.request,
                    "line": each.line,
                    "fit": f"{each.fit}; {each.why}",
                    "check_first": list(each.check_first),
                }
                for each in self.assigned
            ],
            "open": [
                {
                    "request": each.request,
                    "line": each.line,
                    "places": each.places,
                    "nearest": [{"quilt": near.quilt, "because": near.because} for near in each.nearest],
                }
                for each in self.open
            ],
            "left_over": [
                {"quilt": each.quilt, "nearest": _nearest(each.nearest)} for each in self.left_over
            ],
            "make_next": [
                {
                    "size": each.size,
                    "target": _size(each.target),
                    "count": each.count,
                    "must": each.must,
                    "by": str(each.by) if each.by else None,
                    "for": [{"request": request, "line": line} for request, line in each.lines],
                }
                for each in self.make_next
            ],
        }


def _nearest(nearest: NearestLine | None) -> dict | None:
    if nearest is None:
        return None
    return {"request": nearest.request, "line": nearest.line, "because": nearest.because}


def _size(size: Size | None) -> dict | None:
    if size is None:
        return None
    return {
        side: {"in": length.in_inches(), "cm": float(length.in_cm())}
        for side, length in (("width", size.width), ("length", size.length))
    }
