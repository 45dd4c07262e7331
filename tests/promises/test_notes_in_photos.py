"""Nothing that a camera, a phone or a program wrote beside a picture reaches a page, in whatever format it came.

Each photo holds every kind of note that its format knows, each with a secret of its own; every byte of both
editions is searched, after a first build and after one that takes over what was there.
"""

import io
import struct
import zipfile
from datetime import date
from pathlib import Path

import pypdf
import pytest
from click.testing import CliRunner
from PIL import Image, PngImagePlugin, TiffImagePlugin

from site_builder.building.build import build
from site_builder.cli.main import cli
from tests.promises.test_privacy_markers import contents, found_in, iptc, is_near
from tests.site_builder.images.drawn_photos import HEIC, OWNER, SERIAL, profile
from tests.support.marked_collection import marked_collection
from tests.support.marked_records import markers_in
from tests.support.own_folders import build_afresh

DAY = date(2026, 10, 20)
THUMBNAIL_COLOUR = (255, 0, 200)
WIDE = ((0.51512, 0.24120, -0.00105), (0.29198, 0.69225, 0.04189), (0.15710, 0.06657, 0.78407))


def secret(kind: str, place: str) -> str:
    return f"SECRET-{kind}-{place}"


def exif_of(kind: str) -> Image.Exif:
    """Source: Exif 2.3, tables 3 to 8; 0x9C9C is what Windows writes, in UTF-16."""
    tags = Image.Exif()
    for tag, place in (
        (0x010E, "description"),
        (0x010F, "make"),
        (0x0131, "software"),
        (0x013B, "artist"),
        (0x8298, "copyright"),
    ):
        tags[tag] = secret(kind, place)
    tags[0x9C9C] = secret(kind, "xp-comment").encode("utf-16-le")
    own = tags.get_ifd(0x8769)
    own[0x9286] = b"ASCII\0\0\0" + secret(kind, "user-comment").encode()
    own[0x927C] = b"MAKER\0" + secret(kind, "maker-note").encode()
    own[0xA430], own[0xA431], own[0xA420] = secret(kind, "owner"), secret(kind, "serial"), secret(kind, "unique-id")
    tags.get_ifd(0x8825).update({1: "N", 2: (51.0, 28.0, 40.12), 27: b"ASCII\0\0\0" + secret(kind, "place").encode()})
    return tags


def xmp_of(kind: str) -> bytes:
    return f'<x:xmpmeta xmlns:x="adobe:ns:meta/"><dc:creator>{secret(kind, "xmp")}</dc:creator></x:xmpmeta>'.encode()


def with_thumbnail(content: bytes, kind: str) -> bytes:
    """A JPEG with a small picture of something else in its notes, as programs leave it there after a photo was cut.

    Source: JFIF 1.02, the extension segment; Exif keeps one in IFD 1 likewise, as JPEG.
    """
    out = io.BytesIO()
    Image.new("RGB", (64, 48), THUMBNAIL_COLOUR).save(out, "JPEG", comment=secret(kind, "thumbnail"))
    small = b"JFXX\0\x10" + out.getvalue()
    return content[:2] + b"\xff\xe0" + struct.pack(">H", len(small) + 2) + small + content[2:]


def photo(kind: str) -> bytes:
    picture = Image.new("RGB", (320, 240), (40, 160, 60))
    out, exif, icc = io.BytesIO(), exif_of(kind), profile(*WIDE, secret(kind, "profile"))
    if kind == "PNG":
        notes = PngImagePlugin.PngInfo()
        notes.add_text("Author", secret(kind, "text"))
        notes.add_text("Comment", secret(kind, "packed-text"), zip=True)
        notes.add_itxt("XML:com.adobe.xmp", xmp_of(kind).decode())
        picture.save(out, kind, pnginfo=notes, exif=exif, icc_profile=icc)
    elif kind == "TIFF":
        tags = TiffImagePlugin.ImageFileDirectory_v2()
        tags[700], tags[33723], tags[270] = (
            xmp_of(kind),
            secret(kind, "iptc").encode(),
            secret(kind, "tiff-description"),
        )
        tags.tagtype[700] = tags.tagtype[33723] = 7
        picture.save(out, kind, tiffinfo=tags, icc_profile=icc)
    elif kind == "GIF":
        picture.save(out, kind, comment=secret(kind, "comment"))
    elif kind in ("WEBP", "AVIF"):
        picture.save(out, kind, exif=exif, xmp=xmp_of(kind), icc_profile=icc)
    elif kind == "MPO":
        other = Image.new("RGB", (320, 240), THUMBNAIL_COLOUR)
        picture.save(out, kind, save_all=True, append_images=[other], exif=exif, comment=secret(kind, "comment"))
    else:
        picture.save(out, kind, exif=exif, xmp=xmp_of(kind), icc_profile=icc, comment=secret(kind, "comment"))
        content = out.getvalue()
        content = with_thumbnail(content[:2] + iptc(secret(kind, "iptc")) + content[2:], kind)
        # A phone's film of the moment before, behind the picture.
        return content + b"\0\0\0\x18ftypmp42" + secret(kind, "film").encode()
    return out.getvalue()


