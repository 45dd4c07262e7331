"""The quilt seen closely: its quilting, a corner with the binding, the label, under the needle."""

from math import sin
from random import Random

from PIL import Image, ImageChops, ImageDraw, ImageFilter, ImageFont

from .cloth import Quilt, outline_mask, paint_back, paint_top
from .drape import Box, Camera, Light, Surface, cast_shadow, drape, edge_of, fitted, pixels_per_inch
from .scenes_flat import TEXTURE_SHARPNESS
from .shades import mixed
from .surroundings import WOODS, lit, soft_noise, wood


def _rolling(random: Random, height: float) -> Surface:
    phases = [random.uniform(0, 6) for _ in range(3)]

    def surface(u: float, v: float):
        return (
            u,
            v,
            -height * (sin(u / 3.7 + phases[0]) * sin(v / 4.6 + phases[1]) + 0.6 * sin((u + v) / 6 + phases[2])),
        )

    return surface


def _out_of_focus(photo: Image.Image, sharp_at: float, blur: float) -> Image.Image:
    """Sharp along a line across the photo (0 top, 1 bottom), softer away from it."""
    soft = photo.filter(ImageFilter.GaussianBlur(blur))
    column = bytes(round(255 * min(1, max(0, abs(y / 63 - sharp_at) * 2.2 - 0.38))) for y in range(64))
    mask = Image.frombytes("L", (1, 64), column).resize(photo.size, Image.Resampling.BICUBIC)
    return Image.composite(soft, photo, mask)


def detail(quilt: Quilt, size: tuple[int, int], random: Random) -> Image.Image:
    """The quilting from a hand's breadth away, in slanting light."""
    width, length = quilt.layout.width, quilt.layout.length
    across = min(random.uniform(15, 21), width * 0.7, length * 0.7)
    down = across * size[1] / size[0]
    u0, v0 = random.uniform(0.12, 0.5) * (width - across), random.uniform(0.15, 0.6) * (length - down)
    seen = (u0, v0, u0 + across, v0 + down)
    reach = across * 0.3
    window = (u0 - reach, v0 - reach * 1.6, u0 + across + reach, v0 + down + reach * 0.6)
    surface = _rolling(random, 0.32)
    middle = (u0 + across / 2, v0 + down / 2)
    camera = Camera(
        (
            middle[0] + across * random.uniform(-0.3, 0.3),
            middle[1] + down * random.uniform(0.6, 1.0),
            -across * 1.15,
        ),
        (*middle, 0),
        roll=random.uniform(-0.12, 0.12),
    )
    camera = fitted(
        camera,
        edge_of(surface, seen),
        (-size[0] * 0.13, -size[1] * 0.13, size[0] * 1.13, size[1] * 1.13),
    )
    scale = pixels_per_inch(camera, surface, seen) * TEXTURE_SHARPNESS
    photo = Image.new("RGB", size, quilt.shelf.one("ground").colour)
    drape(
        photo,
        paint_top(quilt, window, scale),
        surface,
        window,
        camera,
        light=Light(towards=(-0.8, -0.4, -0.5), everywhere=0.42),
        fineness=24,
    )
    return _out_of_focus(photo, random.uniform(0.55, 0.7), 2.6)


def corner(quilt: Quilt, size: tuple[int, int], random: Random) -> Image.Image:
    """A lower corner with its binding, on a table."""
    width, length = quilt.layout.width, quilt.layout.length
    across = min(17.0, width * 0.6)
    down = across * size[1] / size[0]
    window = (width - across * 1.7, length - down * 1.9, width + 0.3, length + 0.3)
    surface = _rolling(random, 0.18)
    seen = (
        width - across * 0.82,
        length - down * 0.82,
        width + across * 0.18,
        length + down * 0.18,
    )
    camera = _camera_over(seen, size, random)
    photo = _table(size, camera, seen, random)
    scale = pixels_per_inch(camera, surface, seen) * TEXTURE_SHARPNESS
    _cloth_on_table(
        photo,
        paint_top(quilt, window, scale),
        outline_mask(quilt, window, scale),
        surface,
        window,
        quilt.whole,
        camera,
        scale,
    )
    return _out_of_focus(photo, 0.6, 2.2)


