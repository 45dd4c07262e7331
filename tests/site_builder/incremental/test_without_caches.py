"""Where nothing can be kept, a build is made all the same and says so."""

import os
import subprocess
from pathlib import Path

import pytest

from site_builder.building.build import build
from site_builder.cli.build_summary import asides
from site_builder.incremental.cache_folder import cache_of
from tests.site_builder.incremental.builds_compared import COUNTERPANE, DAY, ROOT, retitle
from tests.support.folders import files_below
from tests.support.own_folders import build_afresh


def in_the_way(caches: Path, records: Path) -> None:
    caches.write_text("a file in the way")


def a_link_in_its_place(caches: Path, records: Path) -> None:
    (caches / "elsewhere").mkdir(parents=True)
    (caches / "counterpane").symlink_to(caches / "elsewhere")


def a_file_for_the_place(caches: Path, records: Path) -> None:
    cache_of(records).folder.parent.mkdir(parents=True)
    cache_of(records).folder.write_text("")


def somebody_elses(caches: Path, records: Path) -> None:
    if not hasattr(os, "geteuid") or os.geteuid() != 0:
        pytest.skip("only root can give a folder away")
    (caches / "counterpane").mkdir(parents=True, mode=0o777)
    os.chown(caches / "counterpane", 12345, 12345)


@pytest.mark.parametrize("hinder", [in_the_way, a_link_in_its_place, a_file_for_the_place, somebody_elses])
def test_where_nothing_can_be_kept_a_build_is_made_all_the_same_and_says_so(records, tmp_path, caches, hinder):
    hinder(caches, records)
    for words in ("One", "Other"):
        retitle(records, words)
        report = build(records, tmp_path / "site", on=DAY)
        (said,) = asides(report)
        assert (
            said.startswith("Nothing can be kept for the next build in ")
            and said.count(".") == said.strip().count(". ") + 1
        )
        build_afresh(records, tmp_path / "afresh", on=DAY)
        assert files_below(tmp_path / "site") == files_below(tmp_path / "afresh")
    assert not list((caches / "elsewhere").iterdir()) if hinder is a_link_in_its_place else True


def test_the_command_says_so_in_one_sentence(records, tmp_path, caches):
    caches.write_text("a file in the way")
    done = subprocess.run(
        [COUNTERPANE, "build", records, "--output", tmp_path / "site"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert [line for line in done.stderr.splitlines() if "kept for the next build" in line] == [
        f"Nothing can be kept for the next build in {caches} (File exists), so it will take as long as this one."
    ]


def test_without_a_home_too(records, tmp_path, monkeypatch):
    def no_home() -> Path:
        raise RuntimeError("Could not determine home directory.")

    monkeypatch.delenv("XDG_CACHE_HOME")
    monkeypatch.setattr(Path, "home", no_home)
    assert build(records, tmp_path / "site", on=DAY).not_kept.startswith("Nothing can be kept for the next build (")
    assert (tmp_path / "site/binder/index.html").is_file()


@pytest.mark.parametrize("failing", ["pictures", "records", "outputs"])
def test_where_the_disk_of_the_caches_is_full_a_build_is_made_all_the_same(
    records, tmp_path, caches, monkeypatch, failing
):
    from collection.storage import part_files

    build(records, tmp_path / "site", on=DAY)
    write, full = part_files.os.write, cache_of(records).folder / failing

    def write_or_fail(handle, content):
        if Path(os.readlink(f"/proc/self/fd/{handle}")).is_relative_to(full):
            raise OSError(28, os.strerror(28))
        return write(handle, content)

    if not os.path.isdir("/proc/self/fd"):
        pytest.skip("this system does not say which file a number stands for")
    retitle(records, "Changed")
    (records / "photos/1.jpg").write_bytes((records / "photos/0.jpg").read_bytes() + b"\0")
    monkeypatch.setattr(part_files.os, "write", write_or_fail)
    report = build(records, tmp_path / "site", on=DAY)
    monkeypatch.undo()
    assert report.not_kept
    build_afresh(records, tmp_path / "afresh", on=DAY)
    assert files_below(tmp_path / "site") == files_below(tmp_path / "afresh")
