"""The destinations of a quilt: one type for each state, with only its own fields.

A quilt that has not left has one of three words; the other states are records with dates. The former destinations in a
quilt's history have the same types. What the rest of the program asks about a kind is below the types, in `match`
statements that the type checker finds incomplete when a kind is added.
"""

from dataclasses import dataclass
from typing import Annotated, Literal, assert_never, get_args

from pydantic import BeforeValidator, Discriminator, Field, Tag

from collection.problems import nearest_word
from collection.quotes import quoted
from collection.records.fields import DateField, Line, Record, ShortForm, Text
from collection.values.dates import EdtfDate

WORDS = ("undecided", "kept", "free")

STATES = {
    "undecided": "Nobody has said yet.",
    "kept": "It stays in the house.",
    "free": "It looks for a home.",
    "promised": "Set aside for a charity, still in the house.",
    "gifted": "Given to a person.",
    "donated": "On its way to a charity, or there.",
    "lost": "Nobody knows where it is.",
}
"""Each state as a record names it, and what it means, in the order of the form."""


class Staying(Record):
    """Not on its way anywhere: `undecided`, `kept`, or `free` (looking for a home)."""

    is_: Literal["undecided", "kept", "free"] = Field(
        alias="is", description="undecided, kept, or free: looking for a home."
    )
    until: DateField | None = Field(None, description="In the history: when this ended.")


class Promised(Record):
    """Set aside for a line of a charity's request, still in the maker's house."""

    is_: Literal["promised"] = Field("promised", alias="is", description="Set aside, still in the house.")
    to: Line | None = Field(None, description="The charity's ID: its file name in partners/.")
    through: Line | None = Field(None, description="The go-between's ID, if one will pass it on.")
    request: Line | None = Field(None, description="The request's ID: its file name in requests/.")
    line: Line | None = Field(None, description="The line of that request.")
    on: DateField | None = Field(None, description="When it was promised.")
    by: DateField | None = Field(None, description="When it should leave, if that was agreed.")
    note: Text | None = Field(None, description="A note for yourself. Private.")
    returned: DateField | None = Field(None, description="In the history: when the promise ended.")


class Gifted(Record):
    """Given to a person; a name here is never published."""

    is_: Literal["gifted"] = Field("gifted", alias="is", description="Given to a person.")
    to: Line | None = Field(None, description="Who received it. Private.")
    on: DateField | None = Field(None, description="When it was given.")
    occasion: Line | None = Field(None, description="A wedding, a birth, thanks. Private.")
    note: Text | None = Field(None, description="A note for yourself. Private.")
    returned: DateField | None = Field(None, description="In the history: when it came back.")


class Donated(Record):
    """On its way to a charity, or there: how far it is follows from the dates."""

    is_: Literal["donated"] = Field("donated", alias="is", description="On its way to a charity, or there.")
    to: Line | None = Field(None, description="The charity's ID; left out while nobody has said yet.")
    through: Line | None = Field(None, description="The go-between's ID, if one passes it on.")
    handed_over: DateField | None = Field(None, description="When it left the maker's hands.")
    delivered: DateField | None = Field(
        None, description="When it reached the charity: the date that counts for a giving year."
    )
    acknowledged: DateField | None = Field(None, description="When the charity's letter came.")
    acknowledgement: Line | None = Field(None, description="The file name of that letter. Private.")
    meant_for: Line | None = Field(
        None, description="The charity it was meant for, when it went elsewhere than planned."
    )
    set_aside_for: Line | None = Field(
        None, description="The person for whom the charity was told to keep it, if any. Private."
    )
    request: Line | None = Field(None, description="The request that it answers.")
    line: Line | None = Field(None, description="The line of that request.")
    note: Text | None = Field(None, description="A note for yourself. Private.")
    returned: DateField | None = Field(None, description="In the history: when it came back.")

    @property
    def has_set_out(self) -> bool:
        return any((self.handed_over, self.delivered, self.acknowledged))


