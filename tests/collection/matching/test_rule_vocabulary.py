"""Words under `no` and `needs`, what they mean, and where a record tells them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from collection.matching.rule_vocabulary import RULE_WORDS, Answer, Wanted, is_described, look_for, meaning_of
from collection.records.quilt import Quilt
from collection.vocabulary.audience import COMMON_PRACTICE, GROUPS, agreement
from collection.vocabulary.fibres import holds, is_made_of
from collection.vocabulary.word_forms import phrase, words_of
from tests.support.made_records import a_quilt


def wanted(word: str, *, under: str = "no") -> Wanted:
    [asked] = Wanted.each_of(word, under=under)
    return asked


def told(word: str, quilt: Quilt, *, under: str = "no") -> bool | None:
    return look_for(wanted(word, under=under), quilt).holds


# Plain words ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("Buttons", "button"),
        ("raw-edge appliqué", "raw edge applique"),
        ("wool batting", "batting of wool"),
        ("Babies", "baby"),
    ],
)
def test_words_that_mean_the_same_are_the_same(one, other):
    assert words_of(one) == words_of(other)


@pytest.mark.parametrize(
    ("text", "says", "denies"),
    [
        ("buttons", "button", ""),
        ("no buttons", "", "button"),
        ("without scent", "", "scent"),
        ("scent-free", "", "scent"),
        ("smoke-free and pet-free home", "home", "smoke pet"),
        ("free of smoke", "", "smoke"),
        ("must be free from smoke", "must be", "smoke"),
        ("free motion quilted", "free motion quilted", ""),
        ("washed, no softener", "washed", "softener"),
    ],
)
def test_a_phrase_says_and_denies(text, says, denies):
    assert phrase(text) == (words_of(says), words_of(denies))


# Features ---------------------------------------------------------------------------------------


def test_a_word_is_found_in_features_in_techniques_and_in_colours():
    assert told("buttons", a_quilt(features=["pearl buttons"])) is True
    assert told("rag edges", a_quilt(techniques=["rag quilt"])) is True
    assert told("white", a_quilt(colours=["white", "blue"])) is True


def test_a_list_of_features_that_is_written_is_the_whole_list():
    for features in ([], ["beads"]):
        assert told("buttons", a_quilt(features=features)) is False
        assert told("matching pillowcase", a_quilt(features=features), under="needs") is False


def test_without_a_list_a_described_quilt_has_nothing_that_would_be_refused():
    assert told("buttons", a_quilt(techniques=["pieced"])) is False
    assert told("buttons", a_quilt(condition="good")) is False
    assert told("buttons", a_quilt(finished_size="40 x 40")) is None


def test_what_is_required_is_never_taken_to_be_there_or_not_for_want_of_a_word():
    assert told("machine binding", a_quilt(techniques=["pieced"]), under="needs") is None
    assert told("machine binding", a_quilt(features=["machine binding"]), under="needs") is True


def test_a_feature_can_deny():
    assert told("smoke", a_quilt(features=["smoke-free home"])) is False
    assert told("label", a_quilt(features=["no label"]), under="needs") is None
    assert is_described(a_quilt(features=[])) and not is_described(a_quilt())


def test_a_word_for_many_things_takes_them_all_in():
    for feature in ("beads", "ribbons", "fringed edge", "zipper", "embellishments"):
        assert told("embellishments", a_quilt(features=[feature])) is True, feature
    assert told("embellishments", a_quilt(features=["flannel"])) is False
    assert told("seasonal", a_quilt(features=["Christmas"])) is True
    assert told("christmas", a_quilt(features=["Easter"])) is False


# Care, quilting, condition ----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("care", "washed"),
    [({"washed": True}, True), ({"washed": "2026-03"}, True), ({"washed": False}, False), ({}, None)],
)
def test_washed_and_unwashed_are_opposites_and_unknown_is_neither(care, washed):
    quilt = a_quilt(care=care)
    assert told("washed", quilt, under="needs") is washed
    assert told("pre-washed", quilt, under="needs") is washed
    assert told("unwashed", quilt, under="needs") is (None if washed is None else not washed)
    assert told("either", quilt, under="needs") is True


def test_label_and_sleeve_are_told_by_care():
    assert look_for(wanted("label", under="needs"), a_quilt()) == Answer(None, "care.label")
    assert told("label sewn in", a_quilt(care={"label": True}), under="needs") is True
    assert told("hanging sleeve", a_quilt(care={"sleeve": False}), under="needs") is False


@pytest.mark.parametrize(
    ("quilt", "tied"),
    [
        ({"quilting": "tied"}, True),
        ({"quilting": "longarm"}, False),
        ({"quilting": "hand"}, False),
        ({"features": ["tied"]}, True),
        ({"features": ["tied"], "quilting": "domestic machine"}, True),
        ({"techniques": ["pieced", "tied"]}, True),
        ({"techniques": ["pieced"]}, None),
        ({"features": []}, None),
    ],
)
def test_tied_and_quilted_are_opposites(quilt, tied):
    assert told("tied", a_quilt(**quilt)) is tied
    assert told("quilted", a_quilt(**quilt), under="needs") is (None if tied is None else not tied)


def test_how_it_is_quilted_can_stand_in_techniques():
    assert told("quilted", a_quilt(techniques=["hand quilted"]), under="needs") is True
    assert told("machine quilted", a_quilt(quilting="longarm"), under="needs") is True
    assert told("hand quilted", a_quilt(quilting="longarm"), under="needs") is False


def test_new_is_a_condition():
    assert [told("new only", a_quilt(condition=c), under="needs") for c in ("new", "good")] == [True, False]


# Cloth and fibre --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("word", "fibre", "answer"),
    [
        ("flannel", {"top": "cotton", "backing": "flannel"}, True),
        ("flannel", {"top": "cotton", "backing": "cotton"}, False),
        ("flannel", {"top": "cotton"}, None),
        ("flannel backing", {"backing": "flannel"}, True),
        ("flannel backing", {"top": "flannel", "backing": "muslin"}, False),
        ("polyester", {"top": "cotton", "backing": "minky", "batting": "cotton"}, True),
        ("polyester", {"top": "cotton", "backing": "cotton", "batting": "80/20 cotton and polyester"}, True),
        ("polyester", {"top": "cotton blend", "backing": "cotton", "batting": "cotton"}, None),
        ("wool batting", {"batting": "wool"}, True),
        ("wool batting", {"top": "wool", "batting": "cotton"}, False),
        ("batting", {"batting": "none"}, False),
        ("batting", {"batting": "bamboo"}, True),
        ("100% cotton", {"top": "cotton", "backing": "flannel", "batting": "cotton"}, True),
        ("100% cotton", {"top": "cotton", "backing": "cotton", "batting": "none"}, True),
        ("100% cotton", {"top": "cotton", "backing": "minky"}, False),
        ("100% cotton", {"top": "cotton", "backing": "cotton"}, None),
    ],
)
def test_cloth_is_told_by_the_layers(word, fibre, answer):
    assert told(word, a_quilt(fibre=fibre), under="needs") is answer


def test_the_first_layer_that_is_not_recorded_is_the_one_to_look_at():
    assert look_for(wanted("flannel", under="no"), a_quilt(fibre={"top": "cotton"})).field == "fibre.backing"
    assert look_for(wanted("flannel", under="no"), a_quilt(features=["flannel"])) == Answer(True, "features")


@pytest.mark.parametrize(
    ("text", "allowed", "answer"),
    [
        ("cotton", "cotton", True),
        ("muslin", "cotton", True),
        ("cotton sateen", "100% cotton", True),
        ("linen and cotton", "cotton", False),
        ("linen and cotton", "cotton or linen", True),
        ("cotton blend", "cotton", False),
        ("silk and velvet", "cotton", False),
        ("velvet", "cotton", None),
        ("velvet", "velvet", True),
        ("wool flannel", "cotton", False),
        ("cotton", "flannel", False),
        ("none", "cotton", False),
        ("poly", "polyester", True),
        ("anything at all", "any", True),
    ],
)
def test_a_layer_is_made_of_what_is_allowed_and_nothing_else(text, allowed, answer):
    assert is_made_of(text, allowed) is answer


def test_another_cloth_is_not_the_one_that_is_asked_about():
    assert holds("velvet", "flannel") is False
    assert holds("velvet", "polyester") is None
    assert holds("none", "polyester") is False


# Who would enjoy it -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("quilt", "wanted", "answer"),
    [
        (["children"], ["kids"], "the same"),
        (["babies", "children"], ["teens", "children"], "the same"),
        (["babies"], ["children"], "among them"),
        (["children"], ["babies"], "overlapping"),
        (["infants"], ["kids"], "among them"),
        (["toddlers"], ["children"], "among them"),
        (["boys", "teens"], ["children"], "among them"),
        (["children"], ["girls"], "overlapping"),
        (["children"], ["boys", "girls"], "among them"),
        (["teens"], ["children"], "overlapping"),
        (["children"], ["teens"], "overlapping"),
        (["babies"], ["toddlers"], "different"),
        (["preemies"], ["babies"], "among them"),
        (["babies"], ["preemies"], "overlapping"),
        (["men"], ["adults"], "among them"),
        (["adults"], ["men", "women"], "among them"),
        (["seniors"], ["adults"], "among them"),
        (["adults"], ["elders"], "overlapping"),
        (["veterans"], ["adults"], "among them"),
        (["adults"], ["veterans"], "overlapping"),
        (["men"], ["seniors"], "overlapping"),
        (["children"], ["veterans"], "different"),
        (["mothers"], ["parents"], "among them"),
        (["families"], ["adults"], "overlapping"),
        (["elders"], ["families"], "among them"),
        (["babies"], ["adults"], "different"),
        (["anyone"], ["teens"], "among them"),
        ([], ["anyone"], "the same"),
        ([], ["teens"], "unknown"),
        (["a gardener"], ["teens"], "unknown"),
        (["a gardener"], ["gardeners"], "the same"),
        (["a gardener", "babies"], ["teens"], "different"),
        (["baby girls"], ["babies"], "among them"),
        (["baby boys"], ["girls"], "different"),
        (["newborn girls"], ["baby girls"], "among them"),
        (["elderly people"], ["adults"], "among them"),
        (["old folk"], ["seniors"], "among them"),
        (["the elderly"], ["elders"], "the same"),
        (["elderly men"], ["men"], "among them"),
        (["older women"], ["men"], "different"),
        (["old folks", "the aged"], ["babies"], "different"),
        (["little ones"], ["children"], "among them"),
        (["babies"], ["little ones"], "among them"),
        (["kids"], ["children"], "the same"),
        (["senior citizens"], ["seniors"], "the same"),
        (["teenage girls"], ["teens"], "among them"),
        (["grandmothers"], ["women"], "among them"),
        (["grown men"], ["adults"], "among them"),
        (["foster children"], ["children"], "among them"),
        (["children"], ["foster children"], "overlapping"),
        (["sick kids"], ["adults"], "different"),
        (["new mothers"], ["mothers"], "among them"),
        (["children over 5"], ["babies"], "unknown"),
        (["anybody but children"], ["children"], "unknown"),
    ],
)
def test_people_agree_overlap_differ_or_are_not_known(quilt, wanted, answer):
    assert agreement(quilt, wanted) == answer


@given(st.sampled_from(GROUPS), st.sampled_from(GROUPS), st.sampled_from(GROUPS))
def test_who_is_among_others_is_among_those_whom_they_are_among(one, other, third):
    among = ("the same", "among them")
    if agreement([one.name], [other.name]) in among and agreement([other.name], [third.name]) in among:
        assert agreement([one.name], [third.name]) in among
    if agreement([one.name], [other.name]) == "different":
        assert agreement([other.name], [one.name]) == "different"


def test_no_word_for_people_stands_for_two_groups_and_each_group_says_where_it_comes_from():
    names = [words_of(name) for group in GROUPS for name in (group.name, *group.other_names)]
    assert len(names) == len(set(names))
    assert all(group.source.startswith(("seen: ", "from memory: ", COMMON_PRACTICE)) for group in GROUPS)


# The words of the table -------------------------------------------------------------------------


def test_every_word_and_other_name_leads_to_one_row_only():
    names = [words_of(name) for row in RULE_WORDS for name in (row.word, *row.other_names)]
    twice = {" ".join(sorted(name)) for name in names if names.count(name) > 1}
    rows = {
        name: {row.word for row in RULE_WORDS if name in map(words_of, (row.word, *row.other_names))} for name in names
    }
    assert all(len(found) == 1 for found in rows.values()), twice


def test_words_turn_round_when_they_deny():
    assert wanted("not tied", under="needs") == Wanted("tied", refused=True)
    assert wanted("no buttons", under="no") == Wanted("buttons", refused=False)
    assert wanted("zipper", under="no") == Wanted("zips", refused=True)
    assert wanted("never washed", under="needs") == Wanted("unwashed", refused=False)


def test_every_word_can_be_said_of_a_quilt():
    assert meaning_of("washed").lacking == "it has not been washed"
    assert (meaning_of("crosses").having, meaning_of("crosses").lacking) == (
        "it has crosses",
        "it has no crosses",
    )
    assert all(meaning_of(row.word).having.startswith(("it ", "there ")) for row in RULE_WORDS)


def test_a_quality_is_refused_as_of_quilts_and_a_thing_as_itself():
    assert [meaning_of(word).refusal for word in ("weighted", "beads")] == [
        "they refuse weighted quilts",
        "they refuse beads",
    ]
