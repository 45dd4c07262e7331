"""How tests open a running preview: by the address that its terminal says, as a browser does."""

import http.client
import re
from dataclasses import dataclass
from typing import IO

_ADDRESS = re.compile(r"(http://127\.0\.0\.1:(\d+)/)\?key=(\S+)")


@dataclass(frozen=True)
class Opened:
    """Where a preview is, its key, and the cookie that a browser got for it, such as `name=value`."""

    url: str
    port: int
    key: str
    cookie: str

    @property
    def origin(self) -> str:
        return self.url.rstrip("/")

    def opening(self, path: str = "/") -> str:
        """The whole address of a page, with the key."""
        page, hash_sign, place = path.partition("#")
        return f"{self.origin}{page}{'&' if '?' in page else '?'}key={self.key}{hash_sign}{place}"


def opened_by(terminal: IO[str]) -> Opened:
    """Read what a preview says until the address is there, and get the cookie for it."""
    for line in terminal:
        if found := _ADDRESS.search(line):
            url, port, key = found[1], int(found[2]), found[3]
            connection = http.client.HTTPConnection("127.0.0.1", port, timeout=300)
            connection.request("GET", f"/?key={key}")
            cookie = connection.getresponse().headers["Set-Cookie"].partition(";")[0]
            connection.close()
            return Opened(url, port, key, cookie)
    raise AssertionError("the preview ended without an address")
