"""The preview answers with whole pages while builds put new ones in place.

HAMMER=200 python -m pytest tests -k served_meanwhile changes records so many times.
"""

import http.client
import os
import signal
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest

from tests.support.patience import Terminal, wait_until
from tests.support.preview_opened import opened_by

COUNTERPANE = Path(sys.executable).with_name("counterpane")
EDITS = int(os.environ.get("HAMMER", "8"))
ASKED_FOR = (
    "catalogue/", "catalogue/quilts/quilt-0.html", "catalogue/catalogue.json", "catalogue/assets/css/base.css", "binder/index.html",
    "binder/quilts/quilt-1.html", "catalogue/browse.html",
)  # fmt: skip


@pytest.fixture
def records(tmp_path, write_collection, a_photo) -> Path:
    quilts = {f"quilts/quilt-{number}.yaml": f"title: Quilt {number}\nphotos: {number}.jpg\n" for number in range(4)}
    folder = write_collection(tmp_path / "records", quilts)
    for number in range(4):
        a_photo(folder / f"photos/{number}.jpg", size=(60, 80))
    return folder


@pytest.fixture
def preview(records):
    """The running preview, opened, and what it says, with its first pages in place."""
    process = subprocess.Popen([COUNTERPANE, "preview", records, "--port", "0"], stderr=subprocess.PIPE, text=True)
    try:
        opened = opened_by(process.stderr)
        terminal = Terminal(process.stderr)
        terminal.wait_until_said("Built")
        yield opened, terminal
    finally:
        process.send_signal(signal.SIGINT)
        process.wait()


def ask(connection: http.client.HTTPConnection, cookie: str, path: str) -> str | None:
    """What is wrong with the answer; None where it is whole."""
    connection.request("GET", f"/{path}", headers={"Cookie": cookie})
    answer = connection.getresponse()
    body = answer.read()
    if answer.status != 200:
        return f"{answer.status} for {path}"
    if path.endswith((".html", "/")) and not body.rstrip().endswith(b"</html>"):
        return f"{path} is cut short"
    if path.endswith(".json") and not body.rstrip().endswith(b"}"):
        return f"{path} is cut short"
    return None


def test_no_request_sees_a_missing_or_a_half_page_while_builds_go_on(preview, records):
    opened, terminal = preview
    over = threading.Event()
    faults: list[str] = []
    asked = [0, 0]

    def hammer(number: int) -> None:
        connection = http.client.HTTPConnection("127.0.0.1", opened.port, timeout=300)
        while not over.is_set():
            for path in ASKED_FOR:
                try:
                    fault = ask(connection, opened.cookie, path)
                except (OSError, http.client.HTTPException) as error:
                    fault = f"{path}: {error!r}"
                    connection.close()
                faults.extend([fault] if fault else [])
                asked[number] += 1
        connection.close()

    readers = [threading.Thread(target=hammer, args=(number,)) for number in range(len(asked))]
    for reader in readers:
        reader.start()
    for edits in range(1, EDITS + 1):
        title = "Changed " + "again and " * (edits % 40)
        beside = records / "quilts/.new"
        beside.write_text(f"title: {title}\nphotos: 0.jpg\n")
        beside.rename(records / "quilts/quilt-0.yaml")
        time.sleep(0.3)
    wait_until(lambda: str(terminal).count("Built") > 1 and min(asked) > 10, "builds and answers meanwhile")
    over.set()
    for reader in readers:
        reader.join()
    assert not faults, faults[:5]
    if EDITS > 8:
        print(f"{sum(asked):,} requests, {EDITS} edits, {str(terminal).count('Built')} builds")
