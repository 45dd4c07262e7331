"""Reloads the pages in the browser after a build: livereload's script, and a policy that allows it."""

import json
import re
from contextlib import suppress
from html import escape, unescape

from livereload.handlers import LiveReloadHandler
from tornado.websocket import WebSocketClosedError, WebSocketHandler


class Reloading(LiveReloadHandler):  # type: ignore[misc]  # livereload has no types
    """Only our own pages may connect; livereload accepts any web site and any message."""

    def check_origin(self, origin: str) -> bool:
        return WebSocketHandler.check_origin(self, origin)

    def on_message(self, message: str | bytes) -> None:
        """Ignore anything that is not a message of livereload's script."""
        with suppress(ValueError, RecursionError):
            if isinstance(said := json.loads(message), dict) and "command" in said:
                super().on_message(message)


def reload_browsers() -> None:
    """Reload all connected pages."""
    for browser in list(LiveReloadHandler.waiters):
        with suppress(WebSocketClosedError):
            browser.write_message({"command": "reload", "path": "*", "liveCSS": False})


_POLICY = re.compile(rb'(<meta\s+http-equiv="Content-Security-Policy"\s+content=")([^"]*)', re.IGNORECASE)


def with_reloading(page: bytes, build: str, host: str) -> bytes:
    """The page with the reloading scripts at the end of its head, and a policy that allows them."""
    port = host.rpartition(":")[2]
    scripts = (
        f'<script src="/livereload.js?port={port}"></script>'
        f'<script src="/shows-current-build.js" data-build="{build}"></script></head>'
    )

    def allow(found: re.Match[bytes]) -> bytes:
        policy = policy_with_reloading(unescape(found[2].decode()), host)
        return found[1] + escape(policy).encode()

    page = _POLICY.sub(allow, page, count=1)
    return page.replace(b"</head>", scripts.encode(), 1)


def policy_with_reloading(policy: str, host: str) -> str:
    """A content security policy that also lets a page load our scripts and listen for builds.

    >>> policy_with_reloading("default-src 'none'; script-src 'self'", "localhost:5500")
    "default-src 'none'; script-src 'self'; connect-src 'self' ws://localhost:5500"
    >>> policy_with_reloading("img-src 'self'", "localhost:5500")
    "img-src 'self'"
    """
    directives: dict[str, list[str]] = {}
    for directive in policy.split(";"):
        if words := directive.split():
            directives.setdefault(words[0].lower(), words[1:])
    for name, needed in (("script-src", ["'self'"]), ("connect-src", ["'self'", f"ws://{host}"])):
        allowed = directives.get(name, directives.get("default-src"))
        if allowed is not None:
            kept = [source for source in allowed if source != "'none'"]
            directives[name] = kept + [source for source in needed if source not in kept]
    return "; ".join(" ".join([name, *sources]) for name, sources in directives.items())
