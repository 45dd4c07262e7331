"""What is kept between builds lies in the user's own cache folder: one place for each collection, for nobody else's eyes."""

import os
import shutil
import stat
import subprocess
import sys
from datetime import date
from pathlib import Path

import pytest

from collection.problems import CollectionProblems
from site_builder.building.build import build
from site_builder.cli.build_summary import asides
from site_builder.incremental import cache_folder as cache_place
from site_builder.incremental.cache_folder import README, cache_folder, held_cache, known_cache, place_of
from site_builder.preview.pages_folder import preview_folder
from tests.support.own_folders import build_afresh

DAY = date(2026, 5, 12)
ROOT = Path(__file__).parents[3]
COUNTERPANE = Path(sys.executable).with_name("counterpane")
on_unix = pytest.mark.skipif(not hasattr(os, "geteuid"), reason="this system says otherwise who may read what")


@pytest.fixture
def caches(tmp_path, monkeypatch) -> Path:
    """A cache folder of this test's own."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "caches"))
    return tmp_path / "caches"


@pytest.fixture
def records(tmp_path, write_collection, a_photo) -> Path:
    folder = write_collection(
        tmp_path / "records",
        {f"quilts/quilt-{number}.yaml": f"title: Quilt {number}\nphotos: {number}.jpg\n" for number in range(3)},
    )
    for number in range(3):
        a_photo(folder / f"photos/{number}.jpg", size=(60, 80), colour=("seagreen", "tomato", "navy")[number])
    return folder


def pages_of(output: Path) -> dict[str, bytes]:
    return {path.relative_to(output).as_posix(): path.read_bytes() for path in output.rglob("*") if path.is_file()}


def retitle(records: Path, words: str) -> None:
    (records / "quilts/quilt-0.yaml").write_text(f"title: {words}\nphotos: 0.jpg\n")


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
    assert place_of(tmp_path / "a-link") == place_of(records) == place_of(records / "quilts" / "..")
    assert place_of(tmp_path / "other/records").folder != place_of(records).folder
    assert place_of(records).folder.parent == caches / "counterpane"
    assert place_of(records).of_output(tmp_path / "one") != place_of(records).of_output(tmp_path / "other")


def test_no_test_writes_among_the_users_own_caches():
    assert not place_of(ROOT).folder.is_relative_to(Path.home())


@on_unix
@pytest.mark.parametrize("before", [None, 0o755, 0o777])
def test_only_its_owner_may_look_into_it_whatever_it_was_before(records, tmp_path, caches, before):
    if before is not None:
        place_of(records).folder.mkdir(parents=True)
        for folder in (caches / "counterpane", place_of(records).folder):
            folder.chmod(before)
    former = os.umask(0)
    try:
        build(records, tmp_path / "site", on=DAY)
    finally:
        os.umask(former)
    for folder in (caches / "counterpane", place_of(records).folder):
        assert stat.S_IMODE(folder.stat().st_mode) == 0o700
    assert modes_below(place_of(records).folder) == {0o600, 0o700}


def modes_below(folder: Path) -> set[int]:
    return {stat.S_IMODE(path.lstat().st_mode) for path in (folder, *folder.rglob("*"))}


@on_unix
@pytest.mark.parametrize("mask", [0, 0o022, 0o077])
def test_each_file_in_it_is_for_its_owner_alone_pages_of_a_preview_too(records, tmp_path, caches, mask):
    former = os.umask(mask)
    try:
        with held_cache(records) as place, preview_folder(place) as pages, preview_folder(place) as second:
            for output in (pages, second, tmp_path / "site"):
                build(records, output, on=DAY, place=place)
            assert (pages / "binder/quilts/quilt-0.html").is_file() and (second / "catalogue/assets").is_dir()
            assert modes_below(place.folder) == {0o600, 0o700}
    finally:
        os.umask(former)
    assert modes_below(tmp_path / "site") == {0o666 & ~mask, 0o777 & ~mask}, (
        "what is built for others keeps to the mask"
    )


@on_unix
def test_files_that_a_former_version_left_open_to_all_are_closed(records, tmp_path, caches):
    with held_cache(records) as place, preview_folder(place) as pages:
        build(records, pages, on=DAY, place=place)
    build(records, tmp_path / "site", on=DAY)
    for path in (place.folder, *place.folder.rglob("*")):
        path.chmod(0o755 if path.is_dir() else 0o644)
    (tmp_path / "theirs").write_text("")
    (tmp_path / "theirs").chmod(0o644)
    (place.records / "a-link").symlink_to(tmp_path / "theirs")
    with held_cache(records), preview_folder(place):
        pass
    (place.records / "a-link").unlink()
    assert modes_below(place.folder) == {0o600, 0o700}
    assert stat.S_IMODE((tmp_path / "theirs").stat().st_mode) == 0o644


def test_it_says_what_it_is_and_of_which_collection(records, tmp_path, caches):
    build(records, tmp_path / "site", on=DAY)
    said = (place_of(records).folder / README).read_text()
    assert "private" in said and os.path.realpath(records) in said


def test_an_output_holds_editions_and_nothing_else(records, tmp_path, caches):
    for words in ("One", "Other"):
        retitle(records, words)
        build(records, tmp_path / "site", on=DAY)
        assert {path.name for path in (tmp_path / "site").iterdir()} == {"catalogue", "binder"}


# Without it -------------------------------------------------------------------------------------


def in_the_way(caches: Path, records: Path) -> None:
    caches.write_text("a file in the way")


def a_link_in_its_place(caches: Path, records: Path) -> None:
    (caches / "elsewhere").mkdir(parents=True)
    (caches / "counterpane").symlink_to(caches / "elsewhere")


def a_file_for_the_place(caches: Path, records: Path) -> None:
    place_of(records).folder.parent.mkdir(parents=True)
    place_of(records).folder.write_text("")


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
        assert pages_of(tmp_path / "site") == pages_of(tmp_path / "afresh")
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
    monkeypatch.setattr(cache_place.Path, "home", no_home)
    assert build(records, tmp_path / "site", on=DAY).not_kept.startswith("Nothing can be kept for the next build (")
    assert (tmp_path / "site/binder/index.html").is_file()


@pytest.mark.parametrize("failing", ["pictures", "records", "outputs"])
def test_where_the_disk_of_the_caches_is_full_a_build_is_made_all_the_same(
    records, tmp_path, caches, monkeypatch, failing
):
    from collection.storage import part_files

    build(records, tmp_path / "site", on=DAY)
    write, full = part_files.os.write, place_of(records).folder / failing

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
    assert pages_of(tmp_path / "site") == pages_of(tmp_path / "afresh")


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


# Gone, moved, shared ----------------------------------------------------------------------------


def test_when_it_is_deleted_all_is_made_again(records, tmp_path, caches):
    build(records, tmp_path / "site", on=DAY)
    before = pages_of(tmp_path / "site")
    shutil.rmtree(caches)
    build(records, tmp_path / "site", on=DAY)
    assert pages_of(tmp_path / "site") == before


def test_a_collection_that_was_moved_takes_nothing_along_and_leaves_nothing_behind(records, tmp_path, caches):
    build(records, tmp_path / "site", on=DAY)
    former = place_of(records).folder
    moved = records.rename(tmp_path / "moved")
    build(moved, tmp_path / "site", on=DAY)
    assert place_of(moved).folder.is_dir() and not former.exists()


def test_what_is_kept_of_a_collection_on_a_disk_that_is_not_there_now_stays(records, tmp_path, caches):
    disk = tmp_path / "disk"
    disk.mkdir()
    away = records.rename(disk / "records")
    build(away, tmp_path / "site", on=DAY)
    disk.rename(tmp_path / "unplugged")
    other = tmp_path / "other"
    shutil.copytree(tmp_path / "unplugged/records", other)
    build(other, tmp_path / "site", on=DAY)
    assert place_of(away).folder.is_dir()


def test_a_collection_that_is_yet_to_be_begun_has_a_place_too(tmp_path, caches):
    with held_cache(tmp_path / "new") as place, preview_folder(place) as pages:
        assert not place.why_temporary and pages.is_relative_to(caches)


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
    place = place_of(records)
    assert [place.of_output(tmp_path / name).exists() for name in ("one", "other", "more")] == [False, True, True]


def test_two_outputs_of_one_collection_each_know_what_is_in_them(records, tmp_path, caches):
    one, other = tmp_path / "one", tmp_path / "other"
    build(records, one, on=DAY)
    retitle(records, "Changed")
    build(records, other, on=DAY)
    assert pages_of(one) != pages_of(other)
    build(records, one, on=DAY)
    assert pages_of(one) == pages_of(other)
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
        assert pages_of(tmp_path / name) == pages_of(tmp_path / "afresh")


def test_pictures_that_another_build_may_still_need_stay(records, tmp_path, caches):
    from collection.storage.locks import locked

    build(records, tmp_path / "site", on=DAY)
    before = set(place_of(records).pictures.iterdir())
    (records / "quilts/quilt-2.yaml").unlink()
    with locked(place_of(records).folder, exclusively=False):
        build(records, tmp_path / "site", on=DAY)
        assert set(place_of(records).pictures.iterdir()) == before
    retitle(records, "Changed")
    build(records, tmp_path / "site", on=DAY)
    assert set(place_of(records).pictures.iterdir()) < before


def test_a_place_that_others_may_write_into_is_not_believed(records, tmp_path, caches):
    build(records, tmp_path / "site", on=DAY)
    assert known_cache(records) is not None
    place_of(records).folder.chmod(0o777)
    assert known_cache(records) is None


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
        for name, content in pages_of(tmp_path / "site").items()
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
    with held_cache(records) as place, preview_folder(place) as first, preview_folder(place) as second:
        assert first.is_relative_to(caches) and second.is_relative_to(caches) and first != second
        second.mkdir()
    with held_cache(records) as place, preview_folder(place) as again:
        assert again == first
    assert not second.parent.exists()


KILLED = """
import os, signal, sys
from pathlib import Path
from site_builder.incremental.cache_folder import held_cache
from site_builder.preview.pages_folder import preview_folder

with held_cache(Path(sys.argv[1])) as place, preview_folder(place) as first, preview_folder(place) as second:
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
    with held_cache(records) as place, preview_folder(place):
        left = [path for path in (*caches.rglob("index.html"), *(tmp_path / "passing").rglob("index.html"))]
        assert len(left) == (1 if is_kept else 0)
    assert list((tmp_path / "passing").iterdir()) == []
