from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from collection.sizes.categories import (
    SizeTable,
    area_in_square_metres,
    area_in_square_yards,
    beds_covered,
    covers,
)
from collection.sizes.tables import (
    MATTRESSES,
    SIZE_BOXES,
    Mattress,
    SizeBox,
    find_box,
    mattress_table,
    size_table,
)
from collection.values.lengths import Length, LengthRange, Size

lengths = st.fractions(min_value=1, max_value=150, max_denominator=8).map(Length)
sizes = st.builds(Size, lengths, lengths)
mattresses = st.sampled_from(MATTRESSES)
NOTHING = Length(0)


def a_size(text: str) -> Size:
    return Size.parse(text, unit="in")


def categorise(size: Size, boxes):
    return SizeTable(boxes).category(size)


def a_box(key: str, shorter: str, longer: str, **changed) -> SizeBox:
    return SizeBox(key, key, LengthRange.parse(shorter), LengthRange.parse(longer), "made up", **changed)


def a_mattress(text: str, **changed) -> Mattress:
    size = a_size(text)
    return Mattress("bed", "guest bed", size.width, size.length, "", "made up", **changed)


# Categories -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("size", "key"),
    [
        ("40 x 40", "baby"),
        ("45 x 36", "baby"),
        ("36 x 54", "crib"),
        ("60 x 72", "lap"),
        ("50 x 60", "lap"),
        ("70 x 90", "twin"),
        ("80 x 90", "full"),
        ("92 x 100", "queen"),
        ("106 x 106", "king"),
        ("12 x 18", "placemat"),
        ("14 x 50", "table-runner"),
        ("20 x 88", "bed-runner"),
        ("20 x 20", "miniature"),
        ("32 x 42", "wheelchair-lap"),
    ],
)
def test_a_quilt_goes_to_the_box_it_is_in(size, key):
    category = categorise(a_size(size), SIZE_BOXES)
    assert (category.box.key, category.inside, category.off_by) == (key, True, NOTHING)


EITHER_WAY_ROUND = tuple(box for box in SIZE_BOXES if not box.never_wider)


@given(sizes)
def test_it_does_not_matter_which_way_round_a_quilt_lies(size):
    turned = Size(size.length, size.width)
    assert categorise(size, EITHER_WAY_ROUND) == categorise(turned, EITHER_WAY_ROUND)


@given(sizes)
def test_names_that_are_published_one_way_round_contain_a_quilt_either_way(size):
    as_it_lies, turned = (categorise(each, SIZE_BOXES) for each in (size, Size(size.length, size.width)))
    assert {as_it_lies.box, *as_it_lies.also} == {turned.box, *turned.also} or not as_it_lies.inside
    assert as_it_lies.off_by == turned.off_by


def test_a_quilt_in_two_boxes_goes_by_the_one_that_is_published_the_way_it_lies():
    assert categorise(a_size("104 x 93"), SIZE_BOXES).box.key == "king"
    assert categorise(a_size("93 x 104"), SIZE_BOXES).box.key == "queen"
    assert categorise(a_size("96 x 100"), SIZE_BOXES).box.key == "queen"
    own = (a_box("tight", "38 to 42", "48 to 52", never_wider=True), a_box("loose", "30 to 60", "30 to 60"))
    assert [categorise(a_size(size), own).box.key for size in ("40 x 50", "50 x 40")] == ["tight", "loose"]


@given(sizes)
def test_a_quilt_is_inside_exactly_when_some_box_contains_it(size):
    containing = {b.key for b in SIZE_BOXES if size.shorter in b.shorter and size.longer in b.longer}
    category = categorise(size, SIZE_BOXES)
    assert category.inside == bool(containing)
    named = {box.key for box in category.also} | ({category.box.key} if category.inside else set())
    assert named == containing
    assert category.inside == (not category.off_by)


@given(sizes)
def test_no_box_is_nearer_than_the_one_chosen(size):
    category = categorise(size, SIZE_BOXES)
    for box in SIZE_BOXES:
        farther_side = max(abs(box.shorter.distance(size.shorter)), abs(box.longer.distance(size.longer)))
        assert category.off_by <= farther_side


