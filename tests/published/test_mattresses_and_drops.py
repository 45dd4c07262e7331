"""Mattress sizes and drops against published charts. Each names its source and how far it was looked into:
seen (in the source), derived (by arithmetic from it), from memory."""

from fractions import Fraction

import pytest

from collection.lengths import Length, Size
from collection.size_tables import MATTRESSES, Mattress
from collection.sizes import beds_covered, covers, size_for_bed

BED = {mattress.key: mattress for mattress in MATTRESSES}


def wide(key: str, width: int) -> Mattress:
    """The same bed with the width that another source gives it."""
    bed = BED[key]
    return Mattress(bed.key, bed.name, Length(width), bed.length, bed.region, "as the chart has it")


# Seen: The Spruce Crafts, Quick Reference Chart for Standard Mattress Sizes,
# https://www.thesprucecrafts.com/standard-mattress-sizes-4145709; centimetres derived and rounded.
SPRUCE = [
    ("us-crib", "28 x 52", 71, 132),
    ("us-twin", "39 x 75", 99, 190.5),
    ("us-twin-xl", "39 x 80", 99, 203),
    ("us-full", "54 x 75", 137, 190.5),
    ("us-queen", "60 x 80", 152, 203),
    ("us-king", "76 x 80", 193, 203),
    ("us-california-king", "72 x 84", 183, 213),
]


@pytest.mark.parametrize(("key", "inches", "width_cm", "length_cm"), SPRUCE)
def test_us_mattresses(key, inches, width_cm, length_cm):
    assert BED[key].size == Size.parse(inches)
    assert abs(BED[key].width.cm - Fraction(width_cm)) <= Fraction(1, 2)
    assert abs(BED[key].length.cm - Fraction(length_cm)) <= Fraction(1, 2)


# Seen: tourmalinethymequilts.com, Resizing your quilt.
@pytest.mark.parametrize(
    ("key", "inches"), [("us-cot", "30 x 75"), ("us-full-xl", "54 x 80"), ("us-olympic-queen", "66 x 80")]
)
def test_less_common_us_mattresses(key, inches):
    assert BED[key].size == Size.parse(inches)


# Seen: Which? bed size guide (reprint); barkerandstonehouse.co.uk; soakandsleep.com.
@pytest.mark.parametrize(
    ("key", "cm"),
    [
        ("uk-cot-bed", "70 x 140"),
        ("uk-small-single", "75 x 190"),
        ("uk-single", "90 x 190"),
        ("uk-small-double", "120 x 190"),
        ("uk-double", "135 x 190"),
        ("uk-king", "150 x 200"),
        ("uk-super-king", "180 x 200"),
        ("uk-emperor", "200 x 200"),
        ("euro-single", "90 x 200"),
        ("euro-double", "140 x 200"),
        ("euro-king", "160 x 200"),
    ],
)
def test_uk_and_euro_mattresses(key, cm):
    assert BED[key].size == Size.parse(cm, unit="cm")
    assert BED[key].size.in_cm() == cm


def test_a_king_is_another_bed_in_each_country():
    # Seen: the sources above: UK 150 cm, Euro 160 cm; the US king of 76 in is 193 cm (derived).
    widths = [BED[key].width.in_cm() for key in ("uk-king", "euro-king", "us-king")]
    assert widths == ["150", "160", "193"]


@pytest.mark.parametrize(
    ("key", "other"), [("us-twin-xl", "36 x 80"), ("us-twin", "38 x 75"), ("us-king", "78 x 80")]
)
def test_other_pages_give_these_beds_another_width(key, other):
    # Seen on several quilting pages. The table keeps to the chart above; both cannot be right, and a
    # maker whose bed differs writes her own row.
    assert BED[key].size != Size.parse(other)
    assert BED[key].length == Size.parse(other).length
    assert abs(BED[key].width - Size.parse(other).width) <= Length(3)


def test_the_us_crib_mattress_fits_a_full_size_crib():
    # Seen: engineerfix.com and other secondary pages on 16 CFR 1219 (ASTM F1169), the rule itself not:
    # inside 28 +/- 5/8 x 52 3/8 +/- 5/8 in; mattress at least 27 1/4 x 51 1/4.
    crib = BED["us-crib"]
    tolerance = Length.parse("5/8")
    assert crib.width >= Length.parse("27 1/4") and crib.length >= Length.parse("51 1/4")
    assert crib.width <= Length.parse("28") + tolerance
    assert crib.length <= Length.parse("52 3/8") + tolerance
    assert Length.parse("28").in_cm() == "71" and abs(Length.parse("52 3/8").cm - 133) < Fraction(1, 2)


