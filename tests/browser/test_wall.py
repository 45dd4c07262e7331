"""Finding a quilt on the wall: words, filters, order, true size, and an address to send."""

import re

import pytest
from browser_rules import sideways_scroll
from letters import SIZES, shown_in
from playwright.sync_api import Page, expect


@pytest.fixture
def wall(open_page, served_demo):
    """`wall("colours=green")` -> the wall of the catalogue with that after # in its address."""

    def open_wall(state: str = "", **seen_by) -> Page:
        page = open_page(f"{served_demo}catalogue/index.html#{state}", within=served_demo, kept=True, **seen_by)
        if state:
            expect(page.locator(".wall-found")).to_be_visible()
        return page

    return open_wall


def titles(page: Page) -> list[str]:
    return page.locator(".wall-found .title").all_inner_texts()


def found(page: Page) -> int:
    return int(re.match(r"\d+", page.locator(".found").inner_text()).group())


def option(page: Page, kind: str, label: str):
    return page.locator(f'details[data-kind="{kind}"] label', has_text=re.compile(f"^ *{label} "))


def pick(page: Page, kind: str, label: str) -> None:
    box = page.locator(f'details[data-kind="{kind}"]')
    if box.get_attribute("open") is None:
        box.locator("summary").click()
    option(page, kind, label).locator("input").check()


def test_typing_finds_quilts_by_words_of_title_story_and_year(wall):
    page = wall()
    page.get_by_role("searchbox", name="Find a quilt").fill("low tide")
    expect(page.locator(".wall-found .title").first).to_have_text("Low Tide")
    page.get_by_role("searchbox").fill("rusted buoy")
    expect(page.locator(".wall-found .title")).to_have_text(["Low Tide"])
    page.get_by_role("searchbox").fill("1990s")
    expect(page.locator(".found")).to_contain_text("quilts")


def test_filters_combine_and_each_count_tells_what_a_choice_would_leave(wall):
    page = wall()
    page.get_by_role("searchbox").focus()
    pick(page, "sizes", "baby")
    before = found(page)
    page.locator('details[data-kind="colours"] summary').click()
    promised = int(option(page, "colours", "green").locator(".count").inner_text())
    assert 0 < promised <= before
    pick(page, "colours", "green")
    assert found(page) == promised


def test_a_second_colour_narrows_and_a_second_size_widens(wall):
    page = wall("colours=green")
    green = found(page)
    pick(page, "colours", "white")
    assert found(page) < green
    page = wall("sizes=baby")
    baby = found(page)
    pick(page, "sizes", "twin")
    assert found(page) > baby


def test_the_view_is_in_the_address_and_comes_back_from_it(wall):
    page = wall()
    page.get_by_role("searchbox").fill("tide")
    pick(page, "colours", "blue")
    page.get_by_label("Order").select_option("title")
    expect(page.locator(".found")).not_to_be_empty()
    address, shown = page.url, titles(page)
    assert "find=tide" in address and "colours=blue" in address and "sort=title" in address
    again = wall(address.partition("#")[2])
    expect(again.get_by_role("searchbox")).to_have_value("tide")
    assert titles(again) == shown == sorted(shown, key=str.casefold)


def test_nothing_matches_is_said_with_the_choice_to_drop(wall):
    page = wall("find=low+tide&sizes=placemat")
    expect(page.get_by_text("Nothing matches all of this.")).to_be_visible()
    page.get_by_role("button", name=re.compile("Without placemat: ")).click()
    expect(page.locator(".wall-found .title").first).to_have_text("Low Tide")


def test_taking_everything_off_shows_the_wall_again(wall):
    page = wall("colours=green")
    page.get_by_role("button", name="Take off green").click()
    expect(page.locator(".wall-found")).to_be_hidden()
    expect(page.locator("[data-sheet] .quilt-card").first).to_be_visible()
    assert "#" not in page.url


def test_all_that_is_chosen_is_taken_off_at_once(wall):
    page = wall("find=star&colours=green&sort=title")
    page.get_by_role("button", name="Show all quilts").click()
    expect(page.get_by_role("searchbox")).to_be_focused()
    expect(page.get_by_role("searchbox")).to_have_value("")
    expect(page.get_by_role("button", name="Show all quilts")).to_be_hidden()
    assert page.url.endswith("#sort=title")


@pytest.mark.parametrize("letters", SIZES)
def test_an_open_facet_stays_within_the_page_at_every_width(wall, letters):
    page = wall(letters=letters)
    assert shown_in(page) == letters
    for width in (320, 390, 640, 800, 1024, 1030, 1100, 1280, 1600):
        page.set_viewport_size({"width": width, "height": 900})
        for box in page.locator("details.facet").all():
            box.locator("summary").click()
            panel = box.locator("fieldset").bounding_box()
            assert panel["x"] >= 0 and panel["x"] + panel["width"] <= width, (width, panel)
            assert sideways_scroll(page) == []


