from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st

import site_builder
from site_builder.pages.hanging import NARROWEST, STEP, WIDEST, hung_class

sides = st.integers(1, 20_000)


@given(sides, sides)
def test_a_picture_hangs_within_a_hundredth_of_its_own_proportions(width, height):
    shape = int(hung_class(width, height).removeprefix("hung-"))
    assert abs(shape - min(max(100 * width / height, NARROWEST), WIDEST)) <= STEP / 2


def test_every_class_is_in_the_style_sheet():
    sheet = Path(site_builder.__file__).with_name("assets").joinpath("css/hung.css").read_text()
    for shape in range(NARROWEST, WIDEST + 1, STEP):
        assert f".hung-{shape} {{ --shape: {shape / 100:g}; }}" in sheet
