"""A damaged, enormous or unreadable photo gives a friendly reason, and no file is left open."""

import errno
import io
import os
import struct
import subprocess
import sys
import zlib
from pathlib import Path

import pytest
from PIL import Image

from site_builder.images import decode as decode_module
from site_builder.images.decode import UnusablePhoto, decode, read_content
from tests.site_builder.images.drawn_photos import (
    HEIC,
    RED,
    encoded,
    exif,
    four_corners,
    patchwork,
)

pytestmark = pytest.mark.filterwarnings("ignore:::PIL")  # as the program itself does

WHOLE = encoded(patchwork(320, 240), exif=exif(6))
WHOLE_PNG = encoded(patchwork(320, 240), "PNG")


def claiming(width, height):
    """A tiny PNG that says it is enormous."""

    def chunk(name, data):
        return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))

    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(b"\0" * 99)) + chunk(b"IEND", b"")


DAMAGED = {
    "cut in half": (WHOLE[: len(WHOLE) // 2], "cut short"),
    "cut in its head": (WHOLE[:300], "cut short"),
    "cut after three bytes": (WHOLE[:3], "damaged"),
    "half a PNG": (WHOLE_PNG[: len(WHOLE_PNG) // 2], "cut short"),
    "a PNG with a wrong checksum": (WHOLE_PNG[:60] + bytes(8) + WHOLE_PNG[68:], "damaged"),
    "half a HEIC": (HEIC.read_bytes()[:900], "damaged"),
    "a HEIC head": (HEIC.read_bytes()[:40], "damaged"),
    "half a TIFF": (encoded(four_corners(), "TIFF")[:5000], "cut short"),
    "half a GIF": (encoded(patchwork(99, 99), "GIF")[:900], "cut short"),
    "half a WebP": (encoded(patchwork(99, 99), "WEBP")[:900], "damaged"),
    "text": (b"Dear diary, today I bound a quilt.\n" * 9, "not a picture"),
    "zeros": (bytes(4000), "not a picture"),
    "a PDF": (b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n1 0 obj\n", "PDF"),
    "a film": (b"\0\0\0\x14ftypqt  \0\0\0\0qt  " + bytes(400), "film"),
    "an archive": (b"PK\x03\x04" + bytes(400), "archive"),
    "a drawing in SVG": (b'<?xml version="1.0"?><svg xmlns="http://www.w3.org/2000/svg"/>', "SVG"),
    "a web page saved as a picture": (b"<!DOCTYPE html><html><body>Not found</body></html>", "web page"),
    "an enormous picture": (claiming(60000, 50000), "60000 x 50000"),
    "a picture of no width": (claiming(0, 10), "damaged"),
    "PostScript": (b"%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 10 10\n", "not a picture"),
}


@pytest.mark.parametrize("damage", DAMAGED)
def test_damage_is_told_in_friendly_words(damage):
    content, words = DAMAGED[damage]
    with pytest.raises(UnusablePhoto) as told:
        decode(content, longest=1600)
    assert words in str(told.value)
    assert_friendly(str(told.value))


def assert_friendly(message):
    assert message[0].isupper() and message.endswith(".")
    assert "!" not in message
    for jargon in ("Error", "exception", "Traceback", "None", "0x", "Errno", "decoder", "byte"):
        assert jargon not in message


def test_any_cut_and_any_changed_byte_gives_a_picture_or_a_reason():
    """Every plugin fails in ways of its own; none of them may reach the person."""
    kinds = [encoded(patchwork(60, 40), kind) for kind in ("JPEG", "PNG", "WEBP", "TIFF", "GIF", "BMP")]
    for content in [*kinds, HEIC.read_bytes()]:
        for at in range(0, len(content), max(1, len(content) // 60)):
            for broken in (content[:at], content[:at] + b"\xff" + content[at + 1 :]):
                try:
                    assert decode(broken, longest=1600).image.mode == "RGB"
                except UnusablePhoto as told:
                    assert_friendly(str(told))


@pytest.mark.parametrize("at", [194, 216, 239])
def test_damage_in_a_phone_photos_list_of_parts_does_not_end_the_program(at):
    """Here the decoder of pi-heif 1.4.0 stops the whole process, with no error to catch."""
    whole = HEIC.read_bytes()
    with pytest.raises(UnusablePhoto, match="damaged"):
        decode(whole[:at] + b"\xff" + whole[at + 1 :], longest=1600)


def test_nothing_is_written_on_the_screen_about_odd_notes(tmp_path):
    path = tmp_path / "front.jpg"
    path.write_bytes(encoded(four_corners(), exif=b"Exif\0\0MM\0*\0\0\0\x08\xff\xff" + b"\xff" * 60))
    program = f"from site_builder.images.decode import decode; decode(open({str(path)!r}, 'rb').read(), longest=90)"
    run = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, timeout=300, check=True)
    assert run.stdout + run.stderr == ""


def test_a_photo_of_very_many_pixels_is_fine_when_it_can_be_decoded_small(monkeypatch):
    monkeypatch.setattr(decode_module, "MOST_OF_ONE", 20_000_000)
    content = encoded(Image.new("RGB", (3000, 2000), RED))
    assert decode(content, longest=700).image.size == (700, 467)
    with pytest.raises(UnusablePhoto, match="3000 x 2000"):
        decode(encoded(Image.new("RGB", (3000, 2000), RED), "PNG"), longest=700)
    with pytest.raises(UnusablePhoto, match="3000 x 2000"):
        decode(encoded(Image.new("RGB", (3000, 2000), RED), progressive=True), longest=700)


# --- files ------------------------------------------------------------------------------------------------------


def reason(path):
    with pytest.raises(UnusablePhoto) as told:
        read_content(path)
    assert_friendly(str(told.value))
    return str(told.value)


def test_a_file_is_read_whole(tmp_path):
    (tmp_path / "front.jpg").write_bytes(WHOLE)
    assert read_content(tmp_path / "front.jpg") == WHOLE


def test_a_missing_an_empty_and_a_folder_are_told_apart(tmp_path):
    (tmp_path / "empty.jpg").touch()
    (tmp_path / "folder.jpg").mkdir()
    (tmp_path / "loop.jpg").symlink_to("loop.jpg")
    assert "no file" in reason(tmp_path / "missing.jpg")
    assert "no file" in reason(tmp_path / "empty.jpg" / "below.jpg")
    assert "empty" in reason(tmp_path / "empty.jpg")
    assert "folder" in reason(tmp_path / "folder.jpg")
    assert "could not be read" in reason(tmp_path / "loop.jpg")
    assert "could not be read" in reason(tmp_path / ("n" * 400))
    assert "could not be read" in reason(Path("null\0character.jpg"))


@pytest.mark.skipif(not Path("/proc/self/fd").exists(), reason="open files are only listed on Linux")
def test_no_file_is_left_open(tmp_path):
    (tmp_path / "empty.jpg").touch()
    before = len(os.listdir("/proc/self/fd"))
    for _ in range(9):
        reason(tmp_path)
        reason(tmp_path / "empty.jpg")
    assert len(os.listdir("/proc/self/fd")) == before


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="pipes with names are a thing of Unix")
def test_a_pipe_or_a_device_is_not_waited_for(tmp_path):
    os.mkfifo(tmp_path / "pipe.jpg")
    (tmp_path / "device.jpg").symlink_to("/dev/zero")
    assert "not an ordinary file" in reason(tmp_path / "pipe.jpg")
    assert "not an ordinary file" in reason(tmp_path / "device.jpg")


def test_an_enormous_file_is_refused_before_it_is_read(tmp_path):
    with open(tmp_path / "sparse.jpg", "wb") as file:
        file.truncate(500 * 10**9)
    assert "500,000 MB" in reason(tmp_path / "sparse.jpg")


def test_a_file_that_may_not_be_read_says_so(tmp_path, monkeypatch):
    path = tmp_path / "front.jpg"
    path.write_bytes(WHOLE)

    def refuse(*_):
        raise PermissionError(errno.EACCES, "Permission denied", str(path))

    monkeypatch.setattr(decode_module.os, "open", refuse)
    assert "may not be read" in reason(path)


def test_a_disk_that_fails_while_reading_says_so(tmp_path, monkeypatch):
    path = tmp_path / "front.jpg"
    path.write_bytes(WHOLE)

    class Failing(io.BytesIO):
        def read(self, *_):
            raise OSError(errno.EIO, "Input/output error")

    monkeypatch.setattr(decode_module.os, "fdopen", lambda handle, mode: (os.close(handle), Failing())[1])
    assert "could not be read" in reason(path)
