"""Judges whether a quilt fits a line of a request, does not fit, or needs a check first.

Each hard rule has three outcomes: it is met (None), it is not (a `Miss`, with the distance), or the record does not say
(a `Check`, with the field). One miss rules a quilt out; without misses, one check makes it "check first".
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from fractions import Fraction
from typing import Protocol

from collection.care.shrinkage import (
    Shrinkage,
    Washing,
    after_washing,
    has_to_be_washed,
    shrinkage_of,
    shrinks_into_words,
    washed_words,
)
from collection.matching.judgement import (
    A_MATTER_OF_TASTE,
    EASILY_PUT_RIGHT,
    NOT_TO_BE_PUT_RIGHT,
    TOO,
    WASHED_FIRST,
    Check,
    Finding,
    Judgement,
    Miss,
    SideMiss,
)
from collection.matching.readiness import ReadyRule, StillNeededRule
from collection.matching.rule_vocabulary import LAYERS, Field, Wanted, look_for, meaning_of
from collection.matching.size_rules import (
    Liked,
    SideRange,
    SizeRule,
    known_boxes,
    liked,
    possible_sides,
    sides_of,
    size_rules,
)
from collection.quotes import listed
from collection.records.household import NOT_SAID, Household
from collection.records.partner import Rules
from collection.records.quilt import Condition, Quilt
from collection.records.request import RequestLine
from collection.sizes.tables import SIZE_BOXES, SizeBox
from collection.values.dates import EdtfDate
from collection.values.lengths import NO_LENGTH, Length, Size, Unit
from collection.vocabulary.audience import Agreement, agreement
from collection.vocabulary.fibres import is_made_of, is_none

# Added to the misfit of the size, in quarter inches: one of several groups asked for counts like 2 in, overlapping
# groups like 4 in, and unknown facts more than known ones. Common practice, no source.
AMONG_OTHER_PEOPLE = 8
OVERLAPPING_PEOPLE = 16
PEOPLE_NOT_KNOWN = 32
SIZE_NOT_KNOWN = 400


# Which rules hold -------------------------------------------------------------------------------


def effective_rules(standing: Rules, line: RequestLine) -> Rules:
    """The rules of a line: the partner's standing rules, each replaced by the line's own where it has one.

    `fibre` is replaced layer by layer. Where the line asks for what the partner refuses, or the reverse, the line wins.
    A programme has only the rules in its own file, not those of the charity that it is part of.
    """
    merged = {name: getattr(standing, name) for name in Rules.model_fields}
    merged |= {name: getattr(line, name) for name in Rules.model_fields if name in line.model_fields_set}
    if line.fibre is not None and standing.fibre is not None:
        layers = {name: getattr(line.fibre, name) or getattr(standing.fibre, name) for name in LAYERS}
        merged["fibre"] = standing.fibre.model_copy(update=layers)
    fields: tuple[tuple[Field, Field], ...] = (("no", "needs"), ("needs", "no"))
    for field, other in fields:
        if field not in line.model_fields_set:
            asked = {wanted.word for word in merged[other] for wanted in Wanted.each_of(word, under=other)}
            merged[field] = tuple(
                word
                for word in merged[field]
                if asked.isdisjoint(each.word for each in Wanted.each_of(word, under=field))
            )
    return Rules.model_construct(**merged)


def judge(
    quilt: Quilt,
    rules: Rules,
    *,
    on: date,
    needed_by: EdtfDate | None = None,
    boxes: Sequence[SizeBox] = SIZE_BOXES,
    unit: Unit = "in",
) -> Judgement:
    """Judges a quilt by rules as of the day `on`, for a need by `needed_by`; `unit` is the unit of the texts."""
    return Requirements.of(rules, needed_by=needed_by, boxes=boxes, unit=unit).judge(quilt, on)


class Rule(Protocol):
    """One hard rule, other than a size rule."""

    def judge(self, quilt: Quilt, on: date) -> Finding: ...


@dataclass(frozen=True, slots=True)
class Requirements:
    """The compiled rules of a line, for judging many quilts.

    `named_sizes` are the keys of the sizes that the line names; `unknown_sizes` its size words, if the table has none
    of them.
    """

    sizes: tuple[SizeRule, ...]
    others: tuple[Rule, ...]
    liked: Liked
    ideal: Size | None
    suits: tuple[str, ...]
    named_sizes: tuple[str, ...]
    unknown_sizes: tuple[str, ...]
    unit: Unit

    @classmethod
    def of(
        cls,
        rules: Rules,
        *,
        needed_by: EdtfDate | None,
        boxes: Sequence[SizeBox] = SIZE_BOXES,
        unit: Unit = "in",
        household: Household = NOT_SAID,
    ) -> "Requirements":
        asked: tuple[tuple[Field, tuple[str, ...]], ...] = (("no", rules.no), ("needs", rules.needs))
        others: list[Rule] = [
            WordRule(wanted, household)
            for under, words in asked
            for word in words
            for wanted in Wanted.each_of(word, under=under)
        ]
        for layer in LAYERS:
            if rules.fibre is not None and (made_of := getattr(rules.fibre, layer)) is not None:
                others.append(FibreRule(layer, made_of))
        if rules.condition is not None:
            others.append(ConditionRule(rules.condition))
        if rules.suits:
            others.append(SuitsRule(rules.suits))
        others.append(ReadyRule(needed_by))
        if needed_by is not None:
            others.append(StillNeededRule(needed_by))
        named = tuple(box.key for box in known_boxes(rules, boxes))
        return cls(
            sizes=size_rules(rules, boxes),
            others=tuple(dict.fromkeys(others)),
            liked=liked(rules, boxes),
            ideal=rules.ideal,
            suits=rules.suits,
            named_sizes=named,
            unknown_sizes=() if named else rules.size,
            unit=unit,
        )

    @property
    def asks_for_size(self) -> bool:
        return bool(self.sizes or self.unknown_sizes)

    def judge(self, quilt: Quilt, on: date) -> Judgement:
        size, remedy = self._washed(quilt, self._size(quilt))
        findings = [*size, *(rule.judge(quilt, on) for rule in self.others)]
        misses = tuple(finding for finding in findings if isinstance(finding, Miss))
        return Judgement(
            misses=tuple(
                replace(miss, put_right=remedy) if miss.put_right == WASHED_FIRST else miss for miss in misses
            ),
            checks=tuple(dict.fromkeys(finding for finding in findings if isinstance(finding, Check))),
            misfit=self._size_misfit(quilt.finished_size) + people_misfit(quilt, self.suits),
            fit=self._fit(quilt),
        )

    @property
    def washing(self) -> Washing:
        """Whether the charity takes, and so measures, quilts washed or unwashed."""
        wanted = [rule.wanted for rule in self.others if isinstance(rule, WordRule)]
        return next((WASHING[each] for each in wanted if each in WASHING), "either")

    def _size(self, quilt: Quilt) -> list[Finding]:
        if quilt.finished_size is None:
            return (
                [Check("finished_size", "its size is not recorded, and they ask for one")] if self.asks_for_size else []
            )
        size = quilt.finished_size
        found: list[Finding] = list(self._misses(size))
        if size.approximate and self.asks_for_size and not found:
            found.append(Check("finished_size", f"its size is approximate, {size.say(self.unit)}: measure it"))
        found += [Check("size", f"no size is called {word} in the table") for word in self.unknown_sizes]
        return found

    def _misses(self, size: Size, washed: tuple[Size, Size] | None = None) -> Iterator[Miss]:
        """The misses of the size rules; with `washed`, for the least and largest size after washing."""
        least, most = (sides_of(each.turned) for each in washed) if washed else possible_sides(size.turned)
        fits_turned = not any(rule.beyond(least, most, 1) for rule in self.sizes)
        has_direction = any(rule.rule in ("width", "length") for rule in self.sizes)
        for rule in self.sizes:
            if miss := _size_miss(
                rule, size, self.unit, has_direction=has_direction, fits_turned=fits_turned, washed=washed
            ):
                yield miss

    def _washed(self, quilt: Quilt, found: list[Finding]) -> tuple[list[Finding], str]:
        """The findings on the size, corrected for shrinkage, and the remedy where the quilt has to be washed.

        Washing may shrink a size that fits out of range, or one that is too large into it or nearer to it. If a quilt
        has to be washed, its size after washing counts.
        """
        shrinkage, size = shrinkage_of(quilt, self.washing), quilt.finished_size
        if size is None or shrinkage is None:
            return found, WASHED_FIRST
        washed = after_washing(size, shrinkage)
        least, most = (sides_of(each) for each in washed)
        surely = all(rule.takes_all(least, most) for rule in self.sizes)
        field = "measured" if quilt.measured is None else "finished_size"
        others = [finding for finding in found if isinstance(finding, Check)]
        has_to_be = has_to_be_washed(quilt, self.washing)
        still = list(self._misses(size, washed))
        if len(others) < len(found):
            if still:
                return [*still, *others] if has_to_be else _still_missed(found, still), WASHED_FIRST
            why = shrinks_into_words(quilt, size, shrinkage, self.unit, surely=surely)
            remedy = WASHED_FIRST if surely else f"{WASHED_FIRST} and is of their size then; check first: {why}"
            return [*others, Check(field, why)], remedy
        if surely:
            return found, WASHED_FIRST
        if still and has_to_be:
            return [_missed_once_washed(still, shrinkage, self.unit), *others], WASHED_FIRST
        why = washed_words(quilt, size, shrinkage, self.unit)
        return [*found, Check(field, why)], f"{WASHED_FIRST} and still is of their size: {why}"

    def _size_misfit(self, size: Size | None) -> int:
        if size is None:
            return SIZE_NOT_KNOWN
        return int(self.liked.misfit(sides_of(size), 1))

    def _fit(self, quilt: Quilt) -> str:
        size = quilt.finished_size
        if size is None:
            words = ["size not recorded"]
        else:
            words = [f"{size.say(self.unit)}, {self._size_fit(size)}"]
        if self.suits:
            words += _FOR_PEOPLE[agreement(quilt.suits, self.suits)](quilt.suits, self.suits)
        return "; ".join(words)

    def _size_fit(self, size: Size) -> str:
        if self.ideal is not None:
            off = max(abs(size.shorter - self.ideal.shorter), abs(size.longer - self.ideal.longer))
            ideal = self.ideal.say(self.unit)
            return f"{off.amount(self.unit)} from their ideal {ideal}" if off else "exactly their ideal"
        if not self.asks_for_size:
            return "any size will do"
        sides = sides_of(size)
        if any(rule.beyond(sides, sides, 1) for rule in self.sizes):
            return "perhaps the size they ask for"
        exact = (SizeRule(rule.rule, rule.alternatives) for rule in self.sizes)
        within = not any(rule.beyond(sides, sides, 1) for rule in exact)
        return "the size they ask for" if within else "within their tolerance"


# Size -------------------------------------------------------------------------------------------


def _size_miss(
    rule: SizeRule,
    size: Size,
    unit: Unit,
    *,
    has_direction: bool,
    fits_turned: bool,
    washed: tuple[Size, Size] | None = None,
) -> Miss | None:
    """How a size misses a rule, or None. `washed` is the smallest and the largest size after washing, if it counts;
    `has_direction`: the texts use width and length."""
    least, most = (sides_of(each) for each in washed) if washed else possible_sides(size)
    beyond = rule.beyond(least, most, 1)
    if not beyond:
        return None
    found = (_side_miss(each, rule.tolerance, size, unit, has_direction, washed) for each in rule.nearest(size))
    sides = tuple(filter(None, found))
    put_right = "it is turned round" if fits_turned else None
    return Miss(rule.rule, listed(side.what for side in sides), Fraction(beyond), put_right, sides)


def _side_miss(
    asked: SideRange, tolerance: Length, size: Size, unit: Unit, has_direction: bool, washed: tuple[Size, Size] | None
) -> SideMiss | None:
    """How one side of a size misses its range, or None."""
    length: Length = getattr(size, asked.side)
    off = now = asked.range.distance(length)
    if washed:
        smallest, largest = (getattr(each, asked.side) for each in washed)
        is_above = asked.range.distance(smallest) > NO_LENGTH
        length, nearest = (largest, smallest) if is_above else (smallest, largest)
        off = asked.range.distance(nearest)
    if abs(off) <= tolerance:
        return None
    is_more = off > NO_LENGTH
    too = TOO[(0 if _is_across(asked.side, size, has_direction) else 2) + is_more]
    what = f"{off.amount(unit)} too {too}"
    if washed and now != off and abs(now) > tolerance and (now > NO_LENGTH) == is_more:
        off, what = now, f"{now.amount(unit)} too {too} ({off.amount(unit)} or more once it is washed)"
    elif washed:
        what = f"{off.amount(unit)} or more too {too} once it is washed"
    would_do = length.next_shown(unit, up=is_more)
    accept = would_do.in_inches() if unit == "in" else would_do.in_unit(unit)
    return SideMiss(too, abs(off).inches, what, accept)


def _missed_once_washed(misses: list[Miss], shrinkage: Shrinkage, unit: Unit) -> Miss:
    """The miss of a size that fits, and surely does not once it is washed, from its misses then."""
    sides = sorted((side for miss in misses for side in miss.sides), key=lambda side: side.off)
    strictest = {side.too: f"{Length(side.off).amount(unit)} too {side.too}" for side in sides}
    by_how_much = listed(strictest[too] for too in TOO if too in strictest)
    what = f"it will be at least {by_how_much} once it is washed ({shrinkage.words})"
    return Miss(misses[0].rule, what, sum((miss.off for miss in misses), Fraction(0)))


def _still_missed(found: list[Finding], washed: list[Miss]) -> list[Finding]:
    """The findings on a size that misses even when washed: the misses after washing, if they are nearer."""
    missed = sum(finding.off for finding in found if isinstance(finding, Miss))
    if sum(miss.off for miss in washed) >= missed:
        return found
    return [*washed, *(finding for finding in found if isinstance(finding, Check))]


def _is_across(side: str, size: Size, has_direction: bool) -> bool:
    """Whether a side runs across the quilt, so that its words are narrow and wide, not short and long."""
    if has_direction and size.width > size.length and side in ("shorter", "longer"):
        return side == "longer"
    return side in ("width", "shorter")


_FOR_PEOPLE: dict[Agreement, Callable[[Sequence[str], Sequence[str]], list[str]]] = {
    "the same": lambda _, wanted: [f"for {listed(wanted)}"],
    "among them": lambda _, wanted: [f"for {listed(wanted)}"],
    "overlapping": lambda ours, _: [f"suits {listed(ours)}"],
    "different": lambda *_: [],
    "unknown": lambda *_: ["not said who would enjoy it"],
}


# Words ------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class WordRule:
    """Requires or refuses what a word of `no` or `needs` says; `household` answers questions about the home."""

    wanted: Wanted
    household: Household = NOT_SAID

    def judge(self, quilt: Quilt, on: date) -> Finding:
        answer = look_for(self.wanted, quilt, self.household)
        said = meaning_of(self.wanted.word)
        if answer.holds is None:
            return Check(answer.field, said.refusal if self.wanted.refused else f"they ask that {said.having}")
        if answer.holds != self.wanted.refused:
            return None
        if self.wanted.refused:
            return Miss("no", answer.because or said.having, NOT_TO_BE_PUT_RIGHT)
        off = EASILY_PUT_RIGHT if said.put_right else NOT_TO_BE_PUT_RIGHT
        return Miss("needs", said.lacking, off, put_right=said.put_right or None)


# Fibre, condition, people -----------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class FibreRule:
    """Requires that a layer is made of one fibre, and nothing else."""

    layer: str
    made_of: str

    def judge(self, quilt: Quilt, on: date) -> Finding:
        text = getattr(quilt.fibre, self.layer) if quilt.fibre else None
        holds = None if text is None else is_made_of(text, self.made_of)
        if holds is None:
            asked = f"no {self.layer}" if is_none(self.made_of) else f"{self.made_of} for the {self.layer}"
            return Check(f"fibre.{self.layer}", f"they ask for {asked}")
        if holds:
            return None
        what = f"its {self.layer} is {text}" if text and not is_none(text) else f"it has no {self.layer}"
        return Miss("fibre", f"{what}, and they ask for {self.made_of}", NOT_TO_BE_PUT_RIGHT)


WASHING: dict[Wanted, Washing] = {
    Wanted("washed", refused=False): "washed",
    Wanted("unwashed", refused=True): "washed",
    Wanted("unwashed", refused=False): "unwashed",
    Wanted("washed", refused=True): "unwashed",
}

BEST_TO_WORST: tuple[Condition, ...] = ("new", "good", "fair", "worn")


@dataclass(frozen=True, slots=True)
class ConditionRule:
    """Requires at least this condition. A quilt that is not finished yet counts as new."""

    least: Condition

    def judge(self, quilt: Quilt, on: date) -> Finding:
        condition = quilt.condition or (None if quilt.stage == "finished" else "new")
        if condition is None:
            return Check("condition", f"they ask for {self._asked}")
        if BEST_TO_WORST.index(condition) <= BEST_TO_WORST.index(self.least):
            return None
        what = f"its condition is {condition}, and they ask for {self._asked}"
        return Miss("condition", what, NOT_TO_BE_PUT_RIGHT)

    @property
    def _asked(self) -> str:
        return "a new quilt" if self.least == "new" else f"{self.least} condition{or_better(self.least)}"


def or_better(condition: Condition) -> str:
    return "" if condition == "new" else " or better"


@dataclass(frozen=True, slots=True)
class SuitsRule:
    """Requires a quilt that suits these people."""

    wanted: tuple[str, ...]

    def judge(self, quilt: Quilt, on: date) -> Finding:
        people = agreement(quilt.suits, self.wanted)
        if people == "unknown":
            return Check("suits", f"this is for {listed(self.wanted)}")
        if people == "overlapping":
            return Check("suits", f"it suits {listed(quilt.suits)}, and this is for {listed(self.wanted)}")
        if people != "different":
            return None
        what = f"it suits {listed(quilt.suits)}, and this is for {listed(self.wanted)}"
        return Miss("suits", what, A_MATTER_OF_TASTE, put_right=f"{listed(self.wanted)} would enjoy it too")


def people_misfit(quilt: Quilt, wanted: tuple[str, ...]) -> int:
    """The part of the misfit for people, in quarter inches: 0 if the quilt suits exactly those asked for."""
    if not wanted:
        return 0
    misfits = {"the same": 0, "among them": AMONG_OTHER_PEOPLE, "overlapping": OVERLAPPING_PEOPLE}
    return misfits.get(agreement(quilt.suits, wanted), PEOPLE_NOT_KNOWN)