def _camera_over(seen: Box, size: tuple[int, int], random: Random) -> Camera:
    middle = ((seen[0] + seen[2]) / 2, (seen[1] + seen[3]) / 2)
    across = seen[2] - seen[0]
    camera = Camera(
        (
            middle[0] + across * random.uniform(-0.25, 0.25),
            middle[1] + across * random.uniform(0.3, 0.6),
            -across * 1.5,
        ),
        (*middle, 0),
        roll=random.uniform(-0.10, 0.10),
    )
    return fitted(
        camera,
        edge_of(lambda u, v: (u, v, 0), seen),
        (-size[0] * 0.06, -size[1] * 0.06, size[0] * 1.06, size[1] * 1.06),
    )


def _table(size: tuple[int, int], camera: Camera, seen: Box, random: Random) -> Image.Image:
    photo = Image.new("RGB", size, (120, 96, 72))
    scale = size[0] / (seen[2] - seen[0])
    reach = (seen[2] - seen[0]) * 1.2
    window = (seen[0] - reach, seen[1] - reach, seen[2] + reach, seen[3] + reach)
    texture = wood(
        (
            round((window[2] - window[0]) * scale * 0.7),
            round((window[3] - window[1]) * scale * 0.7),
        ),
        random.choice(WOODS),
        random,
    )
    drape(photo, texture, lambda u, v: (u, v, 0.3), window, camera, fineness=8)
    return photo


def _cloth_on_table(photo, texture, mask, surface, window: Box, whole: Box, camera: Camera, scale: float) -> None:
    per_inch = scale / TEXTURE_SHARPNESS
    inside = (
        max(window[0], whole[0]),
        max(window[1], whole[1]),
        min(window[2], whole[2]),
        min(window[3], whole[3]),
    )
    outline = [camera.seen(place)[:2] for place in edge_of(surface, inside)]
    cast_shadow(photo, outline, shift=(0.22 * per_inch, 0.25 * per_inch), blur=0.35 * per_inch, depth=0.5)
    drape(
        photo,
        texture,
        surface,
        window,
        camera,
        mask=mask,
        light=Light(towards=(-0.7, -0.5, -0.6), everywhere=0.45),
        fineness=20,
    )


def label(quilt: Quilt, size: tuple[int, int], random: Random) -> Image.Image:
    """The label, written by hand, on a lower corner of the backing."""
    width, length = quilt.layout.width, quilt.layout.length
    across = min(12.5, width * 0.5)
    down = across * size[1] / size[0]
    window = (-0.3, length - down * 1.9, across * 1.7, length + 0.3)
    seen = (-across * 0.08, length - down * 0.92, across * 0.92, length + down * 0.08)
    surface = _rolling(random, 0.12)
    camera = _camera_over(seen, size, random)
    photo = _table(size, camera, seen, random)
    scale = pixels_per_inch(camera, surface, seen) * TEXTURE_SHARPNESS
    texture = paint_back(quilt, window, scale)
    patch = _label_patch(quilt, scale, random).rotate(random.uniform(-2, 2), Image.Resampling.BICUBIC, expand=True)
    place = (
        round((across * 0.42 - window[0]) * scale - patch.width / 2),
        round((length - down * 0.42 - window[1]) * scale - patch.height / 2),
    )
    shade = (
        patch.getchannel("A").filter(ImageFilter.GaussianBlur(0.06 * scale)).point([round(v * 0.4) for v in range(256)])
    )
    texture.paste((60, 55, 50), (place[0] + round(0.04 * scale), place[1] + round(0.06 * scale)), shade)
    texture.paste(patch, place, patch)
    _cloth_on_table(
        photo,
        texture,
        outline_mask(quilt, window, scale),
        surface,
        window,
        quilt.whole,
        camera,
        scale,
    )
    return _out_of_focus(photo, 0.58, 1.6)


