"""Checks for impossible dates: steps in the wrong order, and a quilt in two places at once."""

from collections.abc import Iterator, Sequence

from collection.problems import Problem
from collection.records.destinations import (
    AtHome,
    Destination,
    Donated,
    Lost,
    Promised,
    Staying,
    Step,
    steps_of,
    where_it_went,
)
from collection.records.narrowing import steps_before
from collection.records.quilt import Loan, Quilt
from collection.records.request import Request
from collection.values.dates import EdtfDate
from collection.yaml_files.parser import Path, YamlText


def check_steps(quilt: Quilt, destination: Destination, path: Path, text: YamlText) -> Iterator[Problem]:
    """Report a destination's dates that are in the wrong order or before the quilt was made."""
    if isinstance(destination, Staying | Lost):
        return
    steps = steps_of(destination)
    if isinstance(destination, Donated):
        yield from _what_a_donation_lacks(destination, path, text)
    elif isinstance(destination, Promised):
        yield from _in_order((steps[0], Step("by", "it should leave", destination.by)), path, text)
    yield from _in_order(steps, path, text)
    if path == ("destination",) and destination.returned is not None:
        remedy = "A destination that has ended belongs in history:. Move it there, and write where the quilt is now."
        yield text.problem((*path, "returned"), text.value((*path, "returned")), remedy)
    if not isinstance(destination, Promised):
        for step in steps:
            if quilt.made is not None and step.when is not None and step.when.surely_before(quilt.made):
                remedy = f"This lies before the quilt was made ({quilt.made.say()}). {_ONE_IS_WRONG}"
                field = (*path, step.field)
                yield text.problem(field, text.value(field), remedy, severity="warning")
                break


def check_order_of_destinations(quilt: Quilt, text: YamlText) -> Iterator[Problem]:
    """Report a gift or loss that is surely before the end of an earlier destination."""
    for number, way in enumerate((*quilt.history, quilt.destination)):
        if isinstance(way, AtHome):
            continue
        path: Path = ("destination",) if number == len(quilt.history) else ("history", number)
        for field in ("handed_over", "delivered", "on"):
            date = getattr(way, field, None)
            former = [
                step for step in steps_before(quilt, number) if step.when and date and date.surely_before(step.when)
            ]
            if former and former[-1].when:
                remedy = (
                    f"By its history {former[-1].happened} only after that ({former[-1].when.say()}). {_ONE_IS_WRONG}"
                )
                yield text.problem((*path, field), text.value((*path, field)), remedy, severity="warning")
                break


def _what_a_donation_lacks(donation: Donated, path: Path, text: YamlText) -> Iterator[Problem]:
    if donation.acknowledged is not None and donation.delivered is None:
        remedy = "A charity acknowledges what has reached it. Write under delivered when, as closely as is known."
        yield text.problem((*path, "acknowledged"), text.value((*path, "acknowledged")), remedy)
    if donation.delivered is not None and donation.to is None:
        remedy = "It was delivered, so write under to which charity has it."
        yield text.problem((*path, "delivered"), text.value((*path, "delivered")), remedy)


def check_loans(quilt: Quilt, text: YamlText) -> Iterator[Problem]:
    """Report a loan's dates in the wrong order, and a quilt in two places at once."""
    for index, loan in enumerate(quilt.loans):
        path = ("loans", index)
        began = Step("from", "the loan began", loan.start)
        yield from _in_order((began, Step("due", "it is due", loan.due)), path, text)
        yield from _in_order((began, Step("back", "it came back", loan.back)), path, text)
    for index in _begun_while_on_another(quilt.loans):
        remedy = "It was out on another loan then, and can't be in two places. Correct the dates of one of them."
        yield text.problem(("loans", index), quilt.loans[index].to, remedy)
    out = [index for index, loan in enumerate(quilt.loans) if loan.back is None]
    for index in out[:-1]:
        remedy = "It is out on two loans at once. Write under back when it came back from the one that has ended."
        yield text.problem(("loans", index), quilt.loans[index].to, remedy)
    gone = where_it_went(quilt.destination)
    if out and gone:
        remedy = (
            f"It can't be out on this loan and {gone}. Write under back when it came back, or correct the destination."
        )
        yield text.problem(("loans", out[-1]), quilt.loans[out[-1]].to, remedy)


def check_request_dates(request: Request, text: YamlText) -> Iterator[Problem]:
    asked = Step("asked", "the request came", request.asked)
    yield from _in_order((asked, Step("needed_by", "they are needed", request.needed_by)), (), text)
    yield from _in_order((asked, Step("closed", "it was closed", request.closed)), (), text)


def _begun_while_on_another(loans: Sequence[Loan]) -> Iterator[int]:
    """The indices of ended loans that surely overlap an earlier loan."""
    ended = [
        (loan.start.sort_key, index, out)
        for index, loan in enumerate(loans)
        if loan.start and loan.back and (out := _surely_out(loan.start, loan.back))
    ]
    before: list[tuple[int, int]] = []
    for _, index, (start, back) in sorted(ended):
        if any(start < its_back and its_start < back for its_start, its_back in before):
            yield index
        before.append((start, back))


def _surely_out(start: EdtfDate, back: EdtfDate) -> tuple[int, int] | None:
    """The first and last day, as ordinals, on which the quilt was certainly out; None if either is not known."""
    if start.latest is None or back.earliest is None:
        return None
    return start.latest.toordinal() + start.doubt.days, back.earliest.toordinal() - back.doubt.days


# Order ------------------------------------------------------------------------------------------

_ONE_IS_WRONG = "Correct whichever of the two dates is wrong."


def _in_order(steps: Sequence[Step], path: Path, text: YamlText) -> Iterator[Problem]:
    """Report, once, each step that is surely before an earlier one in the list."""
    for at, later in enumerate(steps):
        for first in reversed(steps[:at]):
            if first.when is not None and later.when is not None and later.when.surely_before(first.when):
                remedy = f"This lies before {first.happened} ({first.when.say()}). {_ONE_IS_WRONG}"
                yield text.problem((*path, later.field), text.value((*path, later.field)), remedy)
                break
