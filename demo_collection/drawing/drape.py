"""A flat picture as a surface in space: hung, laid, folded over something, and seen by a camera.

Space is measured in inches: x to the right, y down, z away from the viewer. A surface is a function
from a place on the cloth (u, v: inches from its top left corner) to a place in space.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from math import sqrt

from PIL import Image, ImageChops, ImageDraw, ImageFilter

Place = tuple[float, float, float]
Pixel = tuple[float, float]
Surface = Callable[[float, float], Place]
Box = tuple[float, float, float, float]


def _minus(a: Place, b: Place) -> Place:
    return (a[0] - b[0], a[1] - b[1], a[2] - b[2])


def _cross(a: Place, b: Place) -> Place:
    return (a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0])


def _dot(a: Place, b: Place) -> float:
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def _unit(a: Place) -> Place:
    length = sqrt(_dot(a, a)) or 1.0
    return (a[0] / length, a[1] / length, a[2] / length)


@dataclass(frozen=True)
class Camera:
    """Where it stands and looks. `scale` and `shift` place its picture upon the photo: see `fitted`."""

    stands: Place
    looks_at: Place
    roll: float = 0.0
    scale: float = 1.0
    shift: Pixel = (0.0, 0.0)

    def seen(self, place: Place) -> tuple[float, float, float]:
        """Pixel position and distance."""
        ahead = _unit(_minus(self.looks_at, self.stands))
        right = _unit(_cross((0.0, 1.0, 0.0), ahead)) if abs(ahead[1]) < 0.999 else (1.0, 0.0, 0.0)
        down = _cross(ahead, right)
        way = _minus(place, self.stands)
        distance = max(_dot(way, ahead), 1e-3)
        x, y = _dot(way, right) / distance, _dot(way, down) / distance
        x, y = x - self.roll * y, y + self.roll * x
        return x * self.scale + self.shift[0], y * self.scale + self.shift[1], distance


def fitted(camera: Camera, places: Iterable[Place], frame: Box) -> Camera:
    """The camera with its zoom and shift such that the places just fill the frame (pixels)."""
    plain = replace(camera, scale=1.0, shift=(0.0, 0.0))
    seen = [plain.seen(place) for place in places]
    left, right = min(x for x, _, _ in seen), max(x for x, _, _ in seen)
    top, bottom = min(y for _, y, _ in seen), max(y for _, y, _ in seen)
    scale = min((frame[2] - frame[0]) / (right - left), (frame[3] - frame[1]) / (bottom - top))
    return replace(
        camera,
        scale=scale,
        shift=(
            (frame[0] + frame[2]) / 2 - scale * (left + right) / 2,
            (frame[1] + frame[3]) / 2 - scale * (top + bottom) / 2,
        ),
    )


@dataclass(frozen=True)
class Light:
    """A direction from which light comes, and the share that comes from everywhere."""

    towards: Place = (-0.5, -0.65, -0.75)
    everywhere: float = 0.55


def mesh(surface: Surface, window: Box, columns: int, rows: int) -> list[list[Place]]:
    return [
        [
            surface(
                window[0] + (window[2] - window[0]) * i / columns,
                window[1] + (window[3] - window[1]) * j / rows,
            )
            for i in range(columns + 1)
        ]
        for j in range(rows + 1)
    ]


def edge_of(surface: Surface, window: Box, steps: int = 24) -> list[Place]:
    """Places round the edge of the window."""
    a, b, c, d = window
    corners = [(a, b), (c, b), (c, d), (a, d)]
    return [
        surface(p[0] + (q[0] - p[0]) * k / steps, p[1] + (q[1] - p[1]) * k / steps)
        for p, q in zip(corners, corners[1:] + corners[:1])
        for k in range(steps)
    ]


def pixels_per_inch(camera: Camera, surface: Surface, window: Box) -> float:
    """How large an inch of the cloth appears where it is nearest."""
    largest = 0.0
    for i in range(5):
        for j in range(5):
            u, v = (
                window[0] + (window[2] - window[0]) * i / 4,
                window[1] + (window[3] - window[1]) * j / 4,
            )
            here = camera.seen(surface(u, v))
            for du, dv in ((0.5, 0), (0, 0.5)):
                there = camera.seen(surface(u + du, v + dv))
                largest = max(largest, sqrt((there[0] - here[0]) ** 2 + (there[1] - here[1]) ** 2) / 0.5)
    return largest


def drape(
    photo: Image.Image,
    texture: Image.Image,
    surface: Surface,
    window: Box,
    camera: Camera,
    *,
    mask: Image.Image | None = None,
    light: Light | None = None,
    fineness: int = 20,
) -> None:
    """Paints the texture, which shows the cloth within the window, onto the photo, far parts first."""
    across, down = window[2] - window[0], window[3] - window[1]
    columns = max(2, round(fineness * min(2, across / min(across, down))))
    rows = max(2, round(fineness * min(2, down / min(across, down))))
    places = mesh(surface, window, columns, rows)
    if light:
        texture = ImageChops.multiply(texture, _lit(places, camera, light, texture.size))
    seen = [[camera.seen(place) for place in row] for row in places]
    quads = []
    for j in range(rows):
        for i in range(columns):
            corners = (seen[j][i], seen[j][i + 1], seen[j + 1][i + 1], seen[j + 1][i])
            quads.append((sum(corner[2] for corner in corners), i, j, corners))
    quads.sort(key=lambda quad: (-quad[0], quad[2], quad[1]))
    sx, sy = texture.width / columns, texture.height / rows
    box = _bounds([corner for *_, corners in quads for corner in corners], photo.size)
    if not box:
        return
    # Painted on a copy and blended in along a softened outline, so that no edge is jagged.
    part = photo.crop(box)
    covered = Image.new("L", part.size, 0)
    texture, mask = _with_rim(texture), mask and _with_rim(mask)
    for _, i, j, corners in quads:
        a, b, c, d = i * sx + RIM, j * sy + RIM, (i + 1) * sx + RIM, (j + 1) * sy + RIM
        local = [(x - box[0], y - box[1]) for x, y, _ in corners]
        _paint_quad(part, covered, texture, mask, local, ((a, b), (c, b), (c, d), (a, d)))
    photo.paste(part, box[:2], covered.filter(ImageFilter.GaussianBlur(0.6)))


RIM = 3


def _with_rim(texture: Image.Image) -> Image.Image:
    """The picture with its outermost pixels repeated: sampling at its edge always finds some."""
    w, h = texture.size
    rimmed = texture.resize((w + 2 * RIM, h + 2 * RIM))
    rimmed.paste(texture, (RIM, RIM))
    return rimmed


def _bounds(corners: list, size: tuple[int, int]) -> tuple[int, int, int, int] | None:
    """The pixels that the corners span, within the photo."""
    left, top = max(0, int(min(c[0] for c in corners)) - 2), max(0, int(min(c[1] for c in corners)) - 2)
    right, bottom = min(size[0], int(max(c[0] for c in corners)) + 3), min(size[1], int(max(c[1] for c in corners)) + 3)
    return (left, top, right, bottom) if right > left and bottom > top else None


def _lit(places: list[list[Place]], camera: Camera, light: Light, size: tuple[int, int]) -> Image.Image:
    """How light each part of the surface is, 255 where it faces the light squarely."""
    towards = _unit(light.towards)
    rows, columns = len(places), len(places[0])
    shades = bytearray()
    for j in range(rows):
        for i in range(columns):
            across = _minus(places[j][min(i + 1, columns - 1)], places[j][max(i - 1, 0)])
            down = _minus(places[min(j + 1, rows - 1)][i], places[max(j - 1, 0)][i])
            normal = _unit(_cross(across, down))
            if _dot(normal, _minus(camera.stands, places[j][i])) < 0:
                normal = (-normal[0], -normal[1], -normal[2])
            shade = light.everywhere + (1 - light.everywhere) * max(0.0, _dot(normal, towards)) / 0.72
            shades.append(min(255, round(255 * shade)))
    small = Image.frombytes("L", (columns, rows), bytes(shades)).resize(size, Image.Resampling.BICUBIC)
    return Image.merge("RGB", (small, small, small))


def _paint_quad(
    photo: Image.Image,
    covered: Image.Image,
    texture: Image.Image,
    mask: Image.Image | None,
    corners: list[Pixel],
    source,
) -> None:
    box = _bounds(corners, photo.size)
    if not box:
        return
    local = [(x - box[0], y - box[1]) for x, y in corners]
    coefficients = homography(local, source)
    if coefficients is None:
        return
    size = (box[2] - box[0], box[3] - box[1])
    shape = Image.new("L", size, 0)
    ImageDraw.Draw(shape).polygon(local, fill=255, outline=255)
    if mask:
        shape = ImageChops.multiply(
            shape,
            mask.transform(size, Image.Transform.PERSPECTIVE, coefficients, Image.Resampling.BILINEAR),
        )
    photo.paste(
        texture.transform(size, Image.Transform.PERSPECTIVE, coefficients, Image.Resampling.BICUBIC),
        box[:2],
        shape,
    )
    covered.paste(255, box[:2], shape)


def homography(corners: list[Pixel], source) -> tuple[float, ...] | None:
    """The eight coefficients by which Pillow finds the source's place for each pixel shown.

    None if the quadrilateral has no area.
    """
    area = sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(corners, corners[1:] + corners[:1]))
    if abs(area) < 0.5:
        return None
    rows = []
    for (x, y), (u, v) in zip(corners, source):
        rows.append([x, y, 1, 0, 0, 0, -u * x, -u * y, u])
        rows.append([0, 0, 0, x, y, 1, -v * x, -v * y, v])
    for column in range(8):
        pivot = max(range(column, 8), key=lambda row: abs(rows[row][column]))
        if abs(rows[pivot][column]) < 1e-12:
            return None
        rows[column], rows[pivot] = rows[pivot], rows[column]
        lead = rows[column]
        for row in range(column + 1, 8):
            factor = rows[row][column] / lead[column]
            if factor:
                rows[row] = [value - factor * other for value, other in zip(rows[row], lead)]
    answer = [0.0] * 8
    for row in range(7, -1, -1):
        answer[row] = (rows[row][8] - sum(rows[row][k] * answer[k] for k in range(row + 1, 8))) / rows[row][row]
    return tuple(answer)


def cast_shadow(photo: Image.Image, outline: list[Pixel], *, shift: Pixel, blur: float, depth: float) -> None:
    """Darkens the photo where the outline's shadow falls."""
    shadow = Image.new("L", (photo.width // 2, photo.height // 2), 255)
    ImageDraw.Draw(shadow).polygon(
        [((x + shift[0]) / 2, (y + shift[1]) / 2) for x, y in outline],
        fill=round(255 * (1 - depth)),
    )
    shadow = shadow.filter(ImageFilter.GaussianBlur(blur / 2)).resize(photo.size, Image.Resampling.BILINEAR)
    photo.paste(ImageChops.multiply(photo, Image.merge("RGB", (shadow, shadow, shadow))))