def _label_patch(quilt: Quilt, scale: float, random: Random) -> Image.Image:
    """A piece of cream cloth with the maker's words in ink, sewn down by hand."""
    lines = quilt.recipe.label.strip().splitlines()
    pen = round(0.62 * scale)
    written = [
        _handwriting(text, pen if number == 0 else round(pen * 0.72), random) for number, text in enumerate(lines)
    ]
    pad, lead = round(0.5 * scale), round(0.16 * scale)
    width = max(min(max(line.width for line in written), round(8 * scale)), round(3.2 * scale)) + 2 * pad
    height = sum(line.height for line in written) + lead * (len(written) - 1) + 2 * pad
    cloth = Image.new("RGB", (width, height), (229, 221, 202))
    cloth = lit(cloth, soft_noise(cloth.size, 0.25 * scale, "label", random), 0.93, 1)
    cloth = lit(cloth, soft_noise(cloth.size, 2.2, "label threads", random), 0.95, 1)
    y = pad
    ink = random.choice([(48, 52, 86), (62, 46, 44), (40, 40, 44), (96, 40, 52)])
    for line in written:
        if line.width > width - 2 * pad:
            line = line.resize(
                (width - 2 * pad, round(line.height * (width - 2 * pad) / line.width)),
                Image.Resampling.LANCZOS,
            )
        cloth.paste(mixed(ink, (229, 221, 202), 0.12), (round((width - line.width) / 2), y), line)
        y += line.height + lead
    draw = ImageDraw.Draw(cloth)
    edge, step = round(0.10 * scale), 0.22 * scale
    thread = quilt.recipe.thread or (150, 120, 110)
    for k in range(int(width / step)):
        for level in (edge, height - edge):
            draw.line(
                (k * step, level, k * step + step * 0.5, level),
                fill=thread,
                width=max(1, round(0.03 * scale)),
            )
    for k in range(int(height / step)):
        for level in (edge, width - edge):
            draw.line(
                (level, k * step, level, k * step + step * 0.5),
                fill=thread,
                width=max(1, round(0.03 * scale)),
            )
    patch = cloth.convert("RGBA")
    return patch


def _handwriting(text: str, height: int, random: Random) -> Image.Image:
    """A line of writing with letters that lean, and dance a little on the line. White on black."""
    font = ImageFont.load_default(size=height)
    canvas = Image.new("L", (round(font.getlength(text) * 1.2) + height * 2, height * 2), 0)
    x = height * 0.5
    for letter in text:
        size = round(height * random.uniform(0.93, 1.07))
        own = ImageFont.load_default(size=size)
        tile = Image.new("L", (height * 2, height * 2), 0)
        ImageDraw.Draw(tile).text((height * 0.5, height * 0.25), letter, font=own, fill=255)
        tile = tile.rotate(random.uniform(-5, 5), Image.Resampling.BICUBIC)
        canvas.paste(255, (round(x - height * 0.5), round(random.uniform(-0.035, 0.035) * height)), tile)
        x += own.getlength(letter) * 1.02
    slant = 0.22
    canvas = canvas.transform(
        canvas.size,
        Image.Transform.AFFINE,
        (1, slant, -slant * height, 0, 1, 0),
        Image.Resampling.BICUBIC,
    )
    box = canvas.getbbox() or (0, 0, 2, 2)
    return canvas.crop((box[0], round(height * 0.25), box[2], round(height * 1.55)))


def machine(quilt: Quilt, size: tuple[int, int], random: Random) -> Image.Image:
    """Under the needle, half of the quilting still to come."""
    photo = detail(quilt, size, random)
    w, h = size
    photo = lit(photo, _glow(size, (w * 0.52, h * 0.62)), 0.52, 1)
    enamel = random.choice([(232, 231, 226), (206, 222, 218), (224, 214, 200)])
    arm, head = (-w * 0.1, -h * 0.25, w * 0.66, h * 0.17), (w * 0.40, -h * 0.2, w * 0.63, h * 0.33)
    for box, upright in ((arm, False), (head, True)):
        _enamelled(photo, box, enamel, upright)
    draw = ImageDraw.Draw(photo)
    for x, y in ((0.445, 0.26), (0.585, 0.26), (0.445, 0.05)):
        draw.ellipse((w * x - 5, h * y - 5, w * x + 5, h * y + 5), fill=(150, 150, 148), outline=(96, 96, 96))
        draw.line((w * x - 3, h * y - 2, w * x + 3, h * y + 2), fill=(70, 70, 70))
    draw.line((-5, h * 0.095, w * 0.40, h * 0.095), fill=(176, 120, 96), width=3)
    _needle_and_foot(photo, w * 0.515, h * 0.33, h * 0.64)
    return photo


