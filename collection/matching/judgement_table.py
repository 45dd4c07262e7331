"""Judges all quilts against all open lines at once, as integer columns: the same verdicts as one by one, faster.

`Requirements.judge` explains one quilt in words. Here each size rule is one array operation over all quilts, and each
other rule is judged once, however many lines share it.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from typing import TYPE_CHECKING, Any, get_args

from collection.care.shrinkage import Shrinkage, Washing, after_washing, has_to_be_washed, shrinkage_of
from collection.matching.judgement import Check, Miss
from collection.matching.open_places import OpenLine
from collection.matching.rules import SIZE_NOT_KNOWN, Requirements, Rule, people_misfit
from collection.matching.size_rules import Sides, SizeRule, sides_of, whole_unit
from collection.records.quilt import Quilt
from collection.values.lengths import Length, Size

if TYPE_CHECKING:
    import numpy

    Column = numpy.ndarray[Any, numpy.dtype[Any]]

FITS, CHECK_FIRST, DOES_NOT_FIT = 0, 1, 2

OFF_UNIT = Fraction(1, 64)
"""The unit of a miss's distance: sixty-fourths of an inch, rounded up."""

MOST_PARTS_OF_AN_INCH = 2**40

NO_SIDES: Sides = dict.fromkeys(("shorter", "longer", "width", "length"), Fraction(0))


@dataclass(frozen=True)
class JudgementTable:
    """One row for each line, one column for each quilt: the verdict, the misfit, and the distance of a miss."""

    verdict: "numpy.ndarray"
    misfit: "numpy.ndarray"
    off: "numpy.ndarray"

    @classmethod
    def of(cls, lines: Sequence[OpenLine], quilts: Sequence[Quilt], on: date) -> "JudgementTable":
        import numpy as np

        judged = _Judge(lines, quilts, on)
        rows = [judged.line(line.requirements) for line in lines]
        verdict, misfit, off = ([row[index] for row in rows] for index in range(3))
        shape = (len(lines), len(quilts))
        return cls(*(np.array(column).reshape(shape) for column in (verdict, misfit, off)))


def _all_lengths(
    lines: Sequence[OpenLine], sizes: Iterable[Size | None], possible: Iterable[tuple[Size, Size] | None]
) -> Iterator[Length]:
    """All lengths that the table computes with."""
    for size in (*sizes, *(each for ends in possible for each in ends or ())):
        if size is not None:
            yield from (size.width, size.length)
    for line in lines:
        yield from line.requirements.liked.lengths()
        for rule in line.requirements.sizes:
            yield from rule.lengths()


