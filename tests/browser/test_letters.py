"""Pages are shown in the letters that a test asks for, whatever fonts the machine has."""

import pytest
from letters import SIZES, change_to, shown_in

# A page with the policy of ours, which asks for fonts of its own.
PAGE = (
    "<!doctype html><meta http-equiv=Content-Security-Policy content=\"default-src 'none'; style-src 'self'\">"
    "<title>Wall</title><p><b id=words>Every quilt, 1 to 118</b><code id=code>Every quilt, 1 to 118</code>"
)


@pytest.fixture
def shown(open_page, tmp_path):
    (tmp_path / "index.html").write_text(PAGE)
    url = (tmp_path / "index.html").as_uri()
    return lambda letters: open_page(url, within=tmp_path.as_uri(), letters=letters)


def test_the_same_words_are_half_as_wide_again_in_wide_letters_as_in_narrow_ones(shown):
    widths = {}
    for letters in SIZES:
        page = shown(letters)
        assert shown_in(page) == letters
        widths[letters] = page.locator("#words").bounding_box()["width"]
    assert widths["wide"] / widths["narrow"] == pytest.approx(1.2 / 0.8, rel=0.01)


def test_a_page_that_is_open_is_set_in_the_other_letters_as_if_it_were_loaded_in_them(shown):
    page, loaded_in_wide = shown("narrow"), shown("wide")
    change_to(page, "wide")
    assert shown_in(page) == shown_in(loaded_in_wide) == "wide"
    boxes = [each.locator("#words").bounding_box() for each in (page, loaded_in_wide)]
    assert boxes[0] == boxes[1]
    change_to(page, "narrow")
    assert shown_in(page) == "narrow"
    assert page.locator("#words").bounding_box()["width"] < boxes[0]["width"]


def test_all_kinds_of_words_are_set_in_them(shown):
    page = shown("narrow")
    assert shown_in(page) == "narrow"
    assert "narrow" in page.locator("#code").evaluate("code => getComputedStyle(code).fontFamily")


def test_a_page_is_otherwise_set_in_the_letters_of_the_machine(shown):
    assert shown_in(shown(None)) is None
