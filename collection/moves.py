"""The moves of quilts: promised, handed over, delivered, acknowledged, come back, missed, free again.

Each function takes what is recorded and what happened, and gives the changes that record it, for all
the quilts named; or none of them, and what stands in the way. None of them writes: see `recording`.

    undecided, free ─┬─► promised ─┬─► handed over ─► delivered ─► acknowledged
                     └─────────────┘        └──────────────┴─────────────┴─► returned: free

A destination that has ended joins the quilt's history as it was written, with the day of its end; one
that goes on, from handed over to delivered, grows where it is. A promise that is kept joins the history
too where it says what the donation does not repeat, such as its day.
"""

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import NamedTuple

from pydantic import TypeAdapter

from collection.dates import EdtfDate
from collection.giving import delivered_on
from collection.holdings import Collection
from collection.move_words import say_day, say_standing
from collection.obstacles import (
    Obstacles,
    Standing,
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
from collection.places import Answers, Taken
from collection.problems import Problem
from collection.records.destinations import Destination, Donated, Promised, Staying
from collection.records.quilt import Quilt
from collection.yaml_writing import Plain

Fields = dict[str, Plain]


class Assignment(NamedTuple):
    """A quilt's place in a line of a request, each by its ID."""

    quilt: str
    request: str
    line: str


@dataclass(frozen=True, slots=True)
class Change:
    """The move of one quilt: where it stood and will stand, as records and as its file says it.

    `former` is what joins the history; None where nothing does.
    """

    quilt: Quilt
    before: Destination
    after: Destination
    written_before: Plain
    written: Plain
    former: Plain

    def say(self, collection: Collection) -> str:
        """The change in words: `Low Tide: promised to River Street Shelter -> handed over to Nell on 12 May 2026`."""
        before, after = (say_standing(each, collection.partners) for each in (self.before, self.after))
        if isinstance(self.after, Staying) and not isinstance(self.before, Staying | Promised):
            after = f"back{say_day(getattr(_read(self.former), 'returned', None))}, {after}"
        return f"{self.quilt.title}: {before} -> {after}"


@dataclass(frozen=True, slots=True)
class Moves:
    """What is to be recorded; or, when anything stands in the way, nothing, and what it is."""

    changes: tuple[Change, ...]
    refusals: tuple[Problem, ...]


# The moves --------------------------------------------------------------------------------------


def promise(
    collection: Collection,
    texts: Texts,
    assignments: Iterable[Assignment],
    *,
    on: EdtfDate,
    to_be_finished: Iterable[str] = (),
) -> Moves:
    """Set quilts aside for lines of requests.

    A quilt that is not finished is refused, unless the maker says that it will be: `to_be_finished`.
    Whether each meets the rules of its line is for the matching to say.
    """
    assignments = [Assignment(*each) for each in assignments]
    batch = _Batch(collection, texts, (each.quilt for each in assignments))
    answers, taken = Answers.of(collection), Counter[tuple[str, str]]()
    for assignment, standing in zip(assignments, batch.standings, strict=True):
        _, request_id, line_id = assignment
        request = collection.requests.get(request_id)
        batch.refuse(request_obstacles(collection, texts, request_id, line_id, on))
        if standing is None:
            continue
        in_time = standing.quilt.id in to_be_finished
        obstacles = [*not_to_be_promised(standing)] or [
            *(() if in_time else not_finished(standing)),
            *(out_on_loan(standing, request.needed_by) if request and request.needed_by else ()),
            *too_early(standing, on, "promised"),
        ]
        if request is not None:
            place = (request_id, line_id)
            obstacles += no_place_left(standing, request, line_id, len(answers.to(*place)) + taken[place])
            taken[place] += 1
            fields = {"to": request.partner, "through": request.through, "request": request_id, "line": line_id}
            batch.change(standing, obstacles, {"is": "promised", **_known(fields), "on": str(on)}, None)
    return batch.moves()


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
) -> Moves:
    """Quilts have left the maker's hands: to a go-between, or straight to a charity (`to` alone).

    What was promised or planned before fills in what is not said here. Where the charity is another
    than the one that was promised, both are kept.
    """
    batch = _Batch(collection, texts, quilts)
    batch.refuse(partner_obstacles(collection, texts, through, "go-between"))
    batch.refuse(partner_obstacles(collection, texts, to, "charity"))
    batch.refuse(request_obstacles(collection, texts, request, line, on))
    asked = collection.requests.get(request or "")
    answering = Answers.of(collection).to(request, line) if asked is not None and line is not None else Taken()
    named = {standing.quilt.id for standing in filter(None, batch.standings)}
    taken = sum(quilt.id not in named for quilt in (*answering.promised, *answering.given))
    for standing in filter(None, batch.standings):
        planned = _planned(standing)
        intended = asked.partner if asked else planned.get("meant_for") or planned.get("to")
        goes_to = to or (asked.partner if asked else planned.get("to"))
        goes_through = through or (None if to else planned.get("through"))
        obstacles = [*not_to_leave(standing)] or [
            *out_on_loan(standing),
            *not_finished(standing),
            *too_early(standing, on, "handed over"),
        ]
        if goes_to is None and goes_through is None and not obstacles:
            because = "was handed over to nobody named"
            obstacles.append(standing.refuse(because, "Say through which go-between it went, or to which charity."))
        if asked is not None and line is not None:
            obstacles += no_place_left(standing, asked, line, taken)
            taken += 1
        answers = {"request": request, "line": line} if request else _some(planned, "request", "line")
        fields = {
            "to": goes_to,
            "through": goes_through,
            "handed_over": str(on),
            "meant_for": intended if intended != goes_to else None,
            **answers,
            "note": planned.get("note"),
        }
        written = {"is": "donated", **_known(fields)}
        former = _written(standing) if isinstance(standing.destination, Promised) else None
        batch.change(standing, obstacles, written, former if _says_more(former, written) else None)
    return batch.moves()


