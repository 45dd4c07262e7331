"""The record of a partner: a charity with its rules, or a go-between who passes quilts on."""

from typing import Annotated, Literal

from pydantic import Field, ValidationInfo, field_validator

from collection.quotes import quoted
from collection.records.fields import (
    ANY_CASE,
    DateField,
    Identified,
    LengthField,
    Line,
    RangeField,
    Record,
    SizeField,
    Text,
    Texts,
    WebAddress,
    Words,
)
from collection.records.quilt import Condition, Fibre


class Rules(Record):
    """What a quilt has to be. Hard rules, all of which must hold; what is left out is free."""

    size: Words = Field((), description="One or more size categories, such as baby.")
    shorter_side: RangeField | None = Field(None, description="36 to 45, at least 36, at most 45.")
    longer_side: RangeField | None = Field(None, description="45 to 60, at least 45, at most 60.")
    width: RangeField | None = Field(None, description="Where it matters which way round.")
    length: RangeField | None = Field(None, description="Where it matters which way round.")
    ideal: SizeField | None = Field(
        None, description="The size liked best: a wish; with a tolerance and no range beside it, a rule."
    )
    tolerance: LengthField | None = Field(None, description="By how much a size may miss its range, or its ideal.")
    fibre: Fibre | None = Field(None, description="What the layers must be made of.")
    no: Words = Field((), description="Refused: buttons, minky, tied.")
    needs: Words = Field((), description="Required: label, washed, unwashed, or washed either way: either.")
    condition: Condition | None = Field(None, description="The least condition that is welcome.")
    suits: Words = Field((), description="Whom the quilts are for: children, teens, men.")

    @field_validator("needs")
    @classmethod
    def _can_be_met(cls, needs: tuple[str, ...], info: ValidationInfo) -> tuple[str, ...]:
        if "washed" in needs and "unwashed" in needs:
            raise ValueError("No quilt is both washed and unwashed. If they take both, write either.")
        for word in needs:
            if word in info.data.get("no", ()):
                raise ValueError(f"{quoted(word)} stands under both no and needs. Keep one.")
        return needs


class Contact(Record):
    """How to reach a partner. Private, all of it."""

    person: Line | None = Field(None, description="Whom to ask for.")
    email: Line | None = Field(None, description="E-mail address.")
    phone: Line | None = Field(None, description="Telephone number.")
    address: Text | None = Field(None, description="Postal address.")


class Partner(Identified):
    """A charity, or a go-between who passes quilts on."""

    name: Line = Field(description="The name of the charity or the go-between.")
    kind: Annotated[Literal["charity", "go-between"], ANY_CASE] = Field("charity", description="charity or go-between.")
    units: Annotated[Literal["in", "cm"], ANY_CASE] | None = Field(
        None, description="The units of bare numbers in this file, if not the collection's."
    )
    abroad: bool = Field(False, description="Is it in another country than the maker?")
    qualified: bool | None = Field(
        None, description="Is it a qualified organisation for tax purposes? Left out: not known."
    )
    registration: Line | None = Field(None, description="Its registered number.")
    public: bool = Field(False, description="May it be named on the web site?")
    part_of: Line | None = Field(None, description="The ID of the charity of which this is a programme or chapter.")
    acts_for: Texts = Field((), description="The IDs of charities for which this go-between receives.")
    url: WebAddress | None = Field(None, description="The address of its web site.")
    about: Text | None = Field(None, description="A sentence on what it does. Public if the partner is.")
    contact: Contact | None = Field(None, description="How to reach it. Private.")
    checked: DateField | None = Field(None, description="When these rules were last confirmed with it.")
    rules: Rules = Field(Rules.model_construct(), description="Standing rules; a line of a request may override each.")
    notes: Text | None = Field(None, description="Private, in Markdown.")
