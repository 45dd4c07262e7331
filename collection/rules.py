"""Whether a quilt is what a line of a request asks for: it fits, it does not, or something has to be checked first.

Hard rules decide, and each can have three outcomes: it holds, it does not (a `Miss`, with by how much), or the
record does not tell (a `Check`, with the field to look at). A quilt does not fit if any rule is missed; it is
"check first" if none is missed and some can't be told.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from typing import Literal, Protocol

from collection.dates import EdtfDate
from collection.lengths import Length, Size, Unit
from collection.materials import is_made_of, is_none
from collection.records.partner import Rules
from collection.records.quilt import Condition, Quilt
from collection.records.request import RequestLine
from collection.rule_words import LAYERS, Wanted, look_for, meaning_of
from collection.size_rules import Liked, SideRange, SizeRule, amount, known_boxes, liked, sides_of, size_rules
from collection.size_tables import SIZE_BOXES, SizeBox
from collection.suits import agreement

Verdict = Literal["fits", "check first", "does not fit"]

# How far away a miss is that no ruler measures, in inches: what can be put right at home is near, what can't is
# far. It orders the nearest misses and decides nothing else. Common practice, no source.
EASILY_PUT_RIGHT = Fraction(2)
A_MATTER_OF_TASTE = Fraction(8)
NOT_TO_BE_PUT_RIGHT = Fraction(24)
DAYS_TO_AN_INCH = 7

# What the misfit adds to the size's: overlapping people count like 4 in, and what is not known is matched after
# what is. In quarter inches; common practice, no source.
OVERLAPPING_PEOPLE = 16
PEOPLE_NOT_KNOWN = 32
SIZE_NOT_KNOWN = 400


@dataclass(frozen=True, slots=True)
class Miss:
    """A rule that does not hold: the rule's field, and what is so.

    `off` is how far away it is, in inches, to order misses by. The quilt would fit if they accepted the size
    `accept`, or once `put_right` is done; where there is neither, nothing helps.
    """

    rule: str
    what: str
    off: Fraction
    accept: str | None = None
    put_right: str | None = None


@dataclass(frozen=True, slots=True)
class Check:
    """A fact to look at before the quilt goes: the field that does not tell, and why it matters."""

    field: str
    why: str


Finding = Miss | Check | None


@dataclass(frozen=True, slots=True)
class Judgement:
    """How one quilt stands to one line. `misfit` is 0 for what could not be liked better; `fit` says it in words."""

    misses: tuple[Miss, ...]
    checks: tuple[Check, ...]
    misfit: int
    fit: str

    @property
    def verdict(self) -> Verdict:
        return "does not fit" if self.misses else "check first" if self.checks else "fits"

    @property
    def off(self) -> Fraction:
        """How far it is from fitting, in inches; what can't be measured counts as set out above."""
        return sum((miss.off for miss in self.misses), Fraction(0))

    @property
    def because(self) -> str:
        """What stands in the way, and what would change it where that can be said in a few words.

        `2 1/2 in too short; would fit if they accept 58`.
        """
        sizes = [miss for miss in self.misses if miss.accept]
        others = [miss for miss in self.misses if not miss.accept]
        whats = [_listed(dict.fromkeys(miss.what for miss in sizes))] if sizes else []
        whats += dict.fromkeys(miss.what for miss in others)
        if len(whats) > MOST_REMEDIES or not all(miss.put_right for miss in others):
            return "; ".join(whats)
        accepted = _listed(dict.fromkeys(miss.accept for miss in sizes))
        remedies = [f"they accept {accepted}"] if accepted else []
        remedies += [miss.put_right for miss in others]
        return "; ".join([*whats, f"would fit if {_listed(remedies)}"]) if whats else ""


MOST_REMEDIES = 2
"""With more than so much in the way, nothing is gained by saying how all of it could be put right."""


# Which rules hold -------------------------------------------------------------------------------


