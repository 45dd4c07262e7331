"""The choices and suggestions in a form, from the contents of the collection."""

from collections import Counter
from collections.abc import Callable, Iterable
from datetime import date
from functools import cached_property

from collection.colours.names import TERMS
from collection.forms.answers import UNTICKED
from collection.forms.form import TICKED, Choice
from collection.forms.labels import MEANINGS
from collection.forms.schema import Question
from collection.matching.rule_vocabulary import RULE_WORDS
from collection.records.collection import Collection, charities_above
from collection.records.quilt import Quilt
from collection.records.request import Request
from collection.sizes.tables import SizeBox
from collection.transfers.wording import names_by_id, request_name
from collection.values.currencies import DECIMALS
from collection.vocabulary.audience import GROUPS
from collection.vocabulary.fibres import FIBRES

MOST_SUGGESTIONS = 200

NOTHING_SAID = Choice("", "not said")
_YES_AND_NO = (Choice(TICKED, "yes"), Choice(UNTICKED, "no"))


class Suggestions:
    """The choices for all questions of one record's form; shared ones are computed once."""

    def __init__(self, collection: Collection, record_id: str):
        self.collection = collection
        self.record_id = record_id
        self._kept: dict[str, tuple[Choice, ...]] = {}

    def for_question(self, kind: str, question: Question) -> tuple[Choice, ...]:
        """The options of a question; if it takes any text, the most useful suggestions."""
        if question.path not in self._kept:
            self._kept[question.path] = self._found(kind, question)
        return self._kept[question.path]

    def _found(self, kind: str, question: Question) -> tuple[Choice, ...]:
        if question.options:
            path = question.path.replace("history.", "destination.", 1)
            meanings = MEANINGS.get(f"{kind}:{path}") or MEANINGS.get(path, {})
            options = tuple(Choice(word, word.replace("_", " "), meanings.get(word, "")) for word in question.options)
            may_be_empty = question.takes == "one word" and question.usual is None
            return (NOTHING_SAID, *options) if may_be_empty else options
        if question.takes == "yes or no":
            return (NOTHING_SAID, *_YES_AND_NO)
        if question.path in _RECORDS:
            choices = _RECORDS[question.path](self)
            return choices if question.required or question.takes == "lines" else (NOTHING_SAID, *choices)
        return tuple(_SUGGESTED[question.path](self)) if question.path in _SUGGESTED else ()

    def only_these(self, question: Question) -> bool:
        """Whether only the choices are allowed; else they are suggestions."""
        return bool(question.options) or question.path in _RECORDS or question.takes == "yes or no"

    @cached_property
    def names(self) -> dict[str, str]:
        return names_by_id(self.collection.partners, self.collection.requests)

    # Records ----------------------------------------------------------------------------------

    @cached_property
    def charities(self) -> tuple[Choice, ...]:
        return self._partners("charity")

    @cached_property
    def charities_not_below(self) -> tuple[Choice, ...]:
        """The charities that this one may be part of: not itself, nor any that is part of it."""
        partners = self.collection.partners
        return tuple(
            choice
            for choice in self.charities
            if self.record_id not in (choice.value, *charities_above(partners[choice.value], partners))
        )

    @cached_property
    def other_charities(self) -> tuple[Choice, ...]:
        return tuple(choice for choice in self.charities if choice.value != self.record_id)

    @cached_property
    def go_betweens(self) -> tuple[Choice, ...]:
        return self._partners("go-between")

    def _partners(self, kind: str) -> tuple[Choice, ...]:
        partners = (each for each in self.collection.partners.values() if each.kind == kind)
        return tuple(
            Choice(each.id, each.name, each.about or "") for each in sorted(partners, key=lambda p: p.name.casefold())
        )

    @cached_property
    def requests(self) -> tuple[Choice, ...]:
        """Open requests first, the newest first."""

        def order(request: Request) -> tuple[bool, bool, tuple[date, date, str] | tuple[()]]:
            day = request.asked.sort_key if request.asked else ()
            return request.closed is None, bool(day), day

        return tuple(
            Choice(request.id, request_name(request, self.collection.partners), "Closed." if request.closed else "")
            for request in sorted(self.collection.requests.values(), key=order, reverse=True)
        )

    @cached_property
    def request_lines(self) -> tuple[Choice, ...]:
        lines = {line.id: request for request in self.collection.requests.values() for line in request.lines}
        partners = self.collection.partners
        return tuple(Choice(line, line, f"for {request_name(lines[line], partners)}") for line in sorted(lines))

    # Words ------------------------------------------------------------------------------------

    def used(self, words_of: Callable[[Quilt], Iterable[str | None]]) -> tuple[Choice, ...]:
        """The words that other quilts use in a field, the most frequent first."""
        counted = Counter(word for quilt in self.collection.quilts.values() for word in words_of(quilt) if word)
        ranked = sorted(counted.items(), key=lambda each: (-each[1], each[0].casefold()))
        return _words(word for word, _ in ranked[:MOST_SUGGESTIONS])

    @cached_property
    def sizes(self) -> tuple[Choice, ...]:
        units = self.collection.settings.units
        return tuple(Choice(box.key, box.name, _measures(box, units)) for box in self.collection.size_boxes)

    @cached_property
    def photos_of_no_quilt(self) -> tuple[Choice, ...]:
        shown = {photo.file for quilt in self.collection.quilts.values() for photo in quilt.photos}
        return _words(sorted(self.collection.photos - shown)[:MOST_SUGGESTIONS])

    def made_of(self, layer: str) -> tuple[Choice, ...]:
        used = self.used(lambda quilt: [getattr(quilt.fibre, layer)] if quilt.fibre else [])
        return used + tuple(choice for choice in _words(FIBRES) if choice not in used)


