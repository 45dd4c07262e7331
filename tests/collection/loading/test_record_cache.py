"""Records that were read before come back as they were, and nothing else does."""

import json
import os
import pickle
import shutil
import subprocess
import sys
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given
from hypothesis import strategies as st

from collection.loading import loader as reading
from collection.loading.loader import read_collection
from collection.loading.record_cache import RecordCache
from collection.loading.record_json import PartsOfRecords, records_of
from collection.problems import Problem
from collection.records.collection import Collection
from collection.storage.fingerprints import KnownFiles
from collection.storage.sealed_files import write_sealed
from tests.support.made_records import a_quilt
from tests.support.marked_collection import marked_collection
from tests.support.mutations import changed_bytes, inputs

WARNING = Problem("quilts/ebb.yaml", 1, "title", "", "Look at this.", "warning")


def kept_in(folder: Path, *names: str, made_with: str = "this") -> RecordCache:
    cache = RecordCache(folder, made_with)
    for name in names:
        cache.keep(f"quilts/{name}.yaml", "key", a_quilt(name), (WARNING,))
    cache.save()
    return cache


def test_a_quilt_comes_back_with_what_was_told_of_it(tmp_path):
    kept_in(tmp_path, "ebb", "low-tide")
    cache = RecordCache(tmp_path, "this")
    assert cache.find("quilts/ebb.yaml", "key") == (a_quilt("ebb"), (WARNING,))


def test_every_quilt_of_the_demonstration_comes_back_equal(tmp_path):
    quilts = read_collection(Path(__file__).parents[3] / "demo_collection").collection.quilts
    cache = RecordCache(tmp_path, "this")
    for name, quilt in quilts.items():
        cache.keep(name, "key", quilt, ())
    cache.save()
    again = RecordCache(tmp_path, "this")
    assert {name: again.find(name, "key") for name in quilts} == {name: (quilt, ()) for name, quilt in quilts.items()}
    assert all(hash(again.find(name, "key")[0]) == hash(quilt) for name, quilt in quilts.items())


@pytest.mark.parametrize(
    ("file", "key", "made_with"),
    [
        ("quilts/ebb.yaml", "another key", "this"),
        ("quilts/flood.yaml", "key", "this"),
        ("quilts/ebb.yaml", "key", "that"),
    ],
)
def test_another_content_file_or_program_is_not_known(tmp_path, file, key, made_with):
    kept_in(tmp_path, "ebb")
    assert RecordCache(tmp_path, made_with).find(file, key) is None


def test_what_nobody_asked_for_is_gone_when_the_cache_is_saved(tmp_path):
    kept_in(tmp_path, "ebb", "low-tide", "flood")
    cache = RecordCache(tmp_path, "this")
    cache.find("quilts/ebb.yaml", "key")
    cache.save()
    content = b"".join(path.read_bytes() for path in tmp_path.iterdir())
    assert b"ebb" in content and b"low-tide" not in content and b"flood" not in content


def test_a_cache_in_which_nothing_changed_is_not_written_again(tmp_path):
    kept_in(tmp_path, "ebb", "low-tide")
    before = {path: path.stat().st_mtime_ns for path in tmp_path.iterdir()}
    cache = RecordCache(tmp_path, "this")
    for name in ("ebb", "low-tide"):
        cache.find(f"quilts/{name}.yaml", "key")
    cache.save()
    assert {path: path.stat().st_mtime_ns for path in tmp_path.iterdir()} == before


@pytest.mark.parametrize("content", [b"", b"nothing of ours", b"7", b'["this", 7]', pickle.dumps(7)], ids=range(5))
@pytest.mark.parametrize("is_sealed", [False, True])
def test_a_damaged_cache_is_as_good_as_none(tmp_path, content, is_sealed):
    kept_in(tmp_path, "ebb")
    for path in tmp_path.iterdir():
        write_sealed(path, "records this", content) if is_sealed else path.write_bytes(content)
    assert RecordCache(tmp_path, "this").find("quilts/ebb.yaml", "key") is None


class RunsSomething:
    def __init__(self, command: str):
        self.command = command

    def __reduce__(self):
        return os.system, (self.command,)


def test_a_cache_from_elsewhere_can_run_nothing(tmp_path):
    kept_in(tmp_path / "cache", "ebb")
    for path in (tmp_path / "cache").iterdir():
        write_sealed(
            path,
            "records this",
            pickle.dumps(("this", {"quilts/ebb.yaml": ("key", RunsSomething(f"touch {tmp_path}/ran"))})),
        )
    assert RecordCache(tmp_path / "cache", "this").find("quilts/ebb.yaml", "key") is None
    assert not (tmp_path / "ran").exists()


