import re
from collections import Counter
from fractions import Fraction
from math import sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from collection.construction.cutting import (
    SEAM,
    cut_from_finished,
    cut_sizes,
    finished_sides,
    finished_size,
    pieces,
)
from collection.construction.surds import Surd
from collection.values.lengths import Length, Size
from tests.collection.construction.block_settings import a_setting, settings_of_blocks

STRAIGHT = st.just("straight")
ON_POINT = st.just("on point")


def counts(setting) -> Counter[str]:
    counted: Counter[str] = Counter()
    for group in pieces(setting):
        counted[group.kind] += group.count
    return counted


def borders_of(setting) -> Length:
    return sum(setting.borders, Length(0))


# Finished size --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("changed", "size"),
    [
        ({}, "48 x 60"),
        ({"sashing": "3"}, "57 x 72"),
        ({"sashing": "3", "outer_sashing": True}, "63 x 78"),
        ({"sashing": "3", "outer_sashing": True, "borders": ("5",)}, "73 x 88"),
        ({"borders": ("1 1/2", "5")}, "61 x 73"),
    ],
)
def test_a_straight_setting_adds_blocks_sashes_and_borders(changed, size):
    assert finished_size(a_setting("4 x 5", "12", **changed)) == Size.parse(size)


@given(settings_of_blocks(arrangement=STRAIGHT))
def test_a_straight_setting_is_exact_and_follows_the_formula(setting):
    gaps = setting.blocks.columns + (1 if setting.outer_sashing else -1)
    width = setting.blocks.columns * setting.block + gaps * setting.sashing + 2 * borders_of(setting)
    assert finished_sides(setting)[0].exact == width == finished_size(setting).width


def test_blocks_on_point_measure_their_diagonal_across():
    size = finished_size(a_setting("4 x 5", "12", arrangement="on point"))
    assert size.in_inches() == "67 7/8 x 84 7/8"
    width, length = finished_sides(a_setting("4 x 5", "12", arrangement="on point"))
    assert (width, length) == (Surd(root2=Fraction(48)), Surd(root2=Fraction(60)))


@given(settings_of_blocks(arrangement=ON_POINT))
def test_a_setting_on_point_follows_the_formula(setting):
    c, r = setting.blocks.columns, setting.blocks.rows
    b, s = float(setting.block.inches), float(setting.sashing.inches)
    if min(c, r) == 1 and not setting.outer_sashing:
        s = 0
    outer = 2 * s if setting.outer_sashing else 0
    around = 2 * float(borders_of(setting).inches)
    width, length = map(float, finished_sides(setting))
    assert width == pytest.approx(sqrt(2) * ((c - 1) * (b + s) + b + outer) + around)
    assert length == pytest.approx(sqrt(2) * ((r - 1) * (b + s) + b + outer) + around)


@given(settings_of_blocks())
def test_turning_the_setting_turns_the_size(setting):
    turned = a_setting(
        f"{setting.blocks.rows} x {setting.blocks.columns}",
        str(setting.block),
        arrangement=setting.arrangement,
        sashing=str(setting.sashing),
        cornerstones=setting.cornerstones,
        outer_sashing=setting.outer_sashing,
        borders=tuple(map(str, setting.borders)),
    )
    assert finished_sides(turned) == finished_sides(setting)[::-1]


@given(settings_of_blocks())
def test_a_finished_size_is_within_a_sixteenth_of_the_exact_sides(setting):
    size = finished_size(setting)
    sixteenth = Surd(Fraction(1, 16))
    for side, exact in zip((size.width, size.length), finished_sides(setting)):
        assert exact - sixteenth <= Surd.of(side) <= exact + sixteenth


# Counts ---------------------------------------------------------------------------------------


@given(settings_of_blocks(arrangement=STRAIGHT))
def test_counts_of_a_straight_setting(setting):
    c, r = setting.blocks.columns, setting.blocks.rows
    out = 1 if setting.outer_sashing else -1
    expected = {"block": c * r}
    if setting.sashing and setting.cornerstones:
        expected |= {"cornerstone": (c + out) * (r + out), "sash": r * (c + out) + c * (r + out)}
    elif setting.sashing:
        expected |= {"sash": r * (c + out) + (r + out)}
    borders = {"border": 4 * sum(1 for border in setting.borders if border)}
    assert counts(setting) == Counter(expected | borders)


