"""Every page of the desk as it is met: by the rules of accessibility, on a phone, by keyboard, in the dark."""

from collections.abc import Iterator

import pytest
from browser_rules import axe_violations, crowded_words, keyboard_faults, pictures_not_shown, sideways_scroll
from desk_served import DeskServed, write_records
from letters import SIZES, shown_in

PAGES = {
    "front": "/desk/",
    "add a quilt": "/desk/new/quilt",
    "add photos": "/desk/photos/low-tide",
    "new partner": "/desk/new/partner",
    "new request": "/desk/new/request",
    "quilt with faults": "/desk/edit/quilts/faulty",
    "partner": "/desk/edit/partners/river-street",
    "request": "/desk/edit/requests/spring",
    "settings": "/desk/edit/collection",
    "where it goes": "/desk/where/low-tide",
    "match": "/desk/match",
    "move": "/desk/move/hand-over",
    "move with faults": "/desk/move/promise?show=yes&on=soon",
    "move shown": "/desk/move/hand-over?quilt=low-tide&quilt=ebb&through=nell&on=2026-05-12&show=yes",
    "move refused": "/desk/move/delivered?quilt=low-tide&on=2026-05-12&show=yes",
    "saved": "/desk/saved?said=moved&to=/binder/&sheet=low-tide&edit=/desk/",
    "changes": "/desk/changes",
    "nothing to take back": "/desk/changes/again",
    "take back": "/desk/changes/back",
}
WITH_MOST_KEYS = ("front", "quilt with faults", "move")


@pytest.fixture(scope="module")
def desk(tmp_path_factory) -> Iterator[DeskServed]:
    folder = tmp_path_factory.mktemp("looked at") / "mine"
    faulty = "title: Faulty\nfinished_size: wide\nmade: long ago\nappraisal: {value: much}\nphotos: [none.jpg]\n"
    write_records(folder)
    (folder / "requests/more.yaml").write_text("partner: river-street\nlines:\n  - {id: many-laps, count: 9}\n")
    (folder / "quilts/unsaid.yaml").write_text("title: Unsaid\nfinished_size: 50 x 60\n")
    served = DeskServed(folder, tmp_path_factory.mktemp("cache"))
    served.read("/binder/quilts/low-tide.html")
    (folder / "quilts/faulty.yaml").write_text(faulty)
    sent = served.send(
        "/desk/new/partner",
        {"secret": served.secret(), "name": "The Wren Ward", "kind": "charity"},
        Origin=served.origin,
    )
    assert sent.status == 303
    yield served
    served.close()


@pytest.fixture
def at(desk, open_page):
    return lambda name, **seen_by: open_page(
        desk.opening(PAGES[name]), within=desk.url, kept=True, reload=False, **seen_by
    )


# All tests of one page in a row, so that it is loaded once for each way to read it.
of_every_page = pytest.mark.parametrize("name", PAGES, scope="module")


@of_every_page
def test_a_page_of_the_desk_breaks_no_rule_on_a_phone_in_the_dark(at, name):
    page = at(name, screen="phone", scheme="dark")
    assert axe_violations(page) == []
    assert pictures_not_shown(page) == []


@pytest.mark.parametrize("letters", SIZES)
@of_every_page
def test_a_page_of_the_desk_fits_every_screen_in_wide_and_narrow_letters(at, name, letters):
    page = at(name, letters=letters)
    assert shown_in(page) == letters
    for width in (320, 390, 640, 800, 1024, 1280):
        page.set_viewport_size({"width": width, "height": 900})
        assert sideways_scroll(page) == []
        assert width == 320 or crowded_words(page) == []


@pytest.mark.parametrize("name", ["front", "quilt with faults"])
def test_a_page_of_the_desk_breaks_no_rule_on_a_desktop(at, name):
    page = at(name)
    assert axe_violations(page) == []


@pytest.mark.parametrize("name", WITH_MOST_KEYS)
def test_all_that_can_be_done_is_reached_and_seen_by_keyboard(at, name):
    assert keyboard_faults(at(name, screen="phone")) == []


def test_the_links_that_the_preview_adds_to_the_binder_break_no_rule(desk, open_page):
    page = open_page(desk.opening("/binder/quilts/low-tide.html"), within=desk.url, kept=True, screen="phone")
    assert axe_violations(page) == []
    assert page.get_by_role("navigation", name="The desk").get_by_role("link").count() == 5
    page.goto(f"{desk.url}binder/recipients.html")
    assert axe_violations(page) == []
    assert page.get_by_role("link", name="Edit: Nell").get_attribute("href") == "/desk/edit/partners/nell"
