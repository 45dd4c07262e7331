"""Sizes that may be others: measured before the first wash, or only about right. Where it matters, it is checked."""

from datetime import date
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from collection.care.shrinkage import ROWS, after_washing, by_fibre, shrinkage_of
from collection.matching.judgement_table import CHECK_FIRST, DOES_NOT_FIT, FITS, JudgementTable
from collection.matching.match import match
from collection.matching.open_places import OpenLine
from collection.matching.rules import Requirements
from collection.records.collection import Collection
from collection.records.partner import Partner, Rules
from collection.records.quilt import Fibre, Quilt
from collection.records.request import Request, RequestLine
from collection.values.lengths import Size
from tests.support.made_records import a_quilt

ON = date(2026, 4, 1)
COTTON = {"top": "cotton", "backing": "cotton", "batting": "cotton"}
VALOUR = {"shorter_side": "55 to 72", "longer_side": "65 to 90"}


def judged(quilt: dict, rules: dict, *, unit="in"):
    return Requirements.of(Rules.model_validate(rules), needed_by=None, unit=unit).judge(a_quilt(**quilt), ON)


# How much -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("fibre", "percent"),
    [
        (COTTON, "2 to 8 %"),
        ({"batting": "100% cotton"}, "2 to 8 %"),
        ({"batting": "wool"}, "2 to 8 %"),
        ({"batting": "bamboo"}, "2 to 8 %"),
        ({"batting": "80/20"}, "2 to 6 %"),
        ({"batting": "80/20 cotton and polyester"}, "2 to 6 %"),
        ({"batting": "cotton blend"}, "2 to 6 %"),
        ({"batting": "polyester"}, "up to 2 %"),
        ({"top": "cotton", "batting": "none"}, "up to 6 %"),
        ({"top": "cotton", "backing": "flannel", "batting": "none"}, "2 to 10 %"),
        ({"top": "flannel", "backing": "cotton", "batting": "polyester"}, "2 to 10 %"),
        ({"top": "cotton", "backing": "flannel", "batting": "80/20"}, "2 to 10 %"),
        ({"top": "cotton", "backing": "cotton", "batting": "flannel"}, "2 to 10 %"),
        ({"top": "flannelette"}, "2 to 10 %"),
        ({"top": "cotton"}, "up to 8 %"),
        ({"batting": "what was left"}, "up to 8 %"),
        (None, "up to 8 %"),
    ],
)
def test_the_batting_says_how_much_washing_takes(fibre, percent):
    assert by_fibre(Fibre.model_validate(fibre) if fibre else None).percent == percent


def test_ties_let_the_cloth_shrink_where_the_batting_does_not():
    polyester = Fibre.model_validate({**COTTON, "batting": "polyester"})
    assert by_fibre(polyester).percent == "up to 2 %"
    assert by_fibre(polyester, tied=True).percent == "up to 6 %"
    assert by_fibre(Fibre(top="polyester", backing="polyester", batting="polyester"), tied=True).percent == "up to 2 %"


def test_what_is_not_known_is_wider_than_any_batting_and_each_row_names_its_source():
    assert all(row.source.startswith(("seen: ", "derived: ")) for row in ROWS)
    assert all(0 <= row.least < row.most < 1 for row in ROWS)
    by_batting = [by_fibre(Fibre(batting=batting)) for batting in ("cotton", "wool", "80/20", "polyester")]
    unknown = by_fibre(None)
    assert all(unknown.least <= row.least and row.most <= unknown.most for row in by_batting)


def test_lengths_after_washing_are_exact():
    row = by_fibre(Fibre(batting="cotton"))
    assert after_washing(Size.parse("55 x 65"), row) == (Size.parse("50.6 x 59.8"), Size.parse("53.9 x 63.7"))


# In matching --------------------------------------------------------------------------------------


