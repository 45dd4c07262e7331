"""Pictures are kept for the next build, made again only where photos or settings change, and pruned."""

import os
import shutil
import subprocess
import sys
import threading
import weakref
from pathlib import Path

import pytest
from PIL import Image

from site_builder.images import decode
from site_builder.images import store as picture_store
from site_builder.images.store import PictureStore
from tests.site_builder.images.drawn_photos import (
    encoded,
    exif,
    four_corners,
    patchwork,
)
from tests.site_builder.images.stored_pictures import contents


def test_the_second_build_decodes_nothing_and_reads_nothing(photo, tmp_path, decodings, monkeypatch):
    paths = [
        photo("one.jpg", patchwork(640, 480, seed)) if not seed else photo(f"{seed}.jpg", patchwork(500, 400, seed))
        for seed in range(3)
    ]
    now = os.stat(paths[0]).st_ctime_ns + 10**10
    first = PictureStore(tmp_path / "store", now=lambda: now).prepare(paths)
    assert len(decodings) == 3
    monkeypatch.setattr(decode, "read_content", None)
    assert PictureStore(tmp_path / "store", now=lambda: now).prepare(paths) == first
    assert len(decodings) == 3


def test_a_photo_that_was_written_this_very_moment_is_read_again_but_not_decoded(photo, tmp_path, decodings):
    path = photo("front.jpg")
    first = PictureStore(tmp_path / "store").prepare([path])
    assert PictureStore(tmp_path / "store").prepare([path]) == first
    assert len(decodings) == 1


def test_a_changed_photo_is_seen_even_with_the_old_size_and_time(photo, tmp_path):
    path = photo("front.bmp", Image.new("RGB", (64, 64), "red"), kind="BMP")
    before = PictureStore(tmp_path / "store").prepare([path])[path]
    photo("front.bmp", Image.new("RGB", (64, 64), "blue"), kind="BMP")
    after = PictureStore(tmp_path / "store").prepare([path])[path]
    assert (before.average_colour, after.average_colour) == ("#ff0000", "#0000ff")
    assert before.renditions != after.renditions


def test_a_photo_that_changes_while_it_is_read_is_read_again_next_time(photo, tmp_path, monkeypatch):
    path = photo("front.png", Image.new("RGB", (64, 64), "red"), kind="PNG")
    now = os.stat(path).st_ctime_ns + 10**10
    read = decode.read_content

    def read_then_change(of):
        content = read(of)
        photo("front.png", Image.new("RGB", (65, 64), "blue"), kind="PNG")
        return content

    monkeypatch.setattr(decode, "read_content", read_then_change)
    PictureStore(tmp_path / "store", now=lambda: now).prepare([path])
    monkeypatch.undo()
    assert PictureStore(tmp_path / "store", now=lambda: now).prepare([path])[path].average_colour == "#0000ff"


def test_a_renamed_or_copied_photo_is_known_by_its_content(store, photo, decodings):
    path = photo("front.jpg")
    first = store.prepare([path])[path]
    copy = path.with_name("copy.jpg")
    shutil.copy(path, copy)
    assert store.prepare([copy, path]) == {copy: first, path: first}
    assert len(decodings) == 1


def test_the_pictures_come_in_the_order_asked_for_and_each_once(store, photo):
    paths = [photo(f"{n}.png", Image.new("RGB", (n + 1, 9)), kind="PNG") for n in range(9)]
    assert list(store.prepare([paths[3], *reversed(paths), paths[0]])) == [
        paths[3],
        *reversed(paths[4:]),
        *paths[2::-1],
    ]


def test_two_folders_get_the_same_bytes_whatever_the_number_of_jobs(photo, tmp_path):
    paths = [photo(f"{seed}.jpg", patchwork(900, 700, seed), exif=exif(6)) for seed in range(4)]
    one, other = PictureStore(tmp_path / "one"), PictureStore(tmp_path / "other")
    assert one.prepare(paths, jobs=1) == other.prepare(list(reversed(paths)), jobs=3)
    one_has, other_has = contents(tmp_path / "one"), contents(tmp_path / "other")
    assert one_has.pop("index.json") and other_has.pop("index.json")
    assert one_has == other_has and len(one_has) == 4 * (3 + 1)


def test_progress_counts_up_to_the_whole_on_the_callers_own_thread(store, photo):
    paths = [photo(f"{n}.png", Image.new("RGB", (n + 1, 9)), kind="PNG") for n in range(5)]
    told = []
    store.prepare(paths[:2])
    store.prepare(paths, progress=lambda done, of: told.append((done, of, threading.current_thread())))
    assert [(done, of) for done, of, _ in told][-1] == (5, 5)
    assert [done for done, *_ in told] == sorted(done for done, *_ in told)
    assert {thread for *_, thread in told} == {threading.main_thread()}


