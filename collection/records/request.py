"""A request: what a charity asked for, line by line, and by when."""

from typing import Annotated, Literal

from pydantic import Field, model_validator

from collection.records.fields import DateField, Identified, Text
from collection.records.partner import Rules


class RequestLine(Rules):
    """So many quilts of one kind. Its rules override the partner's standing rules, each by each."""

    id: Annotated[Text, Field(pattern=r"^[\w-]+$")] = Field(description="A short name, unique in the request.")
    count: Annotated[int, Field(ge=1, le=10_000)] = Field(description="How many.")
    priority: Literal["must", "wish"] = Field("wish", description="must: filled first; wish: filled after.")
    note: Text | None = Field(None, description="Private.")


class Request(Identified):
    """What a charity asked for, line by line, and by when."""

    partner: Text = Field(description="The charity's ID: its file name in partners/.")
    through: Text | None = Field(None, description="The go-between who passed it on.")
    units: Literal["in", "cm"] | None = Field(
        None, description="The units of bare numbers in this file, if not the partner's."
    )
    asked: DateField | None = Field(None, description="When it came.")
    needed_by: DateField | None = Field(None, description="By when the quilts should be there.")
    closed: DateField | None = Field(None, description="When it was closed: filled, or no longer wanted.")
    lines: Annotated[tuple[RequestLine, ...], Field(min_length=1)] = Field(description="What was asked for.")
    notes: Text | None = Field(None, description="Private, in Markdown.")

    @model_validator(mode="after")
    def _lines_differ(self) -> "Request":
        ids = [line.id for line in self.lines]
        twice = sorted({line_id for line_id in ids if ids.count(line_id) > 1})
        if twice:
            raise ValueError(f"Two lines are called {twice[0]}. Give each its own id.")
        return self
