"""What charities ask of the house that a quilt comes from is answered by what is recorded, and never by silence."""

from datetime import date

import pytest

from collection.matching.household_rules import questions_in
from collection.matching.match import match
from collection.matching.rules import Requirements, effective_rules
from collection.records.collection import Collection
from collection.records.household import Household
from collection.records.partner import Rules
from collection.records.settings import Settings
from tests.support.made_records import a_quilt

ON = date(2026, 4, 1)


def judged(quilt: dict, rules: dict, **house):
    requirements = Requirements.of(
        Rules.model_validate(rules), needed_by=None, household=Household.model_validate(house)
    )
    return requirements.judge(a_quilt(**quilt), ON)


REFUSED = [
    "smoke", "smoking", "cigarette smoke", "smoke smell", "smoker's home", "tobacco", "pets", "pet hair", "dog hair",
    "cat hair", "pet dander", "animal fur", "scent", "perfume", "fabric softener", "dryer sheets", "scented detergent",
    "fragrance", "musty", "mildew", "odours", "strong odors", "smell", "allergens", "smoke or pets in the home",
]  # fmt: skip
REQUIRED = [
    "smoke-free home", "smoke free", "smokefree home", "non-smoking household", "nonsmoking home", "no smoke",
    "from a smoke-free and pet-free home", "pet-free", "pet free home", "no pets in the home", "no pet hair", "cat-free home",
    "scent-free", "fragrance free", "unscented", "washed without softener", "odour-free", "odorless", "hypoallergenic",
    "free of smoke", "must be free of smoke and pets", "kept away from pets", "free of pet hair and odor",
]  # fmt: skip
DESCRIBED = {"techniques": ["pieced"], "condition": "new", "features": ["buttons"]}


@pytest.mark.parametrize("quilt", [{}, {"techniques": ["pieced"]}, {"condition": "new"}, {"features": []}, DESCRIBED])
@pytest.mark.parametrize("rules", [*({"no": [word]} for word in REFUSED), *({"needs": [word]} for word in REQUIRED)])
def test_with_nothing_recorded_of_the_house_nothing_fits_in_silence(quilt, rules):
    judgement = judged(quilt, rules)
    assert judgement.verdict == "check first"
    assert all(
        check.field in ("household.smoke", "household.pets", "household.scent", "features")
        for check in judgement.checks
    )


@pytest.mark.parametrize(
    ("rules", "fact"),
    [
        ({"no": ["smoke"]}, "smoke"),
        ({"needs": ["smoke-free home"]}, "smoke"),
        ({"no": ["pets"]}, "pets"),
        ({"needs": ["pet-free"]}, "pets"),
        ({"no": ["scent"]}, "scent"),
        ({"needs": ["unscented"]}, "scent"),
    ],
)
def test_the_household_answers_yes_or_no_for_all_its_quilts(rules, fact):
    assert judged({}, rules, **{fact: False}).verdict == "fits"
    assert judged({}, rules, **{fact: True}).verdict == "does not fit"
    others = {other: False for other in ("smoke", "pets", "scent") if other != fact}
    assert judged({}, rules, **others).verdict == "check first"


def test_a_quilt_may_differ_from_the_household():
    no_smoke = {"no": ["smoke"]}
    assert judged({"household": {"smoke": False}}, no_smoke, smoke=True).verdict == "fits"
    assert judged({"household": {"smoke": True}}, no_smoke, smoke=False).verdict == "does not fit"
    assert judged({"household": {"pets": True}}, no_smoke, smoke=False).verdict == "fits"
    assert judged({"features": ["no smoke"]}, no_smoke, smoke=True).verdict == "fits"
    assert judged({"features": ["smells of smoke"]}, no_smoke, smoke=False).because == "it smells of smoke"