@given(settings_of_blocks(arrangement=ON_POINT))
def test_counts_of_a_setting_on_point(setting):
    c, r = setting.blocks.columns, setting.blocks.rows
    expected = {
        "block": c * r,
        "alternate": (c - 1) * (r - 1),
        "side triangle": 2 * (c + r - 2),
        "corner triangle": 4,
        "border": 4 * sum(1 for border in setting.borders if border),
    }
    if setting.sashing and setting.cornerstones and setting.outer_sashing:
        # Every block has a sash on each side, and two blocks that lie side by side share one.
        expected |= {"sash": 4 * c * r, "cornerstone": (c + 1) * r + c * (r + 1)}
    elif setting.sashing and setting.cornerstones:
        inner = max(0, (c - 1) * (r - 2)) + max(0, (c - 2) * (r - 1)) if min(c, r) > 1 else 0
        expected |= {"sash": 4 * (c - 1) * (r - 1), "cornerstone": inner}
    elif setting.sashing:
        strips = (c + r if setting.outer_sashing else c + r - 2) if min(c, r) > 1 or setting.outer_sashing else 0
        short = 2 * c * r if setting.outer_sashing else 2 * (c - 1) * (r - 1)
        expected |= {"sash": short + strips}
    assert counts(setting) == Counter(expected)


def test_without_cornerstones_long_sashes_run_between_the_rows():
    groups = pieces(a_setting("4 x 5", "12", sashing="2"))
    sashes = [(g.count, g.width.exact, g.length.exact) for g in groups if g.kind == "sash"]
    assert sashes == [(4, Length(2), Length(54)), (15, Length(2), Length(12))]


def test_long_sashes_on_point_are_as_long_as_the_rows_they_part():
    groups = pieces(a_setting("3 x 3", "10", sashing="2", arrangement="on point"))
    sashes = [(g.count, g.length.exact) for g in groups if g.kind == "sash"]
    # Diagonal rows of 1, 3, 5, 3 and 1 blocks: the strips between them part 1, 3, 3 and 1 pairs.
    assert sashes == [(2, Length(34)), (2 + 8, Length(10))]


def test_a_single_column_on_point_has_no_place_for_a_sash_inside():
    with_sash = a_setting("1 x 4", "10", sashing="2", arrangement="on point", cornerstones=True)
    without = a_setting("1 x 4", "10", arrangement="on point")
    assert finished_sides(with_sash) == finished_sides(without)
    assert pieces(with_sash) == pieces(without)


def test_a_border_of_no_width_is_no_piece():
    assert counts(a_setting(borders=("0", "3")))["border"] == 4


def test_border_strips_go_on_sides_first():
    groups = pieces(a_setting("2 x 3", "10", borders=("2",)))
    strips = [(g.count, g.length.exact) for g in groups if g.kind == "border"]
    assert strips == [(2, Length(30)), (2, Length(24))]


# Cutting --------------------------------------------------------------------------------------


def test_every_piece_is_cut_half_an_inch_larger_both_ways():
    by_kind = {cut.kind: cut for cut in cut_sizes(a_setting(sashing="2", cornerstones=True))}
    assert (by_kind["block"].width, by_kind["block"].length) == (Length.parse("12 1/2"),) * 2
    assert (by_kind["sash"].width, by_kind["sash"].length) == (Length.parse("2 1/2"), Length.parse("12 1/2"))
    assert (by_kind["cornerstone"].width, by_kind["cornerstone"].length) == (Length.parse("2 1/2"),) * 2


def test_setting_triangles_come_from_squares_so_that_the_straight_grain_is_at_the_edge():
    by_kind = {cut.kind: cut for cut in cut_sizes(a_setting("4 x 5", "12", arrangement="on point"))}
    side, corner = by_kind["side triangle"], by_kind["corner triangle"]
    assert (side.count, side.shapes, side.width.in_inches(), side.cut) == (14, 4, "18 1/4", "twice")
    assert (corner.count, corner.shapes, corner.width.in_inches(), corner.cut) == (4, 2, "9 3/8", "once")


@given(settings_of_blocks(arrangement=ON_POINT))
def test_a_setting_triangle_is_never_cut_too_small_nor_more_than_an_eighth_too_large(setting):
    groups = {group.kind: group for group in pieces(setting)}
    for cut in cut_sizes(setting):
        if "triangle" in cut.kind:
            leg = groups[cut.kind].width
            exact = leg.times_root2() + Surd(Fraction(5, 4)) if cut.cut == "twice" else leg + Surd(Fraction(7, 8))
            assert exact <= Surd.of(cut.width) < exact + Surd(Fraction(1, 8))
            assert cut.width == cut.length


@given(settings_of_blocks())
def test_cut_sizes_lists_what_pieces_lists(setting):
    assert [(c.kind, c.count) for c in cut_sizes(setting)] == [(p.kind, p.count) for p in pieces(setting)]


@given(
    st.fractions(min_value=1, max_value=100).map(Length),
    st.sampled_from([Length(Fraction(1, 4)), Length(Fraction(1, 2))]),
)
def test_a_cut_size_less_its_seams_is_the_finished_one(length, seam):
    assert cut_from_finished(length, seam=seam) - 2 * seam == length


