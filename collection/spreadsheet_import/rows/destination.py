"""Finds where a quilt went from the cells of a row that say something about it."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import assert_never

from collection.spreadsheet_import.values.recipients import Recipient, State
from collection.yaml_files.parser import Plain


@dataclass(frozen=True, slots=True)
class DestinationParts:
    """What the cells say. `recipients` are those of the parts `status`, `to` and `charity`; None: not stated."""

    recipients: Mapping[str, Recipient] = field(default_factory=dict)
    through: str | None = None
    on: str | None = None
    occasion: str | None = None


@dataclass(frozen=True, slots=True)
class FoundDestination:
    """The destination in the form of a record.

    `used`: the parts that the destination states completely. `first`: the part that it mainly comes from.
    """

    destination: Plain
    used: frozenset[str] = frozenset()
    doubt: str = ""
    unknown_charity: str = ""
    first: str = "to"


NO_SUCH_PARTNER = "the collection has no partner of that name"
_NAMED = ("partner", "charity", "person")
_IN_DOUBT = "it is in doubt"
_AT_ODDS = FoundDestination(None, doubt="the cells are at odds on where it is")

States = list[tuple[str, State]]
"""Each part that states a state, with that state."""


def destination_from(parts: DestinationParts) -> FoundDestination:
    """Combines all parts into one destination; the cells of parts not `used` have to be kept as notes."""
    recipients = parts.recipients
    named = [(part, recipients[part]) for part in ("to", "charity") if part in recipients]
    named = [(part, recipient) for part, recipient in named if recipient.kind in _NAMED]
    states = [
        (part, state)
        for part in ("status", "to", "charity")
        if part in recipients and (state := recipients[part].stated) is not None
    ]
    # A status may name the recipient by itself.
    if not named and "status" in recipients and recipients["status"].kind in _NAMED:
        named = [("status", recipients["status"])]
    if named:
        return _to_recipient(parts, *named[0], states, is_only=len(named) == 1)
    if parts.through is not None:
        return _to_recipient(parts, "through", Recipient("partner", through=parts.through), states)
    return _by_state(parts, states)


def _by_state(parts: DestinationParts, states: States) -> FoundDestination:
    """The destination if no cell names a recipient."""
    if not states:
        if parts.on is None:
            return FoundDestination(None)
        doubt = "it does not say to whom; taken as a gift"
        return FoundDestination(_gifted(None, parts.on, parts.occasion), frozenset({"on", "occasion"}), doubt)
    found = {state for _, state in states}
    if len(found) > 1 and found != {"gifted", "donated"}:
        return _AT_ODDS
    first, state = states[0]
    if len(found) > 1:
        state = "donated"
    exact = frozenset(part for part, _ in states if parts.recipients[part].exact)
    doubt = "" if len(exact) == len(states) else _IN_DOUBT
    destination: Plain
    match state:
        case "kept" | "free":
            if parts.on is not None:
                return FoundDestination(None, doubt="it is there still, and has a day on which it was given")
            return FoundDestination(state, exact, doubt, first=first)
        case "gifted":
            destination, exact = _gifted(None, parts.on, parts.occasion), exact | {"occasion"}
        case "donated":
            destination = _without_none({"is": state, "handed_over": parts.on})
        case "promised" | "lost":
            destination = _without_none({"is": state, "on": parts.on})
        case _:
            assert_never(state)
    return FoundDestination(destination, exact | {"on"}, doubt, first=first)


def _to_recipient(
    parts: DestinationParts, part: str, who: Recipient, states: States, *, is_only: bool = True
) -> FoundDestination:
    """The destination if the cell of `part` names a recipient, or only a go-between is named."""
    found = {state for _, state in states}
    if found & {"kept", "free", "lost"}:
        return _AT_ODDS
    through, on = parts.through or who.through, parts.on or who.year
    doubt = _IN_DOUBT if not who.exact else "" if is_only else "two cells name different ones"
    if "promised" in found:
        fields = {"is": "promised", "to": who.partner, "through": through, "on": on, "note": who.note}
        return FoundDestination(_without_none(fields), _used(parts, part, who, states), doubt, first=part)
    if who.kind == "person" and "donated" not in found and through is None:
        used = _used(parts, part, who, states, occasion=parts.occasion)
        return FoundDestination(_gifted(who.name, on, parts.occasion or who.occasion), used, doubt, first=part)
    destination = _donated(who, through, on)
    doubt = doubt or (NO_SUCH_PARTNER if who.note else "")
    unknown = who.name if who.note else ""
    return FoundDestination(destination, _used(parts, part, who, states), doubt, unknown, first=part)


def _donated(who: Recipient, through: str | None, on: str | None) -> Plain:
    """A donation. The day is that of delivery only if a known charity received the quilt directly."""
    day = "delivered" if who.partner is not None and through is None else "handed_over"
    return _without_none({"is": "donated", "to": who.partner, "through": through, day: on, "note": who.note})


def _used(
    parts: DestinationParts, part: str, who: Recipient, states: States, *, occasion: str | None = None
) -> frozenset[str]:
    """The parts that the destination of a recipient states completely. `occasion`: that of a gift."""
    other_year = parts.on is not None and who.year is not None and not parts.on.startswith(who.year)
    other_occasion = occasion is not None and bool(who.occasion)
    used = {other for other, _ in states if other != part and parts.recipients[other].exact}
    if who.exact and not other_year and not other_occasion:
        used.add(part)
    stated = {"through": parts.through, "on": parts.on, "occasion": occasion}
    return frozenset(used | {name for name, value in stated.items() if value is not None})


def _gifted(name: str | None, on: str | None, occasion: str | None) -> Plain:
    return _without_none({"is": "gifted", "to": name, "on": on, "occasion": occasion})


def _without_none(fields: Mapping[str, Plain]) -> Plain:
    return {key: value for key, value in fields.items() if value is not None}
