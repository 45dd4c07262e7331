"""The choices for a transfer: the quilts, by their state, and the open places of requests."""

from dataclasses import dataclass
from datetime import date

from collection.matching.open_places import open_requests
from collection.matching.readiness import passed_words
from collection.records.collection import Collection, inventory_order
from collection.records.destinations import Promised
from collection.records.quilt import Quilt
from collection.transfers.wording import format_state, line_name, request_name
from site_builder.pages.cards import card
from site_builder.pages.edition import Edition
from site_builder.text.wording import count_of
from site_builder.views.parts import Card

SEEN_FROM = "desk/move/x"
_AT_LARGE = ("Looking for a home", "Undecided", "Kept")


@dataclass(frozen=True, slots=True)
class Pick:
    """A quilt to choose, with a note beside its title."""

    card: Card
    chosen: bool
    note: str = ""


@dataclass(frozen=True, slots=True)
class PickGroup:
    """Quilts in the same state."""

    heading: str
    picks: tuple[Pick, ...]


@dataclass(frozen=True, slots=True)
class PlaceChoice:
    """A line of an open request, as a choice."""

    value: str
    words: str


def pick_groups(edition: Edition, quilts: list[Quilt], chosen: tuple[str, ...]) -> list[PickGroup]:
    """The quilts that may be chosen, grouped by state; those in the house that are not promised come last."""
    gathered: dict[str, list[Pick]] = {}
    for quilt in sorted(quilts, key=inventory_order):
        standing = format_state(quilt.destination, edition.collection.partners)
        is_promised = isinstance(quilt.destination, Promised)
        heading = "Promised" if is_promised else standing[:1].upper() + standing[1:]
        pick = Pick(
            card(edition, quilt, seen_from=SEEN_FROM),
            quilt.id in chosen,
            standing[len("promised ") :] if is_promised else "",
        )
        gathered.setdefault(heading, []).append(pick)
    return [PickGroup(heading, tuple(gathered[heading])) for heading in sorted(gathered, key=_place_in_order)]


def _place_in_order(heading: str) -> tuple[int, str]:
    return _AT_LARGE.index(heading) + 2 if heading in _AT_LARGE else heading != "Promised", heading


def place_choices(collection: Collection, on: date) -> tuple[PlaceChoice, ...]:
    """The lines of open requests that still have places, with the day by which they are needed if it has passed."""
    found = []
    for opened in open_requests(collection):
        name, needed_by = request_name(opened.request, collection.partners), opened.request.needed_by
        passed = passed_words(needed_by, on)
        passed = f", needed by {needed_by.say()}{passed}" if needed_by and passed else ""
        for line in opened.lines:
            if line.places > 0:
                words = f"{line_name(line.line.id)} for {name} ({count_of(line.places, 'place')} open{passed})"
                found.append(PlaceChoice(f"{opened.request.id} {line.line.id}", words))
    return tuple(found)
