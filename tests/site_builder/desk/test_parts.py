"""The small parts of the desk: links put into pages, photos as they are sent, and IDs."""

from datetime import date
from pathlib import Path, PurePosixPath

import pytest
from tornado.httputil import HTTPFile

from collection.forms.form import text_digest
from collection.forms.load import form_for
from collection.loading.loader import read_collection
from collection.problems import Problem
from collection.records.collection import Collection
from collection.yaml_files.parser import read_yaml
from site_builder.building.editions import page_assets
from site_builder.desk.links import with_links
from site_builder.desk.new_collection import no_collection_in
from site_builder.desk.photos import uploads
from site_builder.desk.photos.records import new_quilt, with_photos
from site_builder.desk.photos.uploads import HeldPhotos, TakenPhoto, taken_photos
from site_builder.desk.problem_links import problem_links
from site_builder.desk.records.edit_pages import what_changed
from site_builder.desk.records.files import FormerTexts, new_id

DAY = date(2026, 5, 12)
PAGE = b'<html><head></head><body><main class="main" id="main">\n<h1>Low Tide</h1></main></body></html>'


# Links in pages ---------------------------------------------------------------------------------


def test_a_quilts_page_leads_to_its_form_and_its_photos():
    page = with_links(PAGE, "quilts/blåbær.html").decode()
    assert 'href="/desk/edit/quilts/bl%C3%A5b%C3%A6r"' in page
    assert 'href="/desk/photos/bl%C3%A5b%C3%A6r"' in page
    assert page.index("/desk/edit/") < page.index("<h1>")


def test_a_mark_for_a_field_becomes_a_link_to_that_field():
    page = PAGE.replace(b"<h1>", b'<p data-edit="quilts/low-tide#care.washed">Washed?</p><h1>')
    assert (
        b'<a class="desk-edit" href="/desk/edit/quilts/low-tide#field-care.washed" aria-label="Fill in: Low Tide, Care: Washed">'
        in with_links(page, "gaps.html", name_of={"quilts/low-tide": "Low Tide"}.get)
    )


def test_a_failed_build_is_told_on_each_page():
    assert b"/desk/#trouble" in with_links(PAGE, "index.html", build_failed=True)
    assert b"trouble" not in with_links(PAGE, "index.html")


def test_a_page_that_is_not_of_the_binder_stays_as_it_is():
    other = b"<html><head></head><body><main>Else</main></body></html>"
    assert with_links(other, "quilts/low-tide.html") == other


def test_a_problem_leads_to_its_field_as_the_form_counts_it():
    told = problem_links([
        Problem("quilts/low-tide.yaml", 7, "photos.2.file", "x", "Write a name."),
        Problem("collection.yaml", 1, "units", "m", "Write in or cm."),
        Problem("pages/about.md", 1, "", "", "Not text."),
    ])  # fmt: skip
    assert [each.mend for each in told] == [
        "/desk/edit/quilts/low-tide#field-photos.1.file", "/desk/edit/collection#field-units", None,
    ]  # fmt: skip


# Photos -----------------------------------------------------------------------------------------


def test_a_size_that_may_be_in_centimetres_leads_to_its_field_in_the_words_of_the_forms(tmp_path):
    (tmp_path / "quilts").mkdir()
    (tmp_path / "quilts" / "low-tide.yaml").write_text("title: Low Tide\nfinished_size: 150 x 200\n")
    reading = read_collection(tmp_path)
    (told,) = problem_links(reading.problems, reading)
    assert (told.place, told.field, told.found) == ("Low Tide", "Size", "150 x 200")
    assert told.mend == "/desk/edit/quilts/low-tide#field-finished_size"
    assert "Choose cm under “Units” in the form of the collection itself" in told.remedy


def sent(name: str, content: bytes) -> HTTPFile:
    return HTTPFile(filename=name, body=content, content_type="image/jpeg")


def new_photos(folder: Path, photos: list) -> dict[str, bytes]:
    """What is written for a new quilt of these photos."""
    quilt_id, _, changes = new_quilt(Collection(folder), "Low Tide", photos)
    assert quilt_id == "low-tide"
    return {change.name: change.new for change in changes.changes}


def test_a_photo_is_kept_byte_for_byte_in_the_folder_of_its_quilt(tmp_path, a_photo):
    content = a_photo(tmp_path / "x.jpg").read_bytes()
    photos, faults = taken_photos([sent("IMG_1.JPG", content)], on=DAY)
    assert not faults
    assert new_photos(tmp_path, photos) == {
        "quilts/low-tide.yaml": b"title: Low Tide\nphotos: [low-tide/IMG_1.JPG]\n",
        "photos/low-tide/IMG_1.JPG": content,
    }


@pytest.mark.parametrize(("content", "told"), [
    (b"", "empty"), (b"%PDF-1.7 ...", "x.jpg"), (b"\xff\xd8\xff" + b"\0" * 50, "x.jpg"), (b"MZ\x90\0" * 20, "x.jpg"),
])  # fmt: skip
def test_what_is_no_photo_is_told_by_its_name(content, told):
    photos, faults = taken_photos([sent("x.jpg", content)], on=DAY)
    assert not photos
    assert len(faults) == 1 and told in faults[0]


