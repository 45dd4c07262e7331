"""What keeps other web sites, and other programs' pages, from reading the desk or writing through it.

The address, the host and the key of the run are seen to by the preview. Here: who asks, as the browser tells it; a secret of
this run in every form, which no other site can read; and a policy for what a page of the desk may do.
"""

import hmac
import secrets

from tornado.httputil import HTTPServerRequest

READING = ("GET", "HEAD")


def new_secret() -> str:
    """What every form of one run of the preview carries."""
    return secrets.token_urlsafe(32)


def is_secret(secret: str, offered: str) -> bool:
    """Compared in a time that tells nothing of how much was right."""
    return hmac.compare_digest(secret.encode(), offered.encode("utf-8", "surrogateescape"))


def comes_from_elsewhere(request: HTTPServerRequest, hosts: list[str]) -> bool:
    """Does the browser say that another site, or a frame in one, asks?

    Following a link from elsewhere shows a page, which changes nothing; anything else from elsewhere is refused.
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
"""What a page of the desk may do: use our own files, send our own forms, and stand in no frame."""

SHEET_POLICY = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
"""Of a page that holds its style and its pictures in itself; it has no script and no form."""
