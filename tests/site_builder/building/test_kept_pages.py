"""What stays of an edition stays as it is, and the new edition takes its place in one step."""

import errno
import os
import signal
import subprocess
import sys
import threading
from contextlib import suppress
from pathlib import Path

import pytest

from site_builder.building.publish import MARK, editions_replaced
from tests.support.small_editions import BOTH, can_exchange, everything, front, publish

# What stays -------------------------------------------------------------------------------------


def publish_one_page_anew(output: Path, words: str) -> None:
    with editions_replaced(output, BOTH) as staged:
        for edition in staged.values():
            edition.write("index.html", front(words))
            edition.keep("quilts/before.html")


def test_a_page_that_stays_is_the_same_file_and_has_no_second_name(output):
    page = output / "catalogue/quilts/before.html"
    before = page.stat()
    publish_one_page_anew(output, "after")
    after = page.stat()
    assert (after.st_ino, after.st_mtime_ns, after.st_nlink) == (before.st_ino, before.st_mtime_ns, 1)
    assert (output / "catalogue/index.html").read_bytes() == front("after")
    assert not (output / ".catalogue.new").exists()


def test_an_edition_in_which_everything_stays_is_not_touched(output):
    before = output.stat().st_mtime_ns, (output / "catalogue").stat().st_ino, everything(output)
    with editions_replaced(output, BOTH) as staged:
        for edition in staged.values():
            edition.keep("index.html")
            edition.keep("quilts/before.html")
            assert not edition.is_changed
    assert ((output / "catalogue").stat().st_ino, everything(output)) == before[1:]


@pytest.mark.parametrize("added", ["quilts/before.html~", "empty/"])
def test_what_somebody_put_into_an_edition_goes_although_all_pages_stay(output, added):
    before = everything(output)
    path = output / "catalogue" / added
    path.mkdir() if added.endswith("/") else path.touch()
    with editions_replaced(output, BOTH) as staged:
        for edition in staged.values():
            edition.keep("index.html")
            edition.keep("quilts/before.html")
    assert everything(output) == before


def test_a_page_with_a_second_name_elsewhere_may_not_be_kept(output):
    os.link(output / "catalogue/index.html", output / "mine.html")
    with suppress(ZeroDivisionError), editions_replaced(output, BOTH) as staged:
        assert not staged["catalogue"].may_keep("index.html")
        assert staged["catalogue"].may_keep("quilts/before.html")
        assert not staged["catalogue"].may_keep("nowhere.html")
        raise ZeroDivisionError


def test_a_disk_without_links_keeps_pages_by_copying(output, monkeypatch):
    def refuse(source, target):
        raise OSError(errno.EPERM, "no links here")

    monkeypatch.setattr(os, "link", refuse)
    publish_one_page_anew(output, "after")
    assert (output / "catalogue/quilts/before.html").read_bytes() == b"before"
    assert (output / "catalogue/quilts/before.html").stat().st_nlink == 1


def test_no_moment_is_without_a_page_where_folders_can_be_exchanged(output):
    """A reader asks for a page again and again while editions are put in place."""
    if not can_exchange(output):
        pytest.skip("this system can't exchange folders")
    page, missed, reads, stop = output / "catalogue/index.html", [], [], threading.Event()

    def read():
        while not stop.is_set():
            try:
                reads.append(page.read_bytes()[-30:])
            except FileNotFoundError as error:
                missed.append(error)

    reader = threading.Thread(target=read)
    reader.start()
    for number in range(60):
        publish_one_page_anew(output, str(number))
    stop.set()
    reader.join()
    assert not missed
    assert len(set(reads)) > 1


# In one step ------------------------------------------------------------------------------------


EXCHANGING_KILLED = """
import os, signal, sys
from pathlib import Path
from site_builder.building import publish
from site_builder.building.publish import MARK, editions_replaced

output, exchanges = Path(sys.argv[1]), int(sys.argv[2])
really = publish.exchange

def exchange_then_die(one, other):
    global exchanges
    if exchanges == 0:
        os.kill(os.getpid(), signal.SIGKILL)
    exchanges -= 1
    done = really(one, other)
    if exchanges == 0:
        os.kill(os.getpid(), signal.SIGKILL)
    return done

publish.exchange = exchange_then_die
with editions_replaced(output, ["catalogue", "binder"]) as staged:
    for edition in staged.values():
        edition.write("index.html", MARK + b"killed")
        edition.keep("quilts/before.html")
"""


@pytest.mark.parametrize("exchanges", range(3))
def test_each_edition_is_whole_whenever_a_build_is_killed(output, exchanges):
    if not can_exchange(output):
        pytest.skip("this system can't exchange folders")
    former = everything(output / "catalogue")
    run = subprocess.run([sys.executable, "-c", EXCHANGING_KILLED, output, str(exchanges)], timeout=300, check=False)
    assert run.returncode == -signal.SIGKILL
    new = former | {"index.html": MARK + b"killed"}
    assert everything(output / "catalogue") == (new if exchanges else former)
    assert everything(output / "binder") == (new if exchanges == 2 else former)
    publish(output, "after")
    assert {path.stat().st_nlink for path in output.rglob("*") if path.is_file()} == {1}
    assert {path.name for path in output.iterdir()} == set(BOTH)