def delivered(
    collection: Collection, texts: Texts, quilts: Iterable[str], *, on: EdtfDate, to: str | None = None
) -> Moves:
    """Quilts have reached a charity: `to`, or the one that they were for. Where it is another, both are kept."""
    batch = _Batch(collection, texts, quilts)
    batch.refuse(partner_obstacles(collection, texts, to, "charity"))
    for standing in filter(None, batch.standings):
        obstacles = [*not_to_be_delivered(standing)] or [*too_early(standing, on, "delivered")]
        before = _fields(standing)
        went_to = to or before.get("to")
        if went_to is None and not obstacles:
            obstacles.append(standing.refuse_as_it_is("Say which charity has it."))
        intended = before.get("meant_for") or before.get("to") or went_to
        meant_for = intended if intended != went_to else None
        written = {**before, "to": went_to, "delivered": str(on), "meant_for": meant_for}
        batch.change(standing, obstacles, _in_order(written, without=() if meant_for else ("meant_for",)), None)
    return batch.moves()


def acknowledged(
    collection: Collection, texts: Texts, quilts: Iterable[str], *, on: EdtfDate, letter: str | None = None
) -> Moves:
    """A charity's letter has come for quilts that have reached it; `letter` is its file."""
    batch = _Batch(collection, texts, quilts)
    for standing in filter(None, batch.standings):
        donation = standing.destination
        day = delivered_on(donation, collection.partners) if isinstance(donation, Donated) else None
        obstacles = [*not_to_be_acknowledged(standing, day)] or [*too_early(standing, on, "acknowledged")]
        before = _fields(standing)
        # Where handing over was delivery, that day is written down as the one on which it was delivered.
        written = {"delivered": str(day), **_known(before), "acknowledged": str(on), "acknowledgement": letter}
        batch.change(standing, obstacles, _in_order({**before, **_known(written)}), None)
    return batch.moves()


def returned(
    collection: Collection, texts: Texts, quilts: Iterable[str], *, on: EdtfDate, note: str | None = None
) -> Moves:
    """Quilts are back with the maker, and free; where they were joins their history."""
    batch = _Batch(collection, texts, quilts)
    for standing in filter(None, batch.standings):
        obstacles = [*not_to_come_back(standing)] or [*too_early(standing, on, "back")]
        batch.change(standing, obstacles, "free", _ended(standing, on, note))
    return batch.moves()


def set_free(
    collection: Collection, texts: Texts, quilts: Iterable[str], *, on: EdtfDate, note: str | None = None
) -> Moves:
    """Quilts that are in the house look for a home again; a promise or plan that ends joins their history."""
    batch = _Batch(collection, texts, quilts)
    for standing in filter(None, batch.standings):
        obstacles = [*not_to_be_set_free(standing)] or [*too_early(standing, on, "set free")]
        batch.change(standing, obstacles, "free", _ended(standing, on, note))
    return batch.moves()