def test_measured_before_washing_a_size_that_may_fall_short_is_checked_first():
    judgement = judged({"finished_size": "55 x 65", "measured": "quilted", "fibre": COTTON}, VALOUR)
    assert judgement.verdict == "check first"
    assert [(check.field, check.why) for check in judgement.checks] == [
        ("finished_size", "it may shrink to about 50 5/8 × 59 3/4 in when it is washed (cotton batting: 2 to 8 %)")
    ]


def test_in_centimetres_it_is_said_in_centimetres():
    rules = {"shorter_side": "at least 140 cm"}
    quilt = {"finished_size": "140 x 165 cm", "measured": "quilted", "fibre": {"batting": "polyester"}}
    [check] = judged(quilt, rules, unit="cm").checks
    assert check.why == "it may shrink to about 137 × 161.5 cm when it is washed (polyester batting: up to 2 %)"


@pytest.mark.parametrize("size", ["60 x 71", "65 x 80", "72 x 90"])
def test_with_room_for_the_smallest_it_fits_without_a_word(size):
    assert judged({"finished_size": size, "measured": "quilted", "fibre": COTTON}, VALOUR).verdict == "fits"


def test_the_bound_is_exact():
    rules = {"shorter_side": "at least 46"}
    quilt = {"measured": "quilted", "fibre": COTTON}
    assert judged({"finished_size": "50 x 60", **quilt}, rules).verdict == "fits"
    assert judged({"finished_size": "49 99/100 x 60", **quilt}, rules).verdict == "check first"


def test_what_was_measured_washed_does_not_shrink_again():
    for facts in (
        {"measured": "washed"},
        {"measured": "washed", "care": {"washed": True}},
        {"care": {"washed": True}},
        {"care": {"washed": "2026-03"}},
    ):
        quilt = {"finished_size": "55 x 65", "fibre": COTTON, **facts}
        assert judged(quilt, {**VALOUR, "needs": ["washed"]}).checks == () or facts == {"measured": "washed"}
        assert judged(quilt, VALOUR).verdict == "fits"


def test_a_size_from_before_a_wash_that_has_been_is_not_the_one_it_has_now():
    quilt = {"finished_size": "55 x 65", "fibre": COTTON, "measured": "quilted", "care": {"washed": True}}
    judgement = judged(quilt, {**VALOUR, "needs": ["washed"]})
    assert judgement.verdict == "check first"
    assert judgement.checks[0].why.startswith(
        "it was measured before it was washed: it may have shrunk to about 50 5/8"
    )


def test_who_takes_unwashed_quilts_measures_them_as_they_come():
    quilt = {"finished_size": "55 x 65", "fibre": COTTON, "measured": "quilted", "care": {"washed": False}}
    assert judged(quilt, {**VALOUR, "needs": ["unwashed"]}).verdict == "fits"
    assert judged(quilt, {**VALOUR, "no": ["washed"]}).verdict == "fits"


def test_would_fit_if_it_is_washed_first_says_what_washing_may_do():
    quilt = {"finished_size": "57 x 67", "fibre": COTTON, "care": {"washed": False}}
    for measured in ({}, {"measured": "quilted"}):
        judgement = judged({**quilt, **measured}, {**VALOUR, "needs": ["washed"]})
        assert judgement.verdict == "does not fit"
        assert judgement.because == (
            "it has not been washed; would fit if it is washed first and still is of their size: it may shrink to "
            "about 52 1/2 × 61 5/8 in when it is washed (cotton batting: 2 to 8 %)"
        )
    roomy = judged({**quilt, "finished_size": "62 x 80"}, {**VALOUR, "needs": ["washed"]})
    assert roomy.because == "it has not been washed; would fit once it is washed"


TOO_SMALL_ONCE_WASHED = (
    "it will be at least 1 1/8 in too narrow and 1 3/8 in too short once it is washed (cotton batting: 2 to 8 %); it has "
    "not been washed"
)


