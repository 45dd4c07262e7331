"""No private word, picture or note of a camera reaches the catalogue: every byte of it is searched.

Every field of every kind of record holds a marker, found by walking the models, and so does all that a
photo can carry beside its picture. The same search in the binder finds what it should: it can fail.
"""

import gzip
import io
import re
from datetime import date
from pathlib import Path

import pytest
from PIL import Image, ImageDraw, PngImagePlugin

from site_builder.building.build import build
from site_builder.incremental.cache_folder import cache_of
from tests.site_builder.images.drawn_photos import OWNER, SERIAL, XMP, exif
from tests.support.marked_collection import marked_collection
from tests.support.marked_records import Marker, markers_in

PUBLIC_COLOUR, PRIVATE_COLOUR = (40, 160, 60), (255, 0, 200)
IN_PHOTOS = {
    "owner": OWNER, "serial number": SERIAL, "XMP": "SECRET-IN-XMP", "IPTC": "SECRET-IN-IPTC",
    "comment": "SECRET-IN-COMMENT", "text of a PNG": "SECRET-IN-TEXT",
}  # fmt: skip

# What no page of the binder says in the words of the record.
NOT_IN_BINDER = {
    "Maker.address", "Settings.follow_up_after", "Photo.file",
    "BlockSetting.sashing", "BlockSetting.borders",  # as cutting sizes, which are wider
}  # fmt: skip


