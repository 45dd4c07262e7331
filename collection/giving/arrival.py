"""The state of a donated quilt, and when it reached the charity."""

from collections.abc import Mapping
from datetime import date
from typing import Literal

from collection.records.as_of import UnderWay
from collection.records.destinations import Donated
from collection.records.narrowing import StepInItsPlace, step_of
from collection.records.partner import Partner
from collection.records.quilt import Quilt
from collection.values.dates import EdtfDate

State = Literal["planned", "on its way", "delivered", "acknowledged"]
ARRIVED: tuple[State, ...] = ("delivered", "acknowledged")

FieldOfArrival = Literal["delivered", "handed_over"]


def field_of_arrival(donation: Donated, partners: Mapping[str, Partner]) -> FieldOfArrival:
    """The field that holds the day on which a quilt reached the charity.

    A go-between who acts for the charity receives for it, so the hand-over is the delivery. Without a go-between, the
    hand-over counts if no delivery is recorded. With any other go-between only a recorded delivery counts. Source: from
    memory, Treas. Reg. 1.170A-1(b): delivered to the charity or to its agent.
    """
    if donation.handed_over is None or isinstance(donation, UnderWay):
        return "delivered"
    counts = donation.through is None and donation.delivered is None
    return "handed_over" if counts or _receives_for_the_charity(donation, partners) else "delivered"


def delivered_on(donation: Donated, partners: Mapping[str, Partner]) -> EdtfDate | None:
    """The recorded date on which a quilt reached the charity (see `field_of_arrival`), or None."""
    if isinstance(donation, UnderWay):
        return None
    return donation.handed_over if field_of_arrival(donation, partners) == "handed_over" else donation.delivered


def arrival_of(
    quilt: Quilt, number: int, donation: Donated, partners: Mapping[str, Partner], *, on: date | None = None
) -> StepInItsPlace:
    """The step in which a quilt reached the charity. `number` is the index of `donation`; see `step_of`."""
    return step_of(quilt, number, field_of_arrival(donation, partners), on=on)


def state_of(donation: Donated, partners: Mapping[str, Partner]) -> State:
    """The state of a donation.

    A donation to a charity with no go-between and no date is delivered, on an unknown day; one with a go-between and no
    date is planned. In the state "planned", and only in it, the quilt is still in the house.
    """
    if donation.acknowledged is not None:
        return "acknowledged"
    if isinstance(donation, UnderWay):
        return "on its way"
    if delivered_on(donation, partners) is not None:
        return "delivered"
    if donation.through is None:
        return "delivered" if donation.to is not None else "planned"
    return "on its way" if donation.handed_over is not None else "planned"


def has_arrived(donation: Donated, partners: Mapping[str, Partner]) -> bool:
    """Whether the quilt has reached a charity."""
    return state_of(donation, partners) in ARRIVED


def _receives_for_the_charity(donation: Donated, partners: Mapping[str, Partner]) -> bool:
    """Whether the go-between acts for the charity itself: to act for the whole is not to act for a chapter."""
    go_between = partners.get(donation.through or "")
    return go_between is not None and donation.to in go_between.acts_for
