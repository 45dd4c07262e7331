"""The quilt as a picture seen straight on and in even light: prints, seams, binding, puffs and puckers.

Everything can be asked for as a window in inches, at any scale: the whole top for a photo of the
front, a hand's breadth of it for a photo of the quilting.
"""

from dataclasses import dataclass, replace
from functools import cached_property, lru_cache

from PIL import Image, ImageChops, ImageDraw, ImageFilter

from . import embroidery
from .chance import chance
from .colouring import Shelf
from .layout import BINDING_WIDTH, Box, Layout, Piece, lay_out
from .prints import DIRECTIONAL, Fabric, tile
from .quilting import Ground, knots, stitches
from .recipes import Recipe
from .relief import NEAR, STITCH_WIDTH, Surface, shaded
from .shades import Rgb, companion, mixed


@dataclass(frozen=True)
class Quilt:
    """A recipe with its cloth chosen and its top laid out."""

    recipe: Recipe

    @cached_property
    def shelf(self) -> Shelf:
        return Shelf(self.recipe)

    @cached_property
    def layout(self) -> Layout:
        return lay_out(self.recipe, self.shelf)

    @cached_property
    def ground(self) -> Ground:
        edges = {}
        for piece in self.layout.pieces:
            edges[piece.serial] = piece.points
        return Ground(
            self.recipe.quilt,
            self.layout.width,
            self.layout.length,
            self.layout.inside,
            tuple(edges.values()),
        )

    @property
    def whole(self) -> Box:
        return (0, 0, self.layout.width, self.layout.length)


def paint_top(quilt: Quilt, window: Box, scale: float, pieces: tuple[Piece, ...] | None = None) -> Image.Image:
    """The top within a window, `scale` pixels to the inch."""
    pieces = quilt.layout.pieces if pieces is None else pieces
    colours, seams, raised = _patchwork(pieces, window, scale, quilt.recipe.quilt)
    lines = _stitches_on(quilt, window, scale)
    picture = _with_thread(quilt, colours, lines, window, scale)
    if quilt.recipe.blocks[0] == "crazy":
        _embroider(quilt, picture, window, scale)
    return _shaded(quilt, picture, Surface(lines, seams, raised, window, scale))


def paint_back(quilt: Quilt, window: Box, scale: float) -> Image.Image:
    """The backing within a window, as seen from behind: the quilting runs the other way round."""
    width, length = quilt.layout.width, quilt.layout.length
    fabric = quilt.shelf.one("backing")
    second = quilt.shelf.fabrics["backing"][-1]
    seam = width * (0.5 if len(quilt.shelf.fabrics["backing"]) == 1 else 0.68)
    halves = [
        Piece(((0, 0), (seam, 0), (seam, length), (0, length)), fabric, 0, False, 1),
        Piece(((seam, 0), (width, 0), (width, length), (seam, length)), second, 0, False, 2),
    ]
    if width <= 44:
        halves = [Piece(((0, 0), (width, 0), (width, length), (0, length)), fabric, 0, False, 1)]
    binding = (
        [replace(piece, points=tuple((width - x, y) for x, y in piece.points)) for piece in quilt.layout.pieces[-4:]]
        if quilt.recipe.finished
        else []
    )
    mirrored = (width - window[2], window[1], width - window[0], window[3])
    colours, seams, raised = _patchwork((*halves, *binding), window, scale, quilt.recipe.quilt + " back")
    lines = _stitches_on(quilt, mirrored, scale).transpose(Image.Transpose.FLIP_LEFT_RIGHT)
    picture = _with_thread(quilt, colours, lines, window, scale)
    return _shaded(quilt, picture, Surface(lines, seams, raised, window, scale))


def outline_mask(quilt: Quilt, window: Box, scale: float) -> Image.Image:
    """White where there is quilt; soft at the edge."""
    size = _pixels(window, scale)
    mask = Image.new("L", (size[0] * 2, size[1] * 2), 0)
    k = scale * 2
    a, b = -window[0] * k, -window[1] * k
    ImageDraw.Draw(mask).rectangle((a, b, a + quilt.layout.width * k - 1, b + quilt.layout.length * k - 1), fill=255)
    return mask.resize(size, Image.Resampling.BOX)


def _oversize(scale: float) -> int:
    """How many times larger a picture is painted and then reduced, for smooth slanting seams."""
    return 2 if scale < NEAR else 1


def _pixels(window: Box, scale: float) -> tuple[int, int]:
    return max(1, round((window[2] - window[0]) * scale)), max(1, round((window[3] - window[1]) * scale))


