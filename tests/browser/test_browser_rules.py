"""The rules for pages in a browser find what they are there to find."""

import pytest
from browser_rules import (
    axe_violations,
    crowded_words,
    keyboard_faults,
    pictures_not_shown,
    print_faults,
    sideways_scroll,
)

SOUND = """<!doctype html><html lang="en"><head><title>The wall</title><style>
:focus-visible { outline: 3px solid black } a, button { display: inline-block; min-height: 24px }
@media print { nav, form { display: none } }
</style></head><body><header><nav><a href="#wall">Wall</a></nav></header><main id="wall">
<h1>The wall</h1><form><label>Find <input></label>
<fieldset><legend>Size</legend><label><input type="radio" name="size" checked> Lap</label>
<label><input type="radio" name="size"> Baby</label></fieldset>
<button>Show</button></form>
<p id="last">Every quilt. <a href="#last">Low Tide</a></p></main></body></html>
"""


@pytest.fixture
def shown(open_page):
    """`shown(body)` -> a page with the words of the sound one exchanged."""

    def show(word: str = "", other: str = "", screen: str = "phone"):
        assert word in SOUND
        page = open_page("about:blank", within="about:", kept=True, screen=screen)
        page.set_content(SOUND.replace(word, other, 1))
        return page

    return show


@pytest.mark.parametrize(
    "rule",
    [
        axe_violations,
        sideways_scroll,
        crowded_words,
        pictures_not_shown,
        keyboard_faults,
        print_faults,
    ],
    ids=lambda rule: rule.__name__,
)
def test_a_sound_page_passes(shown, rule):
    assert rule(shown()) == []


COVERED = "<i style='position: fixed; inset: 0'></i>"
CUT = "<b style='display: block; height: 9px; overflow: hidden'>A<br>B</b>"
FAR_DOWN = "<p style='height: 9000px'></p><img loading=lazy src='data:image/png;base64,AAAA' alt=''>"
TINY = """<style>b { display: block; height: 9px; width: 9px }</style>
<b role=button tabindex=0 aria-label=A></b><b role=button tabindex=0 aria-label=B></b>"""
NARROW = "<b style='display: block; width: 30px; overflow-wrap: break-word'>Every quilt.</b>"
SPILT = "<b style='display: block; width: 30px'>Every quilt.</b>"
MARKED = "</p><div style='border: 1px solid'><ul style='padding: 0'><li>Every quilt.</li></ul></div><p>"
UNSEEN = "<a href='#' style='position: absolute; top: -99px'>Up</a></main>"
WIDE = "<b style='display: block; width: 900px'>Every quilt.</b>"


@pytest.mark.parametrize(
    ("rule", "word", "other", "fault"),
    [
        (axe_violations, "<h1>", "<h1 style='color: #ccc'>", "color-contrast"),
        (axe_violations, "<label>Find <input></label>", "<input>", "label"),
        (axe_violations, "<button>Show</button>", TINY, "target-size"),
        (sideways_scroll, "Every quilt.", WIDE, "<b style"),
        (sideways_scroll, "Every quilt.", "W" * 200, "px wide on a screen of 390 px"),
        (crowded_words, "Every quilt.", NARROW, '"Every" is broken: <p id="last">'),
        (crowded_words, "Every quilt.", SPILT, "px beyond <b style"),
        (crowded_words, "Every quilt.", MARKED, 'no room for the mark of "Every quilt."'),
        (pictures_not_shown, "Every quilt.", "<img src='data:image/png;base64,AAAA' alt=''>", "<img"),
        (pictures_not_shown, "Every quilt.", FAR_DOWN, "<img"),
        (keyboard_faults, "3px solid", "0px none", "no ring around <a"),
        (keyboard_faults, "Every quilt.", COVERED, "<i style"),
        (keyboard_faults, "</main>", UNSEEN, "out of sight"),
        (keyboard_faults, "<button>", "<button onkeydown='return false'>", "never reached: <a"),
        (print_faults, "<h1>", "<h1 style='color: #ddd'>", "too pale"),
        (print_faults, "nav, form", "form", "of no use on paper: <nav"),
        (print_faults, "Every quilt.", CUT, "cut off"),
        (print_faults, "Every quilt.", WIDE, "on a sheet of"),
        (print_faults, "<header>", "<header style='position: sticky; top: 0'>", "repeats on each sheet"),
        (print_faults, '<main id="wall">', '<main id="wall" hidden>', "nothing is printed"),
    ],
)
def test_a_fault_is_told(shown, rule, word, other, fault):
    told = rule(shown(word, other))
    assert told
    assert fault in "\n".join(told)