def effective_rules(standing: Rules, line: RequestLine) -> Rules:
    """The rules of a line: those of the partner, each replaced by what the line itself says of it.

    `fibre` is replaced layer by layer. What a line asks for by name is not refused by an older rule, and what it
    refuses is not asked for: the line is the later word. A programme's rules are those of its own file alone.
    """
    merged = {name: getattr(standing, name) for name in Rules.model_fields}
    merged |= {name: getattr(line, name) for name in Rules.model_fields if name in line.model_fields_set}
    if line.fibre is not None and standing.fibre is not None:
        layers = {name: getattr(line.fibre, name) or getattr(standing.fibre, name) for name in LAYERS}
        merged["fibre"] = standing.fibre.model_copy(update=layers)
    for field, other in (("no", "needs"), ("needs", "no")):
        if field not in line.model_fields_set:
            asked = {Wanted.of(word, under=other).word for word in merged[other]}
            merged[field] = tuple(word for word in merged[field] if Wanted.of(word, under=field).word not in asked)
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
    """How a quilt stands to rules, on a day, for something that is needed by a day; `unit` is for the words."""
    return Requirements.of(rules, needed_by=needed_by, boxes=boxes, unit=unit).judge(quilt, on)


class Rule(Protocol):
    """One hard rule that is no matter of size."""

    def judge(self, quilt: Quilt, on: date) -> Finding: ...


