"""What to make next: quilts for the places that stay open.

No suggestion breaks a rule: each is built as a quilt record, and judged by the rules of every line that it serves.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from typing import Literal

from collection.matching.judgement import Miss
from collection.matching.open_places import OpenLine
from collection.matching.plan import CannotBeMade, MakeNext
from collection.matching.rule_vocabulary import LAYERS, meaning_of
from collection.matching.rules import FibreRule, Requirements, Rule, SuitsRule, WordRule
from collection.matching.sizes_to_make import Room, rooms_of, shared_rooms, shown_in, size_to_make, takes
from collection.records.quilt import Care, Fibre, Quilt, Quilting
from collection.sizes.categories import SizeTable
from collection.values.dates import EdtfDate

Short = tuple[OpenLine, int]

TO_MAKE = Quilt.model_validate(
    {"id": "to-make", "title": "The quilt to make", "condition": "new", "features": [], "measured": "washed"}
)
"""A new quilt with all facts still open; its (empty) list of features is complete."""


def make_next(
    short: Iterable[Short], sizes: SizeTable, on: date
) -> tuple[tuple[MakeNext, ...], tuple[CannotBeMade, ...]]:
    """Quilts to make for the lines with open places, and the lines that no quilt can be made for.

    Sorted by the day they are needed: then those without a day, last those whose day has passed. One suggestion serves
    several lines if they ask for the same size category and one quilt fits them all. Its size is what the line with the
    most places asks for.
    """
    groups: dict[str | None, list[_Group]] = {}
    cannot = []
    for line, places in sorted(short, key=lambda each: -each[1]):
        alone = _Group.of(line, places, on)
        if isinstance(alone, str):
            cannot.append(CannotBeMade(line.request.id, line.line.id, alone))
            continue
        alike = groups.setdefault(_size_key(alone, sizes), [])
        for number, group in enumerate(alike):
            if (joined := group.joined(alone, on)) is not None:
                alike[number] = joined
                break
        else:
            alike.append(alone)
    found = [_suggestion(size, group, on) for size, alike in groups.items() for group in alike]
    in_order = sorted(found, key=lambda each: (*_day(each.by, on), -each.must, -each.count, each.lines))
    return tuple(in_order), tuple(sorted(cannot, key=lambda each: (each.request, each.line)))


@dataclass(frozen=True)
class _Group:
    """Lines that one quilt serves, the one with the most places first; the sizes that all of them take, their other
    rules, and the quilt."""

    short: tuple[Short, ...]
    rooms: tuple[Room, ...]
    rules: tuple[Rule, ...]
    quilt: Quilt

    @classmethod
    def of(cls, line: OpenLine, places: int, on: date) -> "_Group | str":
        """The group of one line; if no quilt fits it, the reason as text."""
        rooms, rules = rooms_of(line.requirements.sizes), line.requirements.others
        quilt = _made_for(rules, on)
        if isinstance(quilt, str) or not rooms:
            return quilt if isinstance(quilt, str) else CONTRADICTING_SIZES
        # Without a rule on size any size fits.
        if line.requirements.sizes or line.requirements.ideal:
            size = size_to_make(rooms, [line.requirements])
            if size is None:
                return CONTRADICTING_SIZES
            quilt = quilt.model_copy(update={"finished_size": size})
        return line.requirements.judge(quilt, on).because or cls(((line, places),), rooms, rules, quilt)

    def joined(self, other: "_Group", on: date) -> "_Group | None":
        """The group of both groups' lines, if one quilt serves all; else None."""
        rooms = shared_rooms(self.rooms, other.rooms)
        if not rooms:
            return None
        new = tuple(rule for rule in other.rules if rule not in self.rules)
        quilt = _decided_too(self.quilt, self.rules, new, on)
        lines = [line.requirements for line, _ in (*self.short, *other.short)]
        if isinstance(quilt, str):
            return None
        size = quilt.finished_size
        if size is not None and not all(takes(line.requirements.sizes, size) for line, _ in other.short):
            size = size_to_make(rooms, lines)
            if size is None:
                return None
            quilt = quilt.model_copy(update={"finished_size": size})
        if any(line.judge(quilt, on).misses for line in (lines if quilt != self.quilt else lines[len(self.short) :])):
            return None
        return _Group((*self.short, *other.short), rooms, (*self.rules, *new), quilt)

    @property
    def lines(self) -> list[Requirements]:
        return [line.requirements for line, _ in self.short]


CONTRADICTING_SIZES = "its rules on size contradict each other"


def _size_key(group: _Group, sizes: SizeTable) -> str | None:
    named = group.lines[0].named_sizes
    size = group.quilt.finished_size
    if size is None:
        return None
    category = sizes.category(size)
    held = [box.key for box in (category.box, *category.also)] if category else []
    return next((key for key in named if key in held), held[0] if held else None)