def test_memory_that_runs_out_is_told_and_tried_again_next_time(store, photo, monkeypatch):
    path = photo("front.jpg")

    def no_room(*_, **__):
        raise MemoryError

    monkeypatch.setattr(decode, "decode", no_room)
    assert "memory" in store.prepare([path])[path].problem
    monkeypatch.undo()
    assert store.prepare([path])[path].problem is None


def test_a_photo_may_be_named_in_plain_text(store, photo, decodings):
    path = photo("front.jpg")
    assert store.prepare([str(path)]) == {str(path): store.prepare([path])[path]}
    assert len(decodings) == 1


def test_what_was_pruned_is_known_again_by_the_same_store(store, photo, decodings):
    paths = [photo("front.jpg"), photo("back.jpg", patchwork(640, 480, seed=2))]
    first = store.prepare(paths)
    store.keep_only(paths[:1])
    assert store.prepare(paths[:1]) == {paths[0]: first[paths[0]]}
    assert len(decodings) == 2


def test_new_settings_make_new_renditions(photo, tmp_path, monkeypatch, decodings):
    path = photo("front.jpg")
    PictureStore(tmp_path / "store").prepare([path])
    monkeypatch.setattr(picture_store, "RECIPE", picture_store.RECIPE + 1)
    PictureStore(tmp_path / "store").prepare([path])
    assert len(decodings) == 2


# --- pruning ----------------------------------------------------------------------------------------------------


def test_pruning_removes_what_nobody_asks_for_and_nothing_else(photo, tmp_path, decodings):
    paths = [photo(f"{seed}.jpg", patchwork(900, 700, seed)) for seed in range(3)]
    store = PictureStore(tmp_path / "store")
    pictures = store.prepare([*paths, tmp_path / "missing.jpg"])
    (tmp_path / "store" / "note.txt").write_text("not ours")
    (tmp_path / "store" / ".counterpane-77-0.part").touch()
    store.keep_only([paths[0], tmp_path / "missing.jpg"])
    assert store.remove_idle_files() == 2 * (3 + 1)
    kept = {r.file_name for path in (paths[0], tmp_path / "missing.jpg") for r in pictures[path].files}
    assert set(contents(tmp_path / "store")) == kept | {"index.json", "note.txt"}
    assert PictureStore(tmp_path / "store").prepare(paths[:1]) == {paths[0]: pictures[paths[0]]}
    assert len(decodings) == 3
    assert PictureStore(tmp_path / "store").prepare(paths)[paths[2]] == pictures[paths[2]]
    assert len(decodings) == 5


def test_pruning_keeps_what_two_photos_share(store, photo):
    one = photo("one.png", Image.new("RGB", (50, 50), "red"), kind="PNG")
    same = photo("same.bmp", Image.new("RGB", (50, 50), "red"), kind="BMP")
    pictures = store.prepare([one, same])
    assert pictures[one].renditions == pictures[same].renditions
    store.keep_only([same])
    assert store.remove_idle_files() == 0
    assert store.file(pictures[same].smallest).exists()


def test_pruning_an_empty_store_is_nothing(tmp_path):
    store = PictureStore(tmp_path / "none")
    store.keep_only([])
    assert store.remove_idle_files() == 0


# --- memory -----------------------------------------------------------------------------------------------------


def test_no_more_photos_are_held_than_jobs(store, photo, monkeypatch):
    paths = [photo(f"{seed}.jpg", patchwork(300, 200, seed)) for seed in range(9)]
    really_decode, held, most = decode.decode, [], []
    lock = threading.Lock()

    def counted(content, **options):

        photo = really_decode(content, **options)
        with lock:
            reference = weakref.ref(photo.image)
            held.append(reference)
            most.append(sum(1 for r in held if r() is not None))
        return photo

    monkeypatch.setattr(decode, "decode", counted)
    store.prepare(paths, jobs=2)
    assert len(most) == 9 and max(most) <= 2


@pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="the most memory held is only told on Linux")
def test_many_large_photos_need_no_more_memory_than_a_few(photo, tmp_path):
    content = encoded(four_corners(4032, 3024))
    paths = [str(photo(f"{n}.jpg", content + n.to_bytes(2))) for n in range(16)]
    few, many = (most_megabytes(paths[:count], tmp_path / str(count)) for count in (3, 16))
    assert many < few + 25
    assert many < 200


def most_megabytes(paths, folder):
    """The most memory that a program of its own holds while it prepares these photos."""
    program = (
        "import re; from pathlib import Path; from site_builder.images.store import PictureStore\n"
        f"PictureStore(Path({str(folder)!r})).prepare(map(Path, {paths!r}))\n"
        "print(re.search(r'VmHWM:\\s+(\\d+)', Path('/proc/self/status').read_text())[1])"
    )
    run = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, timeout=300, check=True)
    return int(run.stdout) / 1024
