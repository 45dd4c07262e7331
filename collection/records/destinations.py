"""The destinations of a quilt: one type for each state, with only its own fields.

Three words are for a quilt that has not left; the other states are records with dates. Former destinations
have the same types, in a quilt's history.
"""

from typing import Annotated, Literal

from pydantic import BeforeValidator, Discriminator, Field, Tag

from collection.problems import nearest_word
from collection.quotes import quoted
from collection.records.fields import DateField, Line, Record, ShortForm, Text

WORDS = ("undecided", "kept", "free")


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


class Lost(Record):
    """Nobody knows where it is now."""

    is_: Literal["lost"] = Field("lost", alias="is", description="Nobody knows where it is.")
    through: Line | None = Field(None, description="Who had it last, if a go-between.")
    on: DateField | None = Field(None, description="When it was missed.")
    returned: DateField | None = Field(None, description="In the history: when it turned up again.")
    note: Text | None = Field(None, description="A note for yourself. Private.")


STATES = (*WORDS, "promised", "gifted", "donated", "lost")

# pydantic's names for the types in the locations of errors: no field has such a name.
TAGS: dict[str, type[Record]] = {
    "(staying)": Staying,
    "(promised)": Promised,
    "(gifted)": Gifted,
    "(donated)": Donated,
    "(lost)": Lost,
}


def _tag(value: object) -> str | None:
    word = value.get("is") if isinstance(value, dict) else getattr(value, "is_", None)
    if word in WORDS:
        return "(staying)"
    return f"({word})" if word in STATES else None


def _any_case(value: object) -> object:
    if isinstance(value, dict) and isinstance(value.get("is"), str):
        return {**value, "is": value["is"].strip().lower()}
    return value


def explain_state(found: object) -> str:
    """The remedy where the state of a destination is missing or misspelt."""
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

UNDECIDED = Staying.model_construct(is_="undecided")