def photo_with_notes(colour: tuple[int, int, int], kind: str) -> bytes:
    """A picture in one colour, with every kind of note that a camera or a program leaves in it."""
    picture = Image.new("RGB", (640, 480), colour)
    ImageDraw.Draw(picture).rectangle((0, 0, 40, 40), fill=tuple(value // 2 for value in colour))
    out = io.BytesIO()
    if kind == "PNG":
        notes = PngImagePlugin.PngInfo()
        notes.add_text("Author", IN_PHOTOS["text of a PNG"])
        notes.add_itxt("XML:com.adobe.xmp", XMP.decode())
        picture.save(out, kind, pnginfo=notes, exif=exif())
    elif kind == "WEBP":
        picture.save(out, kind, exif=exif(), xmp=XMP)
    else:
        picture.save(out, kind, exif=exif(), xmp=XMP, comment=IN_PHOTOS["comment"], dpi=(311, 311))
        content = out.getvalue()
        return content[:2] + iptc(IN_PHOTOS["IPTC"]) + content[2:]
    return out.getvalue()


def iptc(words: str) -> bytes:
    """A photographer's name as an APP13 segment. Source: IPTC-IIM 4.2, data set 2:80 (by-line)."""
    record = b"\x1c\x02\x50" + len(words).to_bytes(2, "big") + words.encode()
    block = b"8BIM\x04\x04\0\0" + len(record).to_bytes(4, "big") + record + b"\0" * (len(record) % 2)
    segment = b"Photoshop 3.0\0" + block
    return b"\xff\xed" + (len(segment) + 2).to_bytes(2, "big") + segment


@pytest.fixture(scope="module")
def marked():
    return marked_collection()


@pytest.fixture(scope="module")
def built(marked, tmp_path_factory) -> Path:
    folder = tmp_path_factory.mktemp("marked")
    for name, text in marked.files.items():
        path = folder / "collection" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    photos = folder / "collection" / "photos"
    photos.mkdir()
    kinds = ("JPEG", "PNG", "WEBP")
    for number, name in enumerate(marked.public_photos):
        (photos / name).write_bytes(photo_with_notes(PUBLIC_COLOUR, kinds[number % 3]))
    for name in marked.private_photos:
        (photos / name).write_bytes(photo_with_notes(PRIVATE_COLOUR, "JPEG"))
    report = build(folder / "collection", folder / "output", on=date(2026, 10, 20))
    assert not [warning for warning in report.warnings if warning.field.startswith("photos")]
    return folder / "output"


def contents(edition: Path) -> dict[str, bytes]:
    """Every file by its name, packed ones unpacked; the name stands before the content."""
    found = {}
    for path in sorted(edition.rglob("*")):
        content = path.read_bytes() if path.is_file() else b""
        content = gzip.decompress(content) if content.startswith(b"\x1f\x8b") else content
        found[path.relative_to(edition).as_posix()] = path.name.encode() + b"\n" + content
    return found


def found_in(edition: Path, markers: list[Marker]) -> dict[str, list[str]]:
    """The files in which markers occur, by marker."""
    found: dict[str, list[str]] = {}
    for name, content in contents(edition).items():
        for marker in markers_in(content, markers):
            found.setdefault(f"{marker.place}: {marker.forms[0]}", []).append(name)
    return found


def test_no_marker_of_a_private_field_is_in_any_byte_of_the_catalogue(built, marked):
    assert len(marked.private) > 300
    assert found_in(built / "catalogue", marked.private) == {}


@pytest.fixture(scope="module")
def catalogue_alone(built, tmp_path_factory) -> Path:
    """An output into which the catalogue was built alone: first of other records, then of these, then again."""
    output, collection = tmp_path_factory.mktemp("alone"), built.parent / "collection"
    before = {path: path.read_bytes() for path in (collection / "quilts").iterdir()}
    for path in before:
        path.write_text("title: Before\n")
    for _ in range(2):
        build(collection, output, on=date(2026, 10, 20), editions=("catalogue",))
        for path, content in before.items():
            path.write_bytes(content)
    build(collection, output, on=date(2026, 10, 20), editions=("catalogue",))
    return output


def test_no_marker_of_a_private_field_is_anywhere_below_the_output_of_the_catalogue_alone(catalogue_alone, marked):
    assert found_in(catalogue_alone, marked.private) == {}
    assert [path.name for path in catalogue_alone.iterdir()] == ["catalogue"]
    assert most_frequent_colours(catalogue_alone) == {"public"}
    assert found_in(catalogue_alone, [marker for marker in marked.markers if not marker.private])


def test_no_marker_is_beside_the_editions(built, marked):
    beside = {
        name: content for name, content in contents(built).items() if not name.startswith(("catalogue", "binder"))
    }
    assert beside == {}


def test_what_is_kept_of_the_records_lies_elsewhere_and_the_search_finds_it(built, marked):
    """So the search would find it below the output too."""
    place = cache_of(built.parent / "collection").folder
    assert not place.is_relative_to(built.parent)
    assert len(found_in(place, marked.private)) > 200


def test_the_folder_of_the_binder_says_that_it_is_private(built):
    said = (built / "binder/README.txt").read_text()
    assert said.startswith("PRIVATE") and 'upload the folder "catalogue" alone' in said
    assert not (built / "catalogue/README.txt").exists()


def test_the_search_finds_each_of_them_in_the_binder(built, marked):
    found = {
        marker for content in contents(built / "binder").values() for marker in markers_in(content, marked.private)
    }
    assert {marker.place for marker in set(marked.private) - found} <= NOT_IN_BINDER
    assert len(found) > 300


def test_the_search_finds_words_in_other_encodings_too(marked):
    marker = marked.private[0]
    for encoding in ("utf-8", "utf-16-le", "utf-16-be", "utf-32"):
        assert markers_in(f"before{marker.forms[0].upper()}after".encode(encoding), marked.private) == {marker}


@pytest.mark.parametrize("space", [" ", "\n  ", "\u00a0", "\u202f", "&nbsp;"])
def test_the_search_finds_days_whatever_spaces_are_in_them(marked, space):
    marker = next(marker for marker in marked.private if marker.place == "Loan.due")
    written = f"due: {marker.forms[1].replace(' ', space)}, it says"
    assert markers_in(written.encode(), marked.private) == {marker}


def test_what_is_public_is_in_the_catalogue(built, marked):
    public = [marker for marker in marked.markers if not marker.private and marker.place.startswith("Quilt.")]
    found = {marker for content in contents(built / "catalogue").values() for marker in markers_in(content, public)}
    assert {marker.place for marker in set(public) - found} == set()


def test_nothing_in_the_catalogue_leads_to_a_private_quilt(built, marked):
    hidden = marked.private_quilt.encode()
    for name, content in contents(built / "catalogue").items():
        assert hidden not in content, name
    assert any(hidden in content for content in contents(built / "binder").values())
    for told in ("catalogue.json", "feed.xml", "sitemap.xml", "quilts/a-quilt-that-arrived.html"):
        assert (built / "catalogue" / told).is_file()


# Photos -----------------------------------------------------------------------------------------


def pictures(edition: Path) -> list[Path]:
    found = [
        path
        for path in edition.rglob("*")
        if path.suffix.lower() in (".jpg", ".jpeg", ".png", ".webp", ".avif", ".gif")
    ]
    assert found
    return found


@pytest.mark.parametrize("edition", ["catalogue", "binder"])
@pytest.mark.parametrize("secret", IN_PHOTOS.values(), ids=IN_PHOTOS)
def test_no_note_of_a_camera_is_in_any_byte_of_an_edition(built, edition, secret):
    assert any(secret.encode() in photo.read_bytes() for photo in (built.parent / "collection" / "photos").iterdir())
    for name, content in contents(built / edition).items():
        assert secret.encode() not in content.replace(b"\0", b""), name


@pytest.mark.parametrize("edition", ["catalogue", "binder"])
def test_no_picture_of_an_edition_carries_anything_beside_its_points(built, edition):
    for path in pictures(built / edition):
        with Image.open(path) as picture:
            assert set(picture.info) <= {"jfif", "jfif_version", "jfif_unit", "jfif_density"}, path.name
            assert not picture.getexif()
            assert [name for name, _ in picture.applist] == ["APP0"]
            assert picture.info["jfif_density"] == (1, 1)


def is_near(one: tuple[int, ...], other: tuple[int, ...]) -> bool:
    return all(abs(a - b) <= 24 for a, b in zip(one, other, strict=True))


def most_frequent_colours(edition: Path) -> set[str]:
    seen = set()
    for path in pictures(edition):
        with Image.open(path) as picture:
            colour = max(picture.convert("RGB").getcolors(1 << 24))[1]
        seen |= (
            {"private"}
            if is_near(colour, PRIVATE_COLOUR)
            else {"public"}
            if is_near(colour, PUBLIC_COLOUR)
            else {"other"}
        )
    return seen


def test_no_private_photo_is_among_the_pictures(built):
    assert most_frequent_colours(built / "catalogue") == {"public"}
    assert most_frequent_colours(built / "binder") == {"public", "private"}


def colours_said(edition: Path) -> set[tuple[int, ...]]:
    """All colours that are written as #rrggbb anywhere in an edition."""
    said = {match for content in contents(edition).values() for match in re.findall(rb"#([0-9a-f]{6})\b", content)}
    return {tuple(bytes.fromhex(colour.decode())) for colour in said}


def test_no_colour_read_from_a_private_photo_is_said(built):
    """A strip in the colour of a private photo would tell of it, though the photo is not there."""
    assert not any(is_near(colour, PRIVATE_COLOUR) for colour in colours_said(built / "catalogue"))
    assert any(is_near(colour, PUBLIC_COLOUR) for colour in colours_said(built / "catalogue"))
    assert any(is_near(colour, PRIVATE_COLOUR) for colour in colours_said(built / "binder"))