def test_a_quilt_between_two_boxes_goes_to_the_nearer():
    boxes = (a_box("small", "30 to 40", "40 to 50"), a_box("large", "50 to 60", "60 to 70"))
    assert categorise(a_size("44 x 52"), boxes).box.key == "small"
    assert categorise(a_size("46 x 58"), boxes).box.key == "large"


def test_the_worse_side_decides_before_the_sum_of_both():
    boxes = (a_box("one side far", "40", "56"), a_box("both sides near", "43", "53"))
    category = categorise(a_size("40 x 50"), boxes)
    assert category.box.key == "both sides near"
    assert category.off_by == Length(3)


def test_equally_near_boxes_are_told_apart_by_the_sum_and_then_by_the_order_of_the_table():
    by_sum = (a_box("off twice", "43", "53"), a_box("off once", "40", "53"))
    assert categorise(a_size("40 x 50"), by_sum).box.key == "off once"
    alike = (a_box("first", "38", "50"), a_box("second", "42", "50"))
    assert categorise(a_size("40 x 50"), alike).box.key == "first"
    assert categorise(a_size("40 x 50"), alike[::-1]).box.key == "second"


def test_of_several_boxes_the_tightest_is_chosen_and_the_others_are_told():
    boxes = (a_box("wide", "30 to 60", "30 to 60"), a_box("tight", "38 to 42", "38 to 52"))
    category = categorise(a_size("40 x 50"), boxes)
    assert category.box.key == "tight"
    assert [box.key for box in category.also] == ["wide"]


def test_a_box_without_a_bound_is_the_loosest_of_all():
    boxes = (
        a_box("no upper end", "at least 36", "at least 36"),
        a_box("any", "any", "any"),
        a_box("bounded", "0 to 400", "0 to 400"),
    )
    category = categorise(a_size("40 x 50"), boxes)
    assert category.box.key == "bounded"
    assert [box.key for box in category.also] == ["no upper end", "any"]


def test_equally_tight_boxes_are_told_apart_by_the_order_of_the_table():
    boxes = (a_box("first", "38 to 42", "48 to 52"), a_box("second", "39 to 43", "49 to 53"))
    assert categorise(a_size("40 x 50"), boxes).box.key == "first"


def test_a_name_told_by_size_comes_before_a_tighter_one_told_by_use():
    category = categorise(a_size("36 x 45"), SIZE_BOXES)
    assert category.box.key == "baby"
    assert [box.key for box in category.also] == ["wheelchair-lap"]


def test_an_empty_table_gives_no_category():
    assert categorise(a_size("40 x 50"), ()) is None


@pytest.mark.parametrize(
    ("size", "said"),
    [
        ("60 x 72", "lap"),
        ("48 x 72", "lap, 2 in narrower than usual"),
        ("70 x 72", "lap, 2 in wider than usual"),
        ("60 x 80 1/2", "lap, 2 1/2 in longer than usual"),
        ("49 x 50", "lap, 1 in narrower and 2 in shorter than usual"),
        ("69 x 80", "lap, 1 in wider and 2 in longer than usual"),
        ("60 x 78 1/32", "lap, a little longer than usual"),
    ],
)
def test_a_category_says_how_far_the_quilt_is_from_usual(size, said):
    lap = a_box("lap", "50 to 68", "52 to 78")
    assert categorise(a_size(size), (lap,)).say() == said


def test_a_category_speaks_centimetres_too():
    lap = a_box("lap", "50 to 68", "52 to 78")
    assert categorise(a_size("48 x 72"), (lap,)).say("cm") == "lap, 5 cm narrower than usual"


# The table ------------------------------------------------------------------------------------


def test_every_row_of_the_tables_says_where_it_comes_from_and_how_far_that_was_looked_into():
    for row in (*SIZE_BOXES, *MATTRESSES):
        assert row.source.split(":")[0] in ("seen", "derived", "from memory"), row.key


