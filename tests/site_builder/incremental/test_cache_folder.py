"""Caches are in the user's own cache folder, one for each collection, and only their owner can read them."""

import os
import shutil
import stat
import subprocess
from pathlib import Path

import pytest

from site_builder.building.build import build
from site_builder.incremental.cache_folder import README, cache_folder, cache_of, held_cache, known_cache
from site_builder.preview.pages_folder import preview_folder
from tests.site_builder.incremental.builds_compared import COUNTERPANE, DAY, ROOT, on_unix, retitle
from tests.support.folders import files_below
from tests.support.own_folders import build_afresh

# Where ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("system", "environment", "expected"), [
    ("linux", {}, "/home/ann/.cache/counterpane"),
    ("linux", {"XDG_CACHE_HOME": "/fast"}, "/fast/counterpane"),
    ("linux", {"XDG_CACHE_HOME": "not/whole"}, "/home/ann/.cache/counterpane"),
    ("linux", {"XDG_CACHE_HOME": ""}, "/home/ann/.cache/counterpane"),
    ("darwin", {}, "/home/ann/Library/Caches/counterpane"),
    ("darwin", {"XDG_CACHE_HOME": "/fast"}, "/fast/counterpane"),
    ("win32", {"LOCALAPPDATA": "/local"}, "/local/counterpane"),
    ("win32", {}, "/home/ann/AppData/Local/counterpane"),
])  # fmt: skip
def test_it_lies_where_the_system_keeps_what_can_be_made_again(system, environment, expected):
    assert cache_folder(environment=environment, system=system, home=Path("/home/ann")).as_posix() == expected


def test_each_collection_has_a_place_by_its_real_path(tmp_path, records, caches):
    (tmp_path / "a-link").symlink_to(records)
    assert cache_of(tmp_path / "a-link") == cache_of(records) == cache_of(records / "quilts" / "..")
    assert cache_of(tmp_path / "other/records").folder != cache_of(records).folder
    assert cache_of(records).folder.parent == caches / "counterpane"
    assert cache_of(records).of_output(tmp_path / "one") != cache_of(records).of_output(tmp_path / "other")


def test_no_test_writes_among_the_users_own_caches():
    assert not cache_of(ROOT).folder.is_relative_to(Path.home())


@on_unix
@pytest.mark.parametrize("before", [None, 0o755, 0o777])
def test_only_its_owner_may_look_into_it_whatever_it_was_before(records, tmp_path, caches, before):
    if before is not None:
        cache_of(records).folder.mkdir(parents=True)
        for folder in (caches / "counterpane", cache_of(records).folder):
            folder.chmod(before)
    former = os.umask(0)
    try:
        build(records, tmp_path / "site", on=DAY)
    finally:
        os.umask(former)
    for folder in (caches / "counterpane", cache_of(records).folder):
        assert stat.S_IMODE(folder.stat().st_mode) == 0o700
    assert modes_below(cache_of(records).folder) == {0o600, 0o700}


def modes_below(folder: Path) -> set[int]:
    return {stat.S_IMODE(path.lstat().st_mode) for path in (folder, *folder.rglob("*"))}


@on_unix
@pytest.mark.parametrize("mask", [0, 0o022, 0o077])
def test_each_file_in_it_is_for_its_owner_alone_pages_of_a_preview_too(records, tmp_path, caches, mask):
    former = os.umask(mask)
    try:
        with held_cache(records) as cache, preview_folder(cache) as pages, preview_folder(cache) as second:
            for output in (pages, second, tmp_path / "site"):
                build(records, output, on=DAY, cache=cache)
            assert (pages / "binder/quilts/quilt-0.html").is_file() and (second / "catalogue/assets").is_dir()
            assert modes_below(cache.folder) == {0o600, 0o700}
    finally:
        os.umask(former)
    assert modes_below(tmp_path / "site") == {0o666 & ~mask, 0o777 & ~mask}, (
        "what is built for others keeps to the mask"
    )


@on_unix
def test_files_that_a_former_version_left_open_to_all_are_closed(records, tmp_path, caches):
    with held_cache(records) as cache, preview_folder(cache) as pages:
        build(records, pages, on=DAY, cache=cache)
    build(records, tmp_path / "site", on=DAY)
    for path in (cache.folder, *cache.folder.rglob("*")):
        path.chmod(0o755 if path.is_dir() else 0o644)
    (tmp_path / "theirs").write_text("")
    (tmp_path / "theirs").chmod(0o644)
    (cache.records / "a-link").symlink_to(tmp_path / "theirs")
    with held_cache(records), preview_folder(cache):
        pass
    (cache.records / "a-link").unlink()
    assert modes_below(cache.folder) == {0o600, 0o700}
    assert stat.S_IMODE((tmp_path / "theirs").stat().st_mode) == 0o644


def test_it_says_what_it_is_and_of_which_collection(records, tmp_path, caches):
    build(records, tmp_path / "site", on=DAY)
    said = (cache_of(records).folder / README).read_text()
    assert "private" in said and os.path.realpath(records) in said


