"""The transfers of quilts: promised, handed over, delivered, acknowledged, returned, lost, set free.

Each function takes the collection and an event, and returns the changes that record it for all quilts named; or no
changes, and the problems that prevent them. None of them writes: `file_edits` does.

    undecided, free ─┬─► promised ─┬─► handed over ─► delivered ─► acknowledged
                     └─────────────┘        └──────────────┴─────────────┴─► returned: free

A destination that ends is added to the quilt's history as written in the file, with the day of its end; one that
continues, such as from handed over to delivered, gets more fields. A kept promise is added to the history if it has a
fact that the donation does not repeat, such as its day.
"""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import NamedTuple

from pydantic import TypeAdapter

from collection.care.cautions import Reminder, minds
from collection.giving.arrival import delivered_on
from collection.problems import Problem
from collection.records.collection import Collection
from collection.records.destinations import AtHome, Destination, Donated, Promised, Staying
from collection.records.places_taken import Answers
from collection.records.quilt import Quilt
from collection.records.request import Request
from collection.transfers.preconditions import (
    Obstacles,
    QuiltState,
    Texts,
    no_place_left,
    not_finished,
    not_to_be_acknowledged,
    not_to_be_delivered,
    not_to_be_missed,
    not_to_be_promised,
    not_to_be_set_free,
    not_to_come_back,
    not_to_leave,
    out_on_loan,
    partner_obstacles,
    request_obstacles,
    too_early,
    unknown_quilt,
)
from collection.transfers.wording import format_day, format_state
from collection.values.dates import EdtfDate
from collection.yaml_files.parser import Plain

Fields = dict[str, Plain]


class Assignment(NamedTuple):
    """A quilt's place in a line of a request, each by its ID."""

    quilt: str
    request: str
    line: str


@dataclass(frozen=True, slots=True)
class Change:
    """The change of one quilt: its destination before and after, as records and as written in its file.

    `former` is added to the history, if it is not None.
    """

    quilt: Quilt
    before: Destination
    after: Destination
    written_before: Plain
    written: Plain
    former: Plain

    def say(self, collection: Collection) -> str:
        """The change in words: `Low Tide: promised to River Street Shelter -> handed over to Nell on 12 May 2026`."""
        before, after = (format_state(each, collection.partners) for each in (self.before, self.after))
        if isinstance(self.after, Staying) and not isinstance(self.before, AtHome):
            after = f"back{format_day(getattr(_read(self.former), 'returned', None))}, {after}"
        return f"{self.quilt.title}: {before} -> {after}"


@dataclass(frozen=True, slots=True)
class Transfers:
    """The changes to record; or none, and all problems that prevent them (`refusals`)."""

    changes: tuple[Change, ...]
    refusals: tuple[Problem, ...]


# The transfers ----------------------------------------------------------------------------------


def promise(
    collection: Collection,
    texts: Texts,
    assignments: Iterable[Assignment],
    *,
    on: EdtfDate,
    to_be_finished: Iterable[str] = (),
) -> Transfers:
    """Promise quilts to lines of requests.

    A quilt that is not finished is refused, unless it is in `to_be_finished`. The rules of a line are not checked
    here: matching does that.
    """
    assignments = [Assignment(*each) for each in assignments]
    batch = _Batch(collection, texts, (each.quilt for each in assignments))
    answers, taken = Answers.of(collection), Counter[tuple[str, str]]()
    for assignment, state in zip(assignments, batch.states, strict=True):
        _, request_id, line_id = assignment
        request = collection.requests.get(request_id)
        batch.refuse(request_obstacles(collection, texts, request_id, line_id, on))
        if state is None:
            continue
        in_time = state.quilt.id in to_be_finished
        obstacles = [*not_to_be_promised(state)] or [
            *(() if in_time else not_finished(state)),
            *(out_on_loan(state, request.needed_by) if request and request.needed_by else ()),
            *too_early(state, on, "promised"),
        ]
        if request is not None:
            place = (request_id, line_id)
            obstacles += no_place_left(state, request, line_id, len(answers.to(*place)) + taken[place])
            taken[place] += 1
            fields = {"to": request.partner, "through": request.through, "request": request_id, "line": line_id}
            batch.change(state, obstacles, {"is": "promised", **_known(fields), "on": str(on)}, None)
    return batch.transfers()


