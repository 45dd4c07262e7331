"""What is wrong with a page as a person meets it: seen, by keyboard, on a phone, on paper."""

from collections.abc import Sequence
from pathlib import Path

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page

AXE_TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
SCRIPTS = {file.stem: file.read_text(encoding="utf-8") for file in Path(__file__).parent.glob("in_page/*.js")}


def axe_violations(page: Page, *, tags: Sequence[str] = AXE_TAGS) -> list[str]:
    """What the axe rules find, the size of what is touched and best practice included."""
    asked = {"runOnly": {"type": "tag", "values": list(tags)}, "resultTypes": ["violations"]}
    found = Axe().run(page, options=asked)
    return [
        f"{rule['id']}: {rule['help']}: {node['html'][:200]} {node.get('failureSummary', '')}"
        for rule in found.response["violations"]
        for node in rule["nodes"]
    ]


def sideways_scroll(page: Page) -> list[str]:
    """Why a page scrolls sideways at the width that it has now."""
    return page.evaluate(SCRIPTS["sideways"])


def crowded_words(page: Page) -> list[str]:
    """Words that spill out of their box, or are broken without a hyphen, and marks of lists without room."""
    looks = (SCRIPTS[name].rstrip().rstrip(";") for name in ("spilt", "broken", "markers"))
    return page.evaluate(f"() => [{', '.join(looks)}].flatMap(look => look())")


def pictures_not_shown(page: Page) -> list[str]:
    """Pictures that don't load, those further down the page included."""
    return page.evaluate(SCRIPTS["pictures"])


def keyboard_faults(page: Page) -> list[str]:
    """What the Tab key does not reach, or reaches without its being seen.

    A ring (outline or shadow) has to show around what has the focus, and nothing may lie over it.
    """
    page.evaluate(SCRIPTS["keyboard"])
    for _ in range(page.evaluate("keyboard.places") + 2):
        page.keyboard.press("Tab")
    return page.evaluate("keyboard.faults()")


def print_faults(page: Page) -> list[str]:
    """What a printed sheet would lose; the page has to have a sheet's width."""
    page.emulate_media(media="print")
    return page.evaluate(SCRIPTS["paper"])
