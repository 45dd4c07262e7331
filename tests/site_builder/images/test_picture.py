"""A picture offers its renditions by size."""

import pytest

from site_builder.images.picture import Picture, Rendition

SMALL, MIDDLE, LARGE = (
    Rendition(edge * 3 // 4, edge, f"0123456789abcdef0123-{edge}.jpg", 9) for edge in (400, 800, 1600)
)
PICTURE = Picture("d1", 3024, 4032, (SMALL, MIDDLE, LARGE), "#8a8c8b")


def test_the_first_is_the_smallest_and_the_last_the_largest():
    assert (PICTURE.smallest, PICTURE.largest) == (SMALL, LARGE)


@pytest.mark.parametrize(("edge", "rendition"), [(1, SMALL), (400, SMALL), (401, MIDDLE), (1600, LARGE), (9000, LARGE)])
def test_the_smallest_that_is_large_enough_is_chosen_by_the_longer_edge(edge, rendition):
    assert PICTURE.at_least(edge) == rendition
