"""A desk over a small collection, served by the real command for the tests of a module."""
import http.client
import os
import re
import signal
import subprocess
import sys
from pathlib import Path
from urllib.parse import urlencode

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


class DeskServed:
    """A running preview: its folder, its address, and requests as raw as they are asked for."""

    def __init__(self, folder: Path, cache: Path):
        self.folder = folder
        command = Path(sys.executable).with_name("counterpane")
        self.process = subprocess.Popen(
            [command, "preview", folder, "--port", "0", "--on", DAY],
            stderr=subprocess.PIPE, text=True, env=os.environ | {"HOME": str(cache), "XDG_CACHE_HOME": str(cache)},
        )  # fmt: skip
        said = self.process.stderr.readline()
        self.url = re.search(r"http://127\.0\.0\.1:\d+/", said)[0]
        self.port = int(self.url.rstrip("/").rpartition(":")[2])
        self.origin = self.url.rstrip("/")

    def text(self, name: str) -> str:
        return (self.folder / name).read_text(encoding="utf-8")

    def ask(
        self, method: str, path: str, body: bytes | None = None, *, host: str | None = None, **headers: str
    ) -> http.client.HTTPResponse:
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=300)
        connection.putrequest(method, path, skip_host=True, skip_accept_encoding=True)
        given = {"Host": host or f"127.0.0.1:{self.port}", **headers}
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