def test_no_key_is_there_twice():
    for table in (SIZE_BOXES, MATTRESSES):
        assert len({row.key for row in table}) == len(table)


def test_no_mattress_goes_by_a_bare_name_that_other_countries_use_for_another_bed():
    for mattress in MATTRESSES:
        assert f"({mattress.region})" in mattress.name


def test_every_box_can_hold_a_quilt_and_chooses_itself_or_a_tighter_one():
    for box in SIZE_BOXES:
        corner = Size(box.shorter.most, max(box.longer.most, box.shorter.most))
        category = categorise(corner, SIZE_BOXES)
        assert category.inside
        assert box in (category.box, *category.also)


def test_the_makers_own_size_takes_the_place_of_the_usual_one():
    own = SizeBox.of_the_maker("Lap", LengthRange.parse("40 to 60"), LengthRange.parse("50 to 70"))
    table = size_table([own])
    assert len(table) == len(SIZE_BOXES)
    assert [box.key for box in table] == [box.key for box in SIZE_BOXES]
    assert next(box for box in table if box.key == "lap") is own


def test_a_new_size_of_the_makers_own_comes_after_the_usual_ones():
    own = SizeBox.of_the_maker("Pew runner", LengthRange.parse("10"), LengthRange.parse("90"))
    assert size_table([own]) == (*SIZE_BOXES, own)
    assert own.key == "pew-runner"


def test_the_makers_own_table_can_stand_alone():
    own = SizeBox.of_the_maker("Small", LengthRange.parse("at most 40"), LengthRange.parse("any"))
    assert size_table([own], replace=True) == (own,)
    assert size_table((), replace=True) == ()


def test_a_size_written_twice_is_told():
    own = SizeBox.of_the_maker("Small", LengthRange.parse("at most 40"), LengthRange.parse("any"))
    with pytest.raises(ValueError, match="The size Small is there twice. Keep one of the two."):
        size_table([own, own])


def test_mattresses_of_the_makers_own_work_like_sizes():
    guest = Mattress.of_the_maker("Guest bed", a_size("48 x 72"))
    assert mattress_table([guest]) == (*MATTRESSES, guest)
    assert mattress_table([guest], replace=True) == (guest,)


@pytest.mark.parametrize(
    ("word", "key"),
    [
        ("baby", "baby"),
        ("Throw", "lap"),
        ("lap/throw", "lap"),
        ("wheelchair lap", "wheelchair-lap"),
        ("wheelchair-lap", "wheelchair-lap"),
        ("double", "full"),
    ],
)
def test_a_size_is_found_by_any_of_its_names(word, key):
    assert find_box(word, SIZE_BOXES).key == key


def test_an_unknown_size_is_not_found():
    assert find_box("enormous", SIZE_BOXES) is None


def test_the_makers_own_throw_is_found_before_another_size_that_is_also_called_so():
    own = SizeBox.of_the_maker("Throw", LengthRange.parse("40 to 50"), LengthRange.parse("50 to 60"))
    assert find_box("throw", size_table([own])) is own


# Beds -----------------------------------------------------------------------------------------


def test_the_drop_is_half_the_spare_width_at_each_side_and_all_the_spare_length_at_the_foot():
    coverage = covers(a_size("63 x 87"), a_mattress("39 x 75"))
    assert (coverage.side_drop, coverage.foot_drop, coverage.turned) == (Length(12), Length(12), False)


def test_a_tuck_under_the_pillows_is_taken_from_the_foot():
    coverage = covers(a_size("63 x 102"), a_mattress("39 x 75"), tuck=Length(15))
    assert (coverage.foot_drop, coverage.foot_drop_with_tuck) == (Length(27), Length(12))


def test_without_enough_length_there_is_no_tuck():
    assert covers(a_size("63 x 80"), a_mattress("39 x 75")).foot_drop_with_tuck is None


def test_a_quilt_that_leaves_the_bed_bare_does_not_cover_it():
    assert covers(a_size("38 x 90"), a_mattress("39 x 75")) is None
    assert covers(a_size("60 x 74"), a_mattress("39 x 75")) is None