@pytest.mark.parametrize("measured", ["quilted", None])
def test_a_size_that_washing_surely_makes_too_small_misses_and_would_not_fit(measured):
    quilt = {"finished_size": "57 x 67", "measured": measured, "fibre": COTTON, "care": {"washed": False}}
    rules = {"shorter_side": "at least 57", "longer_side": "at least 67"}
    judgement = judged(quilt, {**rules, "needs": ["washed"]})
    assert judgement.because == TOO_SMALL_ONCE_WASHED
    assert judgement.off - Fraction(2) == Fraction(2, 100) * (57 + 67)
    washed_already = judged({**quilt, "measured": "quilted", "care": {"washed": True}}, {**rules, "needs": ["washed"]})
    assert washed_already.verdict == "check first"
    assert judged(quilt, {**rules, "needs": ["unwashed"]}).verdict == "fits"
    assert judged(quilt, rules).verdict == ("check first" if measured else "fits")


def test_the_least_shrinkage_decides_whether_washing_surely_makes_it_too_small():
    rules = {"shorter_side": "at least 49", "needs": ["washed"]}
    quilt = {"measured": "quilted", "fibre": COTTON, "care": {"washed": False}}
    assert "would fit if it is washed first" in judged({"finished_size": "50 x 80", **quilt}, rules).because
    assert "would fit" not in judged({"finished_size": "49.99 x 80", **quilt}, rules).because
    within_tolerance = judged({"finished_size": "49.99 x 80", **quilt}, {**rules, "tolerance": "1/8"})
    assert "would fit if it is washed first" in within_tolerance.because


def test_a_side_that_is_too_small_is_named_as_it_is_once_washed():
    rules = {"shorter_side": "at least 50", "longer_side": "at least 80", "needs": ["washed"]}
    judgement = judged({"finished_size": "49 x 80", **UNWASHED}, rules)
    assert judgement.because == (
        "1 in too narrow (2 in or more once it is washed) and 1 5/8 in or more too short once it is washed; it has not "
        "been washed; would fit if they accept 45 and 73 1/2 and it is washed first"
    )


CRIB = {"shorter_side": "40 to 45", "longer_side": "40 to 60", "needs": ["washed"]}
UNWASHED = {"measured": "quilted", "fibre": COTTON, "care": {"washed": False}}


def test_a_size_that_washing_brings_within_theirs_needs_no_more_than_washing():
    for facts in (UNWASHED, {**UNWASHED, "measured": None}):
        judgement = judged({"finished_size": "45 3/4 x 50", **facts}, CRIB)
        assert judgement.because == "it has not been washed; would fit once it is washed"


def test_one_that_it_may_bring_within_theirs_is_to_be_checked():
    because = judged({"finished_size": "46 x 50", **UNWASHED}, CRIB).because
    assert because == (
        "it has not been washed; would fit if it is washed first and is of their size then; check first: it may shrink "
        "into their size, to about 42 3/8 × 46 to 45 1/8 × 49 in, when it is washed (cotton batting: 2 to 8 %)"
    )
    takes_any = {name: rule for name, rule in CRIB.items() if name != "needs"}
    judgement = judged({"finished_size": "46 x 50", **UNWASHED}, takes_any)
    assert judgement.verdict == "check first" and judgement.checks[0].why.startswith("it may shrink into their size")
    was_washed = judged({"finished_size": "46 x 50", **UNWASHED, "care": {"washed": True}}, CRIB)
    assert was_washed.verdict == "check first" and "may have shrunk into their size" in was_washed.checks[0].why


def test_one_that_stays_too_large_is_as_far_off_as_it_is_once_washed():
    judgement = judged({"finished_size": "50 x 66", **UNWASHED}, CRIB)
    assert judgement.off - Fraction(2) == 1 + Fraction(72, 100)
    assert judgement.because == (
        "5 in too wide (1 in or more once it is washed) and 6 in too long (3/4 in or more once it is washed); it has not "
        "been washed; would fit if they accept 49 and 64 3/4 and it is washed first"
    )


