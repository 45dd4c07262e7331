"""The rules that hold on a line, with where each comes from."""

from hypothesis import given
from hypothesis import strategies as st

from collection.matching.applicable_rules import _of_the_charity, _of_the_line, rule_words, rules_that_hold
from collection.matching.rules import effective_rules
from collection.records.partner import Rules
from tests.support.made_records import a_charity, a_collection, a_request


def held(standing: dict, line: dict, **charity) -> str:
    request = a_request("cots", lines=[{"id": "a", "count": 1, **line}])
    collection = a_collection(a_charity("river-street", rules=standing, **charity), request)
    return rules_that_hold(collection, request, request.lines[0])


def test_a_lines_own_rules_come_first_and_what_it_leaves_to_its_charity_after():
    assert held({"no": ["tied"], "needs": ["label"], "size": "lap"}, {"size": "baby", "suits": ["children"]}) == (
        "baby; for children. From River Street: must have a label; not tied"
    )


def test_a_rule_that_the_line_replaces_or_takes_back_is_not_shown():
    assert held({"shorter_side": "36 to 45", "no": ["buttons"]}, {"shorter_side": "40 to 50", "no": []}) == (
        "shorter side 40 to 50 in"
    )
    assert held({"no": ["tied", "buttons"]}, {"needs": ["ties"]}) == "must be tied. From River Street: no buttons"


def test_fibre_is_told_layer_by_layer():
    assert held({"fibre": {"top": "cotton", "batting": "cotton"}}, {"fibre": {"batting": "wool"}}) == (
        "batting of wool. From River Street: top of cotton"
    )


def test_rules_of_one_side_alone_are_told_without_the_other():
    assert held({"no": ["smoke"]}, {}) == "from River Street: no smoke"
    assert held({}, {}) == "no rules"
    assert held({}, {"condition": "new"}) == "new"


def test_the_rules_of_the_charity_above_are_said_not_to_hold():
    request = a_request("cots", lines=[{"id": "a", "count": 1, "size": "baby"}])
    above = a_charity("the-whole", rules={"no": ["tied"]})
    collection = a_collection(above, a_charity("river-street", part_of="the-whole"), request)
    assert rules_that_hold(collection, request, request.lines[0]) == (
        "baby. The rules of The Whole as a whole do not apply here"
    )


some_rules = st.fixed_dictionaries(
    {},
    optional={
        "size": st.sampled_from([["baby"], ["lap", "twin"]]),
        "shorter_side": st.sampled_from(["36 to 45", "at least 40"]),
        "width": st.just("at most 60"),
        "ideal": st.just("40 x 50"),
        "tolerance": st.just("1"),
        "fibre": st.sampled_from([{"top": "cotton"}, {"top": "wool", "batting": "cotton"}]),
        "no": st.sampled_from([["buttons"], ["tied"], []]),
        "needs": st.sampled_from([["label"], ["washed"], []]),
        "condition": st.sampled_from(["good", "new"]),
        "suits": st.just(["children"]),
    },
)


@given(some_rules, some_rules)
def test_what_is_shown_of_both_together_is_all_that_a_quilt_is_judged_by(standing, line):
    request = a_request("cots", lines=[{"id": "a", "count": 1, **line}])
    collection = a_collection(a_charity("river-street", rules=standing), request)
    effective = effective_rules(Rules.model_validate(standing), request.lines[0])
    own = rule_words(Rules.model_construct(**_of_the_line(request.lines[0]))).split("; ")
    charity = rule_words(_of_the_charity(collection, request, request.lines[0])).split("; ")

    def parts(words: list[str]) -> set[str]:
        """Layers of fibre that are told in one sentence, apart."""
        return {part for word in words for part in (word.split(" and ") if " of " in word else [word])} - {"no rules"}

    assert parts(own) | parts(charity) == parts(rule_words(effective).split("; "))
