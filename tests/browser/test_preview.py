"""The preview: every change is seen, nothing else can look in."""

import http.client
import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor, wait
from pathlib import Path

import pytest
from browser_rules import axe_violations, sideways_scroll
from playwright.sync_api import BrowserContext, Page, expect
from watched_pages import SCREENS

from tests.support.patience import Terminal, wait_until
from tests.support.preview_opened import Opened, opened_by

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


@pytest.fixture
def preview(tmp_path) -> Iterator[Preview]:
    running = Preview(tmp_path, word="first")
    yield running
    running.close()


@pytest.fixture(scope="module")
def ready(tmp_path_factory) -> Iterator[Preview]:
    """One preview, built and left alone, for the tests that only ask."""
    running = Preview(tmp_path_factory.mktemp("preview"), word="first")
    running.read("/catalogue/")
    yield running
    running.close()


def test_each_of_ten_changes_in_a_row_is_seen_in_the_browser(preview, open_page):
    page = open_page(preview.opened.opening("/catalogue/"), within=preview.url)
    expect(page.locator("#word")).to_have_text("catalogue: first")
    for number in range(10):
        preview.change(f"change {number}")
        expect(page.locator("#word")).to_have_text(f"catalogue: change {number}")


def test_the_last_of_many_quick_changes_is_seen(preview, open_page):
    page = open_page(preview.opened.opening("/binder/quilts/low-tide.html"), within=preview.url)
    for number in range(30):
        preview.change(f"change {number}")
        time.sleep(0.03)
    expect(page.locator("#word")).to_have_text("change 29")


def test_a_change_made_during_a_build_is_built_after_it(preview, open_page):
    page = open_page(preview.opened.opening("/catalogue/"), within=preview.url)
    preview.change("slowly")
    preview.terminal.wait_until_said("building slowly")
    preview.change("after all")
    preview.go_on()
    expect(page.locator("#word")).to_have_text("catalogue: after all")


def test_a_photo_older_than_the_preview_is_noticed_when_it_is_moved_in(preview, tmp_path):
    preview.read("/catalogue/")
    old = tmp_path / "photo.jpg"
    old.write_bytes(b"")
    os.utime(old, (1_000_000_000, 1_000_000_000))
    old.rename(preview.collection / "photo.jpg")
    wait_until(lambda: "photo.jpg" in preview.read("/catalogue/photos"), "a build with the photo")


def test_pages_are_served_while_a_build_runs(preview):
    preview.read("/catalogue/")
    preview.change("slowly")
    preview.terminal.wait_until_said("building slowly")
    assert "first" in preview.read("/catalogue/")
    preview.go_on()
    wait_until(lambda: "slowly" in preview.read("/catalogue/"), "the build that took long")


def test_a_page_that_is_not_there_yet_is_waited_for(tmp_path):
    preview = Preview(tmp_path, word="slowly")
    try:
        preview.terminal.wait_until_said("building slowly")
        with ThreadPoolExecutor() as reader:
            page = reader.submit(preview.read, "/catalogue/quilts/low-tide.html")
            assert not wait([page], 0.2).done
            preview.go_on()
            assert "slowly" in page.result()
    finally:
        preview.close()


@pytest.mark.parametrize(
    ("word", "told"),
    [
        ("wrong", "word.txt:1: that is no word"),
        ("broken", "KeyError: 'the word'"),
    ],
)
def test_a_failed_build_keeps_the_last_pages_and_tells_the_terminal(preview, open_page, word, told):
    page = open_page(preview.opened.opening("/catalogue/"), within=preview.url)
    preview.change(word)
    preview.terminal.wait_until_said("last good build are still shown")
    assert told in str(preview.terminal)
    assert "Traceback" not in str(preview.terminal)
    assert "first" in preview.read("/catalogue/")
    preview.change("mended")
    expect(page.locator("#word")).to_have_text("catalogue: mended")


def test_control_c_ends_the_preview_without_a_fuss(preview):
    preview.read("/catalogue/")
    preview.process.send_signal(signal.SIGINT)
    assert preview.process.wait(timeout=300) == 0
    preview.terminal.wait_until_said("The preview has ended.")
    assert preview.terminal.lines == ["The preview has ended.\n"]


def test_the_first_page_names_both_editions(ready, open_page):
    page = open_page(ready.opened.opening(), within=ready.url)
    expect(page.get_by_role("link")).to_have_text(
        ["The public catalogue", "The private binder", "The desk, where you write"]
    )
    page.get_by_role("link", name="the private binder").click()
    expect(page.locator("#word")).to_have_text("binder: first")