def _patchwork(pieces, window: Box, scale: float, word: str) -> tuple[Image.Image, Image.Image, Image.Image]:
    """Colours, seams and raised shapes of the pieces, in their order, the later upon the earlier."""
    final, times = _pixels(window, scale), _oversize(scale)
    size, scale = (final[0] * times, final[1] * times), scale * times
    colours = Image.new("RGB", size, pieces[0].fabric.colour if pieces else (200, 200, 200))
    seams, raised = Image.new("L", size, 0), Image.new("L", size, 0)
    draw_seams, draw_raised = ImageDraw.Draw(seams), ImageDraw.Draw(raised)
    seam_width = max(1, round(0.045 * scale))
    for piece in pieces:
        points = [((x - window[0]) * scale, (y - window[1]) * scale) for x, y in piece.points]
        box = (
            min(x for x, _ in points),
            min(y for _, y in points),
            max(x for x, _ in points),
            max(y for _, y in points),
        )
        if box[2] < 0 or box[3] < 0 or box[0] >= size[0] or box[1] >= size[1]:
            continue
        left, top = max(0, int(box[0])), max(0, int(box[1]))
        right, bottom = min(size[0], int(box[2]) + 2), min(size[1], int(box[3]) + 2)
        cut = (right - left, bottom - top)
        mask = Image.new("L", cut, 0)
        ImageDraw.Draw(mask).polygon([(x - left, y - top) for x, y in points], fill=255)
        colours.paste(_cut(piece, cut, scale, word), (left, top), mask)
        draw_seams.polygon(points, fill=0)
        draw_seams.line([*points, points[0]], fill=255, width=seam_width)
        draw_raised.polygon(points, fill=255 if piece.laid_on else 0)
    if times == 1:
        return colours, seams, raised
    return tuple(image.resize(final, Image.Resampling.BOX) for image in (colours, seams, raised))


@lru_cache(maxsize=400)
def _bolt(fabric: Fabric, scale: float, quarter: int) -> Image.Image:
    """One repeat of the cloth, turned; small ones two by two, so that most cuts need one stroke."""
    one = tile(fabric, scale)
    if quarter:
        one = one.transpose(
            (Image.Transpose.ROTATE_90, Image.Transpose.ROTATE_180, Image.Transpose.ROTATE_270)[quarter - 1]
        )
    if one.width > 400:
        return one
    double = Image.new("RGB", (one.width * 2, one.height * 2))
    for x in (0, one.width):
        for y in (0, one.height):
            double.paste(one, (x, y))
    return double


def put_cloth_away() -> None:
    """Forgets the bolts and tiles kept for the quilt in hand."""
    _bolt.cache_clear()
    tile.cache_clear()


def _cut(piece: Piece, size: tuple[int, int], scale: float, word: str) -> Image.Image:
    """Cloth for a piece: cut along the grain where chance has it, each cut a shade apart."""
    random = chance(word, piece.serial)
    x_share, y_share, shade, quarter = (
        random.random(),
        random.random(),
        random.uniform(0.955, 1.0),
        random.randrange(4),
    )
    directional = piece.fabric.print in DIRECTIONAL
    if directional:
        quarter = round(piece.grain / 90) % 4
    slant = (piece.grain % 90) if directional else 0
    slant = slant if 5 < slant < 85 else 0
    wanted = size if not slant else (round((size[0] + size[1]) * 0.75) + 4,) * 2
    bolt = _bolt(piece.fabric, scale, quarter)
    x, y = int(x_share * bolt.width), int(y_share * bolt.height)
    if x + wanted[0] <= bolt.width and y + wanted[1] <= bolt.height:
        cloth = bolt.crop((x, y, x + wanted[0], y + wanted[1]))
    else:
        cloth = Image.new("RGB", wanted)
        for top in range(-y, wanted[1], bolt.height):
            for left in range(-x, wanted[0], bolt.width):
                cloth.paste(bolt, (left, top))
    if slant:
        cloth = cloth.rotate(-slant, Image.Resampling.BILINEAR)
        left, top = (cloth.width - size[0]) // 2, (cloth.height - size[1]) // 2
        cloth = cloth.crop((left, top, left + size[0], top + size[1]))
    return cloth.point([min(255, round(value * shade)) for value in range(256)] * 3)