def _glow(size: tuple[int, int], middle: tuple[float, float]) -> Image.Image:
    """The little lamp of the machine: brightest at the needle."""
    small = bytearray()
    for j in range(24):
        for i in range(32):
            away = ((i / 31 * size[0] - middle[0]) ** 2 + (j / 23 * size[1] - middle[1]) ** 2) ** 0.5 / size[0]
            small.append(round(255 * max(0.0, 1 - 1.5 * away)))
    return Image.frombytes("L", (32, 24), bytes(small)).resize(size, Image.Resampling.BICUBIC)


def _enamelled(photo: Image.Image, box: Box, colour, upright: bool) -> None:
    """A rounded metal casting with a sheen along its length, and the shadow it throws."""
    mask = Image.new("L", photo.size, 0)
    ImageDraw.Draw(mask).rounded_rectangle(box, radius=photo.width * 0.035, fill=255)
    shade = (
        ImageChops.offset(mask, 30, 52)
        .filter(ImageFilter.GaussianBlur(24))
        .point([round(v * 0.38) for v in range(256)])
    )
    photo.paste((34, 30, 30), (0, 0), shade)
    sheen = bytes(round(255 * max(0.42, min(1, 1.08 - 0.95 * abs(t / 63 - 0.35) ** 1.3))) for t in range(64))
    across = Image.frombytes("L", (64, 1) if upright else (1, 64), sheen)
    span = (round(box[2] - box[0]), round(box[3] - box[1]))
    body = lit(Image.new("RGB", span, colour), across.resize(span, Image.Resampling.BICUBIC), 0, 1)
    picture = Image.new("RGB", photo.size, colour)
    picture.paste(body, (round(box[0]), round(box[1])))
    photo.paste(picture, (0, 0), mask.filter(ImageFilter.GaussianBlur(1.2)))


def _needle_and_foot(photo: Image.Image, x: float, top: float, point: float) -> None:
    draw = ImageDraw.Draw(photo)
    steel, dark, bright = (176, 178, 182), (104, 106, 112), (232, 234, 236)
    wide = photo.width * 0.010
    draw.rectangle((x - wide * 1.2, top - 4, x + wide * 1.2, top + (point - top) * 0.42), fill=steel)
    draw.line((x + wide, top, x + wide, top + (point - top) * 0.42), fill=dark, width=3)
    draw.line((x - wide * 0.5, top, x - wide * 0.5, top + (point - top) * 0.42), fill=bright, width=2)
    draw.polygon(
        [
            (x - wide * 0.45, top + (point - top) * 0.42),
            (x + wide * 0.45, top + (point - top) * 0.42),
            (x + 1, point),
            (x - 1, point),
        ],
        fill=steel,
    )
    draw.rectangle((x - wide * 3.2, top, x - wide * 1.9, point - wide * 3), fill=steel)
    draw.line((x - wide * 1.9, top, x - wide * 1.9, point - wide * 3), fill=dark, width=2)
    ring = [x - wide * 5, point - wide * 3.4, x + wide * 5, point + wide * 2.6]
    draw.ellipse([edge + 5 for edge in ring], outline=(70, 66, 66), width=max(3, round(wide * 0.8)))
    draw.ellipse(ring, outline=steel, width=max(4, round(wide * 1.1)))
    draw.arc([ring[0], ring[1], ring[2], ring[3]], 190, 290, fill=bright, width=max(2, round(wide * 0.5)))