def _measures(box: SizeBox, units: str) -> str:
    sides = [side.in_inches() if units == "in" else side.in_cm() for side in (box.shorter, box.longer)]
    return f"{' × '.join(sides)} {units}"


def _words(words: Iterable[str]) -> tuple[Choice, ...]:
    return tuple(Choice(word, word) for word in words)


# Fields that allow only these choices.
_RECORDS: dict[str, Callable[[Suggestions], tuple[Choice, ...]]] = {
    "partner": lambda s: s.charities,
    "part_of": lambda s: s.charities_not_below,
    "acts_for": lambda s: s.other_charities,
    "through": lambda s: s.go_betweens,
    **{
        f"{place}.{key}": choices
        for place in ("destination", "history")
        for key, choices in (
            ("through", lambda s: s.go_betweens),
            ("meant_for", lambda s: s.charities),
            ("request", lambda s: s.requests),
        )
    },
}

# Fields that allow any text; these are suggestions.
_SUGGESTED: dict[str, Callable[[Suggestions], Iterable[Choice]]] = {
    **{f"{place}.to": lambda s: s.charities for place in ("destination", "history")},
    **{f"{place}.line": lambda s: s.request_lines for place in ("destination", "history")},
    **{f"{rules}.size": lambda s: s.sizes for rules in ("rules", "lines")},
    **{
        f"{rules}.{key}": lambda s: _words(row.word for row in RULE_WORDS)
        for rules in ("rules", "lines")
        for key in ("no", "needs")
    },
    **{f"{path}suits": lambda s: _words(group.name for group in GROUPS) for path in ("", "rules.", "lines.")},
    "photos.file": lambda s: s.photos_of_no_quilt,
    "features": lambda s: s.used(lambda quilt: quilt.features),
    "techniques": lambda s: s.used(lambda quilt: quilt.techniques),
    "blocks": lambda s: s.used(lambda quilt: quilt.blocks),
    "colours": lambda s: _words(TERMS),
    "pattern.name": lambda s: s.used(lambda quilt: [quilt.pattern.name] if quilt.pattern else []),
    "pattern.designer": lambda s: s.used(lambda quilt: [quilt.pattern.designer] if quilt.pattern else []),
    "pattern.published_in": lambda s: s.used(lambda quilt: [quilt.pattern.published_in] if quilt.pattern else []),
    "fabric_lines.name": lambda s: s.used(lambda quilt: [line.name for line in quilt.fabric_lines]),
    "fabric_lines.maker": lambda s: s.used(lambda quilt: [line.maker for line in quilt.fabric_lines]),
    "fabric_lines.designer": lambda s: s.used(lambda quilt: [line.designer for line in quilt.fabric_lines]),
    "quilting.by": lambda s: s.used(lambda quilt: [quilt.quilting.by] if quilt.quilting else []),
    "fibre.top": lambda s: s.made_of("top"),
    "fibre.backing": lambda s: s.made_of("backing"),
    "fibre.batting": lambda s: s.made_of("batting"),
    "kept_at": lambda s: s.used(lambda quilt: [quilt.kept_at]),
    "loans.to": lambda s: s.used(lambda quilt: [loan.to for loan in quilt.loans]),
    "appraisal.by": lambda s: s.used(lambda quilt: [quilt.appraisal.by] if quilt.appraisal else []),
    "currency": lambda s: _words(sorted(DECIMALS)),
}