def test_a_quilt_is_turned_only_where_it_would_not_cover_the_bed_as_it_is():
    wide = covers(a_size("100 x 60"), a_mattress("54 x 75"))
    assert wide.turned
    assert (wide.side_drop, wide.foot_drop) == (Length(3), Length(25))
    assert not covers(a_size("100 x 90"), a_mattress("54 x 75")).turned


@given(sizes, mattresses)
def test_a_covered_bed_has_no_drop_below_nothing_and_the_parts_add_up(size, mattress):
    coverage = covers(size, mattress)
    if coverage is None:
        assert any(side < bed for side, bed in zip((size.width, size.length), (mattress.width, mattress.length)))
        assert any(side < bed for side, bed in zip((size.length, size.width), (mattress.width, mattress.length)))
        return
    width, length = (size.length, size.width) if coverage.turned else (size.width, size.length)
    assert coverage.side_drop >= NOTHING and coverage.foot_drop >= NOTHING
    assert mattress.width + 2 * coverage.side_drop == width
    assert mattress.length + coverage.foot_drop == length


@given(mattresses, lengths, lengths)
def test_a_quilt_made_for_a_bed_covers_it_with_the_wanted_drop(mattress, drop, tuck):
    coverage = covers(Size(mattress.width + 2 * drop, mattress.length + drop + tuck), mattress, tuck=tuck)
    assert (coverage.side_drop, coverage.foot_drop_with_tuck, coverage.turned) == (drop, drop, False)


@given(sizes, lengths)
def test_the_beds_a_quilt_covers_come_with_the_largest_first_and_all_have_the_drop(size, drop):
    covered = beds_covered(size, MATTRESSES, least_drop=drop)
    areas = [coverage.mattress.size.area for coverage in covered]
    assert areas == sorted(areas, reverse=True)
    assert all(coverage.side_drop >= drop and coverage.foot_drop >= drop for coverage in covered)


@given(sizes)
def test_a_larger_quilt_covers_at_least_the_same_beds(size):
    larger = Size(size.width + Length(1), size.length + Length(1))
    assert {c.mattress.key for c in beds_covered(size)} <= {c.mattress.key for c in beds_covered(larger)}


def test_a_bed_with_the_drop_only_when_the_quilt_is_turned_is_listed_as_turned():
    (coverage,) = beds_covered(a_size("90 x 76"), (a_mattress("60 x 76"),), least_drop=Length(7))
    assert coverage.turned and coverage.side_drop == Length(8) and coverage.foot_drop == Length(14)


def test_no_infants_bed_is_ever_listed_as_one_to_put_a_quilt_on():
    crib = a_mattress("28 x 52", for_infants=True)
    assert covers(a_size("45 x 60"), crib) is not None
    assert beds_covered(a_size("45 x 60"), (crib,)) == ()
    assert all(not c.mattress.for_infants for c in beds_covered(a_size("120 x 120")))


def test_coverage_in_words():
    bed = a_mattress("39 x 75")
    assert covers(a_size("63 x 87"), bed).say() == "covers the guest bed, 12 in over each side and 12 in over the foot"
    assert covers(a_size("63 x 80"), bed).say("cm") == (
        "covers the guest bed, 30.5 cm over each side and 12.5 cm over the foot"
    )
    assert covers(a_size("100 x 60"), a_mattress("54 x 75")).say() == (
        "covers the guest bed when turned, 3 in over each side and 25 in over the foot"
    )


# Area -----------------------------------------------------------------------------------------


def test_a_yard_square_is_one_square_yard():
    assert area_in_square_yards(a_size("36 x 36")) == 1


def test_a_metre_square_is_one_square_metre_exactly():
    assert area_in_square_metres(Size.parse("100 x 100 cm", unit="cm")) == 1


@given(sizes)
def test_areas_in_both_units_keep_the_ratio_of_the_yard_to_the_metre(size):
    assert area_in_square_metres(size) == area_in_square_yards(size) * Fraction(9144, 10000) ** 2
