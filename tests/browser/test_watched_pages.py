"""The watch over pages notices what must never happen."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Page
from watched_pages import Reader, Watch

from tests.support.patience import wait_until


@pytest.fixture(scope="module")
def kept(browser) -> Iterator[Page]:
    page = Reader().new_page(browser)
    yield page
    page.context.close()


@pytest.fixture
def page(kept) -> Page:
    kept.goto("about:blank")
    return kept


@pytest.mark.parametrize(
    ("body", "fault"),
    [
        ("<img src='http://127.0.0.2:9/a.png' alt=''>", "asked for http://127.0.0.2:9/a.png, beyond"),
        ("<img src='https://example.org/a.png' alt=''>", "asked for https://example.org/a.png, beyond"),
        ("<img src='../secret.png' alt=''>", "/secret.png, beyond"),
        ("<script src='http://127.0.0.2:9/a.js'></script>", "asked for http://127.0.0.2:9/a.js"),
        ("<script>fetch('http://127.0.0.2:9/a').catch(() => 0)</script>", "asked for http://127.0.0.2"),
        ("<script>new WebSocket('ws://127.0.0.2:9/a')</script>", "asked for http://127.0.0.2:9/a"),
        ("<link rel=stylesheet href='none.css'>", "failed: "),
        ("<script>throw new Error('no thread')</script>", "script error: no thread"),
        ("<script>console.error('no needle')</script>", "no needle"),
        (
            "<meta http-equiv=Content-Security-Policy content=\"style-src 'none'\"><p style='color: red'>",
            "Content Security Policy",
        ),
    ],
)
def test_a_fault_is_noticed(page, tmp_path, body, fault):
    (tmp_path / "edition").mkdir()
    (tmp_path / "secret.png").write_bytes(b"")
    file = tmp_path / "edition" / "index.html"
    file.write_text(f"<!doctype html><title>Wall</title>{body}")
    watch = Watch(page, allowed=file.parent.as_uri())
    page.goto(file.as_uri())
    wait_until(lambda: page.evaluate("0") or fault in "\n".join(watch.faults), fault)


def test_a_sound_page_is_left_alone(page, tmp_path):
    file = tmp_path / "index.html"
    file.write_text("<!doctype html><title>Wall</title><img src='data:,' alt=''>")
    watch = Watch(page, allowed=tmp_path.as_uri())
    page.goto(file.as_uri(), wait_until="networkidle")
    assert watch.faults == []