@pytest.mark.parametrize("name", ["quilt.Nothing", "os.system", "builtins.eval", "Path"])
def test_nothing_but_records_and_their_values_is_made_of_a_cache(name):
    with pytest.raises((KeyError, TypeError, ValueError, AttributeError)):
        _ = records_of([[[name, "title"]], [[0, ["Low Tide"], []]]])[0].title.upper


@inputs(1)
@given(st.data())
def test_any_byte_that_has_changed_makes_a_cache_as_good_as_none(data):
    with TemporaryDirectory() as folder:
        kept_in(Path(folder), "ebb", "flood")
        path = data.draw(st.sampled_from(sorted(Path(folder).iterdir())))
        whole = path.read_bytes()
        other = data.draw(changed_bytes(whole))
        path.write_bytes(other)
        found = RecordCache(Path(folder), "this").find
        assert {found(f"quilts/{name}.yaml", "key") for name in ("ebb", "flood")} <= {None, *whole_entries()}
        assert None in {found(f"quilts/{name}.yaml", "key") for name in ("ebb", "flood")}


def whole_entries():
    return {(a_quilt(name), (WARNING,)) for name in ("ebb", "flood")}


def test_two_parts_that_have_changed_places_are_as_good_as_none(tmp_path):
    kept_in(tmp_path, "ebb", "flood")
    one, other = sorted(tmp_path.iterdir())
    one.rename(tmp_path / "aside"), other.rename(one), (tmp_path / "aside").rename(other)
    cache = RecordCache(tmp_path, "this")
    assert [cache.find(f"quilts/{name}.yaml", "key") for name in ("ebb", "flood")] == [None, None]


def test_every_kind_of_record_with_every_field_comes_back_equal_with_what_it_was_given(tmp_path, write_collection):
    reading = read_collection(write_collection(tmp_path / "collection", marked_collection().files)).collection
    records = [reading.settings, *reading.partners.values(), *reading.requests.values(), *reading.quilts.values()]
    parts = PartsOfRecords()
    numbers = [parts.number_of(record) for record in records]
    again = records_of(json.loads(json.dumps(parts.data())))
    assert len(records) > 6
    for record, number in zip(records, numbers, strict=True):
        assert repr(again[number]) == repr(record)
        assert again[number] == record and again[number].model_fields_set == record.model_fields_set


# Reading with what was read before ----------------------------------------------------------------

NELL = "name: Nell's Cots\nunits: cm\n"
COTS = "partner: nell\nlines:\n  - {id: cots, count: 3, shorter_side: at least 90}\n"


@pytest.fixture
def read_again(tmp_path):
    """Reads a collection with what the last reading of it kept."""
    folder = tmp_path / "collection"

    def read() -> Collection:
        cache = RecordCache(tmp_path / "cache", "this")
        seen = KnownFiles.look(folder, lambda: FAR_FROM_NOW, read.before)
        read.before = seen
        collection = read_collection(folder, lambda: (seen, cache)).collection
        cache.save()
        return collection

    read.before = None
    read.folder = folder
    return read


FAR_FROM_NOW = 4_000_000_000_000_000_000


def test_no_record_is_made_again_whose_file_is_as_it_was(read_again, monkeypatch):
    """But for those whose file says in words of its own what may go out."""
    made, validate = [], reading.validate
    monkeypatch.setattr(
        reading, "validate", lambda kind, text, **known: made.append(text.file) or validate(kind, text, **known)
    )
    shutil.copytree(Path(__file__).parents[3] / "demo_collection", read_again.folder)
    first = read_again()
    assert {name.partition("/")[0] for name in made} == {"collection.yaml", "quilts", "partners", "requests"}
    made.clear()
    again = read_again()
    assert again == first
    assert all(b"public" in (read_again.folder / name).read_bytes() for name in made)
    assert len([name for name in made if name.startswith("quilts/")]) < len(first.quilts) / 20


@pytest.mark.parametrize(("before", "now"), [
    ("title: Ebb\n", "title: Ebb\npublic: false\n"),
    ("title: Ebb\nphotos: [{file: a.jpg}]\n", "title: Ebb\nphotos: [{file: a.jpg, public: false}]\n"),
    ("title: Ebb\n", 'title: Ebb\n"p\\x75blic": false\n'),
])  # fmt: skip
def test_what_may_go_out_is_read_from_the_file_whatever_was_kept(
    read_again, write_collection, monkeypatch, before, now
):
    """As if a cache said of the file, as it is now, what another file says."""
    write_collection(read_again.folder, {"quilts/ebb.yaml": before})
    monkeypatch.setattr(reading, "digest_of", lambda content: "the same")
    held_back = [
        not quilt.public or not all(photo.public for photo in quilt.photos) for quilt in read_again().quilts.values()
    ]
    (read_again.folder / "quilts/ebb.yaml").write_text(now)
    quilt = read_again().quilts["ebb"]
    assert held_back == [False] and (not quilt.public or not quilt.photos[0].public)