@dataclass(frozen=True, slots=True)
class Requirements:
    """The rules of a line, made ready to judge many quilts.

    `named_sizes` are the keys of the sizes that the line names, `unknown_sizes` its words that the table lacks,
    where it has none of them.
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
        cls, rules: Rules, *, needed_by: EdtfDate | None, boxes: Sequence[SizeBox] = SIZE_BOXES, unit: Unit = "in"
    ) -> "Requirements":
        others: list[Rule] = [WordRule(Wanted.of(word, under="no")) for word in rules.no]
        others += [WordRule(Wanted.of(word, under="needs")) for word in rules.needs]
        for layer in LAYERS:
            if rules.fibre is not None and (made_of := getattr(rules.fibre, layer)) is not None:
                others.append(FibreRule(layer, made_of))
        if rules.condition is not None:
            others.append(ConditionRule(rules.condition))
        if rules.suits:
            others.append(SuitsRule(rules.suits))
        others.append(ReadyRule(needed_by))
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
        findings: list[Finding] = [*self._size(quilt), *(rule.judge(quilt, on) for rule in self.others)]
        return Judgement(
            misses=tuple(finding for finding in findings if isinstance(finding, Miss)),
            checks=tuple(dict.fromkeys(finding for finding in findings if isinstance(finding, Check))),
            misfit=self._size_misfit(quilt.finished_size) + people_misfit(quilt, self.suits),
            fit=self._fit(quilt),
        )

    def _size(self, quilt: Quilt) -> list[Finding]:
        if quilt.finished_size is None:
            return [Check("finished_size", "they ask for a size")] if self.asks_for_size else []
        found: list[Finding] = [_size_finding(rule, quilt.finished_size, self.unit) for rule in self.sizes]
        found += [Check("size", f"no size is called {word} in the table") for word in self.unknown_sizes]
        return found

    def _size_misfit(self, size: Size | None) -> int:
        if size is None:
            return SIZE_NOT_KNOWN
        return int(self.liked.misfit(sides_of(size), 1))

    def _fit(self, quilt: Quilt) -> str:
        size = quilt.finished_size
        if size is None:
            words = ["size not recorded"]
        else:
            words = [f"{_size(size, self.unit)}, {self._size_fit(size)}"]
        if self.suits and (people := agreement(quilt.suits, self.suits)) != "different":
            words.append(f"for {_listed(self.suits)}" if people != "unknown" else "not said who would enjoy it")
        return "; ".join(words)

    def _size_fit(self, size: Size) -> str:
        if self.ideal is not None:
            off = max(abs(size.shorter - self.ideal.shorter), abs(size.longer - self.ideal.longer))
            ideal = _size(self.ideal, self.unit)
            return f"{amount(off, self.unit)} from their ideal {ideal}" if off else "exactly their ideal"
        if not self.asks_for_size:
            return "any size will do"
        exact = (SizeRule(rule.rule, rule.alternatives) for rule in self.sizes)
        within = not any(rule.beyond(sides_of(size), 1) for rule in exact)
        return "the size they ask for" if within else "within their tolerance"


# Size -------------------------------------------------------------------------------------------


_TOO = {
    "shorter": ("narrow", "wide"), "longer": ("short", "long"), "width": ("narrow", "wide"), "length": ("short", "long"),
}


def _size_finding(rule: SizeRule, size: Size, unit: Unit) -> Finding:
    beyond = rule.beyond(sides_of(size), 1)
    if not beyond:
        return None
    whats, accepted = [], []
    for each in rule.nearest(size):
        length: Length = getattr(size, each.side)
        off = each.range.distance(length)
        if abs(off) > rule.tolerance:
            less, more = _TOO[each.side]
            whats.append(f"{amount(off, unit)} too {less if off < Length(0) else more}")
            accepted.append(length.in_inches() if unit == "in" else f"{length.in_cm()} cm")
    if _fits_turned(rule, size):
        return Miss(rule.rule, _listed(whats), Fraction(beyond), put_right="it is turned round")
    return Miss(rule.rule, _listed(whats), Fraction(beyond), accept=_listed(accepted))


def _fits_turned(rule: SizeRule, size: Size) -> bool:
    return not rule.beyond(sides_of(Size(size.length, size.width)), 1)


def _size(size: Size, unit: Unit) -> str:
    return f"{size.in_inches()} in" if unit == "in" else f"{size.in_cm()} cm"


# Words ------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class WordRule:
    """A word of `no` or `needs`."""

    wanted: Wanted

    def judge(self, quilt: Quilt, on: date) -> Finding:
        answer = look_for(self.wanted, quilt)
        said = meaning_of(self.wanted.word)
        if answer.holds is None:
            refused = f"they refuse {said.word}"
            return Check(answer.field, refused if self.wanted.refused else f"they ask that {said.having}")
        if answer.holds != self.wanted.refused:
            return None
        if self.wanted.refused:
            return Miss("no", said.having, NOT_TO_BE_PUT_RIGHT)
        off = EASILY_PUT_RIGHT if said.put_right else NOT_TO_BE_PUT_RIGHT
        return Miss("needs", said.lacking, off, put_right=said.put_right or None)


# Fibre, condition, people -----------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class FibreRule:
    """What a layer must be made of, and nothing else."""

    layer: str
    made_of: str

    def judge(self, quilt: Quilt, on: date) -> Finding:
        text = getattr(quilt.fibre, self.layer) if quilt.fibre else None
        holds = None if text is None else is_made_of(text, self.made_of)
        if holds is None:
            return Check(f"fibre.{self.layer}", f"they ask for {self.made_of}")
        if holds:
            return None
        what = f"it has no {self.layer}" if is_none(text) else f"its {self.layer} is {text}"
        return Miss("fibre", f"{what}, and they ask for {self.made_of}", NOT_TO_BE_PUT_RIGHT)


BEST_TO_WORST: tuple[Condition, ...] = ("new", "good", "fair", "worn")


@dataclass(frozen=True, slots=True)
class ConditionRule:
    """The least condition that is welcome. A quilt that is still being made is new."""

    least: Condition

    def judge(self, quilt: Quilt, on: date) -> Finding:
        condition = quilt.condition or (None if quilt.stage == "finished" else "new")
        if condition is None:
            return Check("condition", f"they ask for {self.least}{_or_better(self.least)}")
        if BEST_TO_WORST.index(condition) <= BEST_TO_WORST.index(self.least):
            return None
        what = f"its condition is {condition}, and they ask for {self.least}{_or_better(self.least)}"
        return Miss("condition", what, NOT_TO_BE_PUT_RIGHT)


def _or_better(condition: Condition) -> str:
    return "" if condition == "new" else " or better"


@dataclass(frozen=True, slots=True)
class SuitsRule:
    """Who it is for."""

    wanted: tuple[str, ...]

    def judge(self, quilt: Quilt, on: date) -> Finding:
        people = agreement(quilt.suits, self.wanted)
        if people == "unknown":
            return Check("suits", f"it is for {_listed(self.wanted)}")
        if people != "different":
            return None
        what = f"it suits {_listed(quilt.suits)}, and this is for {_listed(self.wanted)}"
        return Miss("suits", what, A_MATTER_OF_TASTE, put_right=f"{_listed(self.wanted)} would enjoy it too")


def people_misfit(quilt: Quilt, wanted: tuple[str, ...]) -> int:
    """What the taste of those it is for adds to the misfit."""
    if not wanted:
        return 0
    return {"the same": 0, "overlapping": OVERLAPPING_PEOPLE}.get(agreement(quilt.suits, wanted), PEOPLE_NOT_KNOWN)


# Ready and at home in time ----------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class ReadyRule:
    """Finished, or finished in time if the maker says when; and at home, or back in time."""

    needed_by: EdtfDate | None

    def judge(self, quilt: Quilt, on: date) -> Finding:
        finding = self._finished(quilt, on) if quilt.stage != "finished" else None
        loan = quilt.current_loan
        if isinstance(finding, Miss) or loan is None:
            return finding
        if loan.due is None:
            return Check("loans", "it is on loan, and nobody wrote down until when")
        if (late := self._late(loan.due)) is not None:
            what = f"it is on loan until {loan.due.say()}, {late}"
            return Miss("needed_by", what, self._off(loan.due), put_right=self._in_time("back"))
        return finding or Check("loans", f"it is on loan until {loan.due.say()}")

    def _finished(self, quilt: Quilt, on: date) -> Finding:
        stage = f"it is still at the {quilt.stage} stage"
        ready = quilt.ready_by
        if ready is None:
            remedy = "you write down by when it will be ready (ready_by)"
            return Miss("needed_by", stage, EASILY_PUT_RIGHT, put_right=remedy)
        if (late := self._late(ready)) is not None:
            what = f"{stage} until {ready.say()}, {late}"
            return Miss("needed_by", what, self._off(ready), put_right=self._in_time("ready"))
        if ready.latest is not None and ready.latest < on:
            return Check("ready_by", f"it was to be ready by {ready.say()}")
        if not self._surely_in_time(ready):
            return Check("ready_by", f"they need it by {self.needed_by.say()}")
        return None

    def _late(self, day: EdtfDate) -> str | None:
        """By how much a day is surely after the one on which they are needed."""
        if self.needed_by is None or not self.needed_by.surely_before(day):
            return None
        days = (day.earliest - self.needed_by.latest).days
        return f"{days} day{'' if days == 1 else 's'} too late"

    def _off(self, day: EdtfDate) -> Fraction:
        return Fraction((day.earliest - self.needed_by.latest).days, DAYS_TO_AN_INCH)

    def _surely_in_time(self, ready: EdtfDate) -> bool:
        if self.needed_by is None or self.needed_by.latest is None:
            return True
        certain = not (ready.approximate or ready.uncertain)
        return certain and ready.latest is not None and ready.latest <= self.needed_by.latest

    def _in_time(self, what: str) -> str:
        return f"it is {what} by {self.needed_by.say()}"


def _listed(words: Iterable[str]) -> str:
    """Words as a sentence lists them: `a`, `a and b`, `a, b and c`."""
    words = tuple(words)
    return " and ".join(filter(None, [", ".join(words[:-1]), words[-1]])) if words else ""