def hand_over(
    collection: Collection,
    texts: Texts,
    quilts: Iterable[str],
    *,
    on: EdtfDate,
    through: str | None = None,
    to: str | None = None,
    request: str | None = None,
    line: str | None = None,
) -> Transfers:
    """Record that quilts were handed over: to a go-between, or directly to a charity (`to` alone).

    A promise or plan supplies what is not given here. If the charity is not the one that was promised, both are kept.
    """
    batch = _Batch(collection, texts, quilts)
    batch.refuse(partner_obstacles(collection, texts, through, "go-between"))
    batch.refuse(partner_obstacles(collection, texts, to, "charity"))
    batch.refuse(request_obstacles(collection, texts, request, line, on))
    asked = collection.requests.get(request or "")
    states = [state for state in batch.states if state is not None]
    taken = _taken_by_others(collection, asked, line, {state.quilt.id for state in states})
    for state in states:
        obstacles = [*not_to_leave(state)] or [
            *out_on_loan(state),
            *not_finished(state),
            *too_early(state, on, "handed over"),
        ]
        written = _handed_over(_planned(state), on, asked, through=through, to=to, request=request, line=line)
        if not (obstacles or "to" in written or "through" in written):
            because = "was handed over to nobody named"
            obstacles.append(state.refuse(because, "Say through which go-between it went, or to which charity."))
        if asked is not None and line is not None:
            obstacles += no_place_left(state, asked, line, taken)
            taken += 1
        former = _written(state) if isinstance(state.destination, Promised) else None
        batch.change(state, obstacles, written, former if _says_more(former, written) else None)
    return batch.transfers()


def _taken_by_others(collection: Collection, asked: Request | None, line: str | None, quilts: set[str]) -> int:
    """The number of places in a line of a request that other quilts take."""
    if asked is None or line is None:
        return 0
    answering = Answers.of(collection).to(asked.id, line)
    return sum(quilt.id not in quilts for quilt in (*answering.promised, *answering.given))


def _handed_over(
    planned: Fields,
    on: EdtfDate,
    asked: Request | None,
    *,
    through: str | None,
    to: str | None,
    request: str | None,
    line: str | None,
) -> Fields:
    """The donation to write; a plan supplies what is not given."""
    intended = asked.partner if asked else planned.get("meant_for") or planned.get("to")
    goes_to = to or (asked.partner if asked else planned.get("to"))
    fields: Fields = {
        "is": "donated",
        "to": goes_to,
        "through": through or (None if to else planned.get("through")),
        "handed_over": str(on),
        "meant_for": intended if intended != goes_to else None,
        "request": request or planned.get("request"),
        "line": line if request else planned.get("line"),
        "note": planned.get("note"),
    }
    return _known(fields)


def delivered(
    collection: Collection, texts: Texts, quilts: Iterable[str], *, on: EdtfDate, to: str | None = None
) -> Transfers:
    """Record that quilts reached a charity: `to`, or the one they were meant for. If these differ, both are kept."""
    batch = _Batch(collection, texts, quilts)
    batch.refuse(partner_obstacles(collection, texts, to, "charity"))
    for state in filter(None, batch.states):
        obstacles = [*not_to_be_delivered(state)] or [*too_early(state, on, "delivered")]
        before = _fields(state)
        went_to = to or before.get("to")
        if went_to is None and not obstacles:
            obstacles.append(state.refuse_as_it_is("Say which charity has it."))
        intended = before.get("meant_for") or before.get("to") or went_to
        meant_for = intended if intended != went_to else None
        written = {**before, "to": went_to, "delivered": str(on), "meant_for": meant_for}
        batch.change(state, obstacles, _in_order(written, without=() if meant_for else ("meant_for",)), None)
    return batch.transfers()


def acknowledged(
    collection: Collection, texts: Texts, quilts: Iterable[str], *, on: EdtfDate, letter: str | None = None
) -> Transfers:
    """Record that a charity acknowledged quilts that reached it; `letter` is the file of its letter."""
    batch = _Batch(collection, texts, quilts)
    for state in filter(None, batch.states):
        donation = state.destination
        day = delivered_on(donation, collection.partners) if isinstance(donation, Donated) else None
        obstacles = [*not_to_be_acknowledged(state, day)] or [*too_early(state, on, "acknowledged")]
        before = _fields(state)
        # If the handover was the delivery, its day becomes the day of delivery.
        written = {"delivered": str(day), **_known(before), "acknowledged": str(on), "acknowledgement": letter}
        batch.change(state, obstacles, _in_order({**before, **_known(written)}), None)
    return batch.transfers()


def returned(
    collection: Collection, texts: Texts, quilts: Iterable[str], *, on: EdtfDate, note: str | None = None
) -> Transfers:
    """Record that quilts came back to the maker and are free; their destination is added to the history."""
    batch = _Batch(collection, texts, quilts)
    for state in filter(None, batch.states):
        obstacles = [*not_to_come_back(state)] or [*too_early(state, on, "back")]
        batch.change(state, obstacles, "free", _ended(state, on, note))
    return batch.transfers()


def set_free(
    collection: Collection, texts: Texts, quilts: Iterable[str], *, on: EdtfDate, note: str | None = None
) -> Transfers:
    """Make quilts in the house available; a promise or plan that ends is added to their history."""
    batch = _Batch(collection, texts, quilts)
    for state in filter(None, batch.states):
        obstacles = [*not_to_be_set_free(state)] or [*too_early(state, on, "set free")]
        batch.change(state, obstacles, "free", _ended(state, on, note))
    return batch.transfers()


