"""The record of a request: what a charity asked for, line by line, and by when."""

import re
from typing import Annotated, Literal

from pydantic import AfterValidator, Field

from collection.quotes import quoted
from collection.records.fields import ANY_CASE, ONE_IS_A_LIST, DateField, Identified, Line, Text
from collection.records.partner import Rules


def _short_name(text: str) -> str:
    if not re.fullmatch(r"[\w-]+", text):
        raise ValueError(f"{quoted(text)} is no short name. Write letters, digits and hyphens, such as cots.")
    return text


class RequestLine(Rules):
    """So many quilts of one kind. Its rules override the partner's standing rules, each by each."""

    id: Annotated[Line, AfterValidator(_short_name)] = Field(description="A short name, unique in the request.")
    count: Annotated[int, Field(ge=1, le=10_000)] = Field(description="How many quilts are asked for.")
    priority: Annotated[Literal["must", "wish"], ANY_CASE] = Field(
        "wish", description="must: filled first; wish: filled after."
    )
    note: Text | None = Field(None, description="A note for yourself. Private.")


class Request(Identified):
    """What a charity asked for, line by line, and by when."""

    partner: Line = Field(description="The charity's ID: its file name in partners/.")
    through: Line | None = Field(None, description="The go-between who passed it on.")
    units: Annotated[Literal["in", "cm"], ANY_CASE] | None = Field(
        None, description="The units of bare numbers in this file, if not the partner's."
    )
    asked: DateField | None = Field(None, description="When the request came.")
    needed_by: DateField | None = Field(None, description="By when the quilts should be there.")
    closed: DateField | None = Field(None, description="When it was closed: filled, or no longer wanted.")
    lines: Annotated[tuple[RequestLine, ...], Field(min_length=1), ONE_IS_A_LIST] = Field(
        description="What was asked for."
    )
    notes: Text | None = Field(None, description="Private, in Markdown.")

    def line(self, line_id: str) -> RequestLine | None:
        """The line with that ID; None if there is none."""
        return next((line for line in self.lines if line.id == line_id), None)
