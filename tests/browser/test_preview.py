"""The preview shows every change in the browser."""

import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor, wait
from pathlib import Path

import pytest
from playwright.sync_api import expect
from word_preview import Preview, preview_process

from tests.support.patience import Terminal, wait_until
from tests.support.preview_opened import Opened, opened_by


@pytest.fixture
def preview(tmp_path) -> Iterator[Preview]:
    running = Preview(tmp_path, word="first")
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


def test_the_first_page_names_both_editions(preview, open_page):
    page = open_page(preview.opened.opening(), within=preview.url)
    expect(page.get_by_role("link")).to_have_text(
        ["The public catalogue", "The private binder", "The desk, where you write"]
    )
    page.get_by_role("link", name="the private binder").click()
    expect(page.locator("#word")).to_have_text("binder: first")


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
