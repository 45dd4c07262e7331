"""The record of a household: what charities ask about it."""

from pydantic import Field

from collection.records.fields import Record


class Household(Record):
    """What may be left in the cloth. Left out: not known. Private, all of it."""

    smoke: bool | None = Field(None, description="Does anybody smoke in the house?")
    pets: bool | None = Field(None, description="Do pets live in the house?")
    scent: bool | None = Field(
        None, description="Is it washed or kept with scent: scented detergent, softener, dryer sheets?"
    )


NOT_SAID = Household.model_construct()
"""A household without any recorded facts."""
