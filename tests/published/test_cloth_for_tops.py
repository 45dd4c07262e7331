"""Cloth for tops and batting off the roll against published requirements. Each names its source and how far it was
looked into: seen (in the source), derived (by arithmetic from it)."""

from fractions import Fraction

import pytest

from collection.giving.cost_estimates import estimate_materials, top_cloth
from collection.records.settings import Prices, Settings
from collection.values.lengths import Size
from tests.support.made_records import a_quilt


@pytest.mark.parametrize(
    ("size", "cloth_width", "published"),
    [
        # Seen: hqstitch.com, on yardage for patchwork: 101 x 101 of 12 in blocks and a border.
        ("101 x 101", 42, "8 7/8"),  # half-square triangles
        ("101 x 101", 42, "9 3/8"),  # quarter-square triangles
        ("101 x 101", 42, "9 1/8"),  # nine patches
        # Seen: cherryblossomlove.com: about 8 yd for the front.
        ("88 x 96", 42, "8"),
        # Seen: cortezquiltcompany.com: 56 squares cut 6 1/2 in: 65 in; sewn as 7 x 8 they are 42 x 48 (derived).
        ("42 x 48", 42, "1 29/36"),
        # Seen: judysquiltsandthings.blogspot.com (2011): 88 squares cut 4 1/2 in, of cloth 40 in wide: 49 1/2 in;
        # sewn as 8 x 11 they are 32 x 44 (derived).
        ("32 x 44", 40, "1 3/8"),
    ],
)
def test_the_cloth_of_a_top_is_within_seven_per_cent_of_what_is_published(size, cloth_width, published):
    yards = top_cloth(Size.parse(size), Prices(cloth_width=str(cloth_width))).inches / 36
    in_print = sum(map(Fraction, published.split()))
    assert Fraction(97, 100) * in_print < yards < Fraction(107, 100) * in_print


def test_the_width_that_a_top_is_cut_from_is_the_one_that_pages_divide_by():
    # Seen: quiltingboard.com, t189575 and t246722: the area over 36 x 42; 60 x 70 is 2.78 yd of cloth that lies in the
    # top, and its seams come to that.
    size = Size.parse("60 x 70")
    assert top_cloth(size) == top_cloth(size, Prices(cloth_width="42"))
    assert round(float(size.area / (36 * 42)), 2) == 2.78 < top_cloth(size).inches / 36


def test_a_pattern_in_whole_fat_quarters_takes_far_more_than_the_estimate():
    # Seen: a pattern listed at equilter.com: for 60 x 75 ten fat quarters, 1/2 yd and 3 1/4 yd: 6 1/4 yd (derived),
    # more than twice the area. An estimate from the area knows nothing of what a pattern leaves over.
    assert top_cloth(Size.parse("60 x 75")).inches / 36 < Fraction(10, 4) + Fraction(1, 2) + Fraction(13, 4)


def batting(size: str, **prices) -> str:
    settings = Settings.model_validate({"prices": {"batting": "10", **prices}})
    (part,) = estimate_materials(a_quilt(finished_size=size), settings).parts
    return part.amount


def test_batting_comes_off_a_roll_of_ninety_inches():
    # Seen: quiltworksonline.com, a roll 90 in wide; project12quilts.blogspot.com: most brands sell widths by the
    # sizes of their packages, and a queen's is 90 x 108: 3 yd off that roll. A top of 84 x 102 leaves 6 in both ways.
    assert batting("84 x 102") == "3 yd"
    assert batting("86 x 104") == "5 1/8 yd"  # derived: wider than one width both ways, so two of 92 in


def test_wider_rolls_are_sold_and_can_be_told():
    # Seen: homesteadquilt.company.site, cotton batting by the yard, 120 in wide.
    assert batting("86 x 104", batting_width="120") == "2 5/8 yd"
