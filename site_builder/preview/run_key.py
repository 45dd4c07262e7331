"""The key of one run of the preview, which the terminal shows: nothing is read or written without it.

Every account of a machine can reach a port of 127.0.0.1. So the first address has a key, for which the browser gets
a cookie; all later requests send the cookie, and their addresses do not have the key.
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
"""The query parameter; no page has another one of this name."""

_PLAIN = "!#$%&'()*+,/:;=?@[]~"


class RunKey:
    """The secrets of one run. The cookie's name has the port, as browsers share cookies between all ports of a host."""

    def __init__(self, port: int):
        # Letters and digits only: terminals end a link before some other characters.
        self._key = secrets.token_hex(24)
        self.cookie = f"counterpane-{port}"
        self.pass_word = new_secret()

    def opening(self, address: str) -> str:
        """An address that has no query yet, with the key."""
        return f"{address}?{NAME}={self._key}"

    def is_known(self, request: HTTPServerRequest) -> bool:
        """Does the request have the cookie of this run?"""
        cookie = request.cookies.get(self.cookie)
        return cookie is not None and is_secret(self.pass_word, cookie.value)

    def is_offered(self, request: HTTPServerRequest) -> bool:
        """Does the address have the key of this run?"""
        return is_secret(self._key, request.query_arguments.get(NAME, [b""])[-1].decode("latin-1"))


def handler_before_all_others(key: RunKey, request: HTTPServerRequest) -> type[RequestHandler] | None:
    """The handler that answers instead of the requested page; None if that may be shown."""
    known = key.is_known(request)
    if NAME in request.query_arguments and request.method in READING and (known or key.is_offered(request)):
        return KeyTaken
    return None if known else NotOpened


class _NothingShown(LocalPage):
    """An answer that shows nothing of the collection."""

    def set_default_headers(self) -> None:
        super().set_default_headers()
        self.set_header("Content-Security-Policy", SHEET_POLICY)
        self.set_header("Referrer-Policy", "no-referrer")
        self.set_header("X-Frame-Options", "DENY")


class KeyTaken(_NothingShown):
    """Sets the cookie in exchange for the key, and redirects to the same address without the key."""

    def get(self) -> None:
        key: RunKey = self.settings["key"]
        self.set_cookie(key.cookie, key.pass_word, path="/", httponly=True, samesite="Strict")
        self.redirect(without_key(self.request), status=303)

    head = get


@stream_request_body
class NotOpened(_NothingShown):
    """Refuses requests with neither key nor cookie. The body is discarded as it arrives, so that the browser gets the
    answer."""

    def prepare(self) -> None:
        take_in(self.request, DRAINED)

    def data_received(self, chunk: bytes) -> None:
        pass

    def refuse(self) -> None:
        """Answer once the whole body has arrived: an earlier answer would end the connection, and be lost."""
        self.set_status(403)
        self.set_header("Content-Type", "text/html; charset=utf-8")
        self.finish(_how_to_open(self.request))

    get = head = post = put = patch = delete = options = refuse


def without_key(request: HTTPServerRequest) -> str:
    """The whole requested address, host included, without the key."""
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
