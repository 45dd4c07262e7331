"""A small collection to move quilts in, shared by the tests of the moves."""

from collection.loading.loader import read_collection
from collection.transfers.file_edits import file_changes
from collection.transfers.transfers import (
    acknowledged,
    delivered,
    hand_over,
    lost,
    promise,
    returned,
    set_free,
)
from collection.values.dates import EdtfDate

PARTNERS = {
    "partners/river-street.yaml": "name: River Street Shelter\n",
    "partners/hill-hospice.yaml": "name: Hill Hospice\n",
    "partners/nell.yaml": "name: Nell\nkind: go-between\n",
    "partners/tuesday-van.yaml": "name: The Tuesday Van\nkind: go-between\nacts_for: [hill-hospice]\n",
    "requests/spring.yaml": (
        "partner: river-street\nthrough: nell\nasked: 2026-03-01\nneeded_by: 2026-06-15\n"
        "lines:\n  - {id: cots, count: 2}\n  - {id: laps, count: 1}\n"
    ),
    "requests/closed.yaml": (
        "partner: hill-hospice\nasked: 2026-02-01\nclosed: 2026-03-01\nlines: [{id: laps, count: 3}]\n"
    ),
}
PROMISED = "{is: promised, to: river-street, through: nell, request: spring, line: cots, on: 2026-04-01}"
STATES = {
    "nothing written": None,
    "undecided": "undecided",
    "free": "free",
    "kept": "kept",
    "promised": PROMISED,
    "planned": "{is: donated, to: river-street, through: nell}",
    "handed over": "{is: donated, to: river-street, through: nell, handed_over: 2026-05-12}",
    "delivered": "{is: donated, to: river-street, through: nell, handed_over: 2026-05-12, delivered: 2026-05-30}",
    "acknowledged": (
        "{is: donated, to: river-street, handed_over: 2026-05-12, delivered: 2026-05-30, acknowledged: 2026-06-02}"
    ),
    "straight to a charity": "{is: donated, to: river-street, handed_over: 2026-05-12}",
    "with a charity, no day": "{is: donated, to: river-street}",
    "gifted": "{is: gifted, to: A cousin, on: 2019~}",
    "lost": "{is: lost, on: 2025-01-05}",
}


def day(text="2026-06-10"):
    return EdtfDate.parse(text)


MOVES = {
    "promise": lambda c, t, ids, on=None: promise(c, t, [(each, "spring", "cots") for each in ids], on=on or day()),
    "hand over": lambda c, t, ids, on=None: hand_over(c, t, ids, on=on or day(), through="nell"),
    "delivered": lambda c, t, ids, on=None: delivered(c, t, ids, on=on or day()),
    "acknowledged": lambda c, t, ids, on=None: acknowledged(c, t, ids, on=on or day()),
    "returned": lambda c, t, ids, on=None: returned(c, t, ids, on=on or day()),
    "set free": lambda c, t, ids, on=None: set_free(c, t, ids, on=on or day()),
    "lost": lambda c, t, ids, on=None: lost(c, t, ids, on=on or day()),
}


def in_state(state: str) -> str:
    return f"destination: {STATES[state]}" if STATES[state] is not None else "notes: none"


def of(reading, move, quilts, *, on="2026-06-10", **more):
    """A move of some quilts of what was read."""
    return move(reading.collection, reading.texts, quilts, on=day(on), **more)


def record(reading, moves):
    """Write the moves, and read the collection anew."""
    assert not moves.refusals, moves.refusals
    file_changes(reading.collection, moves).commit()
    again = read_collection(reading.collection.folder)
    assert not again.errors
    return again


def destination(reading, quilt="low-tide"):
    return reading.texts[f"quilts/{quilt}.yaml"].data["destination"]


def history(reading, quilt="low-tide"):
    return reading.texts[f"quilts/{quilt}.yaml"].data.get("history", [])


def refusals(moves) -> str:
    assert moves.refusals and not moves.changes
    return "\n".join(map(str, moves.refusals))
