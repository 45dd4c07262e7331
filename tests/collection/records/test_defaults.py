"""A field's default is no statement: what nobody wrote is not known, or it is no fact about the quilt."""

from collections.abc import Iterator

import pytest

from collection.records.fields import Record
from collection.records.partner import Partner
from collection.records.quilt import Quilt
from collection.records.request import Request
from collection.records.settings import Settings

PERMISSION = "a permission: what holds where nobody takes it back or gives it"
SETTING = "how the program works, which the maker may set: no fact about a quilt"

DECIDED = {
    ("Quilt", "public"): PERMISSION,
    ("Photo", "public"): PERMISSION,
    ("Partner", "public"): PERMISSION,
    (
        "Quilt",
        "stage",
    ): "most records are of finished quilts; that one is finished is said nowhere, only that it is not",
    ("Quilt", "destination"): "undecided is what is known where nobody decided; it is said to the household alone",
    (
        "BlockSetting",
        "sashing",
    ): "the sizes are those that the written parts come to; a quilt that measures more is told "
    "that sashing or a border may be missing",
    ("BlockSetting", "cornerstones"): "as sashing: what is not written is not cut",
    ("BlockSetting", "outer_sashing"): "as sashing: what is not written is not cut",
    ("Partner", "kind"): "which of two kinds of file it is: one that passes quilts on says so",
    ("Partner", "abroad"): "said only where it is; a note on tax also asks whether it is qualified, which is not known",
    ("Partner", "rules"): "no rules",
    ("RequestLine", "priority"): "the order in which places are filled; shown only where it is written",
    ("Settings", "title"): SETTING,
    ("Settings", "maker"): SETTING,
    ("Settings", "units"): SETTING,
    ("Settings", "giving_year_starts"): SETTING,
    ("Settings", "tax_notes"): SETTING,
    ("Settings", "follow_up_after"): SETTING,
    ("Settings", "household"): "nothing is known of the house",
    ("Settings", "sizes"): SETTING,
    ("Settings", "public"): SETTING,
    ("Settings", "site"): SETTING,
    ("SizeTable", "replace"): SETTING,
    ("Site", "language"): SETTING,
}


def _subclasses(kind: type[Record]) -> Iterator[type[Record]]:
    for each in kind.__subclasses__():
        yield each
        yield from _subclasses(each)


def _speaking() -> dict[tuple[str, str], object]:
    models = {model for model in _subclasses(Record) if model.__module__.startswith("collection.records")}
    return {
        (model.__name__, name): field.default
        for model in models
        for name, field in model.model_fields.items()
        if name != "is_" and not field.is_required() and field.default not in (None, ())
    }


def test_each_default_that_is_not_unknown_is_decided_with_a_reason():
    assert set(_speaking()) == set(DECIDED)


@pytest.mark.parametrize("model", [Quilt, Partner, Request, Settings])
def test_the_reasons_are_of_fields_that_there_are(model):
    for name, field in DECIDED:
        if name == model.__name__:
            assert field in model.model_fields


def test_of_a_title_and_a_size_nothing_is_known_of_washing_or_setting():
    quilt = Quilt.model_validate(
        {"id": "a", "title": "A", "finished_size": "60 x 80", "setting": {"blocks": "4 x 5", "block": "12"}}
    )
    assert (quilt.measured, quilt.condition, quilt.care, quilt.setting.arrangement) == (None, None, None, None)