def test_pet_hair_and_pets_are_two_questions():
    hair, pets = {"no": ["pet hair"]}, {"needs": ["pet-free home"]}
    assert judged({}, hair, pets=False).verdict == "fits"
    assert judged({}, hair, pets=True).verdict == "check first"
    assert judged({"features": ["no pet hair"]}, hair, pets=True).verdict == "fits"
    assert judged({"features": ["no pet hair"]}, pets, pets=True).because == "it comes from a home with pets"
    assert judged({"features": ["no pet hair"]}, pets).verdict == "check first"
    assert judged({"features": ["dog hair"]}, hair, pets=False).because == "it has pet hair"
    assert judged({"features": ["dog hair"]}, pets, pets=False).verdict == "does not fit"
    assert judged({"features": ["pet-free home"]}, hair).verdict == "fits"


def test_smoke_in_the_cloth_and_smoking_in_the_house_are_two_questions():
    home = {"needs": ["smoke-free home"]}
    assert (
        judged({"features": ["no smoke smell"]}, home, smoke=True).because
        == "it comes from a home where somebody smokes"
    )
    assert judged({"features": ["no smoke smell"]}, home).verdict == "check first"
    assert judged({"features": ["smoke-free home"]}, {"no": ["smoke"]}).verdict == "fits"
    assert judged({"features": ["wood smoke"]}, home).because == "it smells of smoke"
    assert judged({}, {"no": ["smoke"]}, smoke=True).because == "it comes from a home where somebody smokes"


def test_a_check_says_what_they_ask_and_which_field_would_tell():
    [check] = judged({}, {"needs": ["smoke-free home"]}).checks
    assert (check.field, check.why) == ("household.smoke", "they ask for a smoke-free home")
    [check] = judged({}, {"no": ["pet hair"]}, pets=True).checks
    assert (check.field, check.why) == ("features", "they refuse pet hair")


def test_a_word_for_many_things_asks_for_all_of_them():
    assert judged({}, {"no": ["allergens"]}, smoke=False, pets=False, scent=False).verdict == "fits"
    assert judged({}, {"no": ["allergens"]}, smoke=False, pets=False).verdict == "check first"
    assert judged({}, {"no": ["allergens"]}, smoke=False, scent=True).because == "it is scented"
    assert judged({}, {"needs": ["smoke-free and pet-free home"]}, smoke=False, pets=True).verdict == "does not fit"


@pytest.mark.parametrize(
    "word", ["cat print", "dogs", "smoke grey", "pet themes", "buttons", "damp-proof backing", "smocking"]
)
def test_what_is_on_the_cloth_is_no_question_of_the_house(word):
    assert questions_in(word) == ()


@pytest.mark.parametrize("feature", ["cat print", "pets on the backing", "smoke grey", "dogs"])
def test_a_picture_of_a_pet_is_no_pet(feature):
    assert judged({"features": [feature]}, {"no": ["pets", "smoke"]}, pets=False, smoke=False).verdict == "fits"


def test_what_a_line_asks_for_replaces_what_the_charity_refuses():
    rules = effective_rules(Rules.model_validate({"no": ["smoke", "pets"]}), _line(needs=["washed"], no=["buttons"]))
    assert rules.no == ("buttons",)


def _line(**rules):
    from collection.records.request import RequestLine

    return RequestLine.model_validate({"id": "a", "count": 1, **rules})


def test_the_settings_are_asked_in_a_plan(tmp_path):
    def plan(house):
        from collection.records.partner import Partner
        from collection.records.request import Request

        quilt = a_quilt(id="a", destination="free", condition="new")
        partner = Partner.model_validate({"id": "p", "name": "P", "rules": {"no": ["smoke"]}})
        request = Request.model_validate({"id": "r", "partner": "p", "lines": [{"id": "l", "count": 1}]})
        settings = Settings.model_validate({"household": house})
        collection = Collection(
            folder=tmp_path, settings=settings, quilts={"a": quilt}, partners={"p": partner}, requests={"r": request}
        )
        return match(collection, on=ON)

    assert plan({}).assigned[0].check_first == ("household.smoke",)
    assert plan({"smoke": False}).assigned[0].check_first == ()
    assert plan({"smoke": True}).assigned == ()