def test_what_shrinks_out_of_one_side_while_it_shrinks_into_the_other_does_not_fit():
    rules = {"shorter_side": "at most 45", "longer_side": "at least 50", "needs": ["washed"]}
    assert judged({"finished_size": "45 3/4 x 50", **UNWASHED}, rules).misses[0].sides
    assert judged(
        {"finished_size": "46 x 50", "care": {"washed": True}, "measured": "washed", "fibre": COTTON}, rules
    ).misses


def test_with_nothing_said_of_measuring_only_a_line_that_asks_for_washing_asks_for_more():
    quilt = {"finished_size": "55 x 65", "fibre": COTTON}
    assert judged(quilt, VALOUR).verdict == "fits"
    checks = judged(quilt, {**VALOUR, "needs": ["washed"]}).checks
    assert [check.field for check in checks] == ["measured", "care.washed"]
    assert "if it has not been washed yet" in checks[0].why


def test_from_one_size_into_the_next_there_is_room():
    """Two named sizes that touch take all that lies between them."""
    quilt = {"finished_size": "62 x 80", "measured": "quilted", "fibre": COTTON}
    sizes = [{"shorter": "50 to 60", "longer": "70 to 90"}, {"shorter": "60 to 70", "longer": "70 to 90"}]
    assert judged(quilt, {"size": ["one", "other"]}).verdict == "check first"
    from collection.sizes.tables import SizeBox
    from collection.values.lengths import LengthRange

    boxes = [
        SizeBox.of_the_maker(name, *(LengthRange.parse(text) for text in each.values()))
        for name, each in zip(("one", "other"), sizes, strict=True)
    ]
    rules = Rules.model_validate({"size": ["one", "other"]})
    assert Requirements.of(rules, needed_by=None, boxes=boxes).judge(a_quilt(**quilt), ON).verdict == "fits"
    apart = [boxes[0], SizeBox.of_the_maker("other", LengthRange.parse("61 to 70"), boxes[1].longer)]
    assert Requirements.of(rules, needed_by=None, boxes=apart).judge(a_quilt(**quilt), ON).verdict == "check first"


def test_a_plan_and_its_data_say_what_to_check(tmp_path):
    quilt = a_quilt("a", destination="free", finished_size="55 x 65", measured="quilted", fibre=COTTON)
    partner = Partner.model_validate({"id": "p", "name": "P", "rules": VALOUR})
    request = Request.model_validate({"id": "r", "partner": "p", "lines": [{"id": "l", "count": 1}]})
    plan = match(
        Collection(folder=tmp_path, quilts={"a": quilt}, partners={"p": partner}, requests={"r": request}), on=ON
    )
    [assigned] = plan.as_data()["assigned"]
    assert assigned["check_first"] == ["finished_size"]
    assert "may shrink to about 50 5/8 × 59 3/4 in" in plan.assigned[0].checks[0].why


# About so large -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("size", "verdict"),
    [
        ("about 62 x 76", "check first"),
        ("about 55 x 65", "check first"),
        ("about 54 x 66", "check first"),
        ("about 52 x 64", "does not fit"),
        ("55-58 x 66", "check first"),
        ("54-58 x 66", "check first"),
        ("52-54 x 66", "does not fit"),
        ("56 x 66 ± 1", "check first"),
        ("56 x 66 ± 2", "check first"),
        ("70 x 88-92", "check first"),
        ("70 x 91-92", "does not fit"),
    ],
)
def test_an_approximate_size_is_checked_unless_it_surely_misses(size, verdict):
    judgement = judged({"finished_size": size}, VALOUR)
    assert judgement.verdict == verdict
    if verdict == "check first":
        [check] = judgement.checks
        assert check.field == "finished_size" and "approximate" in check.why
        assert judged({"finished_size": size}, {"needs": ["label"]}).checks[0].field == "care.label"


def test_the_check_says_the_size_as_it_was_recorded():
    for size in ("about 62 x 76", "62 x 76ish"):
        assert (
            judged({"finished_size": size}, VALOUR).checks[0].why
            == "its size is approximate, about 62 × 76 in: measure it"
        )


# Columns and words agree --------------------------------------------------------------------------

