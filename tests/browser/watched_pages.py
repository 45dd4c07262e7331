"""A browser that reaches nothing but this machine, and the watch over what its pages do."""

from dataclasses import dataclass
from pathlib import Path

import letters
from playwright.sync_api import Browser, Page, Playwright, expect

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
# In ms, for every state of a page: on a busy machine each takes its time.
PATIENCE = 120_000
expect.set_options(timeout=PATIENCE)

SCREENS = {
    "desktop": {"width": 1280, "height": 900},
    "phone": {"width": 390, "height": 844},
    "narrow phone": {"width": 320, "height": 640},
    "sheet of paper": {"width": 680, "height": 1009},  # A4 at 96 px to the inch, margins of 15 mm
}


def launch(playwright: Playwright, chromium: Path) -> Browser:
    return playwright.chromium.launch(executable_path=chromium, args=FLAGS)


class Watch:
    """What goes wrong on a page while it is watched; `allowed` is where its requests may go."""

    def __init__(self, page: Page, allowed: str):
        self.faults: list[str] = []
        self._page = page
        self._allowed = allowed
        self._listeners = {
            "request": lambda request: self._note_address(request.url),
            "websocket": lambda socket: self._note_address(socket.url.replace("ws:", "http:", 1)),
            "requestfailed": lambda request: self._note_failure(request.failure, request.url),
            "response": lambda answer: self._note_status(answer.status, answer.url),
            "pageerror": lambda error: self.faults.append(f"script error: {error}"),
            "console": lambda said: said.type == "error" and self.faults.append(said.text),
        }
        for event, listener in self._listeners.items():
            page.on(event, listener)

    def end(self) -> None:
        for event, listener in self._listeners.items():
            self._page.remove_listener(event, listener)

    def _note_address(self, url: str) -> None:
        if not url.startswith((self._allowed, "data:", "blob:")):
            self.faults.append(f"asked for {url}, beyond {self._allowed}")

    def _note_failure(self, reason: str | None, url: str) -> None:
        if reason != "net::ERR_ABORTED":  # the page was left before the answer came
            self.faults.append(f"failed: {url} ({reason})")

    def _note_status(self, status: int, url: str) -> None:
        if status >= 400:
            self.faults.append(f"{status} for {url}")


@dataclass(frozen=True)
class Reader:
    """Who looks at a page, and with what."""

    screen: str = "desktop"
    scheme: str = "light"
    javascript: bool = True
    bypass_csp: bool = False
    letters: str | None = None  # a key of letters.SIZES, else the machine's own

    @property
    def lasting(self) -> tuple[bool, bool, bool]:
        """What a page can't change once it is opened; all else is set by `restore`."""
        return self.javascript, self.bypass_csp, self.letters is not None

    def new_page(self, browser: Browser) -> Page:
        context = browser.new_context(
            viewport=SCREENS[self.screen],
            color_scheme=self.scheme,
            reduced_motion="reduce",
            java_script_enabled=self.javascript,
            bypass_csp=self.bypass_csp,
        )
        context.set_default_timeout(PATIENCE)
        if self.letters:
            letters.set_in(context, self.letters)
        return context.new_page()

    def restore(self, page: Page) -> None:
        page.set_viewport_size(SCREENS[self.screen])
        page.emulate_media(media="screen", color_scheme=self.scheme)
