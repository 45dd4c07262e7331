"""The placeholder for a photo that can't be shown: a plain cloth with a frame of running stitches."""

from PIL import Image, ImageDraw

WIDTH, HEIGHT = 800, 600
# Neutral, and as far from a light page as from a dark one, as the same picture is used on both.
CLOTH, SHADE, THREAD = "#7c7c7c", "#757575", "#a3a3a3"
STITCH, GAP, THICKNESS = 18, 12, 4


def draw_placeholder() -> Image.Image:
    """Always the same picture: four plain patches, one frame of stitches at the edge and one in the middle."""
    picture = Image.new("RGB", (WIDTH, HEIGHT), CLOTH)
    draw = ImageDraw.Draw(picture)
    middle_x, middle_y, half = WIDTH // 2, HEIGHT // 2, 120
    draw.rectangle((middle_x - half, middle_y - half, middle_x - 1, middle_y - 1), fill=SHADE)
    draw.rectangle((middle_x, middle_y, middle_x + half - 1, middle_y + half - 1), fill=SHADE)
    _stitch_round(draw, 45, 45, WIDTH - 45, HEIGHT - 45)
    _stitch_round(draw, middle_x - half, middle_y - half, middle_x + half, middle_y + half)
    return picture


def _stitch_round(draw: ImageDraw.ImageDraw, left: int, top: int, right: int, bottom: int) -> None:
    for start in _stitches(left, right):
        for y in (top, bottom):
            _stitch(draw, start, y - THICKNESS // 2, start + STITCH, y + THICKNESS // 2)
    for start in _stitches(top, bottom):
        for x in (left, right):
            _stitch(draw, x - THICKNESS // 2, start, x + THICKNESS // 2, start + STITCH)


def _stitches(start: int, end: int) -> range:
    """Where stitches begin, so that as many as fit are evenly spaced between two corners."""
    step = STITCH + GAP
    count = (end - start - GAP) // step
    first = start + (end - start - count * step + GAP) // 2
    return range(first, first + count * step, step)


def _stitch(draw: ImageDraw.ImageDraw, left: int, top: int, right: int, bottom: int) -> None:
    draw.rounded_rectangle((left, top, right, bottom), radius=THICKNESS // 2, fill=THREAD)
