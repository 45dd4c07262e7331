"""The key of one run of the preview, which the terminal shows: nothing is read or written without it.

Every account of a machine reaches a port of 127.0.0.1. So the address that is opened bears a key, for which the
browser gets a cookie; a page of this machine is then asked for with that cookie, and no address bears the key.
"""

import secrets
from html import escape
from urllib.parse import quote, unquote_plus

from tornado.httputil import HTTPServerRequest
from tornado.web import RequestHandler, stream_request_body

from site_builder.desk.handlers import DRAINED, take_in
from site_builder.desk.security import READING, SHEET_POLICY, is_secret, new_secret
from site_builder.preview.handlers import LocalPage, look_within, plain_page

NAME = "key"
"""Of what is asked in the address; no page asks for anything of this name."""

_PLAIN = "!#$%&'()*+,/:;=?@[]~"


class RunKey:
    """What opens one run. The cookie bears the port, as a browser keeps one lot of cookies for all ports of a machine."""

    def __init__(self, port: int):
        # Letters and figures alone: what terminals take for a link ends before some other signs.
        self._key = secrets.token_hex(24)
        self.cookie = f"counterpane-{port}"
        self.pass_word = new_secret()

    def opening(self, address: str) -> str:
        """An address without a question in it, with the key."""
        return f"{address}?{NAME}={self._key}"

    def is_known(self, request: HTTPServerRequest) -> bool:
        """Does the request bear the cookie of this run?"""
        cookie = request.cookies.get(self.cookie)
        return cookie is not None and is_secret(self.pass_word, cookie.value)

    def is_offered(self, request: HTTPServerRequest) -> bool:
        """Does the address bear the key of this run?"""
        return is_secret(self._key, request.query_arguments.get(NAME, [b""])[-1].decode("latin-1"))


def handler_before_all_others(key: RunKey, request: HTTPServerRequest) -> type[RequestHandler] | None:
    """What answers instead of the page that was asked for; None where that may be shown."""
    known = key.is_known(request)
    if NAME in request.query_arguments and request.method in READING and (known or key.is_offered(request)):
        return KeyTaken
    return None if known else NotOpened


class _OfNoPage(LocalPage):
    """An answer that shows nothing of the collection."""

    def set_default_headers(self) -> None:
        super().set_default_headers()
        self.set_header("Content-Security-Policy", SHEET_POLICY)
        self.set_header("Referrer-Policy", "no-referrer")
        self.set_header("X-Frame-Options", "DENY")


class KeyTaken(_OfNoPage):
    """Gives the cookie for the key, and leads to the same address without the key."""

    def get(self) -> None:
        key: RunKey = self.settings["key"]
        self.set_cookie(key.cookie, key.pass_word, path="/", httponly=True, samesite="Strict")
        self.redirect(without_key(self.request), status=303)

    head = get


@stream_request_body
class NotOpened(_OfNoPage):
    """Refuses whoever has neither key nor cookie. What is sent is thrown away while it comes, so that this is read."""

    def prepare(self) -> None:
        take_in(self.request, DRAINED)

    def data_received(self, chunk: bytes) -> None:
        pass

    def refuse(self) -> None:
        """Once all has come: an answer before that would end the connection, and nobody would read it."""
        self.set_status(403)
        self.set_header("Content-Type", "text/html; charset=utf-8")
        self.finish(_how_to_open(self.request))

    get = head = post = put = patch = delete = options = refuse


def without_key(request: HTTPServerRequest) -> str:
    """The whole address that was asked for, on the host that it names, without the key."""
    path = request.path if request.path.startswith("/") else "/"
    kept = [asked for asked in request.query.split("&") if asked and unquote_plus(asked.partition("=")[0]) != NAME]
    address = f"http://{request.host}{path}" + ("?" + "&".join(kept) if kept else "")
    return quote(address, safe=_PLAIN, encoding="latin-1")


def _how_to_open(request: HTTPServerRequest) -> bytes:
    if request.method in READING:
        more = (
            "If this browser has opened it already, and a link from elsewhere led here: "
            f'<a href="{escape(without_key(request))}">go on to the page</a>.'
        )
    else:
        more = (
            "Nothing was changed. What you wrote can still be saved: open that address in another tab, then come back "
            "here, load this page again, and let the browser send the form once more."
        )
    body = (
        '<div class="prose"><p>These pages are private, so they open only with the whole address that the preview gave you when it was '
        "started. You find it in the terminal window in which the preview runs. It begins with "
        f"<code>http://{escape(request.host)}/?{NAME}=</code></p>"
        "<p>Copy that address into this browser. It works until the preview ends; each new start has an address of its own.</p>"
        f"<p>{more}</p></div>"
    )
    return plain_page("Not opened yet", body, look=look_within())