eighths = st.integers(8 * 30, 8 * 100).map(lambda n: f"{Fraction(n, 8)}")
finished = st.tuples(
    st.sampled_from(["{0} x {1}", "about {0} x {1}", "{0} x {1} ± 2", "{0} x {1} cm"]), eighths, eighths
).map(lambda each: each[0].format(*(str(float(Fraction(side))) for side in each[1:])))
quilts = st.fixed_dictionaries(
    {},
    optional={
        "finished_size": finished,
        "measured": st.sampled_from(["quilted", "washed"]),
        "fibre": st.sampled_from([COTTON, {"batting": "polyester"}, {"batting": "80/20"}, {"batting": "none"}]),
        "quilting": st.sampled_from(["tied", "longarm"]),
        "care": st.sampled_from([{"washed": True}, {"washed": False}, {}]),
        "household": st.sampled_from([{"smoke": True}, {"smoke": False}]),
        "suits": st.sampled_from([["babies"], ["children"], ["teens"], ["adults", "a gardener"]]),
    },
)
rules = st.fixed_dictionaries(
    {},
    optional={
        "size": st.sampled_from([["lap"], ["lap", "twin"], ["baby", "throw"]]),
        "shorter_side": st.sampled_from(["36 to 55", "at least 50", "at most 60"]),
        "length": st.sampled_from(["60 to 80", "at least 70"]),
        "tolerance": st.just("1"),
        "needs": st.sampled_from([["washed"], ["unwashed"], ["label"]]),
        "no": st.sampled_from([["smoke"], ["laundered"]]),
        "suits": st.sampled_from([["children"], ["babies"], ["adults"]]),
    },
)


@given(st.lists(quilts, min_size=1, max_size=6), st.lists(rules, min_size=1, max_size=3))
def test_columns_of_numbers_say_the_same_as_the_words_about_one_quilt(facts, asked):
    records: list[Quilt] = [a_quilt(f"q-{number}", **each) for number, each in enumerate(facts)]
    lines = [
        OpenLine(
            Request.model_validate({"id": "r", "partner": "p", "lines": [{"id": "l", "count": 1}]}),
            RequestLine.model_validate({"id": "l", "count": 1}),
            Requirements.of(Rules.model_validate(each), needed_by=None),
            1,
        )
        for each in asked
    ]
    table = JudgementTable.of(lines, records, ON)
    numbers = {"fits": FITS, "check first": CHECK_FIRST, "does not fit": DOES_NOT_FIT}
    for row, line in enumerate(lines):
        for column, quilt in enumerate(records):
            judgement = line.requirements.judge(quilt, ON)
            assert table.verdict[row, column] == numbers[judgement.verdict]
            assert table.misfit[row, column] == judgement.misfit
            assert judgement.off * 64 <= table.off[row, column] < judgement.off * 64 + 4


@given(finished, st.sampled_from(["lap", "twin", "baby"]), st.integers(0, 8), st.integers(0, 8))
def test_what_fits_for_certain_fits_whatever_size_it_turns_out_to_be(size, named, wider, longer):
    """An approximate size that fits has no possible size that does not."""
    requirements = Requirements.of(Rules.model_validate({"size": [named]}), needed_by=None)
    quilt = a_quilt(finished_size=size)
    least, most = quilt.finished_size.least, quilt.finished_size.most
    some = Size(
        least.width + (most.width - least.width) * Fraction(wider, 8),
        least.length + (most.length - least.length) * Fraction(longer, 8),
    )
    verdict = requirements.judge(quilt.model_copy(update={"finished_size": some}), ON).verdict
    assert {requirements.judge(quilt, ON).verdict, verdict} in ({verdict}, {"check first", verdict})


def test_nothing_shrinks_that_was_not_measured_before():
    assert shrinkage_of(a_quilt(finished_size="60 x 80", measured="quilted")) is not None
    assert shrinkage_of(a_quilt(finished_size="60 x 80", measured="quilted"), "unwashed") is None
    assert shrinkage_of(a_quilt(finished_size="60 x 80")) is None