def lost(
    collection: Collection, texts: Texts, quilts: Iterable[str], *, on: EdtfDate, note: str | None = None
) -> Transfers:
    """Record that quilts were lost, in the house or with a go-between; their destination is added to the history."""
    batch = _Batch(collection, texts, quilts)
    for state in filter(None, batch.states):
        obstacles = [*not_to_be_missed(state)] or [*out_on_loan(state), *too_early(state, on, "missed")]
        had_last = None if state.quilt.in_the_house else getattr(state.destination, "through", None)
        written = {"is": "lost", **_known({"through": had_last, "on": str(on), "note": note})}
        is_away = isinstance(state.destination, Donated) and not state.quilt.in_the_house
        batch.change(state, obstacles, written, _written(state) if is_away else _ended(state, on, None))
    return batch.transfers()


# A batch ----------------------------------------------------------------------------------------


class _Batch:
    """The quilts of one transfer: collects changes for all of them, or the problems that prevent it."""

    def __init__(self, collection: Collection, texts: Texts, quilts: Iterable[str]):
        self.collection = collection
        self.texts = texts
        self._changes: list[Change] = []
        self._refusals: list[Problem] = []
        self.states = list(self._named(quilts))

    def _named(self, quilts: Iterable[str]) -> Iterator[QuiltState | None]:
        """The state of each quilt named; None for one that does not exist, or is named twice."""
        seen: set[str] = set()
        for quilt_id in quilts:
            quilt = self.collection.quilts.get(quilt_id)
            if quilt is None:
                self._refusals.append(unknown_quilt(self.collection, self.texts, quilt_id))
                yield None
                continue
            state = QuiltState(quilt, self.texts[f"quilts/{quilt_id}.yaml"], self.collection)
            if quilt_id in seen:
                self._refusals.append(state.refuse("is named twice", "Name it once."))
            yield None if quilt_id in seen else state
            seen.add(quilt_id)

    def refuse(self, obstacles: Obstacles) -> None:
        self._refusals += obstacles

    def change(self, state: QuiltState, obstacles: Iterable[Problem], written: Plain, former: Plain) -> None:
        """Add one quilt's change, unless there are obstacles."""
        obstacles = list(obstacles)
        self._refusals += obstacles
        if not obstacles and not self._refusals:
            after = _read(written)
            before = state.destination
            self._changes.append(Change(state.quilt, before, after, _written(state), written, former))

    def transfers(self) -> Transfers:
        refusals = tuple(sorted(set(self._refusals)))
        return Transfers(() if refusals else tuple(self._changes), refusals)


# What is written --------------------------------------------------------------------------------

# The order of a destination's fields.
_STORY = (
    "is", "to", "through", "handed_over", "delivered", "acknowledged", "acknowledgement", "meant_for",
    "request", "line", "on", "by", "occasion", "returned", "note",
)  # fmt: skip
_DESTINATION: TypeAdapter[Destination] = TypeAdapter(Destination)


def _read(written: Plain) -> Destination:
    return _DESTINATION.validate_python(written)


def _written(state: QuiltState) -> Plain:
    """The destination as written in the quilt's file, or None."""
    return state.text.value(("destination",))


def _fields(state: QuiltState) -> Fields:
    """The fields of the destination as written in the file; empty if it is a single word."""
    written = _written(state)
    return written if isinstance(written, dict) else {}


def _planned(state: QuiltState) -> Fields:
    """The fields of a promise or a donation as written; empty for other destinations."""
    is_planned = isinstance(state.destination, Promised | Donated)
    return _known(_fields(state)) if is_planned else {}


def _known(fields: Mapping[str, Plain]) -> Fields:
    return {key: value for key, value in fields.items() if value is not None}


def _in_order(fields: Fields, *, without: tuple[str, ...] = ()) -> Fields:
    """Fields in their usual order, all others last."""
    keys = [*(key for key in _STORY if key in fields), *(key for key in fields if key not in _STORY)]
    return {key: fields[key] for key in keys if key not in without}


def _says_more(promise: Plain, donation: Fields) -> bool:
    """Whether a promise has a fact that the donation after it does not repeat."""
    if not isinstance(promise, dict):
        return promise is not None
    return any(key != "is" and donation.get(key) != value for key, value in _known(promise).items())


def _ended(state: QuiltState, on: EdtfDate, note: str | None) -> Plain:
    """The destination as an item of the history; None for free or undecided, which hold no facts."""
    written = _written(state)
    fields = dict(written) if isinstance(written, dict) else {"is": written}
    match state.destination:
        case Staying(is_="kept"):
            return {**fields, "until": str(on)}
        case Staying():
            return None
    return _in_order(_with_note({**fields, "returned": str(on)}, note))


def _with_note(fields: Fields, note: str | None) -> Fields:
    if note is None:
        return fields
    before = fields.get("note")
    return {**fields, "note": f"{str(before).rstrip()}; {note}" if before else note}


def reminders_of_transfers(collection: Collection, changes: Iterable[Change]) -> tuple[Reminder, ...]:
    """The reminders for quilts that changes promise or send to somebody."""
    leaving = [
        change.quilt.model_copy(update={"destination": change.after})
        for change in changes
        if isinstance(change.after, Promised)
        or (isinstance(change.after, Donated) and change.after.delivered is None and change.after.returned is None)
    ]
    return minds(collection, [(quilt, None) for quilt in leaving])