@pytest.mark.parametrize(("name", "before", "now", "is_public"), [
    ("collection.yaml", "title: Mine\n", "title: Mine\npublic: [made]\n", lambda found: "story" in found.settings.public),
    ("collection.yaml", "public: [made, story]\n", "public: [made]\n", lambda found: "story" in found.settings.public),
    ("partners/nell.yaml", "name: Nell\npublic: true\n", "name: Nell\n", lambda found: found.partners["nell"].public),
    ("partners/nell.yaml", "name: Nell\npublic: true\n", "name: Nell\npublic: false\n", lambda found: found.partners["nell"].public),
])  # fmt: skip
def test_the_list_of_what_may_go_out_and_who_may_be_named_too(
    read_again, write_collection, monkeypatch, name, before, now, is_public
):
    write_collection(read_again.folder, {"quilts/ebb.yaml": "title: Ebb\n", name: before})
    monkeypatch.setattr(reading, "digest_of", lambda content: "the same")
    assert is_public(read_again())
    (read_again.folder / name).write_text(now)
    assert not is_public(read_again())


def test_a_request_is_read_again_when_its_partner_writes_in_other_units(read_again, write_collection):
    write_collection(
        read_again.folder, {"quilts/ebb.yaml": "title: Ebb\n", "partners/nell.yaml": NELL, "requests/cots.yaml": COTS}
    )
    first = read_again()
    (read_again.folder / "partners/nell.yaml").write_text(NELL.replace("cm", "in"))
    again = read_again()
    assert [str(each.requests["cots"].lines[0].shorter_side) for each in (first, again)] == [
        "at least 90 cm",
        "at least 90 in",
    ]
    assert again.requests == read_collection(read_again.folder).collection.requests


def test_all_is_read_again_when_the_settings_give_other_units(read_again, write_collection):
    write_collection(
        read_again.folder, {"quilts/ebb.yaml": "title: Ebb\nfinished_size: 60 x 70\n", "collection.yaml": "units: cm\n"}
    )
    read_again()
    (read_again.folder / "collection.yaml").write_text("units: in\n")
    again = read_again()
    assert str(again.quilts["ebb"].finished_size) == "60 x 70 in"


def test_many_records_read_by_several_processes_are_those_that_one_reads(tmp_path, write_collection):
    """With all that is wrong in them, and what is sound in an unsound one; and none that is sound is read twice."""
    odd = {
        17: "title: A\nmade: soon\n",
        230: "titel: B\n",
        231: "title: C\n  made: 1\n",
        100: "title: D\nloans: [{to: X, back: 2001, from: 2002}]\n",
    }
    quilts = {
        f"quilts/quilt-{number}.yaml": odd.get(number, f"title: Quilt {number}\nnumber: {number + 1}\n")
        for number in range(250)
    }
    folder = write_collection(
        tmp_path / "collection", quilts | {"partners/nell.yaml": NELL, "requests/cots.yaml": COTS}
    )
    # In a run of its own, as processes are forked only where there are no other threads.
    run = subprocess.run(
        [sys.executable, "-c", READ_BY_ONE_AND_BY_TWO, folder, tmp_path],
        capture_output=True,
        text=True,
        timeout=300,
        check=False,
    )
    assert (run.returncode, run.stderr) == (0, "")
    assert json.loads(run.stdout) == {"same": True, "problems": 5, "read here by two": 3, "kept": True}


READ_BY_ONE_AND_BY_TWO = f"""
import json, sys
sys.path.insert(0, {str(Path(__file__).parents[3])!r})
from pathlib import Path
from collection.loading import loader as reading
from collection.storage.fingerprints import KnownFiles
from collection.loading.record_cache import RecordCache

folder, place, validate = Path(sys.argv[1]), Path(sys.argv[2]), reading.validate
read_here = []
reading.validate = lambda kind, text, **known: read_here.append(text.file) or validate(kind, text, **known)

def read(jobs):
    read_here.clear()
    cache = RecordCache(place / f"cache-{{jobs}}", "this")
    found = reading.read_collection(folder, lambda: (KnownFiles.look(folder, lambda: {FAR_FROM_NOW}), cache), jobs)
    cache.save()
    return found, [name for name in read_here if name.startswith("quilts/")]

(by_one, _), (by_two, here) = read(1), read(2)
kept = RecordCache(place / "cache-2", "this")
again = reading.read_collection(folder, lambda: (by_one.seen, kept)).collection
print(json.dumps({{
    "same": (by_one.collection, by_one.problems, by_one.seen.digests) == (by_two.collection, by_two.problems, by_two.seen.digests),
    "problems": len(by_one.problems),
    "read here by two": len(here),
    "kept": again == by_one.collection,
}}))
"""
