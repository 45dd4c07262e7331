"""Letters that are wide and narrow on every machine, whatever fonts it has.

Both are one typeface, that of the paperwork, drawn larger and smaller at the same font size. They
reach past the sans serifs that machines bring: Arial Narrow at one end, the bold of Verdana and
DejaVu Sans at the other.
"""

import base64
import functools
import json
from importlib.resources import files

from browser_rules import SCRIPTS
from playwright.sync_api import BrowserContext, Page

SIZES = {"narrow": "80%", "wide": "120%"}


def set_in(context: BrowserContext, letters: str) -> None:
    """Every page of the context is set in these letters, from its first line on.

    The font goes in as bytes and the style by script, so that a page keeps its own policy on
    both. That takes scripts; see `shown_in`.
    """
    context.add_init_script(_script(letters))


def change_to(page: Page, letters: str) -> None:
    """Set a page of such a context in these letters from now on, without loading it again."""
    page.evaluate("letters => window.letters.changeTo(letters)", letters)


def shown_in(page: Page) -> str | None:
    """The letters that a page shows, once they are loaded; None if it is set in the machine's own."""
    return page.evaluate(SCRIPTS["letters_shown"])


@functools.cache
def _script(letters: str) -> str:
    font = base64.b64encode((files("manimgx_fonts") / "NotoSans[wght].ttf").read_bytes()).decode()
    return f"({SCRIPTS['letters'].rstrip().rstrip(';')})({json.dumps([letters, SIZES, font])})"
