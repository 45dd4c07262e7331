"""Keeps other web sites, and other programs' pages, from reading the desk or writing through it.

The preview checks the address, the host and the key of the run. This module checks where a request comes from, by the
headers of the browser, and the secret of this run in every form, which no other site can read; and it has the content
security policy of the desk's pages.
"""

import hmac
import secrets

from tornado.httputil import HTTPServerRequest

READING = ("GET", "HEAD")


def new_secret() -> str:
    """A secret for all forms of one run of the preview."""
    return secrets.token_urlsafe(32)


def is_secret(secret: str, offered: str) -> bool:
    """Is this the secret? Compared in constant time."""
    return hmac.compare_digest(secret.encode(), offered.encode("utf-8", "surrogateescape"))


def comes_from_elsewhere(request: HTTPServerRequest, hosts: list[str]) -> bool:
    """Does the browser say that the request comes from another site, or a frame in one?

    Following a link from another site is allowed, as it changes nothing; anything else from there is refused.
    """
    origin = request.headers.get("Origin")
    if origin is not None and origin not in {f"http://{host}" for host in hosts}:
        return True
    site = request.headers.get("Sec-Fetch-Site", "none")
    if site in ("same-origin", "none"):
        return False
    follows_a_link = (
        request.method in READING
        and request.headers.get("Sec-Fetch-Mode") == "navigate"
        and request.headers.get("Sec-Fetch-Dest") == "document"
    )
    return not follows_a_link


PAGE_POLICY = (
    "default-src 'none'; img-src 'self' blob: data:; style-src 'self'; script-src 'self'; connect-src 'self'; "
    "form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)
"""The policy of a page of the desk: it may use our own files and send our own forms, and no page may frame it."""

SHEET_POLICY = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
"""The policy of a page with its styles and pictures inline, and without scripts and forms."""