@pytest.mark.parametrize("letters", SIZES)
def test_on_a_phone_no_quilt_is_wider_than_the_wall_hung_to_scale(wall, letters):
    page = wall("hang=scale&sort=largest", screen="phone", letters=letters)
    assert shown_in(page) == letters
    assert sideways_scroll(page) == []


def test_largest_first_and_oldest_first_put_other_quilts_in_front(wall):
    largest, oldest = titles(wall("sort=largest")), titles(wall("sort=oldest"))
    assert largest[0] != oldest[0]


def test_more_are_shown_when_asked_and_the_first_new_one_has_the_focus(wall):
    page = wall("sort=oldest")
    shown = 60
    expect(page.locator(".wall-found .title")).to_have_count(shown)
    page.get_by_role("button", name=re.compile("Show .* more")).click()
    assert len(titles(page)) > shown
    focused = page.evaluate("document.activeElement.querySelector('.title').textContent")
    assert focused == titles(page)[shown]


def test_hung_to_scale_every_quilt_has_its_true_proportion_to_the_rule_and_the_bed(wall):
    page = wall("hang=scale&sort=largest&bed=us-twin")
    sizes = page.evaluate(
        """() => [...document.querySelectorAll('.hang-to-scale a')].slice(0, 20).map((link) => {
            const inches = (said) => said.trim().split(/\\s/).reduce((sum, part) => {
                const [above, below = 1] = part.split('/');
                return sum + above / below;
            }, 0);
            const said = link.querySelector('.size').textContent.replace(/\\s*in$/, '');
            const [width, length] = said.split('×').map(inches);
            const box = link.firstElementChild.getBoundingClientRect();
            return [width, length, box.width, box.height];
        })"""
    )
    bed = page.locator(".bed-outline").bounding_box()
    per_inch = bed["width"] / 39
    assert bed["height"] / 75 == pytest.approx(per_inch, rel=0.01)
    for width, length, drawn_width, drawn_length in sizes:
        assert drawn_width / width == pytest.approx(per_inch, rel=0.02)
        assert drawn_length / length == pytest.approx(per_inch, rel=0.02)
    expect(page.get_by_role("img", name="A rule to the same scale, in inches and centimetres")).to_be_visible()


def test_all_of_it_works_by_keyboard_alone(wall):
    page = wall()
    page.get_by_role("searchbox").focus()
    page.keyboard.type("star")
    expect(page.locator(".found")).to_contain_text("quilt")
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    expect(page.locator('details[data-kind="sizes"] fieldset')).to_be_visible()
    page.keyboard.press("Tab")
    page.keyboard.press("Space")
    expect(page.locator(".chosen button")).to_have_count(2)
    page.keyboard.press("Escape")
    expect(page.locator('details[data-kind="sizes"] fieldset')).to_be_hidden()


def test_it_works_from_the_disk(open_page, built_demo):
    base = f"{built_demo.as_uri()}/"
    page = open_page(f"{base}catalogue/index.html#find=harbour", within=base, kept=True)
    expect(page.locator(".wall-found .title")).to_have_text(["Harbour Lights", "Low Tide"])


def test_the_binder_finds_by_private_words_too(open_page, served_demo):
    page = open_page(f"{served_demo}binder/index.html#find=cedar", within=served_demo, kept=True)
    expect(page.locator(".wall-found .title").first).to_be_visible()


def test_without_scripts_there_are_no_tools_and_the_wall_hangs_in_sheets(open_page, served_demo):
    page = open_page(f"{served_demo}catalogue/index.html", within=served_demo, kept=True, javascript=False)
    expect(page.get_by_role("searchbox")).to_be_hidden()
    expect(page.locator(".quilt-card").first).to_be_visible()


def test_nothing_moves_while_the_wall_loads_and_is_scrolled(open_page, served_demo):
    page = open_page(f"{served_demo}catalogue/index.html", within=served_demo)
    page.mouse.wheel(0, 3000)
    page.wait_for_load_state("networkidle")
    shifts = page.evaluate(
        """() => new Promise((tell) => {
            let sum = 0;
            new PerformanceObserver((list) => {
                for (const entry of list.getEntries()) sum += entry.value;
            }).observe({ type: 'layout-shift', buffered: true });
            setTimeout(() => tell(sum), 300);
        })"""
    )
    assert shifts == 0


def test_a_first_view_is_light(built_demo):
    """Before pictures: the page, its style sheets and its scripts, for 60 cards of any collection."""
    catalogue = built_demo / "catalogue"
    page = (catalogue / "index.html").read_text(encoding="utf-8")
    assets = re.findall(r'(?:href|src)="(assets/[^"]+\.(?:css|js))"', page)
    weight = len(page.encode()) + sum((catalogue / asset).stat().st_size for asset in assets)
    assert assets and weight < 150_000, f"{weight:,} bytes"