KINDS = ("JPEG", "PNG", "WEBP", "TIFF", "AVIF", "GIF", "MPO")
LEAST_SECRETS = {"JPEG": 14, "PNG": 12, "WEBP": 12, "TIFF": 4, "AVIF": 12, "GIF": 1, "MPO": 11}


def text_within(content: bytes) -> bytes:
    """As bytes in which a word stands as such, whether it was written in one byte a letter or in two."""
    return content.replace(b"\0", b"")


@pytest.fixture(scope="module")
def photos() -> dict[str, bytes]:
    return {f"{kind.lower()}.{kind.lower()}": photo(kind) for kind in KINDS} | {"heic.heic": HEIC.read_bytes()}


@pytest.fixture(scope="module", params=["afresh", "over a former one"])
def output(request, tmp_path_factory, photos) -> Path:
    folder = tmp_path_factory.mktemp("noted")
    (folder / "records/quilts").mkdir(parents=True)
    (folder / "records/photos").mkdir()
    listed = "".join(f"  - {name}\n" for name in photos)
    (folder / "records/quilts/low-tide.yaml").write_text(f"title: Low Tide\nphotos:\n{listed}")
    (folder / "records/collection.yaml").write_text("site: {url: https://quilts.example}\n")
    for name, content in photos.items():
        plain = io.BytesIO()
        Image.new("RGB", (32, 24), (200, 10, 10)).save(plain, "PNG")
        (folder / "records/photos" / name).write_bytes(plain.getvalue() if request.param != "afresh" else content)
    if request.param != "afresh":
        build(folder / "records", folder / "output", on=DAY)
        for name, content in photos.items():
            (folder / "records/photos" / name).write_bytes(content)
    report = build(folder / "records", folder / "output", on=DAY)
    assert not report.warnings
    return folder / "output"


@pytest.mark.parametrize("kind", KINDS)
def test_the_photos_hold_the_secrets_that_are_looked_for(photos, kind):
    words = text_within(photos[f"{kind.lower()}.{kind.lower()}"])
    # A PNG's packed text and profile show only unpacked.
    assert words.count(f"SECRET-{kind}-".encode()) >= LEAST_SECRETS[kind] - 2 * (kind == "PNG")


@pytest.mark.parametrize("edition", ["catalogue", "binder"])
def test_no_note_beside_a_picture_is_in_any_byte_of_an_edition(output, photos, edition):
    assert OWNER.encode() in photos["heic.heic"] and SERIAL.encode() in photos["heic.heic"]
    for name, content in contents(output / edition).items():
        words = text_within(content)
        for note in (b"SECRET-", OWNER.encode(), SERIAL.encode(), b"2016:05:12"):
            assert note not in words, name


@pytest.mark.parametrize("edition", ["catalogue", "binder"])
def test_no_small_picture_or_film_beside_a_photo_is_in_an_edition(output, edition):
    for path in (output / edition).rglob("*.jpg"):
        content = path.read_bytes()
        assert content.count(b"\xff\xd8\xff") == 1 and content.endswith(b"\xff\xd9"), path.name
        with Image.open(path) as picture:
            assert not picture.getexif() and "icc_profile" not in picture.info
            seen = picture.convert("RGB").getcolors(1 << 24)
            assert not any(is_near(colour, THUMBNAIL_COLOUR) for _, colour in seen), path.name


def test_what_a_build_remembers_lies_outside_the_editions(output):
    for edition in ("catalogue", "binder"):
        assert not [path for path in (output / edition).rglob(".*")]
    assert {path.name for path in output.iterdir() if not path.name.startswith(".")} == {"catalogue", "binder"}