def lost(
    collection: Collection, texts: Texts, quilts: Iterable[str], *, on: EdtfDate, note: str | None = None
) -> Moves:
    """Quilts can't be found, in the house or with a go-between; where they were joins their history."""
    batch = _Batch(collection, texts, quilts)
    for standing in filter(None, batch.standings):
        obstacles = [*not_to_be_missed(standing)] or [*out_on_loan(standing), *too_early(standing, on, "missed")]
        had_last = None if standing.quilt.in_the_house else getattr(standing.destination, "through", None)
        written = {"is": "lost", **_known({"through": had_last, "on": str(on), "note": note})}
        is_away = isinstance(standing.destination, Donated) and not standing.quilt.in_the_house
        batch.change(standing, obstacles, written, _written(standing) if is_away else _ended(standing, on, None))
    return batch.moves()


# A batch ----------------------------------------------------------------------------------------


class _Batch:
    """The quilts of one move: changes for all of them, or what stands in the way."""

    def __init__(self, collection: Collection, texts: Texts, quilts: Iterable[str]):
        self.collection = collection
        self.texts = texts
        self._changes: list[Change] = []
        self._refusals: list[Problem] = []
        self.standings = list(self._named(quilts))

    def _named(self, quilts: Iterable[str]) -> Iterator[Standing | None]:
        """Each quilt named; None for one that is not there, or was named before."""
        seen: set[str] = set()
        for quilt_id in quilts:
            quilt = self.collection.quilts.get(quilt_id)
            if quilt is None:
                self._refusals.append(unknown_quilt(self.collection, self.texts, quilt_id))
                yield None
                continue
            standing = Standing(quilt, self.texts[f"quilts/{quilt_id}.yaml"], self.collection)
            if quilt_id in seen:
                self._refusals.append(standing.refuse("is named twice", "Name it once."))
            yield None if quilt_id in seen else standing
            seen.add(quilt_id)

    def refuse(self, obstacles: Obstacles) -> None:
        self._refusals += obstacles

    def change(self, standing: Standing, obstacles: Iterable[Problem], written: Plain, former: Plain) -> None:
        """One quilt's change, unless there are obstacles."""
        obstacles = list(obstacles)
        self._refusals += obstacles
        if not obstacles and not self._refusals:
            after = _read(written)
            before = standing.destination
            self._changes.append(Change(standing.quilt, before, after, _written(standing), written, former))

    def moves(self) -> Moves:
        refusals = tuple(sorted(set(self._refusals)))
        return Moves(() if refusals else tuple(self._changes), refusals)


# What is written --------------------------------------------------------------------------------

# The order in which a destination tells its story.
_STORY = (
    "is", "to", "through", "handed_over", "delivered", "acknowledged", "acknowledgement", "meant_for",
    "request", "line", "on", "by", "occasion", "returned", "note",
)  # fmt: skip
_DESTINATION: TypeAdapter[Destination] = TypeAdapter(Destination)


def _read(written: Plain) -> Destination:
    return _DESTINATION.validate_python(written)


def _written(standing: Standing) -> Plain:
    """The destination as the quilt's file has it; None where it has none."""
    return standing.text.data.get("destination")


def _fields(standing: Standing) -> Fields:
    """The fields of a destination as the file has them; none of a mere word."""
    written = _written(standing)
    return written if isinstance(written, dict) else {}


def _planned(standing: Standing) -> Fields:
    """What was promised, or planned for a donation, as far as it is written."""
    is_planned = isinstance(standing.destination, Promised | Donated)
    return _known(_fields(standing)) if is_planned else {}


def _known(fields: Fields) -> Fields:
    return {key: value for key, value in fields.items() if value is not None}


def _some(fields: Fields, *keys: str) -> Fields:
    return {key: fields[key] for key in keys if key in fields}


def _in_order(fields: Fields, *, without: tuple[str, ...] = ()) -> Fields:
    """Fields in the order of the story, those that are no part of it last."""
    keys = [*(key for key in _STORY if key in fields), *(key for key in fields if key not in _STORY)]
    return {key: fields[key] for key in keys if key not in without}


def _says_more(promise: Plain, donation: Fields) -> bool:
    """Does a promise hold what the donation that follows it does not repeat?"""
    if not isinstance(promise, dict):
        return promise is not None
    return any(key != "is" and donation.get(key) != value for key, value in _known(promise).items())


def _ended(standing: Standing, on: EdtfDate, note: str | None) -> Plain:
    """A destination as it joins the history; None for one that says nothing: free, or undecided."""
    written = _written(standing)
    fields = dict(written) if isinstance(written, dict) else {"is": written}
    match standing.destination:
        case Staying(is_="kept"):
            return {**fields, "until": str(on)}
        case Staying():
            return None
    return _in_order(_with_note({**fields, "returned": str(on)}, note))


def _with_note(fields: Fields, note: str | None) -> Fields:
    if note is None:
        return fields
    said = fields.get("note")
    return {**fields, "note": f"{str(said).rstrip()}; {note}" if said else note}
