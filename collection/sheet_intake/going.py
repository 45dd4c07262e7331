"""Where a quilt went, out of the several cells of a row that speak of it."""

from dataclasses import dataclass

from collection.sheet_intake.recipients import Recipient
from collection.yaml_writing import Plain


@dataclass(frozen=True, slots=True)
class Going:
    """What the cells say: of its status, of whom it went to, of a go-between, of when and why. None: nothing."""

    status: Recipient | None = None
    to: Recipient | None = None
    charity: Recipient | None = None
    through: str | None = None
    on: str | None = None
    occasion: str | None = None


@dataclass(frozen=True, slots=True)
class Gone:
    """The destination, as a record has it.

    `used`: the parts of `Going` that it says all of; `first`: the part that it was made of first.
    """

    destination: Plain
    used: frozenset[str]
    doubt: str = ""
    unknown_charity: str = ""
    first: str = "to"


NO_SUCH_PARTNER = "the collection has no partner of that name"
_NAMED = ("partner", "charity", "person")


def where_it_went(going: Going) -> Gone:
    """One destination from all that is said; what it does not say stays with the cells."""
    named = [
        (part, recipient)
        for part in ("to", "charity")
        if (recipient := getattr(going, part)) and recipient.kind in _NAMED
    ]
    states = [
        (part, kind)
        for part in ("status", "to", "charity")
        if (recipient := getattr(going, part))
        and (kind := recipient.state or recipient.kind) not in (*_NAMED, "unknown", "sold")
    ]
    # A status may name whom it went to by itself.
    if not named and going.status is not None and going.status.kind in _NAMED:
        named = [("status", going.status)]
    if not named and going.through is None:
        return _by_state(going, states)
    return _to_somebody(going, named, states)


def _by_state(going: Going, states: list[tuple[str, str]]) -> Gone:
    kinds = {kind for _, kind in states}
    parts = frozenset(part for part, _ in states)
    doubts = [getattr(going, part) for part in parts]
    exact = frozenset(part for part in parts if getattr(going, part).exact)
    doubt = "" if all(each.exact for each in doubts) else "it is in doubt"
    if not kinds:
        if going.on is None:
            return Gone(None, frozenset())
        return Gone(
            _gifted(None, going.on, going.occasion),
            frozenset({"on", "occasion"}),
            "it does not say to whom; taken as a gift",
        )
    if len(kinds) > 1:
        if kinds == {"gifted", "donated"}:
            kinds = {"donated"}
        else:
            return Gone(None, frozenset(), "the cells are at odds on where it is")
    (kind,) = kinds
    first = states[0][0]
    match kind:
        case "kept" | "free":
            if going.on is not None:
                return Gone(None, frozenset(), "it is there still, and has a day on which it was given")
            return Gone(kind, exact, doubt, first=first)
        case "gifted":
            return Gone(_gifted(None, going.on, going.occasion), exact | {"on", "occasion"}, doubt, first=first)
        case "donated":
            return Gone(_without_none({"is": "donated", "handed_over": going.on}), exact | {"on"}, doubt, first=first)
        case "promised":
            return Gone(_without_none({"is": "promised", "on": going.on}), exact | {"on"}, doubt, first=first)
        case _:
            return Gone(_without_none({"is": "lost", "on": going.on}), exact | {"on"}, doubt, first=first)


def _to_somebody(going: Going, named: list[tuple[str, Recipient]], states: list[tuple[str, str]]) -> Gone:
    part, who = named[0] if named else ("through", Recipient("partner", through=going.through))
    kinds = {kind for _, kind in states}
    used = {part} if who.exact else set()
    doubt = "" if who.exact else "it is in doubt"
    if len(named) > 1:
        doubt = doubt or "two cells name different ones"
    if kinds & {"kept", "free", "lost"}:
        return Gone(None, frozenset(), "the cells are at odds on where it is")
    through = going.through or who.through
    if through is not None:
        used |= {"through"} if going.through else set()
    on = going.on or who.year
    if going.on is not None:
        if who.year is not None and not going.on.startswith(who.year):
            used.discard(part)
        used.add("on")
    used |= {
        other
        for other, kind in states
        if other != part and getattr(going, other).exact and kind in ("gifted", "donated", "promised")
    }
    if "promised" in kinds:
        note = None if who.partner else _said(who)
        destination = _without_none({"is": "promised", "to": who.partner, "through": through, "on": on, "note": note})
        return Gone(destination, frozenset(used), doubt, first=part)
    if who.kind == "person" and "donated" not in kinds and through is None:
        occasion = going.occasion or who.occasion
        if going.occasion is not None:
            used.add("occasion")
            if who.occasion:
                used.discard(part)
        return Gone(_gifted(who.name, on, occasion), frozenset(used), doubt, first=part)
    unknown = who.name if who.kind in ("charity", "person") else ""
    straight = who.partner is not None and through is None
    destination = _without_none({
        "is": "donated", "to": who.partner, "through": through, "handed_over": None if straight else on,
        "delivered": on if straight else None, "note": _said(who) if unknown else None,
    })  # fmt: skip
    if unknown and not doubt:
        doubt = NO_SUCH_PARTNER
    return Gone(destination, frozenset(used), doubt, unknown, first=part)


def _said(who: Recipient) -> str | None:
    return f"For {who.name}" if who.name else None


def _gifted(name: str | None, on: str | None, occasion: str | None) -> Plain:
    return _without_none({"is": "gifted", "to": name, "on": on, "occasion": occasion})


def _without_none(fields: dict[str, Plain]) -> Plain:
    return {key: value for key, value in fields.items() if value is not None}
