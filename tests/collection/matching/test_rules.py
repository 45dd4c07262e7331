"""Whether a quilt is what a line asks for: each rule holds, is missed by so much, or has to be checked."""

import random
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from collection.matching.judgement import Check, Judgement
from collection.matching.rules import BEST_TO_WORST, effective_rules, judge
from collection.records.partner import Rules
from collection.records.quilt import Condition
from collection.records.request import RequestLine
from collection.sizes.tables import SizeBox
from collection.values.dates import EdtfDate
from collection.values.lengths import Length, LengthRange
from tests.support.made_records import a_quilt

ON = date(2026, 4, 1)


def judged(quilt: dict, rules: dict, *, needed_by: str | None = None, unit: str = "in", **more) -> Judgement:
    day = EdtfDate.parse(needed_by) if needed_by else None
    return judge(a_quilt(**quilt), Rules.model_validate(rules), on=ON, needed_by=day, unit=unit, **more)


def sized(finished: str, **rules) -> Judgement:
    return judged({"finished_size": finished}, rules)


# Size -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("size", ["36 x 36", "45 x 45", "36 x 45", "45 x 36", "40 1/8 x 44 7/8"])
def test_a_quilt_inside_the_range_of_both_sides_fits_whichever_way_round(size):
    assert sized(size, shorter_side="36 to 45", longer_side="36 to 45").verdict == "fits"


def test_a_miss_says_by_how_much_and_what_they_would_have_to_accept():
    short = sized("58 x 66", shorter_side="at least 55", longer_side="68 1/2 to 80")
    assert (short.verdict, short.because) == (
        "does not fit",
        "2 1/2 in too short; would fit if they accept 66",
    )
    both = sized("34 x 40", shorter_side="at least 36", longer_side="at least 45")
    assert both.because == "2 in too narrow and 5 in too short; would fit if they accept 34 and 40"
    assert both.off == 7
    wide = sized("50 x 90", shorter_side="at most 45", longer_side="at most 60")
    assert wide.because == "5 in too wide and 30 in too long; would fit if they accept 50 and 90"


def test_a_miss_is_told_in_the_units_of_those_who_asked():
    short = judged({"finished_size": "92 x 132 cm"}, {"length": "135 to 160 cm"}, unit="cm")
    assert short.because == "3 cm too short; would fit if they accept 132 cm"
    little = judged({"finished_size": "40 x 59.99 in"}, {"longer_side": "at least 60"})
    assert little.because.startswith("a little too short")


@pytest.mark.parametrize(
    ("size", "rules", "unit", "because"),
    [
        ("94.0 x 95.5 cm", {"width": "at most 37.0"}, "in", "a little too wide; would fit if they accept 37 1/8"),
        ("64 x 76", {"longer_side": "at most 193 cm"}, "cm", "a little too long; would fit if they accept 193.5 cm"),
        ("64 x 60.98 cm", {"shorter_side": "at least 24.01"}, "in", "a little too narrow; would fit if they accept 24"),
        ("64 x 221 cm", {"longer_side": "at most 87"}, "in", "a little too long; would fit if they accept 87 1/8"),
        ("24 x 60", {"shorter_side": "at least 61 cm"}, "cm", "a little too narrow; would fit if they accept 60.5 cm"),
    ],
)
def test_what_they_would_have_to_accept_is_never_what_they_accept_already(size, rules, unit, because):
    assert judged({"finished_size": size}, rules, unit=unit).because == because


LENGTHS = st.one_of(
    st.integers(160, 800).map(lambda eighths: Length(Fraction(eighths, 8))),
    st.integers(500, 2500).map(lambda mm: Length.parse(f"{Decimal(mm) / 10} cm")),
)


@given(LENGTHS, LENGTHS, st.sampled_from(["at least", "at most"]), st.sampled_from(["in", "cm"]))
def test_a_charity_that_accepts_what_is_named_takes_the_quilt(side, bound, end, unit):
    def judgement(asked: Length):
        return judged({"finished_size": f"{side} x 300 cm"}, {"shorter_side": f"{end} {asked}"}, unit=unit)

    if because := judgement(bound).because:
        accepted = Length.parse(because.partition("would fit if they accept ")[2], unit=unit)
        assert accepted != bound and judgement(accepted).verdict == "fits"


