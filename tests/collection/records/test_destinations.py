"""The kinds of destination: what is written beside the types fits the types."""

from typing import get_args

from collection.records.destinations import STATES, TAGS, steps_of


def test_each_state_belongs_to_one_kind():
    words = [word for kind in TAGS.values() for word in get_args(kind.model_fields["is_"].annotation)]
    assert sorted(words) == sorted(STATES)


def test_each_step_is_a_field_of_its_kind_and_the_last_one_ends_it():
    for kind in TAGS.values():
        word = get_args(kind.model_fields["is_"].annotation)[0]
        fields = [step.field for step in steps_of(kind.model_validate({"is": word}))]
        assert set(fields) <= set(kind.model_fields)
        assert fields[-1] in ("returned", "until")
