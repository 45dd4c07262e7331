"""Checks whether a quilt's transfer is possible: each function yields a problem for each obstacle."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from collection.giving.arrival import ARRIVED, state_of
from collection.problems import Problem, choices, nearest_word
from collection.quotes import quoted
from collection.records.collection import Collection
from collection.records.destinations import AtHome, Destination, Donated, Promised, Staying, steps_of
from collection.records.quilt import Quilt
from collection.records.request import Request
from collection.transfers.wording import format_day, format_state
from collection.values.dates import EdtfDate
from collection.yaml_files.parser import Path, YamlText

Texts = Mapping[str, YamlText]
Obstacles = Iterator[Problem]


@dataclass(frozen=True, slots=True)
class QuiltState:
    """A quilt, the text of its file, and its collection."""

    quilt: Quilt
    text: YamlText
    collection: Collection

    @property
    def destination(self) -> Destination:
        return self.quilt.destination

    def refuse(self, because: str, remedy: str = "", *, path: Path = ("destination",)) -> Problem:
        """A problem in the quilt's file, which begins with the quilt's title."""
        return self.text.problem(path, None, f"{self.quilt.title} {because}. {remedy}".strip())

    def refuse_as_it_is(self, remedy: str, *, already: bool = False) -> Problem:
        """A problem that states the quilt's current destination."""
        verb = "is" if isinstance(self.destination, AtHome) or self._is_planned else "was"
        words = format_state(self.destination, self.collection.partners)
        return self.refuse(f"{verb} {'already ' if already else ''}{words}", remedy)

    @property
    def _is_planned(self) -> bool:
        donation = self.destination
        return isinstance(donation, Donated) and state_of(donation, self.collection.partners) == "planned"


# Names ------------------------------------------------------------------------------------------


def unknown_quilt(collection: Collection, texts: Texts, quilt_id: str) -> Problem:
    file = f"quilts/{quilt_id}.yaml"
    if file in texts:
        return texts[file].problem((), None, "This record is not sound yet; a check of the collection tells why.")
    near = nearest_word(quilt_id, collection.quilts)
    hint = f"Did you mean {near}?" if near else "A quilt is named as its file is, without .yaml."
    return Problem(file, 1, "", "", f"There is no quilt {quoted(quilt_id)}. {hint}")


def partner_obstacles(collection: Collection, texts: Texts, partner_id: str | None, kind: str) -> Obstacles:
    """Refuse a partner that does not exist, or is of another kind than `kind`."""
    if partner_id is None:
        return
    file = f"partners/{partner_id}.yaml"
    partner = collection.partners.get(partner_id)
    if partner is None:
        if file in texts:
            yield texts[file].problem((), None, "This record is not sound yet; a check of the collection tells why.")
            return
        near = nearest_word(partner_id, (p.id for p in collection.partners.values() if p.kind == kind))
        hint = f"Did you mean {near}?" if near else "Begin a file for it in partners/."
        yield Problem(file, 1, "", "", f"There is no partner {quoted(partner_id)}. {hint}")
    elif partner.kind != kind:
        remedy = f"{partner.name} is a {partner.kind}, and a {kind} is needed here."
        yield texts[file].problem(("kind",), None, remedy)


def request_obstacles(
    collection: Collection, texts: Texts, request_id: str | None, line_id: str | None, on: EdtfDate
) -> Obstacles:
    """Refuse a request or line that does not exist, and a request that is closed or came after the day `on`."""
    if request_id is None:
        if line_id is not None:
            remedy = f"The line {quoted(line_id)} belongs to a request. Name the request too."
            yield Problem("requests", 1, "", "", remedy)
        return
    file = f"requests/{request_id}.yaml"
    request = collection.requests.get(request_id)
    if request is None:
        near = nearest_word(request_id, collection.requests)
        hint = f"Did you mean {near}?" if near else "Begin a file for it in requests/."
        yield Problem(file, 1, "", "", f"There is no request {quoted(request_id)}. {hint}")
        return
    text = texts[file]
    if request.closed is not None:
        remedy = f"{request_id} was closed{format_day(request.closed)}. If it is open again, take closed out."
        yield text.problem(("closed",), None, remedy)
    if request.asked is not None and on.surely_before(request.asked):
        remedy = f"{_on(on)} the request had not come yet{format_day(request.asked)}. One of the two dates is wrong."
        yield text.problem(("asked",), None, remedy)
    if line_id is not None and request.line(line_id) is None:
        lines = choices(line_id, [line.id for line in request.lines])
        yield text.problem(("lines",), None, f"{request_id} has no line {quoted(line_id)}. {lines}")
    yield from partner_obstacles(collection, texts, request.partner, "charity")


def no_place_left(state: QuiltState, request: Request, line_id: str, taken: int) -> Obstacles:
    """Refuse a line whose places are all taken."""
    line = request.line(line_id)
    if line is not None and taken >= line.count:
        because = f"finds no place in the line {line_id} of {request.id}"
        remedy = f"It asks for {line.count}, and {taken} are promised or given."
        yield state.refuse(because, remedy)


# Where it is ------------------------------------------------------------------------------------