def test_width_and_length_count_which_way_round():
    rules = {"width": "32 to 36", "length": "36 to 42"}
    assert sized("34 x 40", **rules).verdict == "fits"
    turned = sized("40 x 34", **rules)
    assert turned.verdict == "does not fit"
    assert turned.because == "4 in too wide and 2 in too short; would fit if it is turned round"
    assert sized("40 x 40", **rules).because == "4 in too wide; would fit if they accept 40"


def test_a_side_that_several_rules_miss_is_told_once_by_the_strictest():
    rules = {"size": "lap", "shorter_side": "at most 45", "longer_side": "at most 52", "tolerance": "1"}
    assert sized("66 x 90", **rules).because == (
        "21 in too wide and 38 in too long; would fit if they accept 66 and 90"
    )
    with_width = {"shorter_side": "at most 45", "width": "36 to 40", "length": "36 to 50"}
    assert sized("58 x 66", **with_width).because == (
        "18 in too wide and 16 in too long; would fit if they accept 58 and 66"
    )


def test_where_it_matters_which_way_round_wide_means_the_width_whatever_rule_is_missed():
    """Its shorter side is its length."""
    rules = {"shorter_side": "at most 45", "width": "36 to 70"}
    assert sized("66 x 58", **rules).because == "13 in too long; would fit if they accept 58"


def test_rules_that_contradict_each_other_are_told_in_one_sentence_for_each_side():
    assert sized("54 x 60", size="baby", shorter_side="at least 56").because == (
        "2 in too narrow by one of their rules and 2 in too wide by another and 8 in too long; "
        "would fit if they accept 54 and 60"
    )


SIDES = st.sampled_from(["36 to 45", "at least 50", "at most 60", "48 to 52", None])


@given(
    st.sampled_from([(), ("baby",), ("lap",), ("baby", "twin")]),
    *[SIDES] * 4,
    st.integers(20, 110),
    st.integers(20, 110),
)
def test_no_reason_says_a_side_twice_or_asks_for_anything_but_the_quilts_own_sides(
    size, shorter, longer, width, length, wide, long
):
    sides = {"shorter_side": shorter, "longer_side": longer, "width": width, "length": length}
    rules = {"size": size, **{name: value for name, value in sides.items() if value}}
    because = sized(f"{wide} x {long}", **rules).because
    assert all(because.count(f"too {too}") <= 1 for too in ("narrow", "wide", "short", "long"))
    if "they accept" in because:
        accepted = because.partition("they accept ")[2].split(" and ")
        assert len(accepted) == len(set(accepted)) and set(accepted) <= {str(wide), str(long)}


def test_tolerance_widens_a_range_to_its_very_edge_and_no_further():
    rules = {"width": "40 to 46", "length": "53 to 58", "tolerance": "1"}
    assert sized("39 x 59", **rules).verdict == "fits"
    assert sized("39 x 59", **rules).fit == "39 × 59 in, within their tolerance"
    assert sized("38 7/8 x 59", **rules).because == "1 1/8 in too narrow; would fit if they accept 38 7/8"


def test_a_category_takes_what_is_in_its_box_and_knows_other_names():
    assert sized("36 x 52", size="baby").verdict == "fits"
    assert sized("35 x 52", size="baby").because == "1 in too narrow; would fit if they accept 35"
    assert sized("35 x 52", size="baby", tolerance="1").verdict == "fits"
    assert sized("55 x 65", size="throw").verdict == "fits"


def test_of_several_categories_one_is_enough_and_the_nearest_is_told():
    assert sized("70 x 90", size=["baby", "twin"]).verdict == "fits"
    assert sized("60 x 90", size=["baby", "twin"]).because == "3 in too narrow; would fit if they accept 60"


def test_a_category_of_the_makers_own_is_known():
    own = SizeBox.of_the_maker("cuddle", LengthRange.parse("20 to 25"), LengthRange.parse("20 to 25"))
    assert judged({"finished_size": "22 x 22"}, {"size": "cuddle"}, boxes=(own,)).verdict == "fits"


