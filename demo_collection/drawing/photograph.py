"""The camera's part in a photo: exposure, uneven light, softness, grain; and the file of it."""

from io import BytesIO
from pathlib import Path
from random import Random

from PIL import Image, ImageChops, ImageEnhance, ImageFilter

from .chance import chance, grain
from .relief import EXPOSURE
from .shades import Rgb


def develop(
    scene: Image.Image,
    random: Random,
    *,
    tint: Rgb | None = None,
    uneven: float = 0.13,
    contrast: float = 1.0,
) -> Image.Image:
    """The scene as a camera gives it."""
    gain = 268 / EXPOSURE
    tint = tint or random.choice([(255, 252, 246), (255, 250, 240), (250, 252, 255), (255, 254, 251), (253, 251, 250)])
    tables = []
    for channel in tint:
        for value in range(256):
            level = min(1.0, value / 255 * gain * channel / 255)
            curved = level + 0.06 * contrast * (level - 0.5) * (1 - abs(2 * level - 1)) * 2
            tables.append(min(255, max(0, round(255 * (0.012 + 0.985 * curved)))))
    photo = scene.point(tables)
    photo = ImageChops.multiply(photo, _light_over(photo.size, random, uneven))
    photo = ImageEnhance.Color(photo).enhance(1.10).filter(ImageFilter.GaussianBlur(0.55))
    return _grainy(photo, random)


def _light_over(size: tuple[int, int], random: Random, uneven: float) -> Image.Image:
    """Brighter on the side of the window, darker in the corners."""
    columns, rows = 16, 16
    from_x, from_y = random.choice([-0.3, 1.3]), random.uniform(-0.3, 0.5)
    shades = bytearray()
    for j in range(rows):
        for i in range(columns):
            x, y = i / (columns - 1), j / (rows - 1)
            distance = ((x - from_x) ** 2 + 0.6 * (y - from_y) ** 2) ** 0.5
            corner = ((x - 0.5) ** 2 + (y - 0.5) ** 2) * 2
            shades.append(round(255 * max(0, 1 - uneven * min(1, distance / 1.7) - 0.10 * corner**1.6)))
    light = Image.frombytes("L", (columns, rows), bytes(shades)).resize(size, Image.Resampling.BICUBIC)
    return Image.merge("RGB", (light, light, light))


def _grainy(photo: Image.Image, random: Random, strength: float = 0.008) -> Image.Image:
    noise = grain(photo.width // 2 + 1, photo.height // 2 + 1, "sensor", random).resize(
        photo.size, Image.Resampling.BICUBIC
    )
    up = noise.point([max(0, round((v - 128) * strength * 2)) for v in range(256)])
    down = noise.point([max(0, round((128 - v) * strength * 2)) for v in range(256)])
    photo = ImageChops.add(photo, Image.merge("RGB", (up, up, up)))
    return ImageChops.subtract(photo, Image.merge("RGB", (down, down, down)))


TURNED_BY_ORIENTATION = {  # how a phone held so has stored its pixels
    3: Image.Transpose.ROTATE_180,
    6: Image.Transpose.ROTATE_90,
    8: Image.Transpose.ROTATE_270,
}


def phone_exif(word: str) -> tuple[int, bytes]:
    """An orientation, and the metadata of an invented phone at an invented place in the sea."""
    random = chance("phone", word)
    orientation = random.choice([6, 6, 8, 3])
    exif = Image.Exif()
    year, month, day = (
        random.randrange(2014, 2026),
        random.randrange(1, 13),
        random.randrange(1, 29),
    )
    hour, minute = random.randrange(10, 20), random.randrange(60)
    taken = f"{year}:{month:02}:{day:02} {hour}:{minute:02}:00"
    exif[0x010F] = "Thimble & Daughters"  # make
    exif[0x0110] = "Pocket Three"  # model
    exif[0x0112] = orientation
    exif[0x0131] = "Pocket 3.1"  # software
    exif[0x0132] = taken
    exif[0x013B] = "Someone's phone"  # artist
    exif.get_ifd(0x8769)[0x9003] = taken
    gps = exif.get_ifd(0x8825)
    gps[1], gps[2], gps[3], gps[4] = "N", (0.0, 0.0, 30.0), "E", (0.0, 0.0, 12.0)
    return orientation, exif.tobytes()


POOREST, BEST = 36, 62  # quality, as JPEG counts it


def encoded(photo: Image.Image, ending: str, at_most: int, *, phone: str | None = None) -> bytes:
    """The photo's file, as good as `at_most` bytes allow; the picture is made smaller if need be.

    `phone`: a word from which a phone's metadata are made.
    """
    extra = {}
    if phone and ending in (".jpg", ".jpeg"):
        orientation, extra["exif"] = phone_exif(phone)
        photo = photo.transpose(TURNED_BY_ORIENTATION[orientation])
    while True:
        data = _best_within(photo, ending, at_most, extra)
        if data:
            return data
        photo = photo.resize((round(photo.width * 0.92), round(photo.height * 0.92)), Image.Resampling.LANCZOS)


def _best_within(photo: Image.Image, ending: str, at_most: int, extra: dict) -> bytes | None:
    if ending == ".png":
        data = _saved(photo.quantize(128, dither=Image.Dither.NONE), format="PNG", optimize=True)
        return data if len(data) <= 2.4 * at_most else None
    low, high, best = POOREST, BEST, None
    while low <= high:
        quality = (low + high) // 2
        if ending == ".jpg" or ending == ".jpeg":
            data = _saved(
                photo,
                format="JPEG",
                quality=quality,
                optimize=True,
                progressive=True,
                subsampling=2,
                **extra,
            )
        else:
            data = _saved(photo, format="HEIF" if ending == ".heic" else "WEBP", quality=quality)
        if len(data) <= at_most:
            best, low = data, quality + 3
        else:
            high = quality - 3
    return best


def can_write(ending: str) -> bool:
    """HEIC needs a library that the project doesn't ask for."""
    if ending != ".heic":
        return True
    try:
        from pillow_heif import register_heif_opener
    except ImportError:
        return False
    register_heif_opener()
    return True


def _saved(photo: Image.Image, **options) -> bytes:
    stream = BytesIO()
    photo.save(stream, **options)
    return stream.getvalue()


def write(data: bytes, file: Path) -> None:
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_bytes(data)
