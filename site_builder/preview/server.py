"""Serves both editions and the desk to a browser on this machine, and reloads the pages after each build.

The browser's side is livereload's script and protocol. Its server is not used: it serves nothing while a build runs,
misses a change that comes soon after another, does not notice a photo that is older than the preview, and answers
requests for any host.
"""

import asyncio
import errno
import os
import sys
from collections.abc import Callable, Iterable
from contextlib import suppress
from datetime import date
from pathlib import Path
from typing import Any

from livereload.handlers import LiveReloadJSHandler
from tornado.httpserver import HTTPServer
from tornado.httputil import HTTPServerRequest
from tornado.netutil import bind_sockets
from tornado.web import Application, RedirectHandler

from collection.problems import Problem
from site_builder.building.watch import Builds
from site_builder.desk.desk import Desk
from site_builder.desk.new_collection import no_collection_in
from site_builder.desk.routes import desk_routes
from site_builder.preview.handlers import (
    EDITIONS,
    BothEditions,
    BuildName,
    EditionFile,
    NoSuchPage,
    OtherHost,
    ShowsCurrentBuild,
)
from site_builder.preview.livereload import Reloading, reload_browsers
from site_builder.preview.run_key import RunKey, handler_before_all_others

ADDRESS = "127.0.0.1"
MOST_ASKED_BYTES = 64_000
"""The largest body of a request to a page that accepts none; pages of the desk have limits of their own."""


class PreviewProblem(Exception):
    """The preview cannot be served; the text is for the person who asked for it."""


def serve(
    collection: Path,
    output: Path,
    pictures: Path,
    port: int,
    rebuild: Callable[[], bool],
    *,
    today: Callable[[], date] = date.today,
    warnings: Callable[[], Iterable[Problem]] = tuple,
) -> None:
    """Serve `output` until Ctrl-C, calling `rebuild` at the start and after changes in `collection`.

    `rebuild` writes the editions into `output`, reports any problem on the terminal itself, and returns whether new
    pages are in place; it runs in a thread, never twice at once. The desk shows the `pictures` that builds have made.
    Port 0 takes any free one; the terminal shows the address with its key. `today` is the day that the desk proposes
    for new entries, and `warnings` are those of the last build.

    Raises PreviewProblem when the port cannot be had.
    """
    with suppress(KeyboardInterrupt):
        asyncio.run(_serve(collection, output, pictures, port, rebuild, today, warnings))
    _report("The preview has ended.")


async def _serve(
    collection: Path,
    output: Path,
    pictures: Path,
    port: int,
    rebuild: Callable[[], bool],
    today: Callable[[], date],
    warnings: Callable[[], Iterable[Problem]],
) -> None:
    try:
        sockets = bind_sockets(port, ADDRESS)
    except OSError as refusal:
        raise PreviewProblem(_why_no_port(port, refusal)) from refusal
    port = sockets[0].getsockname()[1]
    builds = Builds(collection, output, rebuild, report=_report)
    hosts = [f"{ADDRESS}:{port}", f"localhost:{port}"]
    desk = Desk(collection, output, pictures, builds, today, warnings)
    key = RunKey(port)
    application = PreviewApplication(output, builds, hosts, key, desk)
    HTTPServer(application, max_body_size=MOST_ASKED_BYTES).add_sockets(sockets)
    _report("The preview opens with this address, whole as it is, and only on this machine. Ctrl-C ends it.")
    _report(key.opening(f"http://{hosts[0]}/"))
    if no_collection_in(collection):
        _report(f"There is no collection in {collection} yet. That address leads to where you begin one.")
    looking = asyncio.create_task(desk.look_through_photos())
    await builds.keep_current(then=reload_browsers)
    await looking


def _why_no_port(port: int, refusal: OSError) -> str:
    if refusal.errno == errno.EADDRINUSE:
        why = f"Port {port} is in use, perhaps by another preview."
    elif refusal.errno == errno.EACCES:
        why = f"Port {port} is kept for the system."
    else:
        why = f"Port {port} cannot be used ({refusal.strerror})."
    return f"{why} Close what uses it, or choose another, such as --port {max(port, 5000) + 1}."


def _report(line: str) -> None:
    print(line, file=sys.stderr, flush=True)


class PreviewApplication(Application):
    """Answers only requests that name this machine, so that no other web site can read the pages, and that have the key
    of this run, so that no other account can.

    Both are checked before any route is looked up, so that new routes are protected too.
    """

    def __init__(self, output: Path, builds: Builds, hosts: list[str], key: RunKey, desk: Desk):
        super().__init__(
            [*_handlers(output), *desk_routes()],
            default_handler_class=NoSuchPage,
            log_function=lambda _: None,
            # The settings of every handler.
            builds=builds,
            hosts=hosts,
            key=key,
            desk=desk,
        )
        self._hosts, self._key = hosts, key

    def find_handler(self, request: HTTPServerRequest, **more: Any) -> Any:
        if request.host not in self._hosts:
            return self.get_handler_delegate(request, OtherHost)
        if instead := handler_before_all_others(self._key, request):
            return self.get_handler_delegate(request, instead)
        return super().find_handler(request, **more)


def _handlers(output: Path) -> list[Any]:
    handlers: list[Any] = [
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
