"""What the desk says: what deserves a look, what was added, what is there already, and what would be lost."""

import re
from collections.abc import Iterator

import pytest
from desk_served import DeskServed, write_records
from playwright.sync_api import Dialog, Page, expect

NO_SCRIPTS = {"javascript": False}


@pytest.fixture(scope="module")
def desk(tmp_path_factory) -> Iterator[DeskServed]:
    folder = tmp_path_factory.mktemp("desk that speaks") / "mine"
    write_records(folder)
    served = DeskServed(folder, tmp_path_factory.mktemp("cache"))
    served.read("/binder/index.html")
    yield served
    served.close()


@pytest.fixture
def at(desk, open_page):
    return lambda path, **seen_by: open_page(desk.opening(path), within=desk.url, kept=True, **seen_by)


def save(page: Page) -> None:
    page.get_by_role("button", name="Save", exact=True).click()


def size(page: Page):
    """The size categories of the first line of a request."""
    return page.get_by_role("group", name="Size", exact=True).first


# What deserves a look ---------------------------------------------------------------------------


@pytest.mark.parametrize("seen_by", [{}, NO_SCRIPTS], ids=["with scripts", "without"])
def test_a_size_that_no_quilt_has_is_saved_and_told_beside_its_field(desk, at, seen_by):
    page = at("/desk/edit/requests/spring", **seen_by)
    size(page).get_by_label("Or in other words").fill("small")
    save(page)
    expect(page.get_by_text("Saved. The pages are being built.")).to_be_visible()
    assert "size: [small]" in desk.text("requests/spring.yaml")
    expect(page.get_by_role("heading", name="One thing to look at")).to_be_visible()
    said = size(page).locator(".fault")
    expect(said).to_contain_text("No quilt is of the size “small”.")
    expect(size(page)).to_have_attribute("aria-describedby", "hint-lines.0.size warning-lines.0.size")
    expect(page).not_to_have_title("To put right")

    page.goto(f"{desk.url}desk/")
    told = page.get_by_role("region", name="To look at").get_by_role("listitem")
    expect(told).to_contain_text("River Street Shelter, asked 1 March 2026: Line 1: Size")
    told.get_by_role("link", name="Look at it").click()
    expect(size(page).get_by_label("Or in other words")).to_have_value("small")
    size(page).get_by_label("Or in other words").fill("")
    save(page)
    assert "size" not in desk.text("requests/spring.yaml")


def test_sizes_are_ticked_or_written_and_what_stands_there_keeps_its_place(desk, at):
    before = desk.text("requests/spring.yaml")
    record = desk.folder / "requests" / "spring.yaml"
    record.write_text(before.replace("count: 2}", "count: 2, size: [throw, Baby]}"))
    page = at("/desk/edit/requests/spring", **NO_SCRIPTS)
    expect(size(page).get_by_role("checkbox", name="baby")).to_be_checked()
    expect(size(page).get_by_label("Or in other words")).to_have_value("throw")
    size(page).get_by_role("checkbox", name="twin").check()
    save(page)
    # "Saved." is passed over where the pages are built by then.
    expect(page.get_by_role("heading", level=1)).to_have_text(re.compile("^(Saved\\.|Requests)$"))
    assert "size: [throw, Baby, twin]" in desk.text("requests/spring.yaml")
    record.write_text(before)


def test_nothing_is_written_where_ticks_and_words_are_as_they_were(desk, at):
    before = desk.text("requests/spring.yaml")
    record = desk.folder / "requests" / "spring.yaml"
    record.write_text(before.replace("count: 2}", "count: 2, size: [throw, Baby]}"))
    page = at("/desk/edit/requests/spring")
    save(page)
    expect(page.get_by_role("heading", level=1)).to_have_text("Nothing was changed: the file says this already.")
    record.write_text(before)


# What was added ---------------------------------------------------------------------------------


@pytest.mark.parametrize("seen_by", [{}, NO_SCRIPTS], ids=["with scripts", "without"])
def test_a_charity_that_was_just_begun_is_said_to_be_added_though_its_form_was_left_as_it_was(desk, at, seen_by):
    name = "The Wren Ward" if seen_by else "The Larch Ward"
    page = at("/desk/new/partner", **seen_by)
    page.get_by_label("Name").fill(name)
    page.get_by_role("button", name="Begin its record").click()
    expect(page.get_by_role("status")).to_contain_text(f"{name} was added.")
    save(page)
    expect(page.get_by_role("heading", level=1)).to_have_text(f"{name} was added.")


# What would be lost -----------------------------------------------------------------------------


def leaving_asks(page: Page, leave) -> bool:
    """Does the browser ask before the page is left? It is left all the same."""
    asked: list[str] = []

    def answer(dialog: Dialog) -> None:
        asked.append(dialog.type)
        dialog.accept()

    page.on("dialog", answer)
    leave()
    page.wait_for_load_state()
    page.remove_listener("dialog", answer)
    return asked == ["beforeunload"]


def follow(page: Page, name: str) -> None:
    address = page.url
    page.get_by_role("link", name=name, exact=True).first.click()
    expect(page).not_to_have_url(address)