@pytest.mark.parametrize("path", ["/", "/binder/", "/livereload.js", "/build-name", "/nothing"])
@pytest.mark.parametrize("host", ["example.org", "127.0.0.1", "127.0.0.1:1", "localhost.example.org", "[::1]"])
def test_a_request_that_names_another_host_is_refused(ready, host, path):
    answer = ready.ask(path, host=host)
    assert answer.status == 403
    said = answer.read().decode()
    assert said == f"This preview answers only at http://127.0.0.1:{ready.port}/.\n"


def test_localhost_is_this_machine_too(ready):
    assert ready.ask("/catalogue/", host=f"localhost:{ready.port}").status == 200


def test_another_web_site_cannot_listen_for_builds(ready):
    asked = {
        "Upgrade": "websocket",
        "Connection": "Upgrade",
        "Sec_WebSocket_Version": "13",
        "Sec_WebSocket_Key": "AAAAAAAAAAAAAAAAAAAAAA==",
    }
    assert ready.ask("/livereload", Origin="http://example.org", **asked).status == 403
    assert ready.ask("/livereload", Origin=ready.url.rstrip("/"), **asked).status == 101


@pytest.mark.parametrize("words", [b"no json", b"[]", b"7", b"{}", b"[" * 100, b"\xff"])
def test_whoever_says_other_things_than_a_browser_that_listens_is_passed_over(ready, words):
    asked = {
        "Upgrade": "websocket",
        "Connection": "Upgrade",
        "Sec_WebSocket_Version": "13",
        "Sec_WebSocket_Key": "AAAAAAAAAAAAAAAAAAAAAA==",
    }
    listens = ready.ask("/livereload", **asked)
    line = socket.socket(fileno=os.dup(listens.fileno()))
    line.settimeout(300)
    no_mask = b"\0\0\0\0"
    for said in (words, b'{"command":"hello"}'):
        line.sendall(bytes([0x81, 0x80 | len(said)]) + no_mask + said)
    # Words that are no text end the talk, which is within the protocol. Source: RFC 6455, 8.1.
    assert words == b"\xff" or b"hello" in line.recv(1000)
    line.close()
    ready.read("/catalogue/")
    assert "Traceback" not in str(ready.terminal)


@pytest.mark.parametrize(
    "path",
    [
        "/../secret.txt",
        "/catalogue/../../secret.txt",
        "/catalogue/%2e%2e/%2e%2e/secret.txt",
        "/catalogue/..%2f..%2fsecret.txt",
        "/catalogue/%00",
        "/catalogue//etc/passwd",
        "/secret.txt",
        "/collection/word.txt",
        "/catalogue/quilts/%2e%2e/%2e%2e/binder/index.html",
    ],
)
def test_nothing_outside_the_two_editions_can_be_reached(ready, path):
    answer = ready.ask(path)
    assert answer.status in (403, 404)
    body = answer.read().decode()
    assert "There is no such page" in body and "not for the preview" not in body


def test_a_page_that_does_not_exist_says_so(ready):
    answer = ready.ask("/catalogue/quilts/high-tide.html")
    assert answer.status == 404
    assert "There is no such page" in answer.read().decode()


def test_the_preview_listens_on_this_machine_only(ready):
    with socket.socket() as elsewhere:
        elsewhere.settimeout(300)
        assert elsewhere.connect_ex(("127.0.0.2", ready.port)) != 0


def test_a_port_in_use_is_told_with_a_way_out(tmp_path):
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        refused = preview_process(tmp_path, tmp_path / "output", port)
        _, said = refused.communicate(timeout=300)
    assert refused.returncode == 1
    assert said == (
        f"Port {port} is in use, perhaps by another preview."
        f" Close what uses it, or choose another, such as --port {port + 1}.\n"
    )


@pytest.fixture
def real_preview(tmp_path, write_collection, a_photo) -> Iterator[tuple[Path, Opened, Terminal]]:
    """A small collection of real records, the address where the real command shows it, and what that says."""
    collection = write_collection(
        tmp_path / "quilts of mine",
        {
            "collection.yaml": "title: Quilts of mine\n",
            "quilts/low-tide.yaml": "title: Low Tide\nphotos: [low-tide.jpg]\n",
            "quilts/high-tide.yaml": "title: High Tide\n",
        },
    )
    a_photo(collection / "photos" / "low-tide.jpg")
    command = Path(sys.executable).with_name("counterpane")
    process = subprocess.Popen(
        [command, "preview", collection, "--port", "0"],
        stderr=subprocess.PIPE,
        text=True,
        env=os.environ | {"HOME": str(tmp_path), "XDG_CACHE_HOME": str(tmp_path / "cache")},
    )
    try:
        opened = opened_by(process.stderr)
        terminal = Terminal(process.stderr)
        yield collection, opened, terminal
    finally:
        process.send_signal(signal.SIGINT)
        process.wait()
        terminal.end()


