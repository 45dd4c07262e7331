"""A damaged index and a stop in the middle cost nothing but time."""

import json
import os

import pytest

from collection.storage.sealed_files import write_sealed
from site_builder.images.store import PictureStore
from site_builder.images.store_index import purpose_of
from tests.site_builder.images.drawn_photos import (
    patchwork,
)
from tests.site_builder.images.stored_pictures import contents


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