def test_a_photo_over_the_limit_is_told_with_the_limit(monkeypatch, tmp_path, a_photo):
    monkeypatch.setattr(uploads, "MOST_PHOTO_BYTES", 1000)
    photos, faults = taken_photos([sent("large.jpg", a_photo(tmp_path / "x.jpg").read_bytes())], on=DAY)
    assert not photos and "large.jpg" in faults[0] and "is the most" in faults[0]


@pytest.mark.parametrize(
    "name",
    [
        "../../etc/passwd.jpg",
        "C:\\photos\\..\\Low Tide.jpg",
        "..",
        ".jpg",
        "a/b/../c.jpg",
        "💐.jpg",
        "x" * 300 + ".jpg",
        "a\0b.jpg",
    ],
)
def test_the_name_of_a_photo_never_leads_elsewhere(tmp_path, a_photo, name):
    photos, _ = taken_photos([sent(name, a_photo(tmp_path / "x.jpg").read_bytes())], on=DAY)
    written = new_photos(tmp_path, photos).keys() - {"quilts/low-tide.yaml"}
    (only,) = (PurePosixPath(each) for each in written)
    assert only.parent.as_posix() == "photos/low-tide"
    assert not only.name.startswith(".") and "\\" not in only.name and len(only.name.encode()) < 200


def test_two_photos_of_one_name_are_both_kept(tmp_path, a_photo):
    contents = [a_photo(tmp_path / f"{colour}.jpg", colour=colour).read_bytes() for colour in ("navy", "tan")]
    photos, _ = taken_photos([sent("IMG_1.jpg", content) for content in contents], on=DAY)
    written = new_photos(tmp_path, photos)
    assert sorted(content for name, content in written.items() if name.startswith("photos/")) == sorted(contents)


@pytest.mark.parametrize(("written", "expected"), [
    ("title: Low Tide  # mine\n", ["low-tide/a.jpg"]),
    ("title: Low Tide\nphotos: x.jpg\n", ["x.jpg", "low-tide/a.jpg"]),
    ("title: Low Tide\nphotos: [x.jpg, y.jpg]\n", ["x.jpg", "y.jpg", "low-tide/a.jpg"]),
    ("title: Low Tide\nphotos:\n  # the front\n  - {file: x.jpg, shows: front}\n", [{"file": "x.jpg", "shows": "front"}, "low-tide/a.jpg"]),
])  # fmt: skip
def test_photos_join_whatever_the_record_has(tmp_path, a_photo, written, expected):
    (tmp_path / "quilts").mkdir()
    (tmp_path / "quilts" / "low-tide.yaml").write_text(written)
    photos, _ = taken_photos([sent("a.jpg", a_photo(tmp_path / "a.jpg").read_bytes())], on=DAY)
    changes = with_photos(Collection(tmp_path), "low-tide", photos, "")
    (text,) = (change.new.decode() for change in changes.changes if change.name.endswith(".yaml"))
    assert read_yaml(text.encode(), "x")[0].data["photos"] == expected
    assert all(comment in text for comment in ("# mine", "# the front") if comment in written)


def test_held_photos_are_bounded_and_the_newest_stay(monkeypatch):
    monkeypatch.setattr(uploads, "HELD_BYTES", 100)
    held = HeldPhotos()
    first, second = (held.hold([TakenPhoto(None, b"x" * 60)]) for _ in range(2))
    assert held.look(first) == [] and len(held.look(second)) == 1
    held.let_go(second)
    assert held.look(second) == []


# Records ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(("words", "taken", "expected"), [
    ("Low Tide", [], "low-tide"),
    ("Low Tide", ["low-tide", "low-tide-2"], "low-tide-3"),
    ("CON", [], "con-1"),
    ("../..", [], "unnamed"),
    ("Blåbær & Co.", [], "blåbær-co"),
])  # fmt: skip
def test_an_id_is_new_and_sound(words, taken, expected):
    assert new_id(words, taken) == expected


def test_former_texts_are_found_by_their_digest_and_bounded():
    former = FormerTexts()
    former.remember("first")
    for number in range(200):
        former.remember(f"text {number}")
    assert former.text(text_digest("first")) is None
    assert former.text(text_digest("text 199")) == "text 199"


# Places -----------------------------------------------------------------------------------------


def test_only_an_empty_or_missing_folder_can_be_begun_in(tmp_path):
    assert no_collection_in(tmp_path / "new")
    assert no_collection_in(tmp_path)
    (tmp_path / ".DS_Store").write_bytes(b"")
    assert no_collection_in(tmp_path)
    (tmp_path / "notes.txt").write_text("mine")
    assert not no_collection_in(tmp_path)
    assert not no_collection_in(tmp_path / "notes.txt")


def test_no_style_or_script_of_the_desk_goes_into_an_edition():
    own = {path.name for path in (Path(uploads.__file__).parents[1] / "assets").iterdir()}
    assert own and not own & {Path(name).name for name in page_assets()}


def test_the_log_names_what_a_form_changed():
    def form(text: str):
        return form_for("quilt", "low-tide", text, Collection(Path("nowhere")))

    before = form("title: Low Tide\nkept_at: Attic\n")
    assert what_changed(before, form("title: Ebb\nfinished_size: 60 x 72\n")) == "title, size and where it lies"
    assert what_changed(before, before) == "written anew"
