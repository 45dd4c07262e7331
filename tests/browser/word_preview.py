"""A running preview of a collection of one word."""

import http.client
import subprocess
import sys
from pathlib import Path

from tests.support.patience import Terminal
from tests.support.preview_opened import opened_by

# A collection of one text file. A build copies its word into both editions, under the strict policy
# that the real pages have; "slowly" makes it take until told to go on, "wrong" makes it fail, "broken" raises.
PREVIEW_OF_A_WORD = r"""
import os, shutil, sys, time
from pathlib import Path
from site_builder.preview.server import PreviewProblem, serve

collection, output = Path(sys.argv[1]), Path(sys.argv[2])
PAGE = '''<!doctype html><html lang="en"><head><meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="default-src &#39;none&#39;; script-src 'self'">
<title>A word</title></head><body><p id="word">%s</p></body></html>'''

def rebuild():
    word = (collection / "word.txt").read_text()
    if "slowly" in word:
        print("building slowly", file=sys.stderr, flush=True)
        while not collection.with_name("go on").exists():
            time.sleep(0.02)
    if "wrong" in word:
        print("word.txt:1: that is no word", file=sys.stderr)
        return False
    if "broken" in word:
        raise KeyError("the word")
    for edition in ("catalogue", "binder"):
        beside = output / f"{edition}.new"
        (beside / "quilts").mkdir(parents=True)
        (beside / "index.html").write_text(PAGE % f"{edition}: {word}")
        (beside / "quilts" / "low-tide.html").write_text(PAGE % word)
        (beside / "photos").write_text("".join(sorted(os.listdir(collection))))
        shutil.rmtree(output / edition, ignore_errors=True)
        beside.rename(output / edition)
    return True

try:
    serve(collection, output, output / "pictures", int(sys.argv[3]), rebuild)
except PreviewProblem as problem:
    sys.exit(str(problem))
"""


class Preview:
    """A running preview of a collection of one word."""

    def __init__(self, folder: Path, word: str):
        self.collection, self.output = folder / "collection", folder / "output"
        self.collection.mkdir()
        self.output.mkdir()
        (folder / "secret.txt").write_text("not for the preview")
        self.change(word)
        self.process = preview_process(self.collection, self.output, 0)
        self.opened = opened_by(self.process.stderr)
        self.url, self.port = self.opened.url, self.opened.port
        self.terminal = Terminal(self.process.stderr)

    def change(self, word: str) -> None:
        beside = self.collection / ".word.txt"
        beside.write_text(word)
        beside.rename(self.collection / "word.txt")

    def go_on(self) -> None:
        """Let a build that takes long come to its end."""
        self.collection.with_name("go on").touch()

    def ask(self, path: str, host: str | None = None, **headers: str) -> http.client.HTTPResponse:
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=300)
        connection.putrequest("GET", path, skip_host=True)
        given = {"Host": host or f"127.0.0.1:{self.port}", "Cookie": self.opened.cookie, **headers}
        for name, value in given.items():
            connection.putheader(name.replace("_", "-"), value)
        connection.endheaders()
        return connection.getresponse()

    def read(self, path: str) -> str:
        answer = self.ask(path)
        assert answer.status == 200
        return answer.read().decode()

    def close(self) -> None:
        self.process.kill()
        self.process.wait()
        self.terminal.end()
        self.process.stderr.close()


def preview_process(collection: Path, output: Path, port: int) -> subprocess.Popen:
    return subprocess.Popen(
        [sys.executable, "-c", PREVIEW_OF_A_WORD, collection, output, str(port)],
        stderr=subprocess.PIPE,
        text=True,
    )
