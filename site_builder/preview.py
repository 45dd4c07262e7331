"""Both editions in a browser on this machine, shown again whenever they were built anew.

The browser's side is livereload's script and protocol. Its server is not used: it serves nothing
while a build runs, passes over a change that comes soon after another, does not see a photo that is
older than the preview, and answers whatever host a request names.
"""
import asyncio
import errno
import os
import re
import sys
from collections.abc import Callable
from contextlib import suppress
from html import escape, unescape
from pathlib import Path

from livereload.handlers import LiveReloadHandler, LiveReloadJSHandler
from tornado.httpserver import HTTPServer
from tornado.httputil import HTTPServerRequest
from tornado.netutil import bind_sockets
from tornado.web import Application, HTTPError, RedirectHandler, RequestHandler, StaticFileHandler
from tornado.websocket import WebSocketClosedError, WebSocketHandler

from site_builder.rebuilding import Builds

ADDRESS = "127.0.0.1"
EDITIONS = {"catalogue": "the public catalogue", "binder": "the private binder"}


class PreviewProblem(Exception):
    """The preview cannot be served; the text is for the person who asked for it."""


def serve(collection: Path, output: Path, port: int, rebuild: Callable[[], bool]) -> None:
    """Serve `output` until Ctrl-C, calling `rebuild` at the start and after changes in `collection`.

    `rebuild` writes the editions into `output`, tells the terminal about any problem itself, and
    returns whether new pages are in place; it runs in a thread of its own, never twice at once.
    Port 0 takes any free one; the address is told on the terminal.

    Raises PreviewProblem when the port cannot be had.
    """
    with suppress(KeyboardInterrupt):
        asyncio.run(_serve(collection, output, port, rebuild))
    _tell("The preview has ended.")


async def _serve(collection: Path, output: Path, port: int, rebuild: Callable[[], bool]) -> None:
    try:
        sockets = bind_sockets(port, ADDRESS)
    except OSError as refusal:
        raise PreviewProblem(_why_no_port(port, refusal)) from refusal
    port = sockets[0].getsockname()[1]
    builds = Builds(collection, output, rebuild, tell=_tell)
    hosts = [f"{ADDRESS}:{port}", f"localhost:{port}"]
    HTTPServer(PreviewApplication(output, builds, hosts)).add_sockets(sockets)
    _tell(f"The preview is at http://{hosts[0]}/ and only on this machine. Ctrl-C ends it.")
    await builds.keep_current(then=reload_browsers)


def _why_no_port(port: int, refusal: OSError) -> str:
    if refusal.errno == errno.EADDRINUSE:
        why = f"Port {port} is in use, perhaps by another preview."
    elif refusal.errno == errno.EACCES:
        why = f"Port {port} is kept for the system."
    else:
        why = f"Port {port} cannot be used ({refusal.strerror})."
    return f"{why} Close what uses it, or choose another, such as --port {max(port, 5000) + 1}."


def _tell(line: str) -> None:
    print(line, file=sys.stderr, flush=True)


def reload_browsers() -> None:
    for browser in list(LiveReloadHandler.waiters):
        with suppress(WebSocketClosedError):
            browser.write_message({"command": "reload", "path": "*", "liveCSS": False})


class PreviewApplication(Application):
    """Answers only requests that name this machine, so that no other web site can read the pages."""

    def __init__(self, output: Path, builds: Builds, hosts: list[str]):
        super().__init__(
            _handlers(output), default_handler_class=NoSuchPage, log_function=lambda _: None
        )
        self.builds = builds
        self.hosts = hosts

    def find_handler(self, request: HTTPServerRequest, **more):
        if request.host in self.hosts:
            return super().find_handler(request, **more)
        return self.get_handler_delegate(request, OtherHost)


def _handlers(output: Path) -> list:
    handlers: list = [
        (r"/", BothEditions, {"output": output}),
        (r"/build-name", BuildName),
        (r"/shows-current-build\.js", ShowsCurrentBuild),
        (r"/livereload", Reloading),
        (r"/livereload\.js", LiveReloadJSHandler),
    ]
    for edition in EDITIONS:
        files = {"path": os.fspath(output / edition), "default_filename": "index.html"}
        handlers += [
            (f"/{edition}", RedirectHandler, {"url": f"/{edition}/", "permanent": False}),
            (f"/{edition}/(.*)", EditionFile, files),
        ]
    return handlers


