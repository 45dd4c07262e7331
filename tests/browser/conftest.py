"""A browser that reaches nothing but this machine, and pages that are watched while open."""

import fcntl
import functools
import os
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

import letters
import pytest
from chromium import MISSING, find_chromium
from playwright.sync_api import Browser, Page, sync_playwright
from watched_pages import Reader, Watch, launch

ROOT = Path(__file__).parents[2]

DAY = "2026-11-30"
"""As of which the demo is built, whatever the day: some of its gifts are still planned then."""


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    chromium = find_chromium()
    if chromium is None:
        pytest.fail(MISSING, pytrace=False)
    with sync_playwright() as playwright:
        launched = launch(playwright, chromium)
        yield launched
        launched.close()


@dataclass
class KeptPage:
    """A page that many tests use: which address it was opened at, and where that led."""

    page: Page
    asked: str = ""
    reached: str = ""

    def shows(self, url: str) -> bool:
        return self.asked == url and self.page.url == self.reached

    def goto(self, url: str) -> None:
        self.page.goto(url, wait_until="load")
        self.asked, self.reached = url, self.page.url


@pytest.fixture(scope="session")
def kept_pages() -> dict[tuple[bool, ...], KeptPage]:
    return {}


@pytest.fixture
def open_page(browser: Browser, kept_pages: dict[tuple[bool, ...], KeptPage]) -> Iterator[Callable[..., Page]]:
    """`open_page(url, within=base)` -> the loaded page, which knows nothing of the others.

    With `kept=True` it is one that earlier tests have used, which is four times quicker: for tests
    that leave nothing in the browser's memory. With `reload=False` as well, a page that shows this
    address already is taken as it is, at the screen, colours and letters that are asked for: for tests
    that leave pages as they found them. Reader says what else may be asked for.

    The test fails when the page asks for anything outside `within`, when a request fails, or when
    the console shows an error.
    """
    watches, own = [], []

    def open_it(url: str, *, within: str, kept: bool = False, reload: bool = True, **seen_by) -> Page:
        reader = Reader(**seen_by)
        if not kept:
            page = reader.new_page(browser)
            own.append(page)
            watches.append(Watch(page, allowed=within))
            page.goto(url, wait_until="load")
            return page
        if reader.lasting not in kept_pages:
            kept_pages[reader.lasting] = KeptPage(reader.new_page(browser))
        one = kept_pages[reader.lasting]
        stays = not reload and one.shows(url)
        if not stays:
            one.page.goto("about:blank")  # what the former page still asks for is not watched
        watches.append(Watch(one.page, allowed=within))
        reader.restore(one.page)
        if not stays:
            one.goto(url)
        if reader.letters:
            letters.change_to(one.page, reader.letters)
        return one.page

    yield open_it
    for page in own:
        page.context.close()
    for watch in watches:
        watch.end()
    faults = [fault for watch in watches for fault in watch.faults]
    assert not faults, "\n".join(faults)


@pytest.fixture(scope="session")
def built_demo(tmp_path_factory) -> Path:
    """The folder with both editions of the demo collection, built once by the real command. Nobody changes it.

    Of several who test at once the first builds it, and the others wait for it. BUILT_DEMO=folder names
    one that is built already, for a quick second run.
    """
    if built := os.environ.get("BUILT_DEMO"):
        return Path(built).resolve()
    tests_alone = "PYTEST_XDIST_WORKER" not in os.environ
    folder = tmp_path_factory.mktemp("built") if tests_alone else tmp_path_factory.getbasetemp().parent / "built"
    folder.mkdir(exist_ok=True)
    output = folder / "output"
    with held_by_one(folder):
        if not (folder / "done").exists():
            build_demo(output)
            (folder / "done").touch()
    return output


@contextmanager
def held_by_one(folder: Path) -> Iterator[None]:
    """One at a time, whatever the process, for as long as that takes."""
    with open(folder / "lock", "w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        yield


def build_demo(output: Path) -> None:
    command = Path(sys.executable).with_name("counterpane")
    run = subprocess.run(
        [command, "build", "demo_collection", "--output", output, "--on", DAY],
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=300,
        check=False,
    )
    assert run.returncode == 0, run.stderr


class QuietHandler(SimpleHTTPRequestHandler):
    def log_message(self, *_) -> None:
        pass


class WebSite(QuietHandler):
    """A web server at whose root the catalogue stands: it shows 404.html for whatever it has not.

    It says "found" with it, since Chromium calls the other answer an error of the page.
    """

    def translate_path(self, path: str) -> str:
        found = super().translate_path(path)
        return found if os.path.exists(found) else os.path.join(self.directory, "404.html")


@pytest.fixture(scope="session")
def web_site(built_demo: Path) -> Iterator[str]:
    """The address of the catalogue as a web site of its own; it ends with a slash."""
    handler = functools.partial(WebSite, directory=built_demo / "catalogue")
    with ThreadingHTTPServer(("127.0.0.1", 0), handler) as server:
        threading.Thread(target=server.serve_forever, daemon=True).start()
        yield f"http://127.0.0.1:{server.server_port}/"
        server.shutdown()


@pytest.fixture(scope="session")
def served_demo(built_demo: Path) -> Iterator[str]:
    """The address of the built folder, served on this machine; it ends with a slash."""
    handler = functools.partial(QuietHandler, directory=built_demo)
    with ThreadingHTTPServer(("127.0.0.1", 0), handler) as server:
        threading.Thread(target=server.serve_forever, daemon=True).start()
        yield f"http://127.0.0.1:{server.server_port}/"
        server.shutdown()
