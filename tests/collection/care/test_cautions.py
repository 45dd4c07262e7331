"""What to mind: by whom a quilt goes to and what is on it, never by its size where somebody said whom it is for."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from collection.care.cautions import CAUTIONS, cautions, minds
from tests.support.made_records import a_charity, a_collection, a_quilt, a_request, donated

BABY_WORDS = ["babies", "a new baby", "newborns", "NICU", "infants", "Preemies", "toddlers", "small children"]
GROWN_UP_WORDS = ["adults", "seniors", "elders", "men", "veterans", "teens", "nursing home residents"]


def found(quilt, *records, publicly=False, place=None):
    return cautions(a_collection(quilt, *records), quilt, publicly=publicly, place=place)


def keys(*records, **how) -> list[str]:
    return [caution.key for caution in found(*records, **how)]


def sleep(*records, **how) -> str | None:
    """`told`, `if so`, or None: how the caution on infant sleep is worded, if it applies."""
    sentence = next((each.sentence for each in found(*records, **how) if each.key == "infant sleep"), None)
    return sentence and ("if so" if sentence.startswith("If it goes to a baby") else "told")


def promised(**fields):
    return {"is": "promised", "to": "river-street", "request": "spring-cots", "line": "cots"} | fields


def asking(**line):
    return a_request(lines=[{"id": "cots", "count": 3} | line])


# Infant sleep ---------------------------------------------------------------------------------


def test_a_quilt_about_which_nothing_is_recorded_needs_no_caution():
    assert keys(a_quilt()) == []


@pytest.mark.parametrize("size", ["35 x 44", "34 x 40", "20 x 20", "60 x 80", "36 x 42", "45 x 60"])
@pytest.mark.parametrize("word", BABY_WORDS)
def test_whatever_its_size_it_is_told_where_the_line_says_babies(size, word):
    quilt = a_quilt(finished_size=size, features=["buttons"], destination=promised())
    assert sleep(quilt, asking(suits=[word]), a_charity()) == "told"
    assert "small parts" in keys(quilt, asking(suits=[word]), a_charity())


@pytest.mark.parametrize("size", ["baby", "crib", "preemie", "toddler"])
def test_a_line_that_names_a_childs_size_says_so_too(size):
    assert sleep(a_quilt(finished_size="60 x 80", destination=promised()), asking(size=[size])) == "told"


@pytest.mark.parametrize("where", ["quilt", "line", "charity", "parent", "name", "about", "line's name", "plan"])
def test_whoever_says_babies_is_listened_to(where):
    quilt, line, charity, parent, place = {"finished_size": "50 x 65", "destination": promised()}, {}, {}, {}, None
    match where:
        case "quilt":
            quilt["suits"] = ["babies"]
        case "line":
            line["suits"] = ["newborns"]
        case "charity":
            charity["rules"] = {"suits": ["babies"]}
        case "parent":
            parent["rules"] = {"suits": ["infants"]}
        case "name":
            charity["name"] = "Riverside Neonatal Unit"
        case "about":
            parent["about"] = "Wraps every newborn of the county."
        case "line's name":
            line["id"] = "nicu"
            quilt["destination"] = promised(line="nicu")
        case "plan":
            line["suits"] = ["babies"]
            del quilt["destination"]
            place = ("spring-cots", "cots")
    records = (asking(**line), a_charity(part_of="county", **charity), a_charity("county", **parent))
    assert sleep(a_quilt(**quilt), *records, place=place) == "told"


@pytest.mark.parametrize("word", GROWN_UP_WORDS)
@pytest.mark.parametrize("where", ["quilt", "line", "charity", "parent"])
def test_where_somebody_says_grown_ups_its_size_says_nothing(word, where):
    said = {"suits": [word]}
    quilt = a_quilt(
        finished_size="36 x 42", features=["buttons"], destination=promised(), **(said if where == "quilt" else {})
    )
    charity = a_charity(part_of="county", rules=said if where == "charity" else {})
    parent = a_charity("county", rules=said if where == "parent" else {})
    assert keys(quilt, asking(**(said if where == "line" else {})), charity, parent) == ["wheels"]


def test_a_charity_for_babies_is_listened_to_even_where_its_line_is_for_others():
    quilt = a_quilt(finished_size="36 x 42", destination=promised())
    assert sleep(quilt, asking(suits=["seniors"]), a_charity(rules={"suits": ["babies"]})) == "if so"
    buttons = a_quilt(features=["buttons"], suits=["teens"], destination=promised())
    for rules in (
        {"suits": ["babies", "teens"]},
        {"suits": ["small children", "teens"]},
        {"suits": ["baby boys", "teens"]},
    ):
        assert keys(buttons, asking(suits=["teens"]), a_charity(rules=rules)) == ["infant sleep", "small parts"]
    assert sleep(quilt, asking(suits=["children"]), a_charity(rules={"suits": ["babies"]})) == "told"


@pytest.mark.parametrize("size", ["36 x 42", "20 x 20", "40 x 45", "45 x 60", "52 x 52"])
@pytest.mark.parametrize("suits", [[], ["a gardener"], ["children"], ["families"], ["anyone"]])
def test_where_nobody_says_it_is_told_in_case_it_goes_to_a_baby(size, suits):
    assert sleep(a_quilt(finished_size=size, suits=suits)) == "if so"
    assert "small parts" in keys(a_quilt(finished_size=size, suits=suits, features=["buttons"]))


@pytest.mark.parametrize("size", ["12 x 18", "60 x 72", "50 x 65", "68 x 88", "14 x 60"])
def test_a_quilt_of_another_size_does_not_unless_somebody_says_so(size):
    assert keys(a_quilt(finished_size=size)) == []


def test_of_a_request_without_a_line_each_line_counts():
    request = a_request(
        lines=[{"id": "teens", "count": 1, "suits": ["teens"]}, {"id": "tiny", "count": 1, "suits": ["babies"]}]
    )
    assert sleep(a_quilt(destination=donated(request="spring-cots", through="nell")), request) == "told"


def test_a_gift_at_a_birth_and_one_set_aside_for_a_baby_are_for_babies():
    assert sleep(a_quilt(destination={"is": "gifted", "occasion": "The birth of a niece"})) == "told"
    assert sleep(a_quilt(destination=donated(set_aside_for="the new baby next door"))) == "told"


def test_what_is_refused_or_denied_is_not_said():
    assert sleep(a_quilt(finished_size="60 x 80", suits=["adults, no babies"])) is None
    about = a_charity(about="Not for babies.")
    assert sleep(a_quilt(finished_size="60 x 80", destination=promised()), asking(), about) is None


def test_the_public_page_rests_on_what_is_public_alone():
    quilt = a_quilt(finished_size="60 x 80", destination=promised())
    assert keys(quilt, asking(suits=["babies"]), a_charity(), publicly=True) == []
    assert sleep(a_quilt(suits=["babies"]), publicly=True) == "told"
    assert sleep(a_quilt(finished_size="36 x 42", suits=["seniors"]), publicly=True) is None


@given(st.integers(12, 110), st.integers(12, 110), st.sampled_from(BABY_WORDS), st.sampled_from(GROWN_UP_WORDS))
def test_babies_are_never_missed_and_grown_ups_never_troubled_at_any_size(width, length, babies, grown_ups):
    size = f"{width} x {length}"
    assert sleep(a_quilt(finished_size=size, suits=[grown_ups, babies])) == "told"
    assert sleep(a_quilt(finished_size=size, suits=[grown_ups])) is None
    quilt = a_quilt(finished_size=size, suits=[grown_ups], destination=promised())
    assert sleep(quilt, asking(suits=[babies])) == "told"


# Small parts ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "fields",
    [{"features": [word]} for word in ("buttons", "a glass button", "beads", "sequins", "bells", "zippers", "pom-poms")]
    + [{"techniques": ["beading"]}, {"fibre": {"top": "cotton with sequins"}}],
)
@pytest.mark.parametrize("suits", ["babies", "toddlers", "children", "a small child"])
def test_hard_small_parts_on_a_childs_quilt_are_pointed_out(fields, suits):
    assert "small parts" in keys(a_quilt(suits=[suits], **fields))


def test_small_parts_on_a_quilt_for_grown_ups_are_not():
    assert keys(a_quilt(features=["buttons", "zips"], suits=["seniors"], finished_size="24 x 24")) == []


@pytest.mark.parametrize(
    "feature", ["flannel", "tied", "yarn ties", "fringe", "embroidery", "without buttons", "button-free"]
)
def test_cloth_and_yarn_are_no_small_parts(feature):
    assert "small parts" not in keys(a_quilt(suits=["babies"], features=[feature]))


# Others ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "records",
    [
        [a_quilt(finished_size="36 x 42", suits=["seniors"])],
        [a_quilt(suits=["wheelchair users"])],
        [a_quilt(features=["wheelchair cut-outs"])],
        [a_quilt(finished_size="40 x 50", destination=promised()), asking(suits=["wheelchair users"])],
        [a_quilt(finished_size="40 x 50", destination=promised()), asking(size=["wheelchair lap"])],
        [a_quilt(destination=promised()), asking(), a_charity(name="Wheelchair Laps for All")],
    ],
)
def test_a_quilt_for_a_wheelchair_keeps_clear_of_the_wheels(records):
    assert "wheels" in keys(*records)


def test_a_babys_quilt_of_a_wheelchairs_size_says_nothing_of_wheels():
    assert keys(a_quilt(finished_size="36 x 42", suits=["babies"])) == ["infant sleep"]


def test_ties_round_the_waist_are_pointed_out_but_a_tied_quilt_has_none():
    assert "restraint" in keys(a_quilt(features=["waist ties"]))
    assert "restraint" in keys(a_quilt(features=["straps"]))
    assert "restraint" not in keys(a_quilt(features=["tied"]))


@pytest.mark.parametrize("fields", [{"features": ["weighted"]}, {"fibre": {"batting": "weighted pellets"}}])
def test_a_weighted_quilt_is_pointed_out_whomever_it_is_for(fields):
    assert keys(a_quilt(finished_size="60 x 72", suits=["adults"], **fields)) == ["weighted"]
    assert keys(a_quilt(suits=["toddlers"], **fields)) == ["infant sleep", "weighted"]


@pytest.mark.parametrize("feature", ["scented", "lavender sachet", "fabric softener", "smoke", "pet hair"])
def test_scent_smoke_and_pets_are_pointed_out(feature):
    assert keys(a_quilt(features=[feature])) == ["scent and allergy"]


@pytest.mark.parametrize("word", ["smoke", "scent", "pet hair", "perfume"])
def test_so_they_are_where_those_refuse_them_whom_it_goes_to(word):
    assert keys(a_quilt(destination=promised()), asking(no=[word])) == ["scent and allergy"]
    assert keys(a_quilt(destination=promised()), asking(), a_charity(rules={"no": [word]})) == ["scent and allergy"]


@pytest.mark.parametrize("feature", ["charm squares", "lavender", "cat print", "pets on the backing"])
def test_words_that_mean_cloth_colour_or_picture_need_no_caution(feature):
    assert keys(a_quilt(features=[feature], suits=["seniors"])) == []


@pytest.mark.parametrize(
    "feature",
    ["smoke-free home", "no pets", "unscented", "without buttons", "not weighted", "pet free", "non-smoking home"],
)
def test_what_a_quilt_is_free_of_needs_no_caution(feature):
    assert keys(a_quilt(features=[feature], suits=["seniors"])) == []


def test_cautions_come_in_one_order_and_each_once():
    quilt = a_quilt(features=["scented", "weighted", "buttons", "beads"], suits=["babies", "children", "wheelchair"])
    assert keys(quilt) == ["infant sleep", "small parts", "wheels", "weighted", "scent and allergy"]


def test_those_of_several_quilts_are_gathered():
    quilts = [a_quilt(name, title=name, suits=["babies"]) for name in ("ash", "birch")]
    (mind,) = minds(a_collection(*quilts), [(quilt, None) for quilt in quilts])
    assert mind.quilts == ("ash", "birch")


def test_every_caution_says_one_sentence_defers_to_those_who_know_and_names_its_source():
    for caution in CAUTIONS:
        for sentence in filter(None, (caution.sentence, caution.if_so)):
            assert sentence.endswith(".") and sentence.count(". ") == 0 and "!" not in sentence
        assert caution.source.split(":")[0] in ("seen", "derived", "from memory")
