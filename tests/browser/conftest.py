"""A browser that reaches nothing but this machine, and pages that are watched while they are open."""
import functools
import os
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

import pytest
from chromium import MISSING, find_chromium
from playwright.sync_api import Browser, Page, sync_playwright

ROOT = Path(__file__).parents[2]
FLAGS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-dev-shm-usage",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-default-apps",
    "--disable-domain-reliability",
    "--disable-quic",
    "--disable-sync",
    "--no-first-run",
    "--host-resolver-rules=MAP * ~NOTFOUND , EXCLUDE 127.0.0.1",
)
SCREENS = {
    "desktop": {"width": 1280, "height": 900},
    "phone": {"width": 390, "height": 844},
    "narrow phone": {"width": 320, "height": 640},
    "sheet of paper": {"width": 718, "height": 1046},  # A4 at 96 px to the inch, margins of 10 mm
}


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    chromium = find_chromium()
    if chromium is None:
        pytest.fail(MISSING, pytrace=False)
    with sync_playwright() as playwright:
        launched = playwright.chromium.launch(executable_path=chromium, args=FLAGS)
        yield launched
        launched.close()


@dataclass
class Watch:
    """What went wrong on a page while it was open; `allowed` is where its requests may go."""

    allowed: str
    faults: list[str] = field(default_factory=list)

    def over(self, page: Page) -> None:
        page.on("request", lambda request: self._note_request(request.url))
        page.on("websocket", lambda socket: self._note_request(socket.url.replace("ws:", "http:", 1)))
        page.on("requestfailed", lambda request: self.faults.append(f"failed: {request.url}"))
        page.on("response", lambda response: self._note_status(response.status, response.url))
        page.on("pageerror", lambda error: self.faults.append(f"script error: {error}"))
        page.on("console", lambda said: said.type == "error" and self.faults.append(said.text))

    def _note_request(self, url: str) -> None:
        if not url.startswith((self.allowed, "data:", "blob:")):
            self.faults.append(f"asked for {url}, beyond {self.allowed}")

    def _note_status(self, status: int, url: str) -> None:
        if status >= 400:
            self.faults.append(f"{status} for {url}")


@pytest.fixture
def open_page(browser: Browser) -> Iterator[Callable[..., Page]]:
    """`open_page(url, within=base)` -> the loaded page.

    The test fails when the page asks for anything outside `within`, when a request fails, or when
    the console shows an error.
    """
    opened = []

    def open_it(
        url: str,
        *,
        within: str,
        screen: str = "desktop",
        scheme: str = "light",
        javascript: bool = True,
        bypass_csp: bool = False,
    ) -> Page:
        context = browser.new_context(
            viewport=SCREENS[screen],
            color_scheme=scheme,
            reduced_motion="reduce",
            java_script_enabled=javascript,
            bypass_csp=bypass_csp,
        )
        watch = Watch(allowed=within)
        context.on("page", watch.over)
        opened.append((context, watch))
        page = context.new_page()
        page.set_default_timeout(10_000)
        page.goto(url, wait_until="load")
        return page

    yield open_it
    for context, _ in opened:
        context.close()
    faults = [fault for _, watch in opened for fault in watch.faults]
    assert not faults, "\n".join(faults)


@pytest.fixture(scope="session")
def built_demo(tmp_path_factory) -> Path:
    """The folder with both editions of the demo collection, built once by the real command.

    BUILT_DEMO=folder names one that is built already, for a quick second run.
    """
    if built := os.environ.get("BUILT_DEMO"):
        return Path(built).resolve()
    output = tmp_path_factory.mktemp("built") / "output"
    command = Path(sys.executable).with_name("counterpane")
    run = subprocess.run(
        [command, "build", "demo_collection", "--output", output],
        cwd=ROOT, capture_output=True, text=True, timeout=300,
    )
    assert run.returncode == 0, run.stderr
    return output


class QuietHandler(SimpleHTTPRequestHandler):
    def log_message(self, *_) -> None:
        pass


@pytest.fixture(scope="session")
def served_demo(built_demo: Path) -> Iterator[str]:
    """The address of the built folder, served on this machine; it ends with a slash."""
    handler = functools.partial(QuietHandler, directory=built_demo)
    with ThreadingHTTPServer(("127.0.0.1", 0), handler) as server:
        threading.Thread(target=server.serve_forever, daemon=True).start()
        yield f"http://127.0.0.1:{server.server_port}/"
        server.shutdown()
