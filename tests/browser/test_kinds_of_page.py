"""Each kind of page in a browser: on a desk, on a phone, in the dark, by keyboard, on paper."""

import pytest
from browser_rules import (
    axe_violations,
    crowded_words,
    keyboard_faults,
    pictures_not_shown,
    print_faults,
    sideways_scroll,
)
from letters import SIZES, shown_in
from page_kinds import OPENED, fullest_page


def nothing_in(faults: list[str]) -> None:
    assert not faults, "\n".join(faults)


NOT_FOUND = next(kind for kind in OPENED if kind.name == "not found")

# Phones, the widths at which the layout changes and those about them, a desk.
WIDTHS = (320, 390, 640, 800, 896, 1024, 1100, 1280, 1600)
in_wide_and_narrow_letters = pytest.mark.parametrize("letters", SIZES)

# All tests of one kind in a row, so that its page is loaded once for each way to read it.
pytestmark = pytest.mark.parametrize("kind", OPENED, ids=str, scope="module")


@pytest.fixture
def open_kind(open_page, built_demo, served_demo, web_site):
    """`open_kind(kind)` -> the fullest page of that kind, held to its own edition's folder."""

    def open_it(kind, *, from_disk: bool = False, **how):
        if kind == NOT_FOUND:
            return open_page(f"{web_site}moved/long-ago/or-gone.html", within=web_site, kept=True, reload=False, **how)
        base = f"{built_demo.as_uri()}/" if from_disk else served_demo
        url = base + fullest_page(built_demo, kind)
        return open_page(url, within=f"{base}{kind.edition}/", kept=True, reload=False, **how)

    return open_it


def test_axe_finds_nothing_in_light_or_dark(kind, open_kind):
    page = open_kind(kind, bypass_csp=True)
    nothing_in(axe_violations(page))
    page.emulate_media(color_scheme="dark")
    # The page is the same but for its colours.
    nothing_in(axe_violations(page, tags=["cat.color"]))


def test_axe_finds_nothing_on_a_phone(kind, open_kind):
    page = open_kind(kind, bypass_csp=True, screen="phone")
    # The colours are those of the desk; sizes of what is touched, tables and order are not.
    nothing_in(axe_violations(page, tags=["wcag22aa", "cat.tables", "cat.structure", "cat.keyboard", "cat.semantics"]))


@in_wide_and_narrow_letters
def test_a_page_fits_every_screen(kind, letters, open_kind):
    page = open_kind(kind, letters=letters)
    assert shown_in(page) == letters
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": 900})
        nothing_in(sideways_scroll(page))
        # On the narrowest a long name may have to go on in the next line.
        nothing_in(crowded_words(page) if width > 320 else [])


@in_wide_and_narrow_letters
def test_large_letters_fit_a_phone(kind, letters, open_kind):
    page = open_kind(kind, screen="phone", letters=letters)
    assert shown_in(page) == letters
    page.evaluate("document.documentElement.style.setProperty('font-size', '200%')")
    try:
        nothing_in(sideways_scroll(page))
    finally:
        page.evaluate("document.documentElement.style.removeProperty('font-size')")


def test_the_keyboard_alone_reaches_everything_and_shows_where_it_is(kind, open_kind):
    nothing_in(keyboard_faults(open_kind(kind)))


@in_wide_and_narrow_letters
def test_a_printed_sheet_holds_what_matters(kind, letters, open_kind):
    page = open_kind(kind, screen="sheet of paper", scheme="dark", letters=letters)
    assert shown_in(page) == letters
    nothing_in(print_faults(page))
    nothing_in(crowded_words(page))


def test_the_page_is_whole_without_javascript(kind, open_kind):
    with_scripts = open_kind(kind)
    without = open_kind(kind, javascript=False)
    assert without.locator("h1").inner_text() == with_scripts.locator("h1").inner_text()
    for part in ("main a:visible", "main img:visible", "nav a:visible"):
        assert without.locator(part).count() >= with_scripts.locator(part).count()


def test_the_page_opens_from_the_disk_with_all_its_pictures(kind, open_kind):
    if kind == NOT_FOUND:
        pytest.skip("only a web server shows this page")
    nothing_in(pictures_not_shown(open_kind(kind, from_disk=True)))
