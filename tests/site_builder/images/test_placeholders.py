"""What stands in for a photo that cannot be shown."""

from PIL import Image, ImageColor

from collection.colours.spaces import linear_light
from site_builder.images.placeholders import CLOTH, draw_placeholder

LIGHT_WALL, DARK_WALL = "#f3f4f5", "#1b1d1f"


def contrast(one, other):
    """Source: WCAG 2.2, contrast ratio and relative luminance."""
    weights = (0.2126, 0.7152, 0.0722)
    lighter, darker = sorted(
        (
            sum(w * c for w, c in zip(weights, linear_light(ImageColor.getrgb(colour)), strict=True))
            for colour in (one, other)
        ),
        reverse=True,
    )
    return (lighter + 0.05) / (darker + 0.05)


def test_it_has_no_colour_of_its_own():
    picture = draw_placeholder()
    red, green, blue = picture.split()
    assert red.tobytes() == green.tobytes() == blue.tobytes()


def test_it_stands_out_from_a_light_page_as_much_as_from_a_dark_one():
    light, dark = contrast(CLOTH, LIGHT_WALL), contrast(CLOTH, DARK_WALL)
    assert abs(light / dark - 1) < 0.1


def test_its_parts_hardly_stand_out_from_each_other():
    shades = [shade for _, (shade, _, _) in draw_placeholder().getcolors()]
    assert max(shades) - min(shades) < 60
    assert isinstance(draw_placeholder(), Image.Image)
