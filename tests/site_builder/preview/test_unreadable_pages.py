"""A page or file of the preview that can't be read is told in words, in the browser and in the terminal."""

import asyncio
import os
import re
import shutil
import signal
from concurrent.futures import ThreadPoolExecutor
from datetime import date
from types import SimpleNamespace

import pytest
from desk_served import DeskServed, write_records

from site_builder.desk.desk import Desk


@pytest.fixture
def without_rights() -> tuple[str, ...]:
    """What to run a command by, so that it may read no file that is closed to all: root may."""
    if not hasattr(os, "geteuid") or (os.geteuid() == 0 and shutil.which("setpriv") is None):
        pytest.skip("this system has no way to give up root's rights")
    return ("setpriv", "--bounding-set=-all", "--inh-caps=-all") if os.geteuid() == 0 else ()


@pytest.mark.parametrize("name", ["catalogue/quilts/low-tide.html", "binder/index.html", "binder/assets/css/base.css"])
def test_a_file_that_can_not_be_read_gives_a_page_that_says_so_and_others_are_served(tmp_path, without_rights, name):
    write_records(tmp_path / "mine")
    desk = DeskServed(tmp_path / "mine", tmp_path / "cache", run_by=without_rights)
    try:
        desk.read("/binder/index.html")
        (page,) = (tmp_path / "cache").glob(f"counterpane/*/previews/1/pages/{name}")
        page.chmod(0)
        answer = desk.ask("GET", f"/{name}")
        told = answer.read().decode()
        assert answer.status == 500 and answer.headers["Cache-Control"] == "no-store"
        assert "<h1>This could not be shown</h1>" in told and "The terminal says why." in told
        assert not re.search(r"Traceback|Errno|/proc|previews|\.py", told)
        assert desk.ask("GET", "/catalogue/quilts/bramble.html").status == 200
        page.chmod(0o600)
        assert desk.ask("GET", f"/{name}").status == 200
    finally:
        desk.process.send_signal(signal.SIGINT)
        said = desk.process.communicate(timeout=300)[1]
    assert f"{name}: " in said and "Traceback" not in said and desk.opened.key not in said


@pytest.mark.parametrize("path", ["/desk/", "/desk/changes", "/desk/edit/quilts/low-tide"])
def test_a_desk_that_can_not_read_its_records_says_so_and_where_why_stands(tmp_path, without_rights, path):
    write_records(tmp_path / "mine")
    kept = tmp_path / "mine" / ".counterpane"
    kept.mkdir()
    desk = DeskServed(tmp_path / "mine", tmp_path / "cache", run_by=without_rights)
    try:
        kept.chmod(0)
        answer = desk.ask("GET", path)
        told = answer.read().decode()
        assert answer.status == 500 and answer.headers["Cache-Control"] == "no-store"
        assert (
            "<h1>That could not be done, and your files are as they were</h1>" in told
            and "The terminal says why." in told
        )
        assert not re.search(r"Traceback|Errno|\.counterpane|\.py", told)
        kept.chmod(0o755)
        assert desk.ask("GET", path).status == 200
    finally:
        kept.chmod(0o755)
        desk.process.send_signal(signal.SIGINT)
        said = desk.process.communicate(timeout=300)[1]
    assert ".counterpane" in said and "It may not be read" in said and "Traceback" not in said


def test_a_first_look_at_photos_that_can_not_be_read_is_no_mistake_of_the_program(tmp_path, monkeypatch):
    async def at_rest() -> None:
        pass

    async def read(desk: Desk) -> None:
        raise PermissionError(13, "Permission denied", str(tmp_path))

    monkeypatch.setattr(Desk, "read", read)
    desk = Desk(tmp_path, tmp_path, tmp_path, SimpleNamespace(at_rest=at_rest), lambda: date(2026, 5, 12), tuple)
    # In a thread, as browser tests have a loop in ours.
    with ThreadPoolExecutor(1) as thread:
        thread.submit(lambda: asyncio.run(desk.look_through_photos())).result()