def test_the_worked_example_of_the_drop_rule():
    # Seen: ciaspalette.com/categories/mattresses.html: twin, drop 12 -> 63 x 87; 63 x 102 with 15 for
    # the pillows is derived.
    drop = Length(12)
    assert size_for_bed(BED["us-twin"], drop=drop) == Size.parse("63 x 87")
    assert size_for_bed(BED["us-twin"], drop=drop, tuck=Length(15)) == Size.parse("63 x 102")


# Seen: teacherscollegesj.org, quilt backing page; also katieskitchenblog.com. Its king is 78 in wide.
TWELVE_INCH_DROP = [
    (BED["us-twin"], "63 x 87"),
    (BED["us-twin-xl"], "63 x 92"),
    (BED["us-full"], "78 x 87"),
    (BED["us-queen"], "84 x 92"),
    (wide("us-king", 78), "102 x 92"),
    (BED["us-california-king"], "96 x 96"),
]


@pytest.mark.parametrize(("mattress", "size"), TWELVE_INCH_DROP, ids=lambda value: getattr(value, "key", value))
def test_the_chart_with_a_drop_of_twelve_inches(mattress, size):
    assert size_for_bed(mattress, drop=Length(12)) == Size.parse(size)
    coverage = covers(Size.parse(size), mattress)
    assert (coverage.side_drop, coverage.foot_drop, coverage.turned) == (Length(12), Length(12), False)


# Seen: honeybegood.com, Common Quilt and Batting Sizes (comforters). A drop of 13 is derived.
COMFORTERS = [
    (BED["us-twin"], "65 x 88"),
    (BED["us-twin-xl"], "65 x 93"),
    (BED["us-full"], "80 x 88"),
    (BED["us-queen"], "86 x 93"),
    (wide("us-king", 78), "104 x 93"),
]


@pytest.mark.parametrize(("mattress", "size"), COMFORTERS, ids=lambda value: getattr(value, "key", value))
def test_the_comforter_chart_has_a_drop_of_thirteen_inches(mattress, size):
    assert size_for_bed(mattress, drop=Length(13)) == Size.parse(size)


def test_the_comforter_charts_california_king_is_two_inches_wider_than_its_own_rule():
    # Printed 100 x 97. 72 + 2 x 13 = 98: the length fits the chart's drop, the width does not.
    by_rule = size_for_bed(BED["us-california-king"], drop=Length(13))
    printed = Size.parse("100 x 97")
    assert by_rule == Size.parse("98 x 97")
    coverage = covers(printed, BED["us-california-king"])
    assert (coverage.side_drop, coverage.foot_drop) == (Length(14), Length(13))


def test_the_comforter_charts_crib_size_hangs_over_sides_and_no_foot():
    # Printed 39 x 54 for a crib: 5 1/2 at each side and 2 at the foot of a mattress of 28 x 52. It
    # follows no drop of 13, and no crib is listed as a bed for a quilt.
    printed = Size.parse("39 x 54")
    coverage = covers(printed, BED["us-crib"])
    assert (coverage.side_drop, coverage.foot_drop) == (Length.parse("5 1/2"), Length(2))
    assert printed != size_for_bed(BED["us-crib"], drop=Length(13))
    assert all(not covered.mattress.for_infants for covered in beds_covered(printed, least_drop=Length(0)))


# Seen: 10 sewnana.com, 14 quiltersresources.com, 15 ciaspalette.com. No single standard.
@pytest.mark.parametrize("tuck", [10, 14, 15])
def test_every_published_tuck_comes_off_the_foot(tuck):
    made = size_for_bed(BED["us-queen"], drop=Length(12), tuck=Length(tuck))
    coverage = covers(made, BED["us-queen"], tuck=Length(tuck))
    assert coverage.foot_drop_with_tuck == Length(12)
    assert coverage.foot_drop == Length(12 + tuck)


def test_the_least_drop_hides_the_thinnest_standard_mattress():
    # Seen: quiltersresources.com/measurements.html: standard depth 7 to 9 in.
    made = size_for_bed(BED["us-twin"], drop=Length(7))
    narrower = Size(made.width - Length.parse("1/8"), made.length)
    assert "us-twin" in {coverage.mattress.key for coverage in beds_covered(made)}
    assert "us-twin" not in {coverage.mattress.key for coverage in beds_covered(narrower)}
