"""In a real browser, words of every field that try to become a script or to call elsewhere do neither."""

import functools
import threading
from collections.abc import Iterator
from datetime import date
from http.server import ThreadingHTTPServer
from pathlib import Path

import pytest
from conftest import QuietHandler
from page_kinds import KINDS

from site_builder.building.build import build
from tests.support.hostile_collection import STRUCK, write_hostile_collection

MOVED = """
for (const each of document.querySelectorAll("*")) {
  for (const kind of ["mouseover", "focus", "animationend", "toggle", "pointerenter"]) each.dispatchEvent(new Event(kind));
}
"""
FOUND = """(struck) => ({
  struck: window[struck],
  handlers: [...document.querySelectorAll("*")].flatMap(each => each.getAttributeNames()).filter(name => name.startsWith("on")),
  leads: [...document.querySelectorAll("a, area, form, base")].filter(each => /^(javascript|data|vbscript):/i.test(each.href || each.action)).length,
  frames: window.frames.length,
  scripts: [...document.scripts].filter(each => !each.src && !each.type.includes("json")).length,
})"""


@pytest.fixture(scope="module")
def hostile_site(tmp_path_factory) -> Iterator[tuple[str, Path]]:
    place = tmp_path_factory.mktemp("hostile-site")
    build(write_hostile_collection(place / "records"), place / "output", on=date(2026, 5, 12))
    handler = functools.partial(QuietHandler, directory=place / "output")
    with ThreadingHTTPServer(("127.0.0.1", 0), handler) as server:
        threading.Thread(target=server.serve_forever, daemon=True).start()
        yield f"http://127.0.0.1:{server.server_port}/", place / "output"
        server.shutdown()


def pages_to_open(output: Path) -> list[str]:
    """The first page of each kind, and some quilts' own in the binder; but for the one that is only at home at a root."""
    paths = sorted(path.relative_to(output).as_posix() for path in output.rglob("*.html") if path.name != "404.html")
    first = [next((path for path in paths if kind.fits(path)), None) for kind in KINDS]
    return sorted(
        {path for path in first if path} | set([path for path in paths if path.startswith("binder/quilts/")][::3])
    )


@pytest.mark.parametrize("policy", ["as it is", "switched off"])
def test_no_word_runs_calls_elsewhere_or_asks(hostile_site, open_page, policy):
    """With the pages' own policy, and without it: that the words are kept words is enough."""
    base, output = hostile_site
    pages = pages_to_open(output)
    assert len(pages) > 25
    asked = []
    page = open_page(base + pages[0], within=base, bypass_csp=policy == "switched off")
    page.on("dialog", lambda dialog: (asked.append(dialog.message), dialog.dismiss()))
    for path in pages if policy == "switched off" else pages[::9]:
        page.goto(base + path, wait_until="load")
        page.evaluate(MOVED)
        search = page.locator("input[type=search]")
        if search.count() and search.first.is_visible():
            search.first.fill("hyperlink")
        found = page.evaluate(FOUND, STRUCK)
        assert found == {"struck": None, "handlers": [], "leads": 0, "frames": 0, "scripts": 0}, path
        assert page.url.startswith(base + path)
    assert not asked
