"""What killed builds, killed previews and former versions left is removed, and nothing else."""

import subprocess
import sys

import pytest

from collection.problems import CollectionProblems
from site_builder.building.build import build
from site_builder.incremental.cache_folder import held_cache
from site_builder.preview.pages_folder import preview_folder
from tests.site_builder.incremental.builds_compared import DAY, ROOT, on_unix
from tests.support.folders import files_below

KILLED_WRITING = """
import os, signal, sys
from datetime import date
from pathlib import Path

replace, left = os.replace, int(sys.argv[3])

def replace_or_die(*names):
    global left
    left -= 1
    if left < 0:
        os.kill(os.getpid(), signal.SIGKILL)
    replace(*names)

os.replace = replace_or_die
from site_builder.building.build import build
build(Path(sys.argv[1]), Path(sys.argv[2]), on=date(2026, 5, 12), jobs=1)
"""


@on_unix
@pytest.mark.parametrize("writes", [0, 1, 4, 14, 15, 17, 19, 21, 23, 24, 25])
def test_what_a_build_that_was_killed_had_begun_to_write_is_gone_after_the_next(records, tmp_path, caches, writes):
    """Before its writes of what is kept, of which there are some 25."""
    subprocess.run(
        [sys.executable, "-c", KILLED_WRITING, records, tmp_path / "site", str(writes)],
        cwd=ROOT,
        timeout=120,
        check=False,
    )
    build(records, tmp_path / "site", on=DAY)
    assert [path for path in caches.rglob("*") if path.name.endswith(".part")] == []
    assert {path.name for path in (tmp_path / "site").iterdir()} == {"catalogue", "binder"}


# Former versions --------------------------------------------------------------------------------


FORMER = {
    ".built/seen.json": b'[3,"program",{"folder":"/quilts"}]\n', ".built/catalogue.json": b"[3,", ".built/binder-entries.json": b"[3,",
    ".built/catalogue-looks-entries.json": b"[3,", ".built/binder-fields-entries.json": b"[3,", ".built/records-0.pickle": b"\x80\x05secret",
    ".built/records-15.pickle": b"", ".built/seen.123.part": b"half", ".pictures/index.json": b'{"version":3,"settings":"recipe 9"}',
    ".pictures/0123456789abcdef0123-800.jpg": b"\xff\xd8", ".pictures/.0123456789abcdef0123-800.jpg.12345.part": b"half",
}  # fmt: skip
NOT_OURS = {
    ".built/notes.txt": b"mine", ".built/seen.json.bak": b"", ".pictures/holiday.jpg": b"\xff\xd8", ".pictures/index.json": b'["my index"]',
    ".pictures/deep/0123456789abcdef0123-800.jpg": b"", ".hidden/seen.json": b"[3,",
}  # fmt: skip


@pytest.mark.parametrize("is_read_only", [False, True])
def test_what_a_former_version_left_beside_the_pages_is_removed_by_the_next_build(
    records, tmp_path, write_collection, caches, is_read_only
):
    build(records, tmp_path / "site", on=DAY)
    write_collection(tmp_path / "site", FORMER)
    if is_read_only:
        for name in (".built", ".pictures"):
            (tmp_path / "site" / name).chmod(0o555)
    report = build(records, tmp_path / "site", on=DAY)
    assert {path.name for path in (tmp_path / "site").iterdir()} == {"catalogue", "binder"}
    assert report.left_lying == ()


def test_also_where_the_records_have_problems(records, tmp_path, write_collection, caches):
    write_collection(tmp_path / "site", FORMER)
    (records / "quilts/quilt-0.yaml").write_text("titel: Ebb\n")
    with pytest.raises(CollectionProblems):
        build(records, tmp_path / "site", on=DAY)
    assert list((tmp_path / "site").iterdir()) == []


def test_what_others_have_put_there_stays(records, tmp_path, write_collection, caches):
    write_collection(tmp_path / "site", FORMER | NOT_OURS)
    build(records, tmp_path / "site", on=DAY)
    left = {
        name: content
        for name, content in files_below(tmp_path / "site").items()
        if not name.startswith(("catalogue/", "binder/"))
    }
    assert left == NOT_OURS
    assert build(records, tmp_path / "site", on=DAY).left_alone


def test_a_link_in_the_place_of_former_notes_is_not_followed(records, tmp_path, write_collection, caches):
    write_collection(tmp_path / "elsewhere", {"seen.json": b"[3,"})
    (tmp_path / "site").mkdir()
    (tmp_path / "site/.built").symlink_to(tmp_path / "elsewhere")
    build(records, tmp_path / "site", on=DAY)
    assert (tmp_path / "elsewhere/seen.json").exists()


# The preview ------------------------------------------------------------------------------------


def test_a_second_preview_of_one_collection_has_other_pages_which_are_gone_at_its_end(records, caches):
    with held_cache(records) as cache, preview_folder(cache) as first, preview_folder(cache) as second:
        assert first.is_relative_to(caches) and second.is_relative_to(caches) and first != second
        second.mkdir()
    with held_cache(records) as cache, preview_folder(cache) as again:
        assert again == first
    assert not second.parent.exists()


KILLED = """
import os, signal, sys
from pathlib import Path
from site_builder.incremental.cache_folder import held_cache
from site_builder.preview.pages_folder import preview_folder

with held_cache(Path(sys.argv[1])) as cache, preview_folder(cache) as first, preview_folder(cache) as second:
    for pages in (first, second):
        (pages / "binder").mkdir(parents=True)
        (pages / "binder/index.html").write_text("private")
    os.kill(os.getpid(), signal.SIGKILL)
"""


@on_unix
@pytest.mark.parametrize("is_kept", [True, False], ids=["among the caches", "where nothing can be kept"])
def test_pages_of_a_preview_that_was_killed_are_gone_at_the_next_start(records, tmp_path, caches, monkeypatch, is_kept):
    monkeypatch.setenv("TMPDIR", str(tmp_path / "passing"))
    monkeypatch.setattr("tempfile.tempdir", None)
    (tmp_path / "passing").mkdir()
    if not is_kept:
        caches.write_text("a file in the way")
    subprocess.run([sys.executable, "-c", KILLED, records], cwd=ROOT, timeout=60, check=False)
    assert bool(list((tmp_path / "passing").iterdir())) is not is_kept
    with held_cache(records) as cache, preview_folder(cache):
        left = [path for path in (*caches.rglob("index.html"), *(tmp_path / "passing").rglob("index.html"))]
        assert len(left) == (1 if is_kept else 0)
    assert list((tmp_path / "passing").iterdir()) == []