def test_a_real_page_is_shown_anew_under_its_own_policy(real_preview, open_page):
    collection, opened, _ = real_preview
    page = open_page(opened.opening("/catalogue/quilts/low-tide.html"), within=opened.url)
    expect(page.locator("h1")).to_have_text("Low Tide")
    assert page.locator("meta[http-equiv='Content-Security-Policy']").count() == 1
    (collection / "quilts" / "low-tide.yaml").write_text("title: Low Tide at Dusk\n")
    expect(page.locator("h1")).to_have_text("Low Tide at Dusk")


def test_a_mistake_in_a_record_is_told_and_the_page_stays(real_preview, open_page):
    collection, opened, terminal = real_preview
    page = open_page(opened.opening("/binder/quilts/high-tide.html"), within=opened.url)
    record = collection / "quilts" / "high-tide.yaml"
    record.write_text("titel: High Tide\n")
    terminal.wait_until_said("quilts/high-tide.yaml:1:")
    terminal.wait_until_said("last good build are still shown")
    expect(page.locator("h1")).to_have_text("High Tide")
    record.write_text("title: High Tide, mended\n")
    expect(page.locator("h1")).to_have_text("High Tide, mended")


def test_pages_are_never_kept_by_the_browser(ready):
    for path in ("/", "/catalogue/", "/catalogue/photos", "/build-name"):
        assert ready.ask(path).headers["Cache-Control"] == "no-store"


# The key that opens it --------------------------------------------------------------------------


@pytest.fixture
def a_browser(browser) -> Iterator[Callable[..., Page]]:
    """`a_browser()` -> an empty page of a browser that has opened nothing yet."""
    contexts: list[BrowserContext] = []

    def begin(javascript: bool = True) -> Page:
        contexts.append(browser.new_context(java_script_enabled=javascript))
        return contexts[-1].new_page()

    yield begin
    for context in contexts:
        context.close()


@pytest.mark.parametrize("javascript", [True, False], ids=["with scripts", "without"])
def test_the_address_from_the_terminal_opens_every_browser_and_leaves_no_key_in_it(ready, a_browser, javascript):
    for _ in range(2):
        page = a_browser(javascript)
        page.goto(ready.opened.opening("/binder/?a=b#word"))
        expect(page).to_have_url(f"{ready.url}binder/?a=b#word")
        expect(page.locator("#word")).to_have_text("binder: first")
        (cookie,) = page.context.cookies()
        assert (cookie["name"], cookie["path"], cookie["sameSite"]) == (f"counterpane-{ready.port}", "/", "Strict")
        assert cookie["httpOnly"] and cookie["expires"] == -1, "no script reads it, and it ends with the browser"
        page.goto(ready.url)
        page.keyboard.press("Tab")
        page.keyboard.press("Enter")
        expect(page.locator("#word")).to_have_text("catalogue: first")
        if javascript:
            assert page.evaluate("document.cookie") == ""
            assert ready.opened.key not in page.evaluate(
                "document.referrer + location.href + document.documentElement.outerHTML"
            )


@pytest.mark.parametrize("javascript", [True, False], ids=["with scripts", "without"])
def test_a_browser_without_the_key_reads_how_to_open_it_and_can(ready, a_browser, javascript):
    page = a_browser(javascript)
    answer = page.goto(f"{ready.url}binder/")
    assert answer.status == 403
    expect(page.get_by_role("heading", level=1)).to_have_text("Not opened yet")
    expect(page.get_by_role("main")).to_contain_text(f"It begins with {ready.url}?key=")
    page.goto(ready.opened.opening())
    expect(page.get_by_role("link", name="The private binder")).to_be_visible()


@pytest.mark.parametrize("javascript", [True, False], ids=["with scripts", "without"])
def test_a_link_from_elsewhere_leads_on_by_one_key_where_the_browser_has_opened_the_preview(
    ready, a_browser, javascript
):
    """Browsers keep such a cookie to themselves when another site's link is followed."""
    page = a_browser(javascript)
    page.goto(ready.opened.opening())
    page.goto(f"data:text/html,<a href='{ready.url}binder/'>here</a>")
    page.get_by_role("link", name="here").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Not opened yet")
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    expect(page.locator("#word")).to_have_text("binder: first")


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_page_that_says_how_to_open_the_preview_breaks_no_rule(ready, browser, scheme):
    context = browser.new_context(viewport=SCREENS["narrow phone"], color_scheme=scheme, bypass_csp=True)
    page = context.new_page()
    page.goto(f"{ready.url}binder/")
    assert axe_violations(page) == []
    assert sideways_scroll(page) == []
    context.close()