def test_a_form_that_was_changed_is_not_left_without_a_word(desk, at):
    page = at("/desk/edit/quilts/kept-one")
    page.get_by_label("Where it lies").fill("Attic")
    assert leaving_asks(page, lambda: follow(page, "What was changed"))


def test_a_form_that_was_not_changed_or_is_left_on_purpose_or_sent_is_left_at_once(desk, at):
    page = at("/desk/edit/quilts/kept-one")
    page.get_by_label("Where it lies").fill("Attic")
    page.get_by_label("Where it lies").fill("")
    assert not leaving_asks(page, lambda: follow(page, "What was changed"))
    page.goto(f"{desk.url}desk/edit/quilts/kept-one")
    page.get_by_label("Where it lies").fill("Attic")
    assert not leaving_asks(page, lambda: follow(page, "Leave without saving"))
    page.goto(f"{desk.url}desk/edit/quilts/kept-one")
    page.get_by_label("Where it lies").fill("Attic")
    assert not leaving_asks(page, lambda: save(page))
    expect(page).to_have_url(f"{desk.url}binder/quilts/kept-one.html")


def test_what_is_shown_again_to_be_put_right_is_still_unsaved(desk, at):
    page = at("/desk/edit/quilts/ebb")
    page.get_by_label("Size", exact=True).fill("52 by")
    save(page)
    expect(page.get_by_role("alert")).to_be_focused()
    page.get_by_label("Size", exact=True).click()
    assert leaving_asks(page, lambda: follow(page, "What was changed"))


# What is there already --------------------------------------------------------------------------


@pytest.mark.parametrize("seen_by", [{}, NO_SCRIPTS], ids=["with scripts", "without"])
def test_a_second_quilt_of_one_title_is_added_only_when_that_is_meant(desk, at, seen_by):
    before = set(desk.folder.glob("quilts/*"))
    page = at("/desk/new/quilt", **seen_by)
    page.get_by_label("What it is called").fill(" bramble ")
    page.get_by_role("button", name="Add this quilt").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("There is already a quilt called Bramble")
    expect(page.get_by_role("link", name="Open its form")).to_have_attribute("href", "/desk/edit/quilts/bramble")
    assert set(desk.folder.glob("quilts/*")) == before
    page.get_by_role("button", name="It is another quilt: add it").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("bramble")
    (added,) = set(desk.folder.glob("quilts/*")) - before
    added.unlink()


@pytest.mark.parametrize("seen_by", [{}, NO_SCRIPTS], ids=["with scripts", "without"])
def test_a_second_charity_or_request_of_one_name_is_added_only_when_that_is_meant(desk, at, seen_by):
    before = set(desk.folder.glob("*/*"))
    page = at("/desk/new/partner", **seen_by)
    page.get_by_label("Name").fill("river street SHELTER")
    page.get_by_role("button", name="Begin its record").click()
    expect(page.get_by_role("alert").get_by_role("link")).to_have_text("River Street Shelter")
    assert set(desk.folder.glob("*/*")) == before
    page.goto(f"{desk.url}desk/new/request")
    page.get_by_label("Which charity asks?").select_option("River Street Shelter")
    page.get_by_label("When did it come?").fill("2026-03-01")
    page.get_by_label("A short name for what they ask").fill("laps")
    page.get_by_label("How many?").fill("3")
    page.get_by_role("button", name="Begin its record").click()
    expect(page.get_by_role("alert").get_by_role("link")).to_have_text("River Street Shelter, asked 1 March 2026")
    assert set(desk.folder.glob("*/*")) == before
    page.get_by_role("button", name="Add it anyway").click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("River Street Shelter")
    (added,) = set(desk.folder.glob("*/*")) - before
    added.unlink()


@pytest.mark.parametrize("seen_by", [{}, NO_SCRIPTS], ids=["with scripts", "without"])
def test_a_quilt_that_is_given_the_title_of_another_is_saved_and_that_is_said_beside_it(desk, at, seen_by):
    before = desk.text("quilts/bramble.yaml")
    page = at("/desk/edit/quilts/bramble", **seen_by)
    page.get_by_label(re.compile(r"^Title")).fill("ebb")
    save(page)
    expect(page.get_by_text("Saved. The pages are being built.")).to_be_visible()
    said = page.get_by_role("status").filter(has_text="One thing to look at")
    expect(said).to_be_visible()
    expect(said.get_by_role("listitem")).to_have_text(
        "Title: Another quilt is called that too: Ebb. If they are two, a word more in the title would tell them apart."
    )
    expect(page.locator("#field-title .fault")).to_contain_text("Another quilt is called that too: Ebb.")

    page.goto(f"{desk.url}desk/")
    told = page.get_by_role("region", name="To look at").get_by_role("listitem")
    expect(told).to_have_count(2)
    expect(told.first).to_contain_text("Another quilt is called that too")
    expect(told.first).not_to_contain_text(".yaml")
    (desk.folder / "quilts/bramble.yaml").write_text(before)