class Lost(Record):
    """Nobody knows where it is now."""

    is_: Literal["lost"] = Field("lost", alias="is", description="Nobody knows where it is.")
    through: Line | None = Field(None, description="Who had it last, if a go-between.")
    on: DateField | None = Field(None, description="When it was missed.")
    returned: DateField | None = Field(None, description="In the history: when it turned up again.")
    note: Text | None = Field(None, description="A note for yourself. Private.")


def _tag(value: object) -> str | None:
    word = value.get("is") if isinstance(value, dict) else getattr(value, "is_", None)
    if word in WORDS:
        return "(staying)"
    return f"({word})" if isinstance(word, str) and word in STATES else None


def _any_case(value: object) -> object:
    if isinstance(value, dict) and isinstance(value.get("is"), str):
        return {**value, "is": value["is"].strip().lower()}
    return value


def explain_state(found: object) -> str:
    """The remedy for a destination whose state is missing or misspelt."""
    if isinstance(found, dict):
        return f"Say where it stands: write is: and one of {', '.join(STATES)}."
    near = nearest_word(found, STATES) if isinstance(found, str) else None
    hint = f"{quoted(found)} is no state of a quilt. " if isinstance(found, str) else ""
    hint += f"Did you mean {near}? " if near else ""
    return f"{hint}Write one of: {', '.join(STATES)}; or with more to it, such as {{is: gifted, to: A cousin}}."


Destination = Annotated[
    Annotated[Staying, Tag("(staying)")]
    | Annotated[Promised, Tag("(promised)")]
    | Annotated[Gifted, Tag("(gifted)")]
    | Annotated[Donated, Tag("(donated)")]
    | Annotated[Lost, Tag("(lost)")],
    Discriminator(_tag),
    BeforeValidator(_any_case),
    ShortForm(str, lambda word: {"is": word}, lambda _: {"enum": list(STATES), "type": "string"}),
]

# pydantic's names for these types in the locations of errors; no field has such a name.
TAGS: dict[str, type[Record]] = {
    tag.tag: kind for kind, tag in (get_args(each) for each in get_args(get_args(Destination)[0]))
}

UNDECIDED = Staying.model_construct(is_="undecided")

# What a kind means ------------------------------------------------------------------------------

AtHome = Staying | Promised
"""The kinds that keep a quilt in the house. With any other kind it is, or will be, elsewhere."""


@dataclass(frozen=True, slots=True)
class Step:
    """Something that happened to a quilt, in words such as `it was handed over`, and when; None if not recorded."""

    field: str
    happened: str
    when: EdtfDate | None


def steps_of(way: Destination) -> tuple[Step, ...]:
    """The steps of a destination, in order; the last one ends it."""
    match way:
        case Donated():
            return (
                Step("handed_over", "it was handed over", way.handed_over),
                Step("delivered", "it was delivered", way.delivered),
                Step("acknowledged", "it was acknowledged", way.acknowledged),
                Step("returned", "it was back", way.returned),
            )
        case Gifted():
            return Step("on", "it was given", way.on), Step("returned", "it was back", way.returned)
        case Promised():
            return Step("on", "it was promised", way.on), Step("returned", "the promise ended", way.returned)
        case Lost():
            return Step("on", "it was missed", way.on), Step("returned", "it turned up", way.returned)
        case Staying():
            return (Step("until", f"it was no longer {way.is_}", way.until),)
        case _:
            assert_never(way)


def is_in_the_house(destination: Destination) -> bool:
    """Is a quilt with this destination still with the maker?"""
    match destination:
        case Staying() | Promised():
            return True
        case Donated():
            return not destination.has_set_out and (destination.through is not None or destination.to is None)
        case Gifted() | Lost():
            return False
        case _:
            assert_never(destination)


def where_it_went(destination: Destination) -> str | None:
    """Where a quilt is that has surely left, in words such as `given away`; None if it may still be lent."""
    match destination:
        case Gifted():
            return "given away"
        case Lost():
            return "lost"
        case Donated():
            return "on its way to a charity, or there" if destination.has_set_out else None
        case Staying() | Promised():
            return None
        case _:
            assert_never(destination)
