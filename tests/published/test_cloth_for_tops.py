"""Cloth by area: what the formula for tops gives, against published figures."""
from fractions import Fraction

import pytest

from collection.lengths import Size
from collection.material_estimates import TOP_WASTE, top_cloth


@pytest.mark.parametrize(
    ("size", "published", "source"),
    [
        ("2 1/2 x 432", "0.714", "seen: quiltingboard.com t189575, a binding by its area"),
        ("54 x 74", "2.64", "derived: a page on 50 x 70 with 4 in more each way divides by 36 alone and has 111 yd"),
    ],
)
def test_area_over_36_times_42_is_yards(size, published, source):
    """`top_cloth` adds what is wasted, which is common practice and has no source; without it the figures agree."""
    yards = top_cloth(Size.parse(size)).inches / (1 + TOP_WASTE) / 36
    assert abs(yards - Fraction(published)) < Fraction(1, 200)
