import pytest

from collection.cautions import CAUTIONS, cautions
from collection.size_tables import SIZE_BOXES


def keys(category=None, *, features=(), suits=()) -> list[str]:
    return [caution.key for caution in cautions(category, features=features, suits=suits)]


def test_a_quilt_about_which_nothing_is_recorded_needs_no_caution():
    assert keys() == []


@pytest.mark.parametrize("category", ["preemie", "baby", "crib"])
def test_a_quilt_in_a_babys_size_comes_with_the_word_on_infant_sleep(category):
    assert "infant sleep" in keys(category)


@pytest.mark.parametrize("category", ["lap", "twin", "queen", "placemat"])
def test_a_large_quilt_does_not(category):
    assert keys(category) == []


@pytest.mark.parametrize("suits", ["babies", "a new baby", "newborns", "NICU", "infants", "Preemies"])
def test_so_does_one_that_suits_babies_whatever_its_size(suits):
    assert "infant sleep" in keys("lap", suits=[suits])


@pytest.mark.parametrize("feature", ["buttons", "a glass button", "beads", "sequins", "bells"])
@pytest.mark.parametrize(
    "quilt", [{"category": "baby"}, {"suits": ["children"]}, {"suits": ["toddlers"]}, {"suits": ["a small child"]}]
)
def test_hard_small_parts_on_a_childs_quilt_are_pointed_out(feature, quilt):
    assert "small parts" in keys(quilt.get("category"), suits=quilt.get("suits", ()), features=[feature])


def test_small_parts_on_a_quilt_for_grown_ups_are_not():
    assert keys("lap", features=["buttons"], suits=["a gardener"]) == []


@pytest.mark.parametrize("feature", ["flannel", "tied", "yarn ties", "fringe", "embroidery"])
def test_cloth_and_yarn_are_no_small_parts(feature):
    assert "small parts" not in keys("baby", features=[feature])


@pytest.mark.parametrize(
    "quilt", [{"category": "wheelchair-lap"}, {"suits": ["wheelchair users"]}, {"suits": ["a wheelchair"]}]
)
def test_a_quilt_for_a_wheelchair_keeps_clear_of_the_wheels(quilt):
    assert "wheels" in keys(quilt.get("category"), suits=quilt.get("suits", ()))


def test_ties_round_the_waist_are_pointed_out_but_a_tied_quilt_has_none():
    assert "restraint" in keys("wheelchair-lap", features=["waist ties"])
    assert "restraint" in keys("lap", features=["straps"])
    assert "restraint" not in keys("wheelchair-lap", features=["tied"])


def test_a_weighted_quilt_is_pointed_out():
    assert keys("lap", features=["weighted"]) == ["weighted"]


@pytest.mark.parametrize("feature", ["scented", "lavender sachet", "fabric softener", "smoke", "pet hair"])
def test_scent_smoke_and_pets_are_pointed_out(feature):
    assert keys("lap", features=[feature]) == ["scent and allergy"]


@pytest.mark.parametrize("feature", ["charm squares", "lavender", "cat print", "pets on the backing"])
def test_words_that_mean_cloth_colour_or_picture_need_no_caution(feature):
    assert keys("lap", features=[feature], suits=["children"]) == []


@pytest.mark.parametrize(
    "feature",
    ["smoke-free home", "no pets", "unscented", "without buttons", "not weighted", "pet free", "non-smoking home"],
)
def test_what_a_quilt_is_free_of_needs_no_caution(feature):
    assert keys("lap", features=[feature], suits=["children"]) == []


def test_cautions_come_in_one_order_and_each_once():
    together = keys(
        "baby", features=["scented", "weighted", "buttons", "beads"], suits=["babies", "children", "wheelchair"]
    )
    assert together == ["infant sleep", "small parts", "wheels", "weighted", "scent and allergy"]


def test_every_caution_says_one_sentence_defers_to_those_who_know_and_names_its_source():
    for caution in CAUTIONS:
        assert caution.sentence.endswith(".") and "!" not in caution.sentence
        assert caution.source.split(":")[0] in ("seen", "derived", "from memory")


def test_every_category_named_by_a_caution_is_in_the_table():
    known = {box.key for box in SIZE_BOXES}
    assert {key for caution in CAUTIONS for key in caution.categories} <= known
