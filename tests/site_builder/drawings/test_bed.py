from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from collection.sizes.tables import Mattress
from collection.values.lengths import Length, Size
from site_builder.drawings.bed import EDGE, UNIT, bed_drawing


def a_mattress(width, length):
    return Mattress("bed", "bed", Length(width), Length(length), "", "made up")


TWIN = a_mattress(39, 75)
QUILT = Size.parse("63 x 87 in")


def test_a_quilt_hangs_over_both_sides_alike_and_over_the_foot():
    drawing = bed_drawing(QUILT, TWIN)
    left = drawing.mattress.x - drawing.quilt.x
    right = drawing.quilt.x + drawing.quilt.width - drawing.mattress.x - drawing.mattress.width
    foot = drawing.quilt.y + drawing.quilt.height - drawing.mattress.y - drawing.mattress.height
    assert (left, right, foot) == (12 * UNIT, 12 * UNIT, 12 * UNIT)
    assert drawing.quilt.y == drawing.mattress.y


def test_a_turned_quilt_lies_with_its_length_across():
    drawing = bed_drawing(Size.parse("87 x 63 in"), TWIN, turned=True)
    assert (drawing.quilt.width, drawing.quilt.height) == (63 * UNIT, 87 * UNIT)


def test_all_beds_that_a_quilt_covers_are_drawn_to_one_scale():
    drawings = [bed_drawing(QUILT, TWIN), bed_drawing(QUILT, a_mattress(54, 75))]
    drawings.append(bed_drawing(Size.parse("87 x 63 in"), TWIN, turned=True))
    assert len({(drawing.view_box, drawing.side) for drawing in drawings}) == 1


def test_everything_lies_within_the_drawing():
    for mattress in (TWIN, a_mattress(76, 80)):
        drawing = bed_drawing(QUILT, mattress)
        width, height = map(int, drawing.view_box.split()[2:])
        for rect in (drawing.quilt, drawing.mattress, *drawing.pillows):
            assert 0 < rect.x and rect.x + rect.width < width
            assert 0 < rect.y and rect.y + rect.height < height


def test_a_wide_bed_has_two_pillows_side_by_side():
    one, two = bed_drawing(QUILT, a_mattress(60, 80)).pillows
    assert one.x + one.width < two.x
    assert len(bed_drawing(QUILT, TWIN).pillows) == 1


def test_the_quilt_is_drawn_in_its_own_colour():
    assert bed_drawing(QUILT, TWIN, colours=["#204060", "#f0f0e0"]).quilt_fill == "#204060"


lengths = st.builds(Fraction, st.integers(1, 9000), st.sampled_from([1, 3, 8, 16, 40, 127])).map(Length)


@given(lengths, lengths, lengths, lengths, st.booleans())
def test_every_side_is_drawn_to_the_nearest_unit(width, length, bed_width, bed_length, turned):
    drawing = bed_drawing(Size(width, length), a_mattress(bed_width.inches, bed_length.inches), turned=turned)
    across, down = (length, width) if turned else (width, length)
    middle = max(across, bed_width) / 2 + EDGE
    drawn = [drawing.quilt, drawing.mattress]
    exact = [
        (middle - across / 2, EDGE, across, down),
        (middle - bed_width / 2, EDGE, bed_width, bed_length),
    ]
    for rect, sides in zip(drawn, exact):
        assert (rect.x, rect.y, rect.width, rect.height) == tuple(round(side.inches * UNIT) for side in sides)
