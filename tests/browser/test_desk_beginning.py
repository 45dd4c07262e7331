"""From an empty folder to the first page of a catalogue, at the desk."""

from collections.abc import Iterator

import pytest
from desk_served import DeskServed
from playwright.sync_api import expect

from collection.loading.loader import read_collection


@pytest.fixture
def nothing(tmp_path) -> Iterator[DeskServed]:
    served = DeskServed(tmp_path / "my quilts", tmp_path / "cache")
    yield served
    served.close()


def test_an_empty_folder_becomes_a_catalogue_page_at_the_desk(nothing, open_page, a_photo, tmp_path):
    photo = a_photo(tmp_path / "IMG_2041.jpg")
    page = open_page(nothing.opening("/"), within=nothing.url)
    expect(page.get_by_role("heading", level=1)).to_have_text("Begin a collection")
    assert not nothing.folder.exists()
    page.get_by_role("button", name="Begin").click()
    expect(page.get_by_role("alert")).to_contain_text("Give the collection a name")
    page.get_by_label("What is the collection called?").fill("Quilts of mine: all")
    page.get_by_label("Who makes the quilts?").fill("A Maker")
    page.get_by_role("button", name="Begin").click()
    page.get_by_label("Photos", exact=True).set_input_files(photo)
    page.get_by_label("What it is called").fill("Low Tide")
    page.get_by_role("button", name="Add this quilt").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Low Tide")
    page.get_by_role("link", name="Its page in the binder").click()
    page.goto(f"{nothing.url}catalogue/quilts/low-tide.html")
    expect(page.locator(".cover img")).to_be_visible()
    reading = read_collection(nothing.folder)
    assert reading.problems == ()
    assert reading.collection.settings.title == "Quilts of mine: all"
    assert reading.collection.settings.maker.name == "A Maker"
    assert (nothing.folder / "photos/low-tide/IMG_2041.jpg").read_bytes() == photo.read_bytes()


@pytest.fixture
def in_sweden(tmp_path, monkeypatch) -> Iterator[DeskServed]:
    """The same on a machine that is set up for Sweden."""
    monkeypatch.setenv("LC_ALL", "sv_SE.UTF-8")
    served = DeskServed(tmp_path / "mine", tmp_path / "cache")
    yield served
    served.close()


@pytest.mark.parametrize("seen_by", [{}, {"javascript": False}], ids=["with scripts", "without"])
def test_the_desk_asks_for_units_and_currency_with_the_places_own_first(in_sweden, open_page, seen_by):
    page = open_page(in_sweden.opening("/desk/begin"), within=in_sweden.url, **seen_by)
    currency = page.get_by_label("Which currency do you count in?")
    expect(currency).to_have_value("SEK")
    expect(page.get_by_label("centimetres")).to_be_checked()
    page.get_by_label("What is the collection called?").fill("Ours")
    currency.fill("shells")
    page.get_by_role("button", name="Begin").click()
    expect(page.get_by_role("alert")).to_contain_text("“shells” is not the code of a currency.")
    expect(currency).to_have_attribute("aria-invalid", "true")
    currency.fill("£")
    page.get_by_role("button", name="Begin").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Add a quilt")
    assert (in_sweden.folder / "collection.yaml").read_text() == "title: Ours\nunits: cm\ncurrency: GBP\n"


def test_a_machine_that_does_not_say_where_it_is_goes_by_the_browsers_language(tmp_path, monkeypatch):
    monkeypatch.setenv("LC_ALL", "C.UTF-8")
    served = DeskServed(tmp_path / "mine", tmp_path / "cache")
    try:
        page = served.ask("GET", "/desk/begin", Accept_Language="en-NZ,en;q=0.9").read().decode()
        assert 'name="currency" value="NZD"' in page
        assert 'name="currency" value=""' in served.ask("GET", "/desk/begin").read().decode()
    finally:
        served.close()


def test_a_folder_with_other_things_in_it_is_left_alone(tmp_path, open_page):
    (tmp_path / "taxes").mkdir()
    (tmp_path / "taxes" / "2025.txt").write_text("owed")
    served = DeskServed(tmp_path / "taxes", tmp_path / "cache")
    try:
        answer = served.ask("GET", "/desk/begin")
        assert answer.status == 409 and "holds something else" in answer.read().decode()
        sent = served.send("/desk/begin", {"secret": "x", "title": "Quilts"}, Origin=served.origin)
        assert sent.status == 403
        assert [path.name for path in (tmp_path / "taxes").iterdir()] == ["2025.txt"]
    finally:
        served.close()