def test_a_size_that_no_table_knows_is_to_be_asked_about():
    assert sized("40 x 40", size="huggable").checks == (Check("size", "no size is called huggable in the table"),)


def test_a_quilt_that_was_never_measured_is_to_be_measured_not_ruled_out():
    unmeasured = judged({}, {"shorter_side": "36 to 45"})
    assert (unmeasured.verdict, [check.field for check in unmeasured.checks]) == (
        "check first",
        ["finished_size"],
    )
    assert judged({}, {}).verdict == "fits"


def test_an_ideal_is_a_wish_and_with_a_tolerance_alone_a_rule():
    assert sized("20 x 20", ideal="60 x 80").verdict == "fits"
    assert sized("49 x 72", ideal="50 x 70", tolerance="2").verdict == "fits"
    assert sized("72 x 49", ideal="50 x 70", tolerance="2").verdict == "fits"
    assert sized("47 x 72", ideal="50 x 70", tolerance="2").because == "3 in too narrow; would fit if they accept 47"
    assert sized("47 x 72", ideal="50 x 70", tolerance="2", shorter_side="45 to 55").verdict == "fits"


def test_the_misfit_grows_with_the_distance_from_what_is_liked_best():
    assert sized("60 x 80", ideal="60 x 80").misfit == 0
    assert sized("61 x 78", ideal="60 x 80").misfit == 4 * 3
    assert sized("40 x 50", shorter_side="36 to 44", longer_side="44 to 52").misfit == 4 * 2
    assert sized("40 x 50", shorter_side="at least 36").misfit == 0
    assert sized("80 x 60", ideal="60 x 80", width="50 to 80").misfit == 4 * 40
    assert judged({}, {"ideal": "60 x 80"}).misfit > sized("30 x 40", ideal="60 x 80").misfit


def test_the_fit_is_told_in_words():
    assert sized("60 x 80", ideal="60 x 80").fit == "60 × 80 in, exactly their ideal"
    assert sized("61 x 78", ideal="60 x 80").fit == "61 × 78 in, 2 in from their ideal 60 × 80 in"
    assert sized("61 x 78").fit == "61 × 78 in, any size will do"
    with_people = judged({"finished_size": "40 x 40", "suits": ["kids"]}, {"size": "baby", "suits": ["children"]})
    assert with_people.fit == "40 × 40 in, the size they ask for; for children"


# Words, fibre, condition, people ----------------------------------------------------------------


def test_a_refused_thing_rules_a_quilt_out_and_nothing_is_said_to_help():
    refused = judged({"features": ["buttons"]}, {"no": ["buttons", "tied"]})
    assert (refused.verdict, refused.because) == ("does not fit", "it has buttons")
    assert [check.field for check in refused.checks] == ["quilting.how"]


@pytest.mark.parametrize(
    ("care", "needs", "because"),
    [
        ({"label": False}, "label", "it has no label; would fit if a label is sewn on"),
        ({"washed": False}, "washed", "it has not been washed; would fit once it is washed"),
        ({"washed": True}, "unwashed", "it has been washed"),
    ],
)
def test_what_can_be_put_right_says_how(care, needs, because):
    assert judged({"care": care}, {"needs": [needs]}).because == because


def test_what_is_not_recorded_is_checked_first_with_the_reason():
    quilt = judged({"techniques": ["pieced"]}, {"no": ["buttons"], "needs": ["label", "washed"], "condition": "good"})
    assert quilt.verdict == "check first"
    assert quilt.checks == (
        Check("care.label", "they ask that it has a label"),
        Check("care.washed", "they ask that it has been washed"),
        Check("condition", "they ask for good condition or better"),
    )


def test_fibre_is_judged_layer_by_layer():
    rules = {"fibre": {"top": "cotton", "batting": "cotton"}}
    assert judged({"fibre": {"top": "cotton", "batting": "cotton"}}, rules).verdict == "fits"
    assert judged({"fibre": {"top": "cotton"}}, rules).checks == (
        Check("fibre.batting", "they ask for cotton for the batting"),
    )
    wool = judged({"fibre": {"top": "cotton", "batting": "wool"}}, rules)
    assert wool.because == "its batting is wool, and they ask for cotton"
    none = judged({"fibre": {"top": "cotton", "batting": "none"}}, rules)
    assert none.because == "it has no batting, and they ask for cotton"


