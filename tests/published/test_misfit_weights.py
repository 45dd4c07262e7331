"""What counts for how much when quilts are put in order for a line. Common practice, no source: no charity publishes
weights. So each is held by what it has to decide, on sizes and tolerances that charities do publish."""

from datetime import date
from fractions import Fraction

import pytest

from collection.matching.rules import Judgement, judge
from collection.records.partner import Rules
from collection.values.dates import EdtfDate
from tests.published.requests_as_printed import judged, quilt_for
from tests.published.test_published_requests import PUBLISHED
from tests.support.made_records import a_quilt

# Seen: victoriasquiltscanada.com, 50 x 70, 2 in more or less each way; for adults.
VICTORIAS = {"ideal": "50 x 70", "tolerance": "2", "needs": ["label"], "suits": ["adults"]}


def judged_by_victorias(size: str | None, suits: str = "adults", *, label: bool = True) -> Judgement:
    recorded = {"finished_size": size, "suits": [suits], "care": {"washed": True, "label": label}}
    return judge(a_quilt(**recorded), Rules.model_validate(VICTORIAS), on=date(2026, 4, 1))


@pytest.mark.parametrize(
    ("suits", "inches"),
    [
        ("men", 2),  # among the adults that they ask for
        ("families", 4),  # adults and others
        ("left-handers", 8),  # nobody can tell
    ],
)
def test_whom_a_quilt_is_for_counts_like_so_many_inches_from_the_ideal(suits, inches):
    # Common practice, no source. A quilt in the corner of the tolerance is 4 in off, 2 at each side: one for a group
    # among them goes before it, one for others too is as good, one of which nobody knows goes after it.
    misfit = judged_by_victorias("50 x 70", suits).misfit - judged_by_victorias("50 x 70").misfit
    corner = judged_by_victorias("52 x 72").misfit - judged_by_victorias("50 x 70").misfit
    assert Fraction(misfit, corner) == Fraction(inches, 4)


def test_a_quarter_of_an_inch_is_told_apart_and_an_eighth_is_not():
    # Common practice, no source: shows register sizes to 1 in (harvestquiltshowny.com), requests name whole inches.
    exact, eighth, quarter = (judged_by_victorias(size).misfit for size in ("50 x 70", "50 1/8 x 70", "50 1/4 x 70"))
    assert exact == eighth < quarter


@pytest.mark.parametrize("published", PUBLISHED, ids=lambda published: published.name)
def test_a_quilt_that_was_measured_goes_before_one_that_was_not(published):
    # Common practice, no source; the sizes are published: no quilt that any of these takes is as far from what it
    # likes best as one that nobody measured.
    unmeasured = quilt_for(published, published.inside[0]).model_copy(update={"finished_size": None})
    farthest = max(judged(published, quilt_for(published, size)).misfit for size in published.inside)
    assert farthest < judged(published, unmeasured).misfit


@pytest.mark.parametrize(
    ("nearer", "farther"),
    [
        # What an evening puts right is as near as the 2 in that a charity allows beside its own size.
        (("50 x 70", "adults", False), ("50 x 74 1/8", "adults", True)),
        (("50 x 73 7/8", "adults", True), ("50 x 70", "adults", False)),
        # Whom it is for is a matter of taste, farther than a label and than 5 in, the widest tolerance that is published
        # (seen: comfortsforchildren.org, 2015), and nearer than a quilt as small as the next smaller size.
        (("50 x 70", "adults", False), ("50 x 70", "children", True)),
        (("50 x 77", "adults", True), ("50 x 70", "children", True)),
        (("50 x 70", "children", True), ("40 x 60", "adults", True)),
    ],
)
def test_the_nearest_miss_is_the_one_that_is_put_right_with_least(nearer, farther):
    # Common practice, no source. `off` orders the nearest misses that a maker is shown.
    near, far = (judged_by_victorias(size, suits, label=label) for size, suits, label in (nearer, farther))
    assert near.verdict == far.verdict == "does not fit"
    assert near.off < far.off


def test_what_nothing_puts_right_is_farther_than_any_size_that_is_asked_for_nearby():
    # Common practice, no source: a fibre that they refuse, against a child's quilt of 30 x 50 for an adult's 50 x 70.
    # (seen: victoriasquiltscanada.com names both sizes.)
    rules = Rules.model_validate({"shorter_side": "48 to 52", "no": ["wool"]})
    wool = a_quilt(finished_size="50 x 70", fibre={"top": "wool", "backing": "cotton", "batting": "cotton"})
    small = a_quilt(finished_size="30 x 50", fibre={"top": "cotton", "backing": "cotton", "batting": "cotton"})
    assert judge(small, rules, on=date(2026, 4, 1)).off < judge(wool, rules, on=date(2026, 4, 1)).off


def test_a_week_too_late_is_as_far_as_an_inch():
    # Common practice, no source. Fourteen days are as far as what an evening puts right.
    def off(**quilt) -> Fraction:
        rules = Rules.model_validate({"needs": ["label"]})
        made = a_quilt(care={"washed": True, "label": False} | quilt.pop("care", {}), **quilt)
        return judge(made, rules, on=date(2026, 4, 1), needed_by=EdtfDate.parse("2026-05-01")).off

    labelled = {"label": True}
    a_week, a_fortnight = (off(stage="binding", ready_by=day, care=labelled) for day in ("2026-05-08", "2026-05-15"))
    assert a_fortnight - a_week == 1
    assert off(stage="finished") == a_fortnight
