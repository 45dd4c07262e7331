"""How a quilt is washed, in words: each step by the most delicate thing in it, and nothing guessed."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from collection.care.washing import FIRST_WASH, ON_A_QUILT, TABLE, care_line, layers_of_unknown_fibre
from tests.support.made_records import a_quilt

COTTON = {"top": "cotton", "backing": "cotton", "batting": "cotton"}


def full(**fields) -> str:
    return care_line(a_quilt(**fields)).full


def of(**layers) -> str:
    return full(fibre=COTTON | layers)


def test_a_quilt_of_cotton_goes_into_the_machine_and_the_dryer():
    assert of() == (
        "Machine wash cold, gentle, with a mild unscented detergent. No bleach. Tumble dry low, or line dry in the shade. "
        "Warm iron if needed."
    )


@pytest.mark.parametrize(
    "text", ["cotton", "100% cotton", "batik", "denim", "organic cotton", "flannel", "cotton and muslin"]
)
@pytest.mark.parametrize("layer", COTTON)
def test_so_does_one_of_cloth_that_is_cotton(layer, text):
    assert of(**{layer: text}) == of()


DELICATE = ["velvet", "silk", "wool", "merino", "viscose", "rayon", "lace", "satin", "sequins", "cotton with sequins",
    "cotton velvet", "leather", "faux fur", "silk noil", "wool flannel", "cotton and silk", "bamboo", "felt", "acetate",
    "cotton lace", "lyocell", "mohair", "velveteen"]  # fmt: skip


@pytest.mark.parametrize("text", DELICATE)
@pytest.mark.parametrize("layer", COTTON)
def test_what_no_machine_should_wash_is_not_told_to_go_into_one(layer, text):
    line = care_line(a_quilt(fibre=COTTON | {layer: text}))
    for words in (line.full, " ".join(line.short)):
        assert "achine wash" not in words and "umble" not in words
        assert "Dry flat in the shade." in words


@pytest.mark.parametrize("feature", ["sequins", "lace trim", "wool applique", "velvet patches", "beads"])
def test_so_it_is_with_what_is_on_it(feature):
    assert "Machine" not in full(fibre=COTTON, features=[feature])
    assert full(fibre=COTTON, features=[f"no {feature}"]) == of()


@pytest.mark.parametrize("word", ["feathers", "satin stitch", "vintage print", "antique white", "bamboo print", "foil"])
def test_a_way_of_quilting_a_stitch_and_a_print_are_no_cloth(word):
    assert full(fibre=COTTON, features=[word], techniques=[word]) == of()


@pytest.mark.parametrize("text", ["velvet", "leather", "vintage linen"])
def test_what_no_water_should_soak_is_only_spotted(text):
    assert of(top=text).startswith("Do not wash it whole: spot clean")


@pytest.mark.parametrize("text", ["minky", "fleece", "plush", "cuddle"])
def test_plush_takes_no_heat_no_iron_and_no_dry_cleaning(text):
    assert of(backing=text) == (
        "Machine wash cold, gentle, with a mild unscented detergent. No bleach. Line dry in the shade, or tumble dry "
        "without heat. Do not iron. Do not dry clean."
    )


def test_each_step_is_the_gentlest_of_all_layers():
    assert "Cool iron" in of(batting="80/20 cotton and polyester") and "Tumble dry low" in of(batting="80/20")
    assert "Line dry in the shade. Warm iron" in of(top="linen")
    assert "Line dry in the shade. Do not iron." in of(top="linen", backing="minky")


UNKNOWN = [
    ({}, "What it is made of is not recorded"),
    ({"fibre": {"top": "cotton"}}, "What the backing and the batting are made of is not recorded"),
    ({"fibre": {"top": "cotton", "backing": "cotton"}}, "What the batting is made of is not recorded"),
    ({"fibre": COTTON | {"backing": "mystery fabric"}}, "What the backing is made of is not recorded"),
    ({"fibre": COTTON | {"top": "cotton blend"}}, "What the top is made of is not recorded"),
    ({"fibre": COTTON | {"batting": "unknown"}}, "What the batting is made of is not recorded"),
    ({"fibre": COTTON | {"batting": "?"}}, "What the batting is made of is not recorded"),
    ({"features": ["flannel", "cotton"]}, "What it is made of is not recorded"),
]


@pytest.mark.parametrize(("fields", "said"), UNKNOWN)
def test_a_fibre_that_is_not_recorded_is_said_to_be_so_and_never_guessed(fields, said):
    line = care_line(a_quilt(**fields))
    assert line.full.startswith(f"{said}: ask its maker, or try a corner first. Hand wash cold")
    assert line.short == ("Fibre not recorded. Hand wash cold.", "No bleach. Dry flat. Do not iron.")


@pytest.mark.parametrize(
    ("layers", "said"),
    [
        ({"top": "glimmerette"}, "Its top, glimmerette, is not known to us"),
        ({"top": "cotton and something soft"}, "Its top, cotton and something soft, is not known to us"),
        (
            {"top": "glimmerette", "batting": None},
            "What the batting is made of is not recorded, and its top, glimmerette, is not known to us",
        ),
        (
            {"top": "qiviut", "backing": "qiviut"},
            "Its top, qiviut, is not known to us, and its backing, qiviut, is not known to us",
        ),
    ],
)
def test_a_cloth_that_is_recorded_in_words_not_known_here_is_not_said_to_be_unrecorded(layers, said):
    recorded = {layer: text for layer, text in (COTTON | layers).items() if text}
    line = care_line(a_quilt(fibre=recorded))
    assert line.full.startswith(f"{said}: ask its maker, or try a corner first. Hand wash cold")
    assert (
        line.short[0]
        == ("Fibre not recorded." if "not recorded" in said else "Fibre not known to us.") + " Hand wash cold."
    )


@pytest.mark.parametrize("text", ["tweed", "lamé", "lame", "gold lamé", "Harris tweed", "jute"])
def test_cloth_that_a_drum_would_spoil_is_washed_by_hand_and_dried_flat(text):
    assert "Hand wash" in of(top=text) and "Dry flat" in of(top=text) and "not known" not in of(top="tweed")


@pytest.mark.parametrize(
    "text", ["poplin", "seersucker", "ticking", "chintz", "broadcloth", "towelling", "cotton twill", "quilting cotton"]
)
def test_common_cloths_of_cotton_are_known(text):
    assert layers_of_unknown_fibre(a_quilt(fibre=COTTON | {"top": text})) == ()
    assert "Machine wash cold" in of(top=text)


@pytest.mark.parametrize(
    "layers",
    [{"batting": "none"}, {"top": "cotton-polyester blend"}, {"top": "polycotton"}, {"batting": "cotton with scrim"}],
)
def test_a_layer_that_is_not_there_and_a_blend_that_says_of_what_are_known(layers):
    assert layers_of_unknown_fibre(a_quilt(fibre=COTTON | layers)) == ()


words = st.sampled_from(
    [word for row in TABLE for word in row.words] + ["glimmerette", "mystery", "none", "cotton blend", "80/20"]
)
layers = st.fixed_dictionaries({}, optional={"top": words, "backing": words, "batting": words})


@given(layers, st.lists(words, max_size=2))
def test_a_machine_and_a_dryer_are_named_only_where_everything_bears_them(fibre, features):
    quilt = a_quilt(fibre=fibre, features=features)
    line = care_line(quilt)
    named = {word for text in fibre.values() for word in text.replace("80/20", "cotton polyester").split()}
    named |= {word for text in features for word in text.split()} & ON_A_QUILT
    rows = [row for row in TABLE if row.words & named]
    known = not layers_of_unknown_fibre(quilt)
    assert ("Machine wash" in line.full) == (known and all(row.wash == "machine" for row in rows))
    assert ("Tumble dry low" in line.full) == (known and all(row.dry == "tumble" for row in rows))
    assert ("iron if needed" in line.full) == (known and all(row.iron != "none" for row in rows))
    assert known == ("not recorded" not in line.full and "not known to us" not in line.full)


@given(layers, st.lists(words, max_size=2))
def test_the_words_stand_in_the_order_of_a_care_label_and_fit_a_label(fibre, features):
    """Source: ASTM D5489-18, section 4.6, seen: washing, bleaching, drying, ironing, professional care."""
    line = care_line(a_quilt(fibre=fibre, features=features))
    full = line.full.partition("try a corner first.")[2] or line.full
    order = [min(full.find(word) for word in either if word in full) for either in
        (("wash", "spot clean"), ("No bleach",), ("Tumble dry", "Line dry", "Dry flat"), ("iron",))]  # fmt: skip
    assert order == sorted(order)
    assert "Do not dry clean" not in full or full.endswith("Do not dry clean.")
    assert all(len(short) <= 40 for short in line.short)


def test_only_a_quilt_that_is_known_not_to_be_washed_is_told_about_its_first_wash():
    assert full(fibre=COTTON, care={"washed": False}).endswith(FIRST_WASH)
    for care in ({"washed": True}, {"label": True}, None):
        assert FIRST_WASH not in full(fibre=COTTON, care=care)
    assert FIRST_WASH not in full(fibre=COTTON | {"top": "velvet"}, care={"washed": False})


def test_no_word_stands_in_two_rows():
    every = [word for row in TABLE for word in row.words]
    assert len(every) == len(set(every))
