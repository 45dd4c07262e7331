"""A quilt's pictures, large, over its page."""

import re

import pytest
from letters import SIZES, shown_in
from playwright.sync_api import Page, expect


@pytest.fixture
def quilt(open_page, served_demo):
    """The page of a quilt with several pictures."""

    def open_quilt(**seen_by) -> Page:
        return open_page(f"{served_demo}catalogue/quilts/low-tide.html", within=served_demo, kept=True, **seen_by)

    return open_quilt


def viewer(page: Page):
    return page.get_by_role("dialog", name="Pictures, large")


def count_of_pictures(page: Page) -> int:
    return page.locator("a.larger").count()


def shown(page: Page) -> str:
    """The address of the picture that the viewer shows, once it is loaded."""
    picture = viewer(page).locator("img")
    expect(picture).to_have_js_property("complete", True)
    assert picture.evaluate("image => image.naturalWidth") > 0
    return picture.evaluate("image => image.src")


def addresses(page: Page) -> list[str]:
    return page.locator("a.larger").evaluate_all("links => links.map((link) => link.href)")


def test_a_click_opens_the_picture_that_was_clicked(quilt):
    page = quilt()
    page.locator("a.larger").nth(1).click()
    expect(viewer(page)).to_be_visible()
    assert shown(page) == addresses(page)[1]
    expect(viewer(page)).to_contain_text(f"Picture 2 of {count_of_pictures(page)}")


def test_it_is_worked_by_keyboard_alone_and_goes_round(quilt):
    page = quilt()
    links = addresses(page)
    page.locator("a.larger").first.focus()
    page.keyboard.press("Enter")
    expect(viewer(page)).to_be_visible()
    for key, picture in (("ArrowRight", 1), ("ArrowLeft", 0), ("ArrowLeft", -1), ("Home", 0), ("End", -1)):
        page.keyboard.press(key)
        assert shown(page) == links[picture]


def test_escape_closes_it_and_the_focus_goes_back_to_the_picture_that_was_opened(quilt):
    page = quilt()
    opener = page.locator("a.larger").nth(1)
    opener.focus()
    page.keyboard.press("Enter")
    page.keyboard.press("ArrowRight")
    page.keyboard.press("Escape")
    expect(viewer(page)).to_be_hidden()
    expect(opener).to_be_focused()


def test_its_buttons_turn_and_close(quilt):
    page = quilt()
    page.locator("a.larger").first.click()
    viewer(page).get_by_role("button", name="Next").click()
    assert shown(page) == addresses(page)[1]
    viewer(page).get_by_role("button", name="Close").click()
    expect(viewer(page)).to_be_hidden()


def test_the_focus_stays_within_it(quilt):
    page = quilt()
    page.locator("a.larger").first.click()
    for _ in range(8):
        page.keyboard.press("Tab")
        inside = "!document.activeElement.closest('main, header, footer')"
        assert page.evaluate(inside)


@pytest.mark.parametrize("letters", SIZES)
def test_on_a_phone_the_whole_picture_and_the_buttons_fit_the_screen(quilt, letters):
    page = quilt(screen="phone", letters=letters)
    assert shown_in(page) == letters
    page.locator("a.larger").first.click()
    shown(page)
    width, height = page.evaluate("[innerWidth, innerHeight]")
    for part in (viewer(page).locator("img"), *viewer(page).get_by_role("button").all()):
        box = part.bounding_box()
        assert box["x"] >= 0 and box["x"] + box["width"] <= width
        assert box["y"] >= 0 and box["y"] + box["height"] <= height


def test_the_page_beneath_does_not_scroll(quilt):
    page = quilt()
    page.locator("a.larger").first.click()
    expect(viewer(page)).to_be_visible()
    before = page.evaluate("scrollY")
    page.mouse.wheel(0, 600)
    assert page.evaluate("scrollY") == before


def test_without_scripts_and_from_the_disk_each_picture_is_a_link_to_its_largest_rendition(open_page, built_demo):
    base = f"{built_demo.as_uri()}/"
    page = open_page(f"{base}catalogue/quilts/low-tide.html", within=base, javascript=False)
    page.locator("a.larger").first.click()
    page.wait_for_url(re.compile(r"/pictures/.*\.jpg$"))