@pytest.mark.parametrize(
    ("borders", "names"),
    [
        (("2", "5"), ["inner", "outer"]),
        (("2", "1/2", "5"), ["inner", "middle", "outer"]),
        (("2", "0", "5"), ["inner", "outer"]),
        (("1", "2", "3", "4"), ["inner", "middle 1", "middle 2", "outer"]),
    ],
)
def test_the_strips_of_several_borders_say_which_border_they_are_for(borders, names):
    strips = [cut for cut in cut_sizes(a_setting("4 x 5", "12", borders=borders)) if cut.kind == "border"]
    assert [cut.name for cut in strips] == [f"{name} border strips" for name in names for _ in range(2)]


def test_cuts_in_words():
    said = [cut.say() for cut in cut_sizes(a_setting("4 x 5", "12", arrangement="on point", borders=("5",)))]
    assert said == [
        "20 blocks, 12 1/2 x 12 1/2 in",
        "12 alternate blocks, 12 1/2 x 12 1/2 in",
        "14 side triangles, 18 1/4 x 18 1/4 in: 4 squares, each cut twice corner to corner",
        "4 corner triangles, 9 3/8 x 9 3/8 in: 2 squares, each cut once corner to corner",
        "2 border strips, 5 1/2 x 85 3/8 in",
        "2 border strips, 5 1/2 x 78 1/2 in",
    ]
    (_, side, _) = cut_sizes(a_setting("1 x 2", "12", arrangement="on point"))
    assert side.say() == "2 side triangles, 18 1/4 x 18 1/4 in: 1 square, cut twice corner to corner"
    assert cut_sizes(a_setting("1 x 1", "10"), "cm")[0].say() == "1 block, 26.7 x 26.7 cm"


# Centimetres ----------------------------------------------------------------------------------


def in_cm(setting) -> dict[tuple[str, str, int], tuple[Fraction, Fraction]]:
    """What is read off the words: each piece's two sides in centimetres."""
    shown = {}
    for number, cut in enumerate(cut_sizes(setting, "cm")):
        size = re.search(r", ([0-9.]+) x ([0-9.]+) cm", cut.say())
        shown[cut.kind, cut.which, number] = Fraction(size[1]), Fraction(size[2])
    return shown


def test_a_block_of_43_cm_is_cut_to_the_millimetre():
    setting = a_setting("3 x 3", "43 cm", sashing="5 cm", cornerstones=True, borders=("8.5 cm",))
    assert [cut.say() for cut in cut_sizes(setting, "cm")] == [
        "9 blocks, 44.3 x 44.3 cm",
        "12 sashes, 6.3 x 44.3 cm",
        "4 cornerstones, 6.3 x 6.3 cm",
        "2 border strips, 9.8 x 140.3 cm",
        "2 border strips, 9.8 x 157.3 cm",
    ]


def test_triangles_in_centimetres_are_not_those_in_inches_converted():
    # 30 √2 + 3.175 = 45.601 and 30 / √2 + 2.2225 = 23.436; the inches, 18 and 9 1/4, would be 45.72 and 23.495.
    _, _, side, corner = cut_sizes(a_setting("2 x 2", "30 cm", arrangement="on point"), "cm")
    assert side.say() == "4 side triangles, 45.7 x 45.7 cm: 1 square, cut twice corner to corner"
    assert corner.say() == "4 corner triangles, 23.5 x 23.5 cm: 2 squares, each cut once corner to corner"


@given(settings_of_blocks(block=st.integers(30, 600).map(lambda mm: Length.parse(f"{mm} mm"))))
def test_whatever_is_cut_in_centimetres_finishes_within_half_a_millimetre(setting):
    seams = 2 * SEAM.cm
    for finished, sides in zip(pieces(setting), in_cm(setting).values(), strict=True):
        if "triangle" in finished.kind:
            continue
        for exact, shown in zip((finished.width, finished.length), sides, strict=True):
            if exact.exact is not None:
                assert abs(shown - seams - exact.exact.cm) <= Fraction(1, 20)
            else:
                over = float(shown - seams) - float(exact) * 2.54
                assert -1e-9 <= over < 0.1 + 1e-9


@given(settings_of_blocks(arrangement=ON_POINT))
def test_a_square_for_triangles_in_centimetres_is_never_too_small_nor_a_millimetre_too_large(setting):
    groups = [group for group in pieces(setting) if "triangle" in group.kind]
    cuts = [cut for cut in cut_sizes(setting, "cm") if cut.cut]
    for group, cut in zip(groups, cuts, strict=True):
        leg = float(group.width) * 2.54
        exact = leg * sqrt(2) + 1.25 * 2.54 if cut.cut == "twice" else leg + 0.875 * 2.54
        assert -1e-9 <= float(cut.width.cm) - exact < 0.1 + 1e-9


@given(settings_of_blocks(), st.sampled_from(["in", "cm"]))
def test_both_units_list_the_same_pieces(setting, unit):
    told = [(cut.name, cut.count, cut.shapes, cut.cut) for cut in cut_sizes(setting, unit)]
    assert told == [(cut.name, cut.count, cut.shapes, cut.cut) for cut in cut_sizes(setting)]