def _suggestion(size: str | None, group: _Group, on: date) -> MakeNext:
    rules = group.rules
    words: dict[bool, list[str]] = {False: [], True: []}
    for rule in rules:
        if isinstance(rule, WordRule) and meaning_of(rule.wanted.word).decided_by != "anything":
            words[rule.wanted.refused].append(rule.wanted.word)
    days = [line.request.needed_by for line, _ in group.short if line.request.needed_by is not None]
    layers = {rule.layer for rule in rules if isinstance(rule, FibreRule)}
    fibre, target = group.quilt.fibre, group.quilt.finished_size
    return MakeNext(
        size=size,
        target=target,
        in_inches=target and shown_in("in", target, group.lines),
        in_cm=target and shown_in("cm", target, group.lines),
        unit=group.lines[0].unit,
        count=sum(places for _, places in group.short),
        must=sum(places for line, places in group.short if line.line.priority == "must"),
        by=min(days, key=lambda day: _day(day, on), default=None),
        lines=tuple(sorted((line.request.id, line.line.id) for line, _ in group.short)),
        fibre=tuple((layer, getattr(fibre, layer)) for layer in LAYERS if fibre and layer in layers),
        needs=tuple(sorted(dict.fromkeys(words[False]))),
        without=tuple(sorted(dict.fromkeys(words[True]))),
        suits=group.quilt.suits,
    )


def _day(day: EdtfDate | None, on: date) -> tuple[bool, bool, tuple[date, date, str] | None]:
    passed = day is not None and day.passed(on) != "no"
    return passed, day is None, day.sort_key if day else None


# The quilt --------------------------------------------------------------------------------------


@lru_cache(maxsize=2_000)
def _made_for(rules: tuple[Rule, ...], on: date) -> Quilt | str:
    """A new quilt that meets all rules, with only the facts set that they ask for; else the reason as text."""
    # A refused thing that even the blank quilt has comes from the household.
    refusing = (rule for rule in rules if isinstance(rule, WordRule) and rule.wanted.refused)
    if in_the_house := _missed(refusing, TO_MAKE, on):
        return in_the_house
    quilt = _decided_too(TO_MAKE, (), rules, on)
    return f"its rules contradict each other: {quilt}" if isinstance(quilt, str) else quilt


def _decided_too(quilt: Quilt, rules: tuple[Rule, ...], new: tuple[Rule, ...], on: date) -> Quilt | str:
    """A quilt that meets `rules`, with more facts set so that it meets the `new` ones as well; else the reason as
    text."""
    everything = (*rules, *new)
    for rule in new:
        if rule.judge(quilt, on) is None:
            continue
        will_do = (other for other in _decided(quilt, rule) if rule.judge(other, on) is None)
        missed = ""
        for other in will_do:
            missed = _missed(everything, other, on)
            if not missed:
                quilt = other
                break
        if missed:
            return missed
    return _missed(everything, quilt, on) or quilt


def _missed(rules: Iterable[Rule], quilt: Quilt, on: date) -> str:
    findings = (rule.judge(quilt, on) for rule in rules)
    return next((finding.what for finding in findings if isinstance(finding, Miss)), "")


def _facts(quilt: Quilt, word: str) -> Iterator[dict[str, object]]:
    """Each open fact that may satisfy a word, as an update of the quilt."""
    care, fibre = quilt.care or Care(), quilt.fibre or Fibre()
    for name, value in (("washed", True), ("washed", False), ("label", True), ("sleeve", True)):
        if getattr(care, name) is None:
            yield {"care": care.model_copy(update={name: value})}
    if quilt.quilting is None:
        for how in WAYS_TO_QUILT:
            yield {"quilting": Quilting(how=how)}
    cotton = {layer: "cotton" for layer in LAYERS if getattr(fibre, layer) is None}
    yield {"fibre": fibre.model_copy(update={"batting": fibre.batting or "cotton"})}
    yield {"fibre": fibre.model_copy(update=cotton)}
    yield {"features": (*quilt.features, word)}


WAYS_TO_QUILT: tuple[Literal["domestic machine", "hand", "tied"], ...] = ("domestic machine", "hand", "tied")


def _decided(quilt: Quilt, rule: Rule) -> Iterator[Quilt]:
    """Copies of the quilt with one more fact set that may satisfy a rule. A refusing rule needs none."""
    match rule:
        case WordRule(wanted=wanted) if not wanted.refused:
            yield from (quilt.model_copy(update=fact) for fact in _facts(quilt, wanted.word))
        case FibreRule(layer=layer, made_of=made_of):
            for text in (made_of, "cotton", "none"):
                fibre = (quilt.fibre or Fibre()).model_copy(update={layer: text})
                yield quilt.model_copy(update={"fibre": fibre})
        case SuitsRule(wanted=wanted):
            for people in (wanted, *((each,) for each in wanted)):
                yield quilt.model_copy(update={"suits": people})
