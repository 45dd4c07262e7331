"""The sections of each form, and the order of the fields in each."""

from collections.abc import Mapping
from typing import NamedTuple

from collection.forms.form import Kind


class Section(NamedTuple):
    """A section of a form. Its name has a hyphen, which no field name has."""

    name: str
    label: str
    explanation: str
    fields: tuple[str, ...]


SHEETS: Mapping[Kind, tuple[Section, ...]] = {
    "quilt": (
        Section(
            "the-picture",
            "Picture and name",
            "By these you find it again. The title alone is enough to begin with.",
            ("title", "photos", "number", "also_called", "public"),
        ),
        Section(
            "the-make",
            "What it is",
            "Leave empty what you don't know, and come back whenever you like.",
            (
                "made",
                "stage",
                "ready_by",
                "pattern",
                "fabric_lines",
                "blocks",
                "techniques",
                "quilting",
                "fibre",
                "features",
                "colours",
                "suits",
            ),
        ),
        Section(
            "the-size",
            "Its size",
            "A measured size is enough. How the blocks are set gives the size they come to, and what to cut.",
            ("finished_size", "measured", "setting"),
        ),
        Section(
            "the-way",
            "Where it is bound",
            "Where it stands, where it lies, and where it has been.",
            ("destination", "kept_at", "loans", "history"),
        ),
        Section("the-story", "Its story", "In your own words.", ("story",)),
        Section(
            "the-care",
            "Condition and care",
            "What a charity asks before it takes a quilt.",
            ("condition", "condition_note", "care", "household"),
        ),
        Section("the-costs", "Costs", "Never shown to anyone but your household.", ("materials_cost", "appraisal")),
        Section("the-notes", "Notes", "For yourself.", ("notes",)),
    ),
    "partner": (
        Section("the-name", "Who it is", "", ("name", "kind", "about", "url", "public", "part_of", "acts_for")),
        Section("the-contact", "How to reach it", "Never shown to anyone but your household.", ("contact",)),
        Section(
            "the-rules",
            "What it takes",
            "Leave free what it does not mind. A line of a request may say otherwise.",
            ("checked", "units", "rules"),
        ),
        Section("the-tax", "For tax purposes", "", ("qualified", "registration", "abroad")),
        Section("the-notes", "Notes", "For yourself.", ("notes",)),
    ),
    "request": (
        Section(
            "the-asking", "Who asks, and by when", "", ("partner", "through", "asked", "needed_by", "closed", "units")
        ),
        Section("the-lines", "What is asked for", "A line for each kind of quilt.", ("lines",)),
        Section("the-notes", "Notes", "For yourself.", ("notes",)),
    ),
    "collection": (
        Section("the-name", "Name and maker", "", ("title", "maker", "site")),
        Section("the-public", "What may go out", "", ("public",)),
        Section(
            "the-house",
            "The house",
            "Charities ask it of the quilts that come from there. What isn't answered is checked before a quilt goes.",
            ("household",),
        ),
        Section("the-measures", "Measures", "", ("units", "currency", "sizes")),
        Section("the-giving", "Giving", "", ("giving_year_starts", "follow_up_after", "tax_notes")),
        Section("the-prices", "Prices", "To estimate what was not written down.", ("prices",)),
    ),
}
