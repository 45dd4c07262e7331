"""A desk over a small collection, served by the real command for the tests of a module."""

import http.client
import os
import re
import signal
import subprocess
import sys
from pathlib import Path
from urllib.parse import urlencode

from tests.support.preview_opened import opened_by

RECORDS = {
    "collection.yaml": "# Ours.\ntitle: Quilts of mine\nmaker: {name: A maker}\n",
    "partners/river-street.yaml": "name: River Street Shelter\nkind: charity\nrules: {size: [lap]}\n",
    "partners/nell.yaml": "name: Nell\nkind: go-between\n",
    "requests/spring.yaml": "partner: river-street\nasked: 2026-03-01\nlines:\n  - {id: laps, count: 2}\n",
    "quilts/low-tide.yaml": (
        "title: Low Tide  # the harbour\n# measured twice\nfinished_size: 50 x 60\nphotos: [low-tide/front.jpg]\n"
        "destination: free\ncondition: good\n"
    ),
    "quilts/bramble.yaml": "title: Bramble\nfinished_size: 48 x 58\ndestination: free\n",
    "quilts/ebb.yaml": "title: Ebb\nfinished_size: 52 x 62\ndestination: free\nstory: |\n  Of scraps.\n",
    "quilts/kept-one.yaml": "title: Kept One\ndestination: kept\n",
}
DAY = "2026-05-12"


def write_records(folder: Path, *, name_photo: bool = False) -> Path:
    """Write the small collection; a quilt of it names a photo only where that is asked for."""
    for name, text in RECORDS.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text if name_photo else text.replace("photos: [low-tide/front.jpg]\n", ""))
    return folder


class DeskServed:
    """A running preview: its folder, its address, and requests as raw as they are asked for."""

    def __init__(self, folder: Path, cache: Path, port: int = 0, *, run_by: tuple[str, ...] = ()):
        self.folder, self.cache = folder, cache
        command = Path(sys.executable).with_name("counterpane")
        self.process = subprocess.Popen(
            [*run_by, command, "preview", folder, "--port", str(port), "--on", DAY],
            stderr=subprocess.PIPE, text=True, env=os.environ | {"HOME": str(cache), "XDG_CACHE_HOME": str(cache)},
        )  # fmt: skip
        self.opened = opened_by(self.process.stderr)
        self.url, self.port, self.origin = self.opened.url, self.opened.port, self.opened.origin

    def opening(self, path: str) -> str:
        """The whole address of a page, with the key."""
        return self.opened.opening(path)

    def text(self, name: str) -> str:
        return (self.folder / name).read_text(encoding="utf-8")

    def ask(
        self, method: str, path: str, body: bytes | None = None, *, host: str | None = None, **headers: str
    ) -> http.client.HTTPResponse:
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=300)
        connection.putrequest(method, path, skip_host=True, skip_accept_encoding=True)
        given = {"Host": host or f"127.0.0.1:{self.port}", "Cookie": self.opened.cookie, **headers}
        if body is not None:
            given.setdefault("Content-Length", str(len(body)))
            given.setdefault("Content-Type", "application/x-www-form-urlencoded")
        for name, value in given.items():
            connection.putheader(name.replace("_", "-"), value)
        connection.endheaders(body)
        return connection.getresponse()

    def read(self, path: str) -> str:
        answer = self.ask("GET", path)
        assert answer.status == 200, answer.status
        return answer.read().decode()

    def secret(self) -> str:
        return hidden(self.read("/desk/new/partner"), "secret")

    def send(self, path: str, fields: dict[str, str], **headers: str) -> http.client.HTTPResponse:
        return self.ask("POST", path, urlencode(fields, doseq=True).encode(), **headers)

    def close(self) -> None:
        self.process.send_signal(signal.SIGINT)
        self.process.communicate(timeout=300)


def hidden(page: str, name: str) -> str:
    """The value of a hidden field."""
    return re.search(rf'name="{name}" value="([^"]*)"', page)[1]