def not_to_be_promised(state: QuiltState) -> Obstacles:
    """Refuse a quilt that is promised, kept, given or lost."""
    if isinstance(state.destination, Promised) or (isinstance(state.destination, Donated) and state.quilt.in_the_house):
        yield state.refuse_as_it_is("If that no longer holds, set it free first.", already=True)
    else:
        yield from not_to_leave(state)


def not_to_leave(state: QuiltState) -> Obstacles:
    """Refuse a quilt that is kept, given or lost."""
    match state.destination:
        case Staying(is_="kept"):
            yield state.refuse_as_it_is("If it may go after all, set it free first.")
        case Donated() if not state.quilt.in_the_house:
            yield state.refuse_as_it_is("If it came back, record that first.", already=True)
        case _ if not state.quilt.in_the_house:
            yield state.refuse_as_it_is("If it is back, record that it came back first.")


def not_to_be_delivered(state: QuiltState) -> Obstacles:
    """Refuse a quilt that was not handed over, or is delivered already."""
    destination = state.destination
    if not isinstance(destination, Donated) or state.quilt.in_the_house:
        if state.quilt.in_the_house:
            yield state.refuse_as_it_is("It can't be delivered before it was handed over: record that first.")
        else:
            yield from not_to_leave(state)
    elif destination.delivered is not None:
        yield state.refuse_as_it_is("If it is with another charity, correct its file.", already=True)


def not_to_be_acknowledged(state: QuiltState, delivered: EdtfDate | None) -> Obstacles:
    """Refuse a quilt that is not known to have reached a charity, or is acknowledged already."""
    destination = state.destination
    if not isinstance(destination, Donated):
        yield state.refuse_as_it_is("A charity acknowledges what has reached it.")
    elif destination.acknowledged is not None:
        yield state.refuse_as_it_is("If another letter came, write it into the quilt's file.", already=True)
    elif delivered is None or destination.to is None:
        remedy = "A charity acknowledges what has reached it: record first that it was delivered."
        yield state.refuse_as_it_is(remedy)


def not_to_come_back(state: QuiltState) -> Obstacles:
    """Refuse a quilt that never left."""
    if state.quilt.in_the_house:
        yield state.refuse_as_it_is("It has not left the house, so it can't come back.")


def not_to_be_set_free(state: QuiltState) -> Obstacles:
    """Refuse a quilt that is free already, or not in the house."""
    if isinstance(state.destination, Staying) and state.destination.is_ == "free":
        yield state.refuse_as_it_is("", already=True)
    elif not state.quilt.in_the_house:
        yield state.refuse_as_it_is("It can be free again once it is back: record that it came back.")


def not_to_be_missed(state: QuiltState) -> Obstacles:
    """Refuse a quilt that has reached its recipient, or is lost already."""
    destination, partners = state.destination, state.collection.partners
    if isinstance(destination, Donated):
        may_be_missed = state_of(destination, partners) not in ARRIVED
    else:
        may_be_missed = isinstance(destination, AtHome)
    if not may_be_missed:
        yield state.refuse_as_it_is("", already=True)


def out_on_loan(state: QuiltState, needed_by: EdtfDate | None = None) -> Obstacles:
    """Refuse a quilt out on loan; with `needed_by`, only one that is surely not back by then."""
    loan = state.quilt.current_loan
    if loan is None:
        return
    if needed_by is not None and not (loan.due is not None and needed_by.surely_before(loan.due)):
        return
    index = state.quilt.loans.index(loan)
    due = f", due back{format_day(loan.due)}" if loan.due else ""
    remedy = "Write under back when it came back." if needed_by is None else f"It is needed by {needed_by.say()}."
    yield state.refuse(f"is out on loan to {loan.to}{due}", remedy, path=("loans", index))


def not_finished(state: QuiltState) -> Obstacles:
    """Refuse a quilt that is not finished."""
    if state.quilt.stage != "finished":
        because = f"is not finished: it is still at the {state.quilt.stage}"
        yield state.refuse(because, "When it is finished, change its stage.", path=("stage",))


# When -------------------------------------------------------------------------------------------


def too_early(state: QuiltState, on: EdtfDate, what: str) -> Obstacles:
    """Refuse a day that is before another step of the quilt; the problem names the latest such step."""
    late = [(date, path, happened) for path, happened, date in _happened(state) if date and on.surely_before(date)]
    if late:
        date, path, happened = max(late, key=lambda each: each[0].sort_key)
        because = f"can't have been {what}{format_day(on)}: {happened}{format_day(date)}"
        yield state.refuse(because, "One of the two dates is wrong.", path=path)


def _happened(state: QuiltState) -> Iterator[tuple[Path, str, EdtfDate | None]]:
    quilt, destination = state.quilt, state.destination
    yield ("made",), "it was made", quilt.made
    for index, former in enumerate(quilt.history):
        for field in ("returned", "until"):
            yield ("history", index, field), "it was free again", getattr(former, field, None)
    for index, loan in enumerate(quilt.loans):
        yield ("loans", index, "back"), f"it came back from its loan to {loan.to}", loan.back
    for step in steps_of(destination)[:-1]:
        yield ("destination", step.field), step.happened, step.when


def _on(day: EdtfDate) -> str:
    return f"On {day.say()}" if day.exact_day else f"By {day.say()}"
