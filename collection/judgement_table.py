"""All quilts judged against all open lines at once, as columns of whole numbers: the same verdicts, faster.

`Requirements.judge` says of one quilt everything, in words. Here each size rule is one sum over all quilts, and
each other rule is judged once, however many lines share it.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from typing import TYPE_CHECKING

from collection.judgements import Check, Miss
from collection.places import OpenLine
from collection.records.quilt import Quilt
from collection.rules import SIZE_NOT_KNOWN, Requirements, Rule, people_misfit
from collection.size_rules import sides_of, whole_unit

if TYPE_CHECKING:
    import numpy

FITS, CHECK_FIRST, DOES_NOT_FIT = 0, 1, 2

OFF_UNIT = Fraction(1, 64)
"""How far away a miss is, is counted in sixty-fourths of an inch, rounded up."""

MOST_PARTS_OF_AN_INCH = 2**40


@dataclass(frozen=True)
class JudgementTable:
    """One row for each line, one column for each quilt: the verdict, the misfit, and how far off a miss is."""

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


class _Judge:
    """All quilts as columns, and what each rule that was judged once said of them."""

    def __init__(self, lines: Sequence[OpenLine], quilts: Sequence[Quilt], on: date):
        import numpy as np

        self.np, self.quilts, self.on = np, quilts, on
        sizes = [quilt.finished_size for quilt in quilts]
        lengths = [length for size in sizes if size for length in (size.width, size.length)]
        for line in lines:
            lengths += line.requirements.liked.lengths()
            lengths += (length for rule in line.requirements.sizes for length in rule.lengths())
        self.scale = whole_unit(lengths)
        self.measured = np.array([size is not None for size in sizes], dtype=bool)
        nothing = dict.fromkeys(("shorter", "longer", "width", "length"), Fraction(0))
        whole = [sides_of(size, self.scale) if size else nothing for size in sizes]
        # Lengths whose fractions have nothing in common need more digits than a machine word holds.
        number = np.int64 if self.scale < MOST_PARTS_OF_AN_INCH else object
        self.sides = {side: np.array([int(sides[side]) for sides in whole], dtype=number) for side in nothing}
        self.by_rule: dict[Rule, tuple] = {}
        self.by_people: dict[tuple[str, ...], numpy.ndarray] = {}
        self.alike = _alike(quilts)

    def line(self, requirements: Requirements) -> tuple["numpy.ndarray", "numpy.ndarray", "numpy.ndarray"]:
        np = self.np
        verdict = np.zeros(len(self.quilts), dtype=np.uint8)
        off = np.zeros(len(self.quilts), dtype=np.int64)
        if requirements.asks_for_size:
            verdict[~self.measured] = CHECK_FIRST
        if requirements.unknown_sizes:
            verdict[:] = CHECK_FIRST
        for rule in requirements.sizes:
            beyond = self.measured * rule.beyond(self.sides, self.scale)
            verdict[beyond > 0] = DOES_NOT_FIT
            off += (-((-beyond * OFF_UNIT.denominator) // self.scale)).astype(np.int64)
        for rule in requirements.others:
            rule_verdict, rule_off = self._rule(rule)
            verdict = np.maximum(verdict, rule_verdict)
            off += rule_off
        misfit = np.where(self.measured, requirements.liked.misfit(self.sides, self.scale), SIZE_NOT_KNOWN)
        return verdict, (misfit + self._people(requirements.suits)).astype(np.int64), off

    def _rule(self, rule: Rule) -> tuple["numpy.ndarray", "numpy.ndarray"]:
        if rule not in self.by_rule:
            np = self.np
            findings = [rule.judge(quilt, self.on) for quilt in self.alike.first]
            verdict = [_verdict(finding) for finding in findings]
            off = [-(-finding.off // OFF_UNIT) if isinstance(finding, Miss) else 0 for finding in findings]
            columns = np.array(verdict, dtype=np.uint8), np.array(off, dtype=np.int64)
            self.by_rule[rule] = tuple(column[self.alike.of] for column in columns)
        return self.by_rule[rule]

    def _people(self, wanted: tuple[str, ...]) -> "numpy.ndarray":
        if wanted not in self.by_people:
            found = self.np.array(
                [people_misfit(quilt, wanted) for quilt in self.alike.first], dtype=self.np.int64
            )
            self.by_people[wanted] = found[self.alike.of]
        return self.by_people[wanted]


@dataclass(frozen=True)
class _Alike:
    """Quilts that are alike in all but their size: the first of each kind, and for each quilt which kind it is of."""

    first: list[Quilt]
    of: list[int]


def _alike(quilts: Sequence[Quilt]) -> _Alike:
    kinds: dict[tuple, int] = {}
    first, of = [], []
    for quilt in quilts:
        kind = (
            quilt.features,
            "features" in quilt.model_fields_set,
            quilt.techniques,
            quilt.colours,
            quilt.fibre,
            quilt.household,
            quilt.quilting,
            quilt.care,
            quilt.condition,
            quilt.suits,
            quilt.stage,
            quilt.ready_by,
            quilt.loans,
        )
        if kind not in kinds:
            kinds[kind] = len(first)
            first.append(quilt)
        of.append(kinds[kind])
    return _Alike(first, of)


def _verdict(finding: Miss | Check | None) -> int:
    return DOES_NOT_FIT if isinstance(finding, Miss) else CHECK_FIRST if isinstance(finding, Check) else FITS
