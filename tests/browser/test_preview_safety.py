"""Nothing but this machine's own browsers, opened by the key, can look into the preview."""

import os
import socket
from collections.abc import Callable, Iterator

import pytest
from browser_rules import axe_violations, sideways_scroll
from playwright.sync_api import BrowserContext, Page, expect
from watched_pages import SCREENS
from word_preview import Preview


@pytest.fixture(scope="module")
def ready(tmp_path_factory) -> Iterator[Preview]:
    """One preview, built and left alone, for the tests that only ask."""
    running = Preview(tmp_path_factory.mktemp("preview"), word="first")
    running.read("/catalogue/")
    yield running
    running.close()


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
