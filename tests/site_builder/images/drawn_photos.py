"""Photos for the tests, drawn here: nothing in them was taken with a camera."""

import io
import math
import random
import struct
from pathlib import Path

from PIL import Image, ImageChops, ImageDraw, ImageFilter, ImageStat

HEIC = Path(__file__).parents[2] / "data" / "turned-with-place.heic"
RED, GREEN, BLUE, CREAM, GREY = (178, 34, 40), (46, 125, 60), (38, 70, 140), (240, 230, 205), (128, 128, 126)

OWNER = "Someone Who Owns This Camera"
SERIAL = "SERIAL-0042-XYZ"
XMP = (
    b'<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">'
    b'<rdf:Description xmlns:dc="http://purl.org/dc/elements/1.1/" dc:creator="SECRET-IN-XMP"/></rdf:RDF></x:xmpmeta>'
)


def four_corners(width=240, height=160):
    """Red top left, green top right, blue bottom left, cream bottom right: no turn looks like another."""
    picture = Image.new("RGB", (width, height), CREAM)
    draw = ImageDraw.Draw(picture)
    x, y = width // 2, height // 2
    draw.rectangle((0, 0, x - 1, y - 1), fill=RED)
    draw.rectangle((x, 0, width, y - 1), fill=GREEN)
    draw.rectangle((0, y, x - 1, height), fill=BLUE)
    return picture


def corners_of(picture):
    """The colours seen near the four corners: top left, top right, bottom left, bottom right."""
    w, h = picture.size
    x, y = w // 4, h // 4
    return [picture.getpixel(at) for at in ((x, y), (w - 1 - x, y), (x, h - 1 - y), (w - 1 - x, h - 1 - y))]


def near(one, other, within=8):
    return all(abs(a - b) <= within for a, b in zip(one, other, strict=True))


def exif(orientation=1, **more):
    """EXIF with an owner, a serial number and a place, besides the orientation."""
    tags = Image.Exif()
    tags[0x0112] = orientation
    tags[0x010F], tags[0x0110] = "Invented Optics", "Model Nine"
    tags[0x013B] = OWNER
    tags[0x9003] = "2016:05:12 10:11:12"
    tags[0xA431] = SERIAL
    tags.get_ifd(0x8825).update({1: "N", 2: (51.0, 28.0, 40.12), 3: "W", 4: (0.0, 0.0, 5.31), 29: "2016:05:12"})
    for tag, value in more.items():
        tags[int(tag)] = value
    return tags.tobytes()


def encoded(picture, kind="JPEG", **options):
    out = io.BytesIO()
    picture.save(out, kind, **options)
    return out.getvalue()


def decoded(content):
    return Image.open(io.BytesIO(content)).convert("RGB")


def psnr(one, other):
    """Peak signal to noise ratio of two RGB pictures in dB, over all three channels."""
    statistics = ImageStat.Stat(ImageChops.difference(one, other))
    error = sum(statistics.sum2) / (3 * one.width * one.height)
    return math.inf if error == 0 else 10 * math.log10(255**2 / error)


def patchwork(width, height, seed=1):
    """A quilt of two-colour patches with a woven texture, on a plain wall: as busy as a real photo."""
    chance = random.Random(seed)
    picture = Image.new("RGB", (width, height), (188, 184, 178))
    draw = ImageDraw.Draw(picture)
    margin = max(width, height) // 20
    side = min(width, height) // 12
    for x in range(margin, width - margin - side + 1, side):
        for y in range(margin, height - margin - side + 1, side):
            draw.rectangle((x, y, x + side, y + side), fill=_any_colour(chance))
            draw.polygon(((x, y), (x + side, y), (x, y + side)), fill=_any_colour(chance))
    weave = Image.frombytes("L", (width // 4, height // 4), chance.randbytes((width // 4) * (height // 4)))
    weave = weave.point(lambda light: 96 + light // 4).resize((width, height), Image.Resampling.BICUBIC)
    return ImageChops.overlay(picture, Image.merge("RGB", (weave,) * 3)).filter(ImageFilter.GaussianBlur(0.8))


def _any_colour(chance):
    return tuple(chance.randrange(30, 245) for _ in range(3))


def profile(red, green, blue, name):
    """A small ICC profile (version 4) of an RGB display with the sRGB curve.

    The three colours are XYZ values adapted to D50. Source: ICC.1:2010, the three-component matrix-based profile.
    """

    def fixed(numbers):
        return b"".join(struct.pack(">i", round(n * 65536)) for n in numbers)

    def text(words):
        coded = words.encode("utf-16-be")
        return b"mluc\0\0\0\0" + struct.pack(">II", 1, 12) + b"enGB" + struct.pack(">II", len(coded), 28) + coded

    curve = b"para\0\0\0\0" + struct.pack(">HH", 3, 0) + fixed((2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045))
    white = (0.9642, 1.0, 0.8249)
    tags = [(b"desc", text(name)), (b"cprt", text("none")), (b"wtpt", b"XYZ \0\0\0\0" + fixed(white))]
    tags += [(key, b"XYZ \0\0\0\0" + fixed(xyz)) for key, xyz in ((b"rXYZ", red), (b"gXYZ", green), (b"bXYZ", blue))]
    tags += [(key, curve) for key in (b"rTRC", b"gTRC", b"bTRC")]
    table, body, start = b"", b"", 128 + 4 + 12 * len(tags)
    for key, data in tags:
        data += b"\0" * (-len(data) % 4)
        table += key + struct.pack(">II", start + len(body), len(data))
        body += data
    head = struct.pack(">I4sI4s4s4s", start + len(body), b"\0" * 4, 0x04000000, b"mntr", b"RGB ", b"XYZ ")
    head += struct.pack(">6H", 2020, 1, 1, 0, 0, 0) + b"acsp" + b"\0" * 28 + fixed(white)
    return head.ljust(128, b"\0") + struct.pack(">I", len(tags)) + table + body


# The D50-adapted primaries of Display P3 (P3 primaries, D65 white, adapted by Bradford).
# Derived: by hand from the chromaticities of SMPTE EG 432-1; coloraide agrees in the tests.
DISPLAY_P3 = profile(
    (0.51512, 0.24120, -0.00105), (0.29198, 0.69225, 0.04189), (0.15710, 0.06657, 0.78407), "A wide display"
)
SRGB = profile((0.43607, 0.22249, 0.01392), (0.38515, 0.71687, 0.09708), (0.14307, 0.06061, 0.71410), "Everyday")