class _Local(RequestHandler):
    @property
    def builds(self) -> Builds:
        return self.application.builds

    def set_default_headers(self) -> None:
        self.set_header("Cache-Control", "no-store")
        self.set_header("X-Content-Type-Options", "nosniff")
        self.set_header("Cross-Origin-Resource-Policy", "same-origin")
        self.set_header("X-Frame-Options", "SAMEORIGIN")

    def write_error(self, status_code: int, **_) -> None:
        body = "<p>There is no such page. <a href='/'>Both editions</a></p>"
        self.finish_page(_page("Nothing here", body))

    def finish_page(self, page: bytes) -> None:
        self.set_header("Content-Type", "text/html; charset=utf-8")
        self.finish(with_reloading(page, self.builds.name, self.request.host))


class OtherHost(_Local):
    def prepare(self) -> None:
        self.set_status(403)
        self.set_header("Content-Type", "text/plain; charset=utf-8")
        self.finish(f"This preview answers only at http://{self.application.hosts[0]}/.\n")


class NoSuchPage(_Local):
    def prepare(self) -> None:
        raise HTTPError(404)


class BothEditions(_Local):
    def initialize(self, output: Path) -> None:
        self.output = output

    def get(self) -> None:
        there = {name: what for name, what in EDITIONS.items() if (self.output / name).is_dir()}
        links = "".join(f"<li><a href='/{name}/'>{what}</a></li>" for name, what in there.items())
        state = ""
        if self.builds.in_hand:
            state = "<p>A build is in hand; this page shows its result as soon as it is done.</p>"
        elif self.builds.failed:
            state = "<p>The last build could not be finished. The terminal says why.</p>"
        self.finish_page(_page("Preview", f"{state}<ul>{links}</ul>"))


class BuildName(_Local):
    def get(self) -> None:
        self.set_header("Content-Type", "text/plain; charset=utf-8")
        self.finish(self.builds.name)


class ShowsCurrentBuild(_Local):
    """The script that catches a build which ended while its page was still being loaded."""

    def get(self) -> None:
        self.set_header("Content-Type", "text/javascript; charset=utf-8")
        self.finish(
            'const shown = document.currentScript.dataset.build;\n'
            'document.addEventListener("LiveReloadConnect", async () => {\n'
            '  const built = await (await fetch("/build-name")).text();\n'
            '  if (built !== shown) location.reload();\n'
            '});\n'
        )


class EditionFile(_Local, StaticFileHandler):
    async def get(self, path: str, include_body: bool = True) -> None:
        if "\0" in path:
            raise HTTPError(404)
        self.path = self.parse_url_path(path)
        asked_for = self.get_absolute_path(self.root, self.path)
        if not os.path.exists(asked_for):
            await self.builds.at_rest()
        file = self.validate_absolute_path(self.root, asked_for)
        if file is None:  # a folder named without its closing slash: already redirected
            return
        if file.endswith(".html"):
            self.finish_page(Path(file).read_bytes())
        else:
            await super().get(path, include_body)

    def compute_etag(self) -> None:
        return None

    def should_return_304(self) -> bool:
        return False


class Reloading(LiveReloadHandler):
    """livereload lets any web site listen; only our own pages may."""

    def check_origin(self, origin: str) -> bool:
        return WebSocketHandler.check_origin(self, origin)


# ---- pages as the preview shows them ------------------------------------------------------------


def _page(title: str, body: str) -> bytes:
    return (
        f'<!doctype html><html lang="en"><head><meta charset="utf-8"><title>{title}</title>'
        '<meta name="viewport" content="width=device-width">'
        '<meta name="color-scheme" content="light dark">'
        f'<link rel="icon" href="data:,"></head><body><h1>{title}</h1>{body}</body></html>'
    ).encode()


_POLICY = re.compile(
    rb'(<meta\s+http-equiv="Content-Security-Policy"\s+content=")([^"]*)', re.IGNORECASE
)


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
    directives = {}
    for directive in policy.split(";"):
        if words := directive.split():
            directives.setdefault(words[0].lower(), words[1:])
    for name, needed in (("script-src", ["'self'"]), ("connect-src", ["'self'", f"ws://{host}"])):
        allowed = directives.get(name, directives.get("default-src"))
        if allowed is not None:
            kept = [source for source in allowed if source != "'none'"]
            directives[name] = kept + [source for source in needed if source not in kept]
    return "; ".join(" ".join([name, *sources]) for name, sources in directives.items())
