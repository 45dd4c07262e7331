"""Working at the desk: records, photos, moves, matching and taking back, as a person does it."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from desk_served import DeskServed, write_records
from playwright.sync_api import Page, expect

from collection.loading.loader import read_collection

NO_SCRIPTS = {"javascript": False}


@pytest.fixture(scope="module")
def photos(tmp_path_factory, draw_photo) -> dict[str, Path]:
    """Photos on the maker's own disk, and a file that is none."""
    folder = tmp_path_factory.mktemp("from the phone")
    found = {
        name: draw_photo(folder / f"{name}.jpg", colour)
        for name, colour in (("Winter Sea", "navy"), ("front", "teal"), ("back", "tan"))
    }
    found["letter"] = folder / "letter.jpg"
    found["letter"].write_text("Dear maker,\n" * 20)
    return found


@pytest.fixture(scope="module")
def draw_photo():
    from PIL import Image, ImageDraw

    def draw(path: Path, colour: str) -> Path:
        picture = Image.new("RGB", (600, 800), colour)
        pen = ImageDraw.Draw(picture)
        step = 40 + 11 * len(path.stem)
        for at in range(0, 800, step):
            pen.rectangle((at, at // 2, at + step // 2, at + step), fill="white")
        path.parent.mkdir(parents=True, exist_ok=True)
        picture.save(path)
        return path

    return draw


@pytest.fixture(scope="module")
def desk(tmp_path_factory, draw_photo) -> Iterator[DeskServed]:
    folder = tmp_path_factory.mktemp("desk") / "mine"
    write_records(folder, name_photo=True)
    draw_photo(folder / "photos" / "low-tide" / "front.jpg", "seagreen")
    served = DeskServed(folder, tmp_path_factory.mktemp("cache"))
    served.read("/binder/index.html")
    yield served
    served.close()


@pytest.fixture
def at(desk, open_page):
    """`at("/desk/…")` -> the page; what else is given says who looks at it."""
    return lambda path, **seen_by: open_page(desk.opening(path), within=desk.url, **({"kept": True} | seen_by))


def save(page: Page) -> None:
    page.get_by_role("button", name="Save", exact=True).click()


def field(page: Page, name: str):
    return page.locator(f'[name="{name}"]:not([type=hidden])')


def test_the_binder_leads_to_the_form_and_the_form_back_to_the_page_once_it_is_built(desk, at):
    page = at("/binder/quilts/low-tide.html")
    page.get_by_role("link", name="Edit this quilt").click()
    expect(page.get_by_label("Where it lies")).to_have_value("")
    page.get_by_label("Where it lies").fill("Cedar chest")
    save(page)
    expect(page).to_have_url(f"{desk.url}binder/quilts/low-tide.html")
    expect(page.get_by_text("Cedar chest")).to_be_visible()
    text = desk.text("quilts/low-tide.yaml")
    assert text.startswith("title: Low Tide  # the harbour\n# measured twice\nfinished_size: 50 x 60\n")
    assert "kept_at: Cedar chest\n" in text


def test_a_bad_size_is_told_beside_its_field_and_mended_there(desk, at):
    before = desk.text("quilts/ebb.yaml")
    page = at("/desk/edit/quilts/ebb")
    size = page.get_by_label("Size", exact=True)
    size.fill("52 by")
    save(page)
    summary = page.get_by_role("alert")
    expect(summary).to_be_focused()
    expect(page).to_have_title(re.compile("^To put right: "))
    summary.get_by_role("link", name="Size").click()
    expect(size).to_be_focused()
    expect(size).to_have_value("52 by")
    expect(size).to_have_attribute("aria-invalid", "true")
    fault = page.locator(f"#{size.get_attribute('aria-describedby').split()[-1].replace('.', chr(92) + '.')}")
    expect(fault).to_contain_text("52 by")
    assert desk.text("quilts/ebb.yaml") == before
    size.fill("52 1/2 x 63")
    page.keyboard.press("Enter")
    expect(page).to_have_url(f"{desk.url}binder/quilts/ebb.html")
    assert desk.text("quilts/ebb.yaml") == before.replace("52 x 62", "52 1/2 x 63")


def test_what_an_editor_wrote_meanwhile_is_kept_and_shown(desk, at):
    page = at("/desk/edit/quilts/kept-one")
    page.get_by_label("Title").fill("Kept by me")
    page.get_by_label("Where it lies").fill("Attic")
    record = desk.folder / "quilts" / "kept-one.yaml"
    record.write_text("title: Kept by them  # in the editor\ndestination: kept\nmade: 1990s\n")
    save(page)
    told = page.get_by_role("alert")
    expect(told).to_contain_text("changed while this form was open")
    expect(told.get_by_role("row", name="Title")).to_contain_text("Kept by them")
    expect(told.get_by_role("row", name="Title")).to_contain_text("Kept by me")
    expect(told.get_by_role("row")).to_have_count(3)  # its head, the title, and where it lies
    assert desk.text("quilts/kept-one.yaml").startswith("title: Kept by them")
    expect(page.get_by_label("When it was made")).to_have_value("1990s")
    save(page)
    expect(page).to_have_url(f"{desk.url}binder/quilts/kept-one.html")
    assert desk.text("quilts/kept-one.yaml").startswith("title: Kept by me  # in the editor\n")
    assert "made: 1990s\n" in desk.text("quilts/kept-one.yaml")


def test_of_two_tabs_the_second_sees_what_the_first_saved(desk, at):
    first, second = (at("/desk/edit/partners/nell#field-contact.person", kept=False) for _ in range(2))
    field(first, "contact.person").fill("Nell herself")
    save(first)
    expect(first).to_have_url(f"{desk.url}binder/recipients.html")
    field(second, "notes").fill("Comes on Tuesdays")
    save(second)
    expect(second.get_by_role("alert")).to_contain_text("changed while this form was open")
    save(second)
    expect(second).to_have_url(f"{desk.url}binder/recipients.html")
    assert "Nell herself" in desk.text("partners/nell.yaml")
    assert "Comes on Tuesdays" in desk.text("partners/nell.yaml")


def test_a_quilt_is_added_from_a_dropped_photo(desk, at, photos):
    page = at("/desk/")
    content = photos["Winter Sea"].read_bytes()
    dropped = page.evaluate_handle(
        """bytes => { const carried = new DataTransfer();
        carried.items.add(new File([new Uint8Array(bytes)], "Winter Sea.jpg", {type: "image/jpeg"})); return carried; }""",
        list(content),
    )
    page.dispatch_event("[data-drop]", "drop", {"dataTransfer": dropped})
    expect(page.get_by_role("list", name="Photos that will be added")).to_contain_text("Winter Sea.jpg")
    page.get_by_role("button", name="Add this quilt").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Winter Sea")
    assert (desk.folder / "photos/winter-sea/Winter Sea.jpg").read_bytes() == content
    assert desk.text("quilts/winter-sea.yaml") == "title: Winter Sea\nphotos: [winter-sea/Winter Sea.jpg]\n"
    page.get_by_label("Size", exact=True).fill("60 x 72")
    save(page)
    expect(page).to_have_url(f"{desk.url}binder/quilts/winter-sea.html")
    expect(page.locator(".cover img")).to_be_visible()


def test_a_photo_that_is_there_already_is_noticed_and_may_be_another_quilt(desk, at):
    page = at("/desk/new/quilt")
    page.get_by_label("Photos", exact=True).set_input_files(desk.folder / "photos/low-tide/front.jpg")
    page.get_by_role("button", name="Add this quilt").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("This looks like a photo you have")
    expect(page.get_by_role("heading", level=2)).to_have_text("Low Tide")
    page.get_by_role("button", name="It is another quilt: add it").click()
    expect(page).to_have_url(re.compile("/desk/edit/quilts/"))
    assert read_collection(desk.folder).errors == ()


def test_a_file_that_is_no_photo_is_refused_in_words(desk, at, photos):
    page = at("/desk/new/quilt")
    page.get_by_label("Photos", exact=True).set_input_files(photos["letter"])
    page.get_by_role("button", name="Add this quilt").click()
    expect(page.get_by_role("alert")).to_contain_text("letter.jpg")
    assert not list(desk.folder.glob("photos/letter*"))


def test_photos_are_added_to_a_quilt_without_scripts(desk, at, photos):
    page = at("/desk/photos/bramble", **NO_SCRIPTS)
    page.get_by_label("Photos", exact=True).set_input_files([photos["front"], photos["back"]])
    page.get_by_label("What they show").select_option("detail")
    page.get_by_role("button", name="Add the photos").click()
    page.get_by_role("link", name="Show the page when it is built").click()
    expect(page).to_have_url(f"{desk.url}binder/quilts/bramble.html")
    quilt = read_collection(desk.folder).collection.quilts["bramble"]
    assert [(photo.file, photo.shows) for photo in quilt.photos] == [
        ("bramble/front.jpg", "detail"),
        ("bramble/back.jpg", "detail"),
    ]


def test_a_record_is_written_without_scripts(desk, at):
    page = at("/desk/new/partner", **NO_SCRIPTS)
    page.get_by_label("Name").fill("The Wren Ward")
    page.get_by_role("button", name="Begin its record").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("The Wren Ward")
    field(page, "url").fill("wren")
    save(page)
    expect(page.get_by_role("alert")).to_contain_text("One thing to put right")
    field(page, "url").fill("https://wren.example")
    save(page)
    page.get_by_role("link", name="Show the page when it is built").click()
    expect(page).to_have_url(f"{desk.url}binder/recipients.html")
    assert "url: https://wren.example" in desk.text("partners/the-wren-ward.yaml")


def test_a_match_is_promised_handed_over_with_its_sheet_and_taken_back(desk, at):
    before = {name: desk.text(name) for name in ("quilts/low-tide.yaml", "quilts/ebb.yaml")}
    page = at("/desk/match")
    for box in page.get_by_role("checkbox").all():
        box.uncheck()
    page.get_by_role("checkbox", name="Low Tide").check()
    page.get_by_role("button", name="Show what would be promised").click()
    expect(page.locator(".shown-changes")).to_contain_text("Looking for a home; now promised to River Street Shelter.")
    assert "promised" not in desk.text("quilts/low-tide.yaml")
    page.get_by_role("button", name="Record this").click()
    expect(page).to_have_url(f"{desk.url}binder/quilts/low-tide.html")
    assert "request: spring" in desk.text("quilts/low-tide.yaml")

    page.goto(f"{desk.url}desk/move/hand-over")
    page.get_by_label("Who takes them?").select_option("nell")
    page.get_by_role("button", name="Show what would change").click()
    expect(page.get_by_role("alert")).to_contain_text("Choose at least one quilt.")
    for title in ("Low Tide", "Ebb"):
        page.get_by_role("checkbox", name=title).check()
    expect(page.locator(".chosen-count")).to_have_text("2 quilts ticked")
    page.get_by_role("button", name="Show what would change").click()
    page.get_by_role("button", name="Record this").click()
    expect(page.get_by_role("status")).to_have_text("The pages are built.")
    assert "handed_over: 2026-05-12" in desk.text("quilts/ebb.yaml")
    sheet = desk.read(page.get_by_role("link", name="Print the sheet that goes with them").get_attribute("href"))
    assert "Low Tide" in sheet and "Ebb" in sheet and "data:image/jpeg" in sheet

    for what in ("handed over to Nell", "promised to River Street Shelter"):
        page.goto(f"{desk.url}desk/changes")
        page.get_by_role("link", name="Take it back").click()
        expect(page.locator(".changes")).to_contain_text(what)
        page.get_by_role("button", name="Take it back").click()
        expect(page).to_have_url(f"{desk.url}desk/changes")
    assert {name: desk.text(name) for name in before} == before


def test_what_was_shown_is_what_is_recorded_or_it_is_shown_again(desk, at):
    page = at("/desk/move/hand-over?quilt=ebb&through=nell&on=2026-05-12&show=yes")
    record, before = desk.folder / "quilts" / "ebb.yaml", desk.text("quilts/ebb.yaml")
    record.write_text(before.replace("destination: free", "destination: kept"))
    page.get_by_role("button", name="Record this").click()
    expect(page.get_by_role("alert")).to_contain_text("Ebb is kept")
    record.write_text(before)


def test_a_mistake_in_a_file_is_shown_with_the_way_to_mend_it(desk, at):
    record, before = desk.folder / "quilts" / "ebb.yaml", desk.text("quilts/ebb.yaml")
    page = at("/binder/index.html")
    record.write_text(before.replace("52 1/2 x 63", "52 1/2 by").replace("52 x 62", "52 by"))
    expect(page.get_by_text("These pages are as they were before")).to_be_visible()
    page.get_by_role("link", name="See what it is").click()
    page.get_by_role("link", name="Mend it").click()
    size = page.get_by_label("Size", exact=True)
    expect(size).to_be_focused()
    size.fill("52 x 62")
    save(page)
    expect(page).to_have_url(f"{desk.url}binder/quilts/ebb.html")
    record.write_text(before)


def test_a_form_from_before_the_preview_was_started_anew_keeps_what_was_written(desk):
    answer = desk.send(
        "/desk/edit/quilts/kept-one", {"secret": "old", "kept_at": "Under the stairs"}, Origin=desk.origin
    )
    assert answer.status == 403
    assert 'value="Under the stairs"' in answer.read().decode()
    assert "Under the stairs" not in desk.text("quilts/kept-one.yaml")


def test_the_desk_is_worked_by_keyboard_alone(desk, at):
    page = at("/desk/move/lost?quilt=kept-one")
    page.get_by_label("A note for the history").focus()
    page.keyboard.type("not in the attic")
    page.keyboard.press("Enter")
    expect(page.locator(".shown-changes")).to_contain_text("now missed on 12 May 2026")
    page.keyboard.press("Tab")
    for _ in range(30):
        if page.evaluate("document.activeElement.textContent") == "Record this":
            break
        page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    expect(page).to_have_url(f"{desk.url}binder/quilts/kept-one.html")
    assert "not in the attic" in desk.text("quilts/kept-one.yaml")
