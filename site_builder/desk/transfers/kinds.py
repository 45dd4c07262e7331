"""The kinds of transfer that the desk offers: titles, what each asks, and which quilts it can be used for."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from collection.giving.arrival import delivered_on
from collection.loading.loader import Reading
from collection.problems import Problem
from collection.records.destinations import Donated
from collection.records.quilt import Quilt
from collection.transfers.preconditions import (
    QuiltState,
    not_finished,
    not_to_be_acknowledged,
    not_to_be_delivered,
    not_to_be_missed,
    not_to_be_promised,
    not_to_be_set_free,
    not_to_come_back,
    not_to_leave,
    out_on_loan,
)
from collection.transfers.transfers import (
    Assignment,
    Transfers,
    acknowledged,
    delivered,
    hand_over,
    lost,
    promise,
    returned,
    set_free,
)
from collection.values.dates import EdtfDate


@dataclass(frozen=True, slots=True)
class AskedTransfer:
    """A transfer to record, with IDs for all names. `places` are quilts that each have their own line of a request."""

    quilts: tuple[str, ...]
    on: EdtfDate
    through: str | None = None
    to: str | None = None
    place: tuple[str, str] | None = None
    places: tuple[Assignment, ...] = ()
    letter: str | None = None
    note: str | None = None

    @property
    def assignments(self) -> list[Assignment]:
        """Each quilt with its line of a request."""
        chosen = [Assignment(quilt, *self.place) for quilt in self.quilts] if self.place else []
        return [*self.places, *chosen]

    @property
    def names(self) -> tuple[str, ...]:
        """The IDs of all its quilts."""
        return tuple(dict.fromkeys([*(each.quilt for each in self.places), *self.quilts]))


@dataclass(frozen=True, slots=True)
class TransferKind:
    """A kind of transfer. `asks` are the fields to fill in besides the quilts, `leads_to` the page to show afterwards."""

    name: str
    title: str
    lead: str
    day: str
    asks: tuple[str, ...]
    none: str
    preconditions: Callable[[QuiltState], Iterator[Problem]]
    compute: Callable[[Reading, AskedTransfer], Transfers]
    leads_to: str

    def may(self, reading: Reading) -> list[Quilt]:
        """The quilts that it can be used for in their present state."""
        return [
            quilt
            for quilt in reading.collection.quilts.values()
            if next(self.preconditions(_standing(reading, quilt.id)), None) is None
        ]


def _standing(reading: Reading, quilt_id: str) -> QuiltState:
    return QuiltState(reading.collection.quilts[quilt_id], reading.texts[f"quilts/{quilt_id}.yaml"], reading.collection)


def _may_be_promised(standing: QuiltState) -> Iterator[Problem]:
    yield from not_to_be_promised(standing)
    if standing.quilt.ready_by is None:
        yield from not_finished(standing)


def _may_leave(standing: QuiltState) -> Iterator[Problem]:
    yield from not_to_leave(standing)
    yield from not_finished(standing)
    yield from out_on_loan(standing)


def _may_be_acknowledged(standing: QuiltState) -> Iterator[Problem]:
    donation = standing.destination
    day = delivered_on(donation, standing.collection.partners) if isinstance(donation, Donated) else None
    yield from not_to_be_acknowledged(standing, day)


def _promise(reading: Reading, asked: AskedTransfer) -> Transfers:
    # Whether an unfinished quilt will be ready in time is judged with the other rules of its line.
    return promise(reading.collection, reading.texts, asked.assignments, on=asked.on, to_be_finished=asked.names)


def _hand_over(reading: Reading, asked: AskedTransfer) -> Transfers:
    return hand_over(reading.collection, reading.texts, asked.quilts, on=asked.on, through=asked.through, to=asked.to)


def _delivered(reading: Reading, asked: AskedTransfer) -> Transfers:
    return delivered(reading.collection, reading.texts, asked.quilts, on=asked.on, to=asked.to)


def _acknowledged(reading: Reading, asked: AskedTransfer) -> Transfers:
    return acknowledged(reading.collection, reading.texts, asked.quilts, on=asked.on, letter=asked.letter)


def _with_note(make: Callable[..., Transfers]) -> Callable[[Reading, AskedTransfer], Transfers]:
    return lambda reading, asked: make(reading.collection, reading.texts, asked.quilts, on=asked.on, note=asked.note)


TRANSFER_KINDS = {
    kind.name: kind
    for kind in (
        TransferKind(
            "promise", "Promise quilts", "Set quilts aside for a line of a request. They stay in the house until they are handed over.",
            "Promised on", ("place",), "No finished quilt can be promised now: each is promised, kept or gone already.",
            _may_be_promised, _promise, "/binder/requests.html",
        ),
        TransferKind(
            "hand-over", "Hand over a batch", "Quilts that leave the house together: with a go-between, or straight to a charity.",
            "Handed over on", ("through", "to"), "No finished quilt can leave now: each is kept or gone already.",
            _may_leave, _hand_over, "/binder/handovers.html",
        ),
        TransferKind(
            "delivered", "Say where quilts landed", "Quilts that a go-between has taken, and that have reached a charity.",
            "Reached it on", ("to",), "No quilt is on its way.", not_to_be_delivered, _delivered, "/binder/handovers.html",
        ),
        TransferKind(
            "acknowledged", "A letter came", "A charity has written that it received these quilts.",
            "The letter came on", ("letter",), "No quilt waits for a letter.",
            _may_be_acknowledged, _acknowledged, "/binder/handovers.html",
        ),
        TransferKind(
            "returned", "Quilts came back", "They are in the house again and look for a home; where they were stays in their history.",
            "Came back on", ("note",), "No quilt is out of the house.", not_to_come_back, _with_note(returned), "/binder/homes.html",
        ),
        TransferKind(
            "set-free", "Set quilts free", "They look for a home: a promise ends, or one that was kept may go.",
            "Free since", ("note",), "Every quilt in the house is free already.",
            not_to_be_set_free, _with_note(set_free), "/binder/homes.html",
        ),
        TransferKind(
            "lost", "Quilts can't be found", "They are missed, in the house or with a go-between.",
            "Missed since", ("note",), "There is no quilt that could be missed.", not_to_be_missed, _with_note(lost), "/binder/",
        ),
    )
}  # fmt: skip
"""The kinds of transfer by their names in addresses, in their usual order."""


def transfers_for(reading: Reading, quilt_id: str) -> list[TransferKind]:
    """The kinds of transfer that can be used for one quilt in its present state."""
    standing = _standing(reading, quilt_id)
    return [kind for kind in TRANSFER_KINDS.values() if next(kind.preconditions(standing), None) is None]
