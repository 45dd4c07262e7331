"""Photos become pictures for the pages: the sizes made, kept for the next build, and never half written."""

import json
import os
import shutil
import subprocess
import sys
import threading
import weakref
from pathlib import Path

import pytest
from PIL import Image

from collection.storage.sealed_files import write_sealed
from site_builder.images import decode as photo_reading
from site_builder.images import store as picture_store
from site_builder.images.store import PictureStore
from site_builder.images.store_index import purpose_of
from tests.site_builder.images.drawn_photos import (
    BLUE,
    CREAM,
    DISPLAY_P3,
    OWNER,
    SERIAL,
    XMP,
    encoded,
    exif,
    four_corners,
    patchwork,
    psnr,
)

DATA = Path(__file__).parents[2] / "data"
LONG_AGO = 1_000_000_000


@pytest.fixture
def store(tmp_path):
    return PictureStore(tmp_path / "store")


@pytest.fixture
def photo(tmp_path):
    """`photo("front.jpg", picture)` -> its path; taken long ago, so that its time can be trusted."""

    def write(name, picture=None, *, kind="JPEG", **options):
        path = tmp_path / "photos" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(
            picture if isinstance(picture, bytes) else encoded(picture or patchwork(640, 480), kind, **options)
        )
        os.utime(path, (LONG_AGO, LONG_AGO))
        return path

    return write


@pytest.fixture
def decodings(monkeypatch):
    """The number of photos decoded so far, as a list that grows."""
    seen = []
    decode = photo_reading.decode

    def counted(content, **options):
        seen.append(len(content))
        return decode(content, **options)

    monkeypatch.setattr(photo_reading, "decode", counted)
    return seen


def sizes(picture):
    return [(rendition.width, rendition.height) for rendition in picture.renditions]


def contents(folder):
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def test_a_photo_becomes_three_sizes_by_its_longer_edge(store, photo):
    wide, tall = photo("wide.jpg", patchwork(2400, 1800)), photo("tall.jpg", patchwork(1800, 2401))
    pictures = store.prepare([wide, tall])
    assert sizes(pictures[wide]) == [(400, 300), (800, 600), (1600, 1200)]
    assert sizes(pictures[tall]) == [(300, 400), (600, 800), (1200, 1600)]
    assert (pictures[tall].width, pictures[tall].height) == (1800, 2401)
    for rendition in pictures[wide].renditions:
        content = store.file(rendition).read_bytes()
        assert Image.open(store.file(rendition)).size == (rendition.width, rendition.height)
        assert Image.open(store.file(rendition)).format == "JPEG"
        assert len(content) == rendition.bytes