# Paper that leaves the house --------------------------------------------------------------------


@pytest.fixture(scope="module")
def papers(tmp_path_factory) -> Path:
    folder = tmp_path_factory.mktemp("papers")
    for name, text in marked_collection().files.items():
        (folder / "records" / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / "records" / name).write_text(text, encoding="utf-8")
    records = str(folder / "records")
    for command in (
        [
            "report",
            records,
            "1801",
            "--on",
            "2026-05-12",
            "--to",
            f"{folder}/report.pdf",
            "--to",
            f"{folder}/report.xlsx",
        ],
        ["handover-sheet", records, "a-donated-quilt", "--to", f"{folder}/sheet.pdf"],
        ["labels", records, "--kind", "tag", "--to", f"{folder}/tags.pdf"],
    ):
        done = CliRunner().invoke(cli, command)
        assert done.exit_code == 0, done.output
    return folder


@pytest.mark.parametrize("name", ["report.pdf", "sheet.pdf", "tags.pdf"])
def test_a_pdf_says_of_itself_its_title_and_day_alone(papers, name):
    read = pypdf.PdfReader(papers / name)
    assert set(read.metadata) <= {"/Title", "/Creator", "/ModDate", "/CreationDate"}
    assert not read.attachments
    about = read.xmp_metadata.stream.get_data() if read.xmp_metadata else b""
    assert not markers_in(about + str(read.metadata).encode(), marked_collection().private)


def test_a_spreadsheet_says_of_itself_who_made_the_quilts_and_nothing_private(papers):
    with zipfile.ZipFile(papers / "report.xlsx") as book:
        about = b"".join(book.read(name) for name in book.namelist() if name.startswith("docProps/"))
        assert {name for name in book.namelist() if name.startswith("docProps/")} == {
            "docProps/app.xml",
            "docProps/core.xml",
        }
    assert not markers_in(about, marked_collection().private)
    assert b"<dc:creator>zqx" in about


# What becomes private ---------------------------------------------------------------------------


def test_what_becomes_private_leaves_nothing_behind_in_the_catalogue(tmp_path):
    """The same marked words, public in a first build and private in the next, which takes over what it can."""
    marked = marked_collection()
    name = "quilts/a-staying-quilt.yaml"
    public = [marker for marker in marked.markers if not marker.private and marker.forms[0] in marked.files[name]]
    for file, text in marked.files.items():
        (tmp_path / "records" / file).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / "records" / file).write_text(text, encoding="utf-8")
    build(tmp_path / "records", tmp_path / "output", on=DAY)
    assert len(found_in(tmp_path / "output/catalogue", public)) > 20
    hidden = marked.files[name].replace('"public": true', '"public": false', 1)
    assert hidden != marked.files[name]
    (tmp_path / "records" / name).write_text(hidden, encoding="utf-8")
    build(tmp_path / "records", tmp_path / "output", on=DAY)
    words = [marker for marker in public if marker.forms[0].startswith("zqx")]
    assert len(words) > 10
    assert found_in(tmp_path / "output/catalogue", words) == {}
    build_afresh(tmp_path / "records", tmp_path / "afresh", on=DAY)
    assert contents(tmp_path / "output/catalogue") == contents(tmp_path / "afresh/catalogue")


def test_a_fact_that_is_taken_off_the_list_leaves_nothing_behind_in_the_catalogue(tmp_path, write_collection):
    records = write_collection(
        tmp_path / "records",
        {
            "quilts/low-tide.yaml": "title: Low Tide\nstory: A zqxstory\npattern: {name: Zqxpattern}\nblocks: [zqxblock]\n",
            "collection.yaml": "site: {url: https://quilts.example}\n",
        },
    )

    def said() -> set[str]:
        build(records, tmp_path / "output", on=DAY)
        whole = b"".join(
            name.encode() + content for name, content in contents(tmp_path / "output/catalogue").items()
        ).lower()
        return {word for word in ("zqxstory", "zqxpattern", "zqxblock") if word.encode() in whole}

    assert said() == {"zqxstory", "zqxpattern", "zqxblock"}
    (records / "collection.yaml").write_text("site: {url: https://quilts.example}\npublic: [made, blocks]\n")
    assert said() == {"zqxblock"}
