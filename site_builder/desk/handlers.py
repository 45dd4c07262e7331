"""The base of all pages of the desk: which requests are allowed, their headers, their frame, and their forms."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from types import TracebackType
from typing import NoReturn
from urllib.parse import urlencode

from tornado.http1connection import HTTP1Connection
from tornado.httputil import HTTPFile, HTTPInputError, HTTPServerRequest, parse_body_arguments
from tornado.web import Finish, HTTPError, RequestHandler, stream_request_body

from collection.loading.loader import Reading
from collection.problems import CollectionProblems, Problem
from site_builder.desk.desk import Desk
from site_builder.desk.security import PAGE_POLICY, comes_from_elsewhere, is_secret
from site_builder.terminal import explain

MOST_WORDS = 2_000_000
"""The most bytes of a form without photos: far more than a record may have."""

DRAINED = 300_000_000
"""The most bytes that are received and discarded, so that a browser that sends too much still gets the refusal."""

_LOCAL = re.compile(r"/(?:(?:binder|catalogue|desk)/[^\\\x00-\x20]*)?")


@dataclass(frozen=True, slots=True)
class Frame:
    """The frame of a page of the desk."""

    title: str
    site_title: str
    path: str
    secret: str
    language: str
    troubled: bool


class DeskPage(RequestHandler):
    """A page of the desk. Reading one never changes anything."""

    @property
    def desk(self) -> Desk:
        desk: Desk = self.settings["desk"]
        return desk

    def set_default_headers(self) -> None:
        for name, value in {
            "Cache-Control": "no-store",
            "Content-Security-Policy": PAGE_POLICY,
            "Cross-Origin-Opener-Policy": "same-origin",
            "Cross-Origin-Resource-Policy": "same-origin",
            "Referrer-Policy": "same-origin",
            "X-Content-Type-Options": "nosniff",
            "X-Frame-Options": "DENY",
        }.items():
            self.set_header(name, value)

    def prepare(self) -> None:
        if comes_from_elsewhere(self.request, self.settings["hosts"]):
            self.refuse(403, "This came from another web site, so nothing was shown and nothing was changed.")

    def refuse(self, status: int, why: str) -> NoReturn:
        """End the request with a plain sentence."""
        self.set_status(status)
        self.set_header("Content-Type", "text/plain; charset=utf-8")
        self.finish(f"{why}\n")
        raise Finish

    async def show(self, template: str, title: str, *, status: int = 200, **values: object) -> None:
        """Finish with a page made from a template of the desk."""
        self.set_status(status)
        self.set_header("Content-Type", "text/html; charset=utf-8")
        frame = await self._frame(title)
        self.finish(self.desk.renderer.text(f"desk/{template}", frame=frame, **values))

    async def _frame(self, title: str) -> Frame:
        site_title, language, troubled = "A new collection", "en", False
        try:
            reading = await self.desk.read()
            settings = reading.collection.settings
            site_title, language, troubled = settings.title, settings.site.language, bool(reading.errors)
        except CollectionProblems:
            pass
        return Frame(title, site_title, self.request.path, self.desk.secret, language, troubled)

    async def reading(self) -> Reading:
        """The collection as read; if there is none yet, redirects to the page that begins one."""
        try:
            return await self.desk.read()
        except CollectionProblems:
            self.redirect("/desk/begin")
            raise Finish from None

    async def show_problems(self, title: str, problems: Sequence[Problem], *, lead: str, back: str) -> None:
        """Show problems, each with a link to where it can be fixed."""
        await self.show(
            "problems.html", title, status=409, lead=lead, back=back, troubles=await self.desk.links_to(problems)
        )

    def go(self, address: str, **asked: object) -> None:
        """Redirect after a write, so that reloading does not write again."""
        query = urlencode({name: value for name, value in asked.items() if value not in (None, "")}, doseq=True)
        self.redirect(f"{address}?{query}" if query else address, status=303)

    def to_built(self, build: int, to: str, said: str, **more: object) -> None:
        """Redirect to the page that waits for the build."""
        self.go("/desk/saved", build=build, to=to, said=said, **more)

    async def answered(self, name: str) -> str:
        return self.get_query_argument(name, "")

    def log_exception(
        self, typ: type[BaseException] | None, value: BaseException | None, tb: TracebackType | None
    ) -> None:
        """Report a bug in words, with the traceback in a file."""
        if isinstance(value, Exception) and not isinstance(value, HTTPError):
            explain(value)

    def write_error(self, status_code: int, **_: object) -> None:
        self.set_header("Content-Type", "text/html; charset=utf-8")
        words = {404: "There is no such page at the desk", 405: "This page takes nothing in"}
        title = words.get(status_code, "That could not be done, and your files are as they were")
        why = "The terminal says why. Load this page again once that is put right. " if status_code >= 500 else ""
        self.finish(
            f'<!doctype html><html lang="en"><head><meta charset="utf-8"><title>{title}</title>'
            '<meta name="viewport" content="width=device-width"><link rel="stylesheet" href="/desk/assets/tokens.css">'
            '<link rel="stylesheet" href="/desk/assets/base.css"><link rel="stylesheet" href="/desk/assets/page.css">'
            f'</head><body><main class="main"><h1>{title}</h1><p>{why}<a href="/desk/">The desk</a></p></main></body></html>'
        )


def take_in(request: HTTPServerRequest, most: int) -> None:
    """Accept up to `most` bytes from a request that streams its body."""
    if isinstance(request.connection, HTTP1Connection):
        request.connection.set_max_body_size(most)


@stream_request_body
class DeskForm(DeskPage):
    """A page of the desk with a form. The body is counted as it arrives."""

    most_bytes = MOST_WORDS

    def prepare(self) -> None:
        self._parts: list[bytes] = []
        self._received = 0
        take_in(self.request, DRAINED)
        super().prepare()

    def data_received(self, chunk: bytes) -> None:
        self._received += len(chunk)
        if self._received > self.most_bytes:
            self._parts.clear()
        else:
            self._parts.append(chunk)

    async def post(self, *_: str) -> None:
        if self._received > self.most_bytes:
            await self.show_too_much()
            return
        answers = self._answers()
        if not is_secret(self.desk.secret, answers.one("secret")):
            await self.take_again(answers)
            return
        await self.take(answers)

    async def take(self, answers: "Answers") -> None:
        """Handle a form that was sent from one of our own pages."""
        raise HTTPError(405)

    async def take_again(self, answers: "Answers") -> None:
        """Handle a form from an earlier run of the preview, or from elsewhere: nothing is changed."""
        await self.show(
            "outdated.html", "Please send that once more", status=403, address=self.request.uri,
        )  # fmt: skip

    async def show_too_much(self) -> None:
        await self.show("too_much.html", "That was too much at once", status=413, most=self.most_bytes // 1_000_000)

    def _answers(self) -> "Answers":
        arguments: dict[str, list[bytes]] = {}
        files: dict[str, list[HTTPFile]] = {}
        body = b"".join(self._parts)
        self._parts.clear()  # Before parsing, as a body with photos is large.
        try:
            parse_body_arguments(self.request.headers.get("Content-Type", ""), body, arguments, files)
        except HTTPInputError:
            self.refuse(400, "What was sent is no form.")
        words = {
            name: [value.decode("utf-8", "replace").replace("\r\n", "\n") for value in values]
            for name, values in arguments.items()
        }
        return Answers(words, files)


@dataclass(frozen=True)
class Answers:
    """The values and files of a form."""

    words: dict[str, list[str]]
    files: dict[str, list[HTTPFile]]

    def one(self, name: str) -> str:
        return self.words.get(name, [""])[-1]

    def all(self, name: str) -> list[str]:
        return self.words.get(name, [])


def local_address(address: str, otherwise: str = "/desk/") -> str:
    """An address within the preview; anything else becomes `otherwise`.

    >>> local_address("/binder/quilts/low-tide.html"), local_address("//example.org/"), local_address("https://a.b/")
    ('/binder/quilts/low-tide.html', '/desk/', '/desk/')
    """
    return address if _LOCAL.fullmatch(address) and ".." not in address else otherwise