def _stitches_on(quilt: Quilt, window: Box, scale: float) -> Image.Image:
    """The lines of stitches, which the binding, sewn on later, covers at the edge."""
    size, whole = _pixels(window, scale), quilt.whole
    lines = stitches(quilt.ground, quilt.recipe.quilting, window, size, STITCH_WIDTH * scale)
    quilted = Image.new("L", size, 0)
    rim = BINDING_WIDTH if quilt.recipe.finished else 0
    ImageDraw.Draw(quilted).rectangle(
        (
            (rim - window[0]) * scale,
            (rim - window[1]) * scale,
            (whole[2] - rim - window[0]) * scale,
            (whole[3] - rim - window[1]) * scale,
        ),
        fill=255,
    )
    return ImageChops.multiply(lines, quilted)


def _thread_colour(quilt: Quilt) -> Rgb:
    if quilt.recipe.thread:
        return quilt.recipe.thread
    return mixed(quilt.shelf.one("ground").colour, (225, 220, 208), 0.5)


def _with_thread(quilt: Quilt, picture: Image.Image, lines: Image.Image, window: Box, scale: float) -> Image.Image:
    """The thread itself, which shows only from nearby, and the knots of a tied quilt."""
    if scale >= NEAR and quilt.recipe.quilting not in ("none", "tied", "ditch"):
        stitch = _stitch_gaps(lines.size, scale)
        thin = lines.filter(ImageFilter.MaxFilter(3)) if quilt.recipe.thread else lines
        thin = thin.filter(ImageFilter.GaussianBlur(0.006 * scale)).point(
            [min(240 if quilt.recipe.thread else 170, value) for value in range(256)]
        )
        picture = Image.composite(
            Image.new("RGB", picture.size, _thread_colour(quilt)),
            picture,
            ImageChops.multiply(thin, stitch),
        )
    elif quilt.recipe.thread and quilt.recipe.quilting != "tied":
        showing = lines.point([round(value * 0.8) for value in range(256)])
        picture = Image.composite(Image.new("RGB", picture.size, quilt.recipe.thread), picture, showing)
    if quilt.recipe.quilting == "tied":
        picture = picture.copy()
        draw = ImageDraw.Draw(picture)
        colour = quilt.recipe.thread or companion(quilt.shelf.one("main").colour, 0.5)
        for number, (x, y) in enumerate(knots(quilt.ground)):
            random = chance(quilt.recipe.quilt, "knot", number)
            px, py = (x - window[0]) * scale, (y - window[1]) * scale
            for _ in range(2):
                dx, dy = random.uniform(-0.5, 0.5) * scale, random.uniform(-0.1, 0.6) * scale
                draw.line(
                    (px, py, px + dx / 2, py + dy * 0.7, px + dx, py + dy),
                    fill=colour,
                    width=max(1, round(0.05 * scale)),
                    joint="curve",
                )
            r = max(1, 0.08 * scale)
            draw.ellipse((px - r, py - r, px + r, py + r), fill=colour)
    return picture


def _embroider(quilt: Quilt, picture: Image.Image, window: Box, scale: float) -> None:
    """Fancy stitches along the seams within the borders."""
    draw = ImageDraw.Draw(picture)
    left, top, right, bottom = quilt.layout.inside
    for piece in quilt.layout.pieces:
        if not all(left - 0.1 <= x <= right + 0.1 and top - 0.1 <= y <= bottom + 0.1 for x, y in piece.points):
            continue
        for number, (a, b) in enumerate(zip(piece.points, piece.points[1:])):
            colour, strokes = embroidery.along(a, b, chance(quilt.recipe.quilt, "embroidery", piece.serial, number))
            for p, q in strokes:
                draw.line(
                    (
                        (p[0] - window[0]) * scale,
                        (p[1] - window[1]) * scale,
                        (q[0] - window[0]) * scale,
                        (q[1] - window[1]) * scale,
                    ),
                    fill=colour,
                    width=max(1, round(0.035 * scale)),
                )


def _stitch_gaps(size: tuple[int, int], scale: float) -> Image.Image:
    """Dark where the thread dips into the cloth, about ten times an inch."""
    step = max(3, round(scale / 10))
    small = Image.new("L", (step, step), 255)
    ImageDraw.Draw(small).rectangle((0, 0, step // 3, step // 3), fill=60)
    row = Image.new("L", (size[0], step))
    for x in range(0, size[0], step):
        row.paste(small, (x, 0))
    sheet = Image.new("L", size)
    for k, y in enumerate(range(0, size[1], step)):
        sheet.paste(row, (-(k * step // 2) % step - step if k % 2 else 0, y))
    return sheet


def _shaded(quilt: Quilt, picture: Image.Image, surface: Surface) -> Image.Image:
    recipe = quilt.recipe
    return shaded(picture, surface, quilt.ground, quilting=recipe.quilting, age=recipe.age)