def test_the_conditions_are_in_the_records_order_and_the_least_is_welcome():
    assert BEST_TO_WORST == get_args(get_args(Condition)[0])
    for at, condition in enumerate(BEST_TO_WORST):
        welcome = [judged({"condition": each}, {"condition": condition}).verdict == "fits" for each in BEST_TO_WORST]
        assert welcome == [place <= at for place in range(len(BEST_TO_WORST))]


def test_people_must_not_differ_and_the_same_are_liked_best():
    same, among, overlapping, different, unknown = (
        judged({"suits": people}, {"suits": ["men", "adults"]})
        for people in (["men"], ["elders"], ["families"], ["babies"], [])
    )
    assert [each.verdict for each in (same, among, overlapping, different, unknown)] == [
        "fits",
        "fits",
        "check first",
        "does not fit",
        "check first",
    ]
    assert same.misfit < among.misfit < overlapping.misfit < unknown.misfit
    assert overlapping.checks == (Check("suits", "it suits families, and this is for men and adults"),)
    assert different.because.startswith("it suits babies, and this is for men and adults; would fit if men and adults")


# Ready in time, and at home ---------------------------------------------------------------------


def test_a_quilt_at_the_binding_stage_can_make_a_may_date_if_its_maker_says_so():
    in_time = {"stage": "binding", "ready_by": "2026-04-20"}
    assert judged(in_time, {}, needed_by="2026-05-15").verdict == "fits"
    late = judged({"stage": "binding", "ready_by": "2026-06-01"}, {}, needed_by="2026-05-15")
    assert late.because == (
        "it is still at the binding stage until 1 June 2026, 17 days too late; would fit if it is ready by 15 May 2026"
    )
    unsaid = judged({"stage": "quilting"}, {}, needed_by="2026-05-15")
    assert unsaid.because == ("it is still at the quilting stage; would fit if you say when it will be ready")


@pytest.mark.parametrize("ready", ["2026-05", "2026-05-10~", "2026"])
def test_a_day_that_may_be_too_late_is_checked(ready):
    assert judged({"stage": "binding", "ready_by": ready}, {}, needed_by="2026-05-15").checks[0].field == "ready_by"


def test_a_month_is_in_time_for_the_same_month_and_without_a_day_any_is():
    assert judged({"stage": "binding", "ready_by": "2026-05"}, {}, needed_by="2026-05").verdict == "fits"
    assert judged({"stage": "piecing", "ready_by": "2030"}, {}).verdict == "fits"


@pytest.mark.parametrize(
    ("ready", "verdict"), [("2026-04-30", "fits"), ("2026-05-01", "check first"), ("2026-05-31", "check first")]
)
def test_about_a_month_may_be_a_month_earlier(ready, verdict):
    assert judged({"stage": "binding", "ready_by": ready}, {}, needed_by="2026-05~").verdict == verdict


def test_a_day_that_has_passed_with_the_quilt_unfinished_is_checked():
    judgement = judged({"stage": "binding", "ready_by": "2026-03-01"}, {}, needed_by="2026-05-15")
    assert judgement.checks == (Check("ready_by", "it was to be ready by 1 March 2026"),)


def test_an_unfinished_quilt_counts_as_new():
    assert judged({"stage": "binding", "ready_by": "2026-04-20"}, {"condition": "new"}).verdict == "fits"


def test_a_loan_is_checked_and_past_the_need_rules_out():
    def on_loan(**loan):
        return judged({"loans": [{"to": "a show", **loan}]}, {}, needed_by="2026-05-15")

    assert on_loan(due="2026-04-30").checks == (Check("loans", "it is on loan until 30 April 2026"),)
    assert on_loan().verdict == "check first"
    assert on_loan(due="2026-06-01").because.startswith("it is on loan until 1 June 2026, 17 days too late")
    assert on_loan(due="2026-06-01", back="2026-03-30").verdict == "fits"


