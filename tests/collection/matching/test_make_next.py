"""What to make next: nothing that a line refuses, one suggestion for all the lines that it serves."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from collection.matching.open_places import requirements_of
from collection.values.lengths import Size
from tests.support.made_records import a_charity, a_collection, a_quilt
from tests.support.plans import ON, asks, plan_of


def made_of(each: dict, unit: str = "exact"):
    """The quilt that somebody makes who follows a suggestion for programs to the letter, its size as given in a unit."""
    needs = each["needs"]
    washed = True if "washed" in needs else False if "unwashed" in needs else None
    hows = {"tied": "tied", "quilted": "longarm", "hand quilted": "hand", "machine quilted": "longarm"}
    how = next((hows[word] for word in needs if word in hows), None)
    care = {"washed": washed, "label": "label" in needs or None, "sleeve": "sleeve" in needs or None}
    fibre = dict(each["fibre"])
    if "all cotton" in needs:
        fibre = {layer: "cotton" for layer in ("top", "backing", "batting")}
    target = each["target"]
    return a_quilt(
        "made",
        condition="new",
        features=[word for word in needs if word not in {"label", "sleeve", "washed", "unwashed", "all cotton", *hows}],
        suits=each["suits"],
        fibre=fibre or None,
        care={name: value for name, value in care.items() if value is not None},
        **({"quilting": {"how": how}} if how else {}),
        **({"finished_size": size_in(target, unit)} if target else {}),
    )


def size_in(target: dict, unit: str) -> str:
    return target["exact"] if unit == "exact" else f"{target['width'][unit]} x {target['length'][unit]} {unit}"


def suggested(*records, **settings):
    """The suggestions for programs. Each line that one names takes it by its own rules, in every unit it is given in."""
    collection = a_collection(*records, **settings)
    plan = plan_of(*records, **settings)
    for each in plan.as_data()["make_next"]:
        for place in each["for"]:
            request = collection.requests[place["request"]]
            requirements = requirements_of(collection, request, request.line(place["line"]))
            for unit in ("exact", "in", "cm"):
                judgement = requirements.judge(made_of(each, unit), ON)
                assert judgement.misses == (), (each, unit, judgement.because)
    return plan


def test_sizes_that_are_short_are_added_up_and_those_needed_first_come_first():
    requests = [
        asks("later", {"id": "a", "count": 4, "size": "baby"}, needed_by="2026-09-01"),
        asks(
            "sooner",
            {"id": "b", "count": 2, "shorter_side": "40 to 44", "longer_side": "44 to 48", "priority": "must"},
            needed_by="2026-06-01",
        ),
        asks("large", {"id": "c", "count": 1, "ideal": "60 x 80"}),
    ]
    first, second = suggested(*requests).make_next
    assert (first.size, first.count, first.must, str(first.by)) == ("baby", 6, 2, "2026-06-01")
    assert (first.lines, str(first.target)) == ((("later", "a"), ("sooner", "b")), "44 x 44 in")
    assert (second.size, second.count, second.by, str(second.target)) == ("lap", 1, None, "60 x 80 in")


def test_what_to_make_of_a_line_with_least_sizes_only_is_the_least_and_of_one_without_any_is_open():
    plan = suggested(
        asks("cots", {"id": "a", "shorter_side": "at least 55", "longer_side": "at least 65"}),
        asks("any", {"id": "a"}),
    )
    assert {(each.size, str(each.target)) for each in plan.make_next} == {("lap", "55 x 65 in"), (None, "None")}


def test_a_request_whose_day_has_passed_comes_last():
    late, soon, some_day = (
        asks(name, {"id": "a", "size": size}, **({"needed_by": day} if day else {}))
        for name, size, day in (
            ("late", "baby", "2026-03-01"),
            ("soon", "lap", "2026-05-01"),
            ("some-day", "king", None),
        )
    )
    assert [each.lines[0][0] for each in suggested(late, soon, some_day).make_next] == ["soon", "some-day", "late"]


@pytest.mark.parametrize(
    ("rules", "size"),
    [
        ({"shorter_side": "44 to 58", "longer_side": "46 to 48"}, "47 x 47 in"),
        ({"width": "60 to 62", "length": "40 to 44"}, "61 x 42 in"),
        ({"shorter_side": "at most 45", "longer_side": "at least 60"}, "45 x 60 in"),
        ({"longer_side": "at most 52"}, "52 x 52 in"),
        ({"shorter_side": "at least 36"}, "36 x 36 in"),
        ({"shorter_side": "36 to 40", "width": "at least 60"}, "60 x 38 in"),
        ({"size": ["baby", "lap"], "shorter_side": "at least 56"}, "56 x 56 in"),
        ({"size": "baby", "shorter_side": "52 1/4 to 54", "tolerance": "1"}, "51 1/4 x 51 1/4 in"),
        ({"ideal": "70 x 90", "shorter_side": "40 to 44", "longer_side": "50 to 56"}, "44 x 56 in"),
        ({"ideal": "50 x 70", "tolerance": "2"}, "50 x 70 in"),
        ({"shorter_side": "exactly 92 cm", "longer_side": "exactly 112 cm"}, "92 x 112 cm"),
    ],
)
def test_a_size_is_within_all_rules_of_the_line_at_once(rules, size):
    (made,) = suggested(asks("cots", {"id": "a", **rules})).make_next
    assert made.target == Size.parse(size)


def test_a_size_is_round_in_the_units_of_those_who_asked_and_stays_right_in_both():
    line = {"id": "a", "shorter_side": "90 to 92 cm", "longer_side": "100 to 104 cm"}
    (made,) = suggested(asks("cots", line, units="cm")).make_next
    assert made.say_size() == "91 x 102 cm"
    (made,) = suggested(asks("cots", line)).make_next
    assert made.say_size() == "36 x 40 in"


@pytest.mark.parametrize(
    ("rules", "inches", "cm"),
    [
        ({"shorter_side": "at least 59", "longer_side": "at most 96"}, "59 x 96 in", "150.0 x 243.5 cm"),
        ({"shorter_side": "at least 60", "longer_side": "at most 96"}, "60 x 96 in", "152.5 x 243.5 cm"),
        ({"shorter_side": "at least 61", "longer_side": "at most 72"}, "61 x 72 in", "155.0 x 182.5 cm"),
        ({"shorter_side": "36 to 36 1/10", "longer_side": "48"}, "36 x 48 in", "91.5 x 121.92 cm"),
        ({"shorter_side": "92 cm", "longer_side": "at least 100.1 cm"}, "36 28/127 x 39 1/2 in", "92.0 x 100.5 cm"),
    ],
)
def test_a_size_stays_within_the_rules_as_it_is_given_in_each_unit(rules, inches, cm):
    plan = suggested(asks("cots", {"id": "a", **rules}))
    target = plan.as_data()["make_next"][0]["target"]
    assert (size_in(target, "in"), size_in(target, "cm")) == (inches, cm)


def test_a_line_whose_rules_leave_nothing_is_said_so_instead():
    plan = suggested(
        asks("sizes", {"id": "a", "size": "baby", "shorter_side": "at least 60"}),
        asks("words", {"id": "a", "no": ["cotton"], "fibre": {"top": "cotton"}}),
        asks("house", {"id": "a", "no": ["smoke"]}),
        household={"smoke": True},
    )
    assert plan.make_next == ()
    house, sizes, words = plan.cannot_be_made
    assert "smok" in house.because and "contradict" not in house.because
    assert sizes.because == "its rules on size contradict each other"
    assert words.because == "its rules contradict each other: it has cotton"


def test_lines_of_one_size_that_no_one_quilt_serves_are_told_apart():
    line = {"count": 2, "size": "baby"}
    plan = suggested(
        asks("washed", {"id": "a", **line, "needs": ["washed", "label"]}),
        asks("unwashed", {"id": "a", **line, "needs": ["unwashed"]}),
        asks("any", {"id": "a", **line, "no": ["buttons"], "fibre": {"top": "cotton"}}),
        asks("wool", {"id": "a", **line, "fibre": {"top": "wool"}}),
    )
    served = {each.lines: each.say_rules() for each in plan.make_next}
    assert served == {
        (("any", "a"), ("unwashed", "a")): "top of cotton; must be unwashed; no buttons",
        (("washed", "a"), ("wool", "a")): "top of wool; must be washed and have a label",
    }
    washed = next(each for each in plan.make_next if ("washed", "a") in each.lines)
    assert washed.say_size() == "44 x 44 in, measured after washing"


RANGES = st.one_of(
    st.none(),
    st.tuples(st.integers(20, 100), st.integers(0, 30)).map(lambda ends: f"{ends[0]} to {ends[0] + ends[1]}"),
    st.integers(20, 100).map(lambda least: f"at least {least}"),
    st.integers(20, 100).map(lambda most: f"at most {most}"),
    st.integers(60, 200).map(lambda cm: f"{cm} to {cm + 9}.5 cm"),
)


@st.composite
def some_line(draw):
    rules = {side: draw(RANGES) for side in ("shorter_side", "longer_side", "width", "length")}
    if draw(st.booleans()):
        rules |= {"width": None, "length": None}
    rules |= {
        "size": draw(st.sampled_from([None, None, ["baby"], ["lap", "twin"], ["huggable"], ["king", "baby"]])),
        "ideal": draw(st.sampled_from([None, "40 x 50", "60 x 48 1/2", "90 x 110 cm"])),
        "tolerance": draw(st.sampled_from([None, "1", "2 1/2", "3 cm"])),
        "no": draw(
            st.lists(st.sampled_from(["buttons", "tied", "flannel", "wool", "embellishments", "smoke"]), max_size=3)
        ),
        "needs": draw(
            st.sampled_from([None, ["label"], ["washed"], ["unwashed", "sleeve"], ["quilted"], ["tied"], ["either"]])
        ),
        "fibre": draw(st.sampled_from([None, {"top": "cotton"}, {"top": "wool"}, {"batting": "none"}, {"top": "any"}])),
        "condition": draw(st.sampled_from([None, "new", "good"])),
        "suits": draw(st.sampled_from([None, ["babies"], ["teens", "men"], ["anyone"]])),
        "count": draw(st.integers(1, 5)),
    }
    return {name: value for name, value in rules.items() if value} | {"no": rules["no"]}


@given(st.lists(some_line(), min_size=1, max_size=6), some_line())
def test_every_suggestion_fits_every_line_that_it_names_and_every_line_has_one_or_is_told(lines, standing):
    lines = [line | {"no": [word for word in line["no"] if word not in line.get("needs", ())]} for line in lines]
    rules = {name: standing[name] for name in ("no", "suits", "condition") if name in standing}
    records = [a_charity("river-street", rules=rules)]
    records += [asks(f"r-{number}", {"id": "a", **line}) for number, line in enumerate(lines)]
    plan = suggested(*records)
    named = [place for each in plan.make_next for place in each.lines]
    named += [(each.request, each.line) for each in plan.cannot_be_made]
    assert sorted(named) == sorted((f"r-{number}", "a") for number in range(len(lines)))
    for each in plan.make_next:
        assert each.count == sum(lines[int(request[2:])]["count"] for request, _ in each.lines)


SIDES = ("shorter_side", "longer_side", "width", "length")


@given(st.fixed_dictionaries({side: RANGES for side in SIDES}), st.integers(20, 130), st.integers(20, 130))
def test_where_any_size_would_do_one_is_found(sides, width, length):
    """A line is said to contradict itself only where no size at all is found that it takes."""
    line = {"id": "a", **{name: value for name, value in sides.items() if value}}
    request = asks("cots", line)
    collection = a_collection(request)
    quilt = a_quilt("some", finished_size=f"{width} x {length}")
    taken = not requirements_of(collection, request, request.lines[0]).judge(quilt, ON).misses
    assert not (taken and plan_of(request).cannot_be_made)