def test_a_small_photo_gives_fewer_sizes_and_is_never_enlarged(store, photo):
    paths = [photo(f"{edge}.png", Image.new("RGB", (edge, edge // 2 or 1)), kind="PNG") for edge in (1, 300, 500, 1000)]
    pictures = store.prepare(paths)
    assert [[max(size) for size in sizes(pictures[path])] for path in paths] == [
        [1],
        [300],
        [400, 500],
        [400, 800, 1000],
    ]


def test_every_size_looks_like_a_careful_reduction(store, photo, monkeypatch):
    path = photo("front.jpg", patchwork(2401, 1800), quality=92)
    whole = Image.open(path)
    whole.load()
    save, made = Image.Image.save, {}

    def remember(image, out, kind=None, **options):
        made[image.size] = image.copy()
        save(image, out, kind, **options)

    monkeypatch.setattr(Image.Image, "save", remember)
    picture = store.prepare([path])[path]
    made.pop((picture.flat.width, picture.flat.height))
    assert sorted(made) == sizes(picture)
    for size, reduced in made.items():
        assert psnr(reduced, whole.resize(size, Image.Resampling.LANCZOS)) >= 36


@pytest.mark.parametrize(
    ("kind", "options"),
    [
        ("JPEG", {"exif": exif(6), "xmp": XMP, "comment": OWNER, "icc_profile": DISPLAY_P3, "dpi": (300, 300)}),
        ("PNG", {"exif": exif(6), "icc_profile": DISPLAY_P3}),
        ("WEBP", {"exif": exif(6), "xmp": XMP, "icc_profile": DISPLAY_P3}),
        ("TIFF", {"exif": exif(1), "description": OWNER}),
        ("GIF", {"comment": OWNER}),
    ],
)
def test_no_note_of_the_camera_reaches_a_page(store, photo, kind, options):
    assert_no_notes(store, photo(f"front.{kind.lower()}", patchwork(900, 600), kind=kind, **options))


def test_no_note_of_a_phone_photo_reaches_a_page(store, photo):
    assert_no_notes(store, photo("front.heic", (DATA / "turned-with-place.heic").read_bytes()))


def assert_no_notes(store, path):
    original = path.read_bytes()
    assert any(note in original for note in (OWNER.encode(), SERIAL.encode())), "the test's own photo must hold notes"
    picture = store.prepare([path])[path]
    assert picture.problem is None
    for rendition in picture.renditions:
        content = store.file(rendition).read_bytes()
        for note in (
            b"Exif",
            b"http",
            b"adobe",
            b"Adobe",
            b"SECRET",
            b"ICC_PROFILE",
            b"Photoshop",
            b"2016:05",
            b"GPS",
            OWNER.encode(),
            SERIAL.encode(),
            b"Invented Optics",
            b"Model Nine",
        ):
            assert note not in content
        segments = jpeg_segments(content)
        assert segments[0] == 0xE0 and not set(segments[1:]) & {*range(0xE1, 0xF0), 0xFE}
        image = Image.open(store.file(rendition))
        assert not dict(image.getexif()) and not image.getexif().get_ifd(0x8825)
        assert set(image.info) <= {"jfif", "jfif_version", "jfif_unit", "jfif_density"}


def jpeg_segments(content):
    """The marks of the segments before the picture itself. Source: ITU-T T.81, annex B."""
    marks, at = [], 2
    while content[at + 1] != 0xDA:
        marks.append(content[at + 1])
        at += 2 + int.from_bytes(content[at + 2 : at + 4])
    return marks


def test_nothing_about_the_original_is_in_a_file_name(store, photo):
    path = photo("aunt-ada-12-mill-lane.jpg")
    for rendition in store.prepare([path])[path].renditions:
        assert "ada" not in rendition.file_name
        assert picture_store.RENDITION_NAME.fullmatch(rendition.file_name)


def test_the_second_build_decodes_nothing_and_reads_nothing(photo, tmp_path, decodings, monkeypatch):
    paths = [
        photo("one.jpg", patchwork(640, 480, seed)) if not seed else photo(f"{seed}.jpg", patchwork(500, 400, seed))
        for seed in range(3)
    ]
    now = os.stat(paths[0]).st_ctime_ns + 10**10
    first = PictureStore(tmp_path / "store", now=lambda: now).prepare(paths)
    assert len(decodings) == 3
    monkeypatch.setattr(photo_reading, "read_content", None)
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
    read = photo_reading.read_content

    def read_then_change(of):
        content = read(of)
        photo("front.png", Image.new("RGB", (65, 64), "blue"), kind="PNG")
        return content

    monkeypatch.setattr(photo_reading, "read_content", read_then_change)
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


def test_a_picture_knows_its_quilts_colours_and_keeps_them(photo, tmp_path):
    quilt = Image.new("RGB", (900, 900), (150, 150, 148))
    for n, colour in enumerate([BLUE, CREAM] * 18):
        quilt.paste(colour, (150 + n % 6 * 100, 150 + n // 6 * 100, 250 + n % 6 * 100, 250 + n // 6 * 100))
    path = photo("front.jpg", quilt)
    picture = PictureStore(tmp_path / "store").prepare([path])[path]
    assert {term for term, _ in picture.colours.terms} == {"blue", "white"}
    assert all(colour.startswith("#") for colour, _ in picture.colours.palette)
    assert picture.average_colour.startswith("#") and len(picture.average_colour) == 7
    assert PictureStore(tmp_path / "store").prepare([path])[path] == picture


# --- what is wrong ----------------------------------------------------------------------------------------------


def test_an_unusable_photo_gets_a_placeholder_and_a_reason(store, photo, tmp_path):
    whole = encoded(patchwork(640, 480))
    paths = {
        "cut short": photo("cut.jpg", whole[:5000]),
        "empty": photo("empty.jpg", b""),
        "no file": tmp_path / "none.jpg",
        "folder": tmp_path / "photos",
        "not a picture": photo("text.jpg", b"Dear diary"),
    }
    good = photo("good.jpg", whole)
    pictures = store.prepare([*paths.values(), good])
    for words, path in paths.items():
        picture = pictures[path]
        assert words in picture.problem
        assert sizes(picture) == [(400, 300), (800, 600)] and (picture.width, picture.height) == (800, 600)
        assert picture.colours.palette == () and picture.colours.terms == ()
        assert all(store.file(rendition).stat().st_size == rendition.bytes for rendition in picture.renditions)
    assert pictures[good].problem is None
    assert pictures[paths["no file"]].digest == "" and pictures[paths["cut short"]].digest != ""


def test_a_photo_that_was_mended_is_shown(store, photo):
    whole = encoded(patchwork(640, 480))
    path = photo("front.jpg", whole[:5000])
    assert store.prepare([path])[path].problem
    photo("front.jpg", whole)
    assert store.prepare([path])[path].problem is None


def test_placeholders_are_the_same_everywhere(tmp_path):
    missing = tmp_path / "missing.jpg"
    assert PictureStore(tmp_path / "a").prepare([missing]) == PictureStore(tmp_path / "b").prepare([missing])
    a, b = contents(tmp_path / "a"), contents(tmp_path / "b")
    a.pop("index.json", None), b.pop("index.json", None)
    assert a == b and len(a) == 2


def test_memory_that_runs_out_is_told_and_tried_again_next_time(store, photo, monkeypatch):
    path = photo("front.jpg")

    def no_room(*_, **__):
        raise MemoryError

    monkeypatch.setattr(photo_reading, "decode", no_room)
    assert "memory" in store.prepare([path])[path].problem
    monkeypatch.undo()
    assert store.prepare([path])[path].problem is None


# --- the index, and what a stop in the middle leaves --------------------------------------------------------------


def write_as_ours(index, lines):
    """Under a seal that fits: as a mistake of ours would write them."""
    write_sealed(index, purpose_of(PictureStore(index.parent).settings), "".join(lines).encode())


def spoil(index, how):
    if how == "gone":
        index.unlink()
    elif how == "half":
        index.write_bytes(index.read_bytes()[: index.stat().st_size // 2])
    elif how == "other version":
        write_sealed(index, "another", b"\n".join(index.read_bytes().splitlines()[1:]))
    elif how == "wrong shapes":
        _, *lines, picture = index.read_text().splitlines(keepends=True)
        write_as_ours(index, [*lines, json.dumps([json.loads(picture)[0], "nonsense", {}])])
    elif how == "a line less":
        write_as_ours(index, index.read_text().splitlines(keepends=True)[1:-1])
    else:
        index.write_bytes(how)


@pytest.mark.parametrize(
    "how",
    [
        "gone",
        "half",
        "a line less",
        "other version",
        "wrong shapes",
        b"",
        b"\xff\xfe\0",
        b"[]",
        b'"text"',
        b"null",
        b'{"version": 1}',
        b"[" * 100_000,
    ],
)
def test_an_index_that_cannot_be_read_is_thrown_away_in_silence(how, store, photo, tmp_path, capfd):
    path = photo("front.jpg")
    first = store.prepare([path])
    spoil(tmp_path / "store" / "index.json", how)
    assert PictureStore(tmp_path / "store").prepare([path]) == first
    assert capfd.readouterr() == ("", "")


def test_a_rendition_that_was_lost_or_cut_is_made_again(photo, tmp_path):
    path = photo("front.jpg")
    store = PictureStore(tmp_path / "store")
    picture = store.prepare([path])[path]
    whole = contents(tmp_path / "store")
    store.file(picture.smallest).unlink()
    store.file(picture.largest).write_bytes(b"")
    assert PictureStore(tmp_path / "store").prepare([path])[path] == picture
    assert contents(tmp_path / "store") == whole


def test_an_index_cannot_point_out_of_the_store(photo, tmp_path):
    path = photo("front.jpg")
    picture = PictureStore(tmp_path / "store").prepare([path])[path]
    index = tmp_path / "store" / "index.json"
    (tmp_path / "outside.jpg").write_bytes(bytes(picture.smallest.bytes))
    lines = index.read_text().replace(picture.smallest.file_name, "../outside.jpg").splitlines(keepends=True)[1:]
    write_as_ours(index, lines)
    assert PictureStore(tmp_path / "store").prepare([path])[path] == picture


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


@pytest.mark.parametrize("step", range(8))
def test_a_stop_at_any_write_is_healed_by_the_next_build(step, photo, tmp_path, monkeypatch):
    paths = [photo(f"{seed}.jpg", patchwork(900, 700, seed)) for seed in (1, 2)]
    expected = PictureStore(tmp_path / "sound").prepare(paths)
    replace, done = os.replace, []

    def stop_at_the_step(*names):
        done.append(names)
        if len(done) > step:
            raise KeyboardInterrupt
        replace(*names)

    monkeypatch.setattr(os, "replace", stop_at_the_step)
    store = PictureStore(tmp_path / "store")
    if step < 7:
        with pytest.raises(KeyboardInterrupt):
            store.prepare(paths, jobs=1)
    monkeypatch.undo()
    store = PictureStore(tmp_path / "store")
    assert store.prepare(paths) == expected
    store.keep_only(paths)
    assert set(contents(tmp_path / "store")) == set(contents(tmp_path / "sound"))


def test_what_was_done_before_a_stop_is_not_done_again(store, photo, tmp_path, decodings, monkeypatch):
    paths = [photo(f"{seed}.jpg", patchwork(300, 200, seed)) for seed in range(6)]

    def stop(done, _):
        if done == 4:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        store.prepare(paths, jobs=1, progress=stop)
    before = len(decodings)
    PictureStore(tmp_path / "store").prepare(paths)
    assert len(decodings) - before <= 2


def test_a_store_that_cannot_be_written_is_an_error_for_the_caller(photo, tmp_path):
    (tmp_path / "store").write_text("a file is in the way")
    with pytest.raises(OSError):
        PictureStore(tmp_path / "store").prepare([photo("front.jpg")])


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
    decode, held, most = photo_reading.decode, [], []
    lock = threading.Lock()

    def counted(content, **options):

        photo = decode(content, **options)
        with lock:
            reference = weakref.ref(photo.image)
            held.append(reference)
            most.append(sum(1 for r in held if r() is not None))
        return photo

    monkeypatch.setattr(photo_reading, "decode", counted)
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