def test_too_much_in_the_way_is_told_without_saying_how_to_put_it_all_right():
    judgement = judged(
        {"finished_size": "30 x 30", "care": {"label": False, "washed": False}},
        {"shorter_side": "36 to 45", "needs": ["label", "washed"]},
    )
    assert judgement.because == "6 in or more too narrow once it is washed; it has no label; it has not been washed"


# The rules of a line ----------------------------------------------------------------------------


def rules_of(standing: dict, line: dict) -> Rules:
    return effective_rules(Rules.model_validate(standing), RequestLine.model_validate({"id": "a", "count": 1, **line}))


def test_a_line_replaces_what_it_speaks_of_and_leaves_the_rest():
    rules = rules_of(
        {"shorter_side": "36 to 45", "longer_side": "45 to 60", "no": ["buttons"], "condition": "good"},
        {"longer_side": "at least 50", "tolerance": "1"},
    )
    assert (str(rules.shorter_side), str(rules.longer_side)) == ("36 to 45 in", "at least 50 in")
    assert (rules.no, rules.condition, rules.tolerance) == (("buttons",), "good", Length(1))


def test_a_line_can_take_a_rule_back():
    assert rules_of({"needs": ["label", "washed"]}, {"needs": ["label"]}).needs == ("label",)
    assert rules_of({"no": ["buttons"]}, {"no": []}).no == ()


def test_fibre_is_replaced_layer_by_layer():
    fibre = rules_of({"fibre": {"top": "cotton", "batting": "cotton"}}, {"fibre": {"batting": "wool"}}).fibre
    assert (fibre.top, fibre.batting) == ("cotton", "wool")


def test_the_line_is_the_later_word_on_what_is_refused_and_required():
    assert rules_of({"no": ["tied", "buttons"]}, {"needs": ["ties"]}).no == ("buttons",)
    assert rules_of({"needs": ["label", "sleeve"]}, {"no": ["hanging sleeve"]}).needs == ("label",)


def test_a_line_that_says_nothing_has_the_standing_rules():
    standing = Rules.model_validate({"shorter_side": "36 to 45", "no": ["buttons"], "suits": ["children"]})
    assert effective_rules(standing, RequestLine.model_validate({"id": "a", "count": 1})) == standing


# What always holds ------------------------------------------------------------------------------

eighths = st.integers(8 * 10, 8 * 130).map(lambda n: Fraction(n, 8))


@given(eighths, eighths, eighths, eighths, eighths, eighths, st.integers(0, 24))
def test_a_size_fits_exactly_when_both_sides_are_within_range_and_tolerance(a, b, c, d, width, length, tolerance):
    shorter, longer = sorted((a, b)), sorted((c, d))
    rules = Rules(
        shorter_side=LengthRange(*map(Length, shorter)),
        longer_side=LengthRange(*map(Length, longer)),
        tolerance=Length(Fraction(tolerance, 8)),
    )
    verdict = judge(a_quilt(finished_size=f"{width} x {length} in"), rules, on=ON)
    give = Fraction(tolerance, 8)
    sides = sorted((width, length))
    inside = all(
        least - give <= side <= most + give for side, (least, most) in zip(sides, (shorter, longer), strict=True)
    )
    assert (verdict.verdict == "fits") is inside
    assert (verdict.off == 0) is inside


@pytest.mark.parametrize("seed", range(30))
def test_a_quilt_of_which_nothing_is_recorded_is_never_ruled_out(seed):
    chance = random.Random(seed)
    rules = {
        "size": chance.choice([[], ["baby"], ["nonsense"]]),
        "shorter_side": chance.choice(["36 to 45", "at least 50"]),
        "no": chance.sample(["buttons", "tied", "flannel", "smoke", "crosses", "polyester"], 3),
        "needs": chance.sample(["label", "washed", "quilted", "new", "machine binding", "all cotton"], 3),
        "fibre": {"top": "cotton"},
        "condition": "good",
        "suits": ["children"],
    }
    judgement = judged({}, rules, needed_by="2026-05-15")
    assert judgement.verdict == "check first"
    assert all(check.field and check.why for check in judgement.checks)