def test_an_output_holds_editions_and_nothing_else(records, tmp_path, caches):
    for words in ("One", "Other"):
        retitle(records, words)
        build(records, tmp_path / "site", on=DAY)
        assert {path.name for path in (tmp_path / "site").iterdir()} == {"catalogue", "binder"}


# Gone, moved, shared ----------------------------------------------------------------------------


def test_when_it_is_deleted_all_is_made_again(records, tmp_path, caches):
    build(records, tmp_path / "site", on=DAY)
    before = files_below(tmp_path / "site")
    shutil.rmtree(caches)
    build(records, tmp_path / "site", on=DAY)
    assert files_below(tmp_path / "site") == before


def test_a_collection_that_was_moved_takes_nothing_along_and_leaves_nothing_behind(records, tmp_path, caches):
    build(records, tmp_path / "site", on=DAY)
    former = cache_of(records).folder
    moved = records.rename(tmp_path / "moved")
    build(moved, tmp_path / "site", on=DAY)
    assert cache_of(moved).folder.is_dir() and not former.exists()


def test_what_is_kept_of_a_collection_on_a_disk_that_is_not_there_now_stays(records, tmp_path, caches):
    disk = tmp_path / "disk"
    disk.mkdir()
    away = records.rename(disk / "records")
    build(away, tmp_path / "site", on=DAY)
    disk.rename(tmp_path / "unplugged")
    other = tmp_path / "other"
    shutil.copytree(tmp_path / "unplugged/records", other)
    build(other, tmp_path / "site", on=DAY)
    assert cache_of(away).folder.is_dir()


def test_a_collection_that_is_yet_to_be_begun_has_a_place_too(tmp_path, caches):
    with held_cache(tmp_path / "new") as cache, preview_folder(cache) as pages:
        assert not cache.why_temporary and pages.is_relative_to(caches)


def test_what_others_keep_there_is_nobodys_business(records, tmp_path, caches):
    (caches / "counterpane/mine-0123456789abcdef").mkdir(parents=True)
    (caches / "counterpane/mine-0123456789abcdef" / README).write_text(f"1\n2\n{tmp_path}/nowhere\n")
    build(records, tmp_path / "site", on=DAY)
    assert (caches / "counterpane/mine-0123456789abcdef" / README).exists()


def test_notes_of_an_output_that_is_gone_are_gone_too(records, tmp_path, caches):
    for name in ("one", "other"):
        build(records, tmp_path / name, on=DAY)
    shutil.rmtree(tmp_path / "one")
    build(records, tmp_path / "more", on=DAY)
    cache = cache_of(records)
    assert [cache.of_output(tmp_path / name).exists() for name in ("one", "other", "more")] == [False, True, True]


def test_two_outputs_of_one_collection_each_know_what_is_in_them(records, tmp_path, caches):
    one, other = tmp_path / "one", tmp_path / "other"
    build(records, one, on=DAY)
    retitle(records, "Changed")
    build(records, other, on=DAY)
    assert files_below(one) != files_below(other)
    build(records, one, on=DAY)
    assert files_below(one) == files_below(other)
    assert build(records, one, on=DAY).left_alone and build(records, other, on=DAY).left_alone


@pytest.mark.parametrize("names", [("one", "other"), ("one", "one")], ids=["into two outputs", "into one"])
def test_two_builds_at_once_end_in_whole_pages(records, tmp_path, caches, names):
    for number in range(3):
        (records / f"quilts/quilt-{number}.yaml").write_text(
            f"title: Quilt {number}\nphotos: {number}.jpg\nmade: 2016\n"
        )
    started = [
        subprocess.Popen(
            [COUNTERPANE, "build", records, "--output", tmp_path / name, "--on", "2026-05-12"],
            cwd=ROOT,
            stderr=subprocess.PIPE,
            text=True,
            stdout=subprocess.DEVNULL,
        )
        for name in names
    ]
    said = [each.communicate(timeout=120)[1] for each in started]
    codes = [each.returncode for each in started]
    assert 0 in codes and all(code == 0 or "Another build" in words for code, words in zip(codes, said, strict=True)), (
        said
    )
    build_afresh(records, tmp_path / "afresh", on=DAY)
    for name in {name for name, code in zip(names, codes, strict=True) if code == 0}:
        assert files_below(tmp_path / name) == files_below(tmp_path / "afresh")


def test_pictures_that_another_build_may_still_need_stay(records, tmp_path, caches):
    from collection.storage.locks import locked

    build(records, tmp_path / "site", on=DAY)
    before = set(cache_of(records).pictures.iterdir())
    (records / "quilts/quilt-2.yaml").unlink()
    with locked(cache_of(records).folder, exclusively=False):
        build(records, tmp_path / "site", on=DAY)
        assert set(cache_of(records).pictures.iterdir()) == before
    retitle(records, "Changed")
    build(records, tmp_path / "site", on=DAY)
    assert set(cache_of(records).pictures.iterdir()) < before


def test_a_place_that_others_may_write_into_is_not_believed(records, tmp_path, caches):
    build(records, tmp_path / "site", on=DAY)
    assert known_cache(records) is not None
    cache_of(records).folder.chmod(0o777)
    assert known_cache(records) is None