class _Judge:
    """All quilts as columns, and the cached result of each rule."""

    def __init__(self, lines: Sequence[OpenLine], quilts: Sequence[Quilt], on: date):
        import numpy as np

        self.np, self.quilts, self.on = np, quilts, on
        sizes = [quilt.finished_size for quilt in quilts]
        now = [(size.least, size.most) if size and size.approximate else None for size in sizes]
        # If a line asks for washed quilts, every quilt that may shrink has to be washed.
        rows = [shrinkage_of(quilt, "washed") if quilt.finished_size else None for quilt in quilts]
        washed = [
            after_washing(size, row) if size and row else as_it_is
            for size, row, as_it_is in zip(sizes, rows, now, strict=True)
        ]
        self.scale = whole_unit(_all_lengths(lines, sizes, {*now, *washed}))
        self.measured = np.array([size is not None for size in sizes], dtype=bool)
        self.sides = self._columns(sizes)
        self.now, self.washed = _Possible.of(self, now), _Possible.of(self, washed)
        self.approximate = np.array([each is not None for each in now], dtype=bool)
        self.may_shrink = {taken: self._may_shrink(rows, taken) for taken in get_args(Washing)}
        self.has_to_be_washed = {
            taken: np.array([has_to_be_washed(quilt, taken) for quilt in quilts], dtype=bool)
            for taken in get_args(Washing)
        }
        self.by_rule: dict[Rule, tuple[Column, Column]] = {}
        self.by_people: dict[tuple[str, ...], Column] = {}
        self.alike = _alike(quilts)

    def _may_shrink(self, rows: Sequence[Shrinkage | None], taken: Washing) -> "Column":
        quilts = zip(self.quilts, rows, strict=True)
        return self.np.array([bool(row and shrinkage_of(quilt, taken)) for quilt, row in quilts], dtype=bool)

    def line(self, requirements: Requirements) -> tuple["numpy.ndarray", "numpy.ndarray", "numpy.ndarray"]:
        np = self.np
        verdict = np.zeros(len(self.quilts), dtype=np.uint8)
        off = np.zeros(len(self.quilts), dtype=np.int64)
        if requirements.asks_for_size:
            verdict[~self.measured] = CHECK_FIRST
        if requirements.unknown_sizes:
            verdict[:] = CHECK_FIRST
        if requirements.asks_for_size:
            verdict[self.approximate] = CHECK_FIRST
        may_shrink = self.may_shrink[requirements.washing]
        off_washed = np.zeros(len(self.quilts), dtype=np.int64)
        for rule in requirements.sizes:
            off += self._off(rule, self.now)
            off_washed += self._off(rule, self.washed)
            verdict[self.washed.not_taken(rule, may_shrink)] = CHECK_FIRST
        verdict[off > 0] = CHECK_FIRST
        shrinks = may_shrink & self.has_to_be_washed[requirements.washing]
        off = np.where(shrinks, off_washed, np.where(may_shrink, np.minimum(off, off_washed), off))
        verdict[off > 0] = DOES_NOT_FIT
        for other in requirements.others:
            rule_verdict, rule_off = self._rule(other)
            verdict = np.maximum(verdict, rule_verdict)
            off += rule_off
        misfit = np.where(self.measured, requirements.liked.misfit(self.sides, self.scale), SIZE_NOT_KNOWN)
        return verdict, (misfit + self._people(requirements.suits)).astype(np.int64), off

    def _off(self, rule: SizeRule, possible: "_Possible") -> "Column":
        """The distance of each quilt from a rule, in `OFF_UNIT`s."""
        beyond: Column = self.measured * rule.beyond(possible.least, possible.most, self.scale)
        off: Column = -((-beyond * OFF_UNIT.denominator) // self.scale)
        return off.astype(self.np.int64)

    def _columns(self, sizes: Sequence[Size | None]) -> Sides:
        """The four sides of each size, as integers; 0 where there is no size."""
        # Fractions with large common denominators overflow 64-bit integers.
        number = self.np.int64 if self.scale < MOST_PARTS_OF_AN_INCH else object
        whole = [sides_of(size, self.scale) if size else NO_SIDES for size in sizes]
        return {side: self.np.array([int(sides[side]) for sides in whole], dtype=number) for side in NO_SIDES}

    def _rule(self, rule: Rule) -> tuple["numpy.ndarray", "numpy.ndarray"]:
        if rule not in self.by_rule:
            np = self.np
            findings = [rule.judge(quilt, self.on) for quilt in self.alike.first]
            verdict = [_verdict(finding) for finding in findings]
            off = [-(-finding.off // OFF_UNIT) if isinstance(finding, Miss) else 0 for finding in findings]
            alike = self.alike.of
            self.by_rule[rule] = np.array(verdict, dtype=np.uint8)[alike], np.array(off, dtype=np.int64)[alike]
        return self.by_rule[rule]

    def _people(self, wanted: tuple[str, ...]) -> "numpy.ndarray":
        if wanted not in self.by_people:
            found = self.np.array([people_misfit(quilt, wanted) for quilt in self.alike.first], dtype=self.np.int64)
            self.by_people[wanted] = found[self.alike.of]
        return self.by_people[wanted]


@dataclass(frozen=True)
class _Possible:
    """The possible sizes of all quilts: bounds of the uncertain ones, and columns of all sides."""

    sizes: Sequence[tuple[Size, Size] | None]
    least: Sides
    most: Sides
    scale: int

    @classmethod
    def of(cls, judge: _Judge, sizes: Sequence[tuple[Size, Size] | None]) -> "_Possible":
        least, most = ({side: column.copy() for side, column in judge.sides.items()} for _ in range(2))
        for number, ends in enumerate(sizes):
            for columns, size in zip((least, most), ends or (), strict=bool(ends)):
                for side, length in sides_of(size, judge.scale).items():
                    columns[side][number] = int(length)
        return cls(sizes, least, most, judge.scale)

    def not_taken(self, rule: SizeRule, in_doubt: "numpy.ndarray") -> "numpy.ndarray":
        """Which of the uncertain quilts may have a size outside a rule."""
        lacking: Column = in_doubt & (rule.lacks_room(self.least, self.most, self.scale) > 0)
        if len(rule.alternatives) > 1:
            for number in lacking.nonzero()[0].tolist():
                lacking[number] = not rule.takes_all(*map(sides_of, self.sizes[number] or ()))
        return lacking


@dataclass(frozen=True)
class _Alike:
    """Groups of quilts that differ only in size: the first quilt of each group, and the group of each quilt."""

    first: list[Quilt]
    of: list[int]


JUDGED_FIELDS = ("features", "techniques", "colours", "fibre", "household", "quilting", "care", "condition", "suits", "stage",
                 "ready_by", "loans")  # fmt: skip
"""The fields that the rules other than size rules read."""


def _alike(quilts: Sequence[Quilt]) -> _Alike:
    kinds: dict[tuple[object, ...], int] = {}
    first: list[Quilt] = []
    of: list[int] = []
    for quilt in quilts:
        kind = ("features" in quilt.model_fields_set, *(getattr(quilt, field) for field in JUDGED_FIELDS))
        if kind not in kinds:
            kinds[kind] = len(first)
            first.append(quilt)
        of.append(kinds[kind])
    return _Alike(first, of)


def _verdict(finding: Miss | Check | None) -> int:
    return DOES_NOT_FIT if isinstance(finding, Miss) else CHECK_FIRST if isinstance(finding, Check) else FITS
