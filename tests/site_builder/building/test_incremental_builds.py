"""A build that makes anew only what changed gives what a build from nothing gives, byte for byte."""

import os
import time
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from collection.problems import CollectionProblems
from site_builder.building.build import build
from site_builder.building.edition_pages import EditionPages
from site_builder.incremental.cache_folder import cache_of
from site_builder.rendering.renderer import Renderer
from tests.site_builder.building import changing_collections
from tests.site_builder.building.changing_collections import CHANGES, Place
from tests.support.own_folders import build_afresh

# Each example builds some five times; the usual run has only a few.
EXAMPLES = 300 if os.environ.get("HYPOTHESIS_PROFILE") == "searching" else 5


def contents(output: Path) -> dict[str, bytes | None]:
    """Everything in the editions, folders too."""
    return {
        path.relative_to(output).as_posix(): path.read_bytes() if path.is_file() else None
        for name in ("catalogue", "binder")
        for path in (output / name).rglob("*")
    }


def build_again(place: Place, output: Path, patch: pytest.MonkeyPatch, build=build) -> bool:
    """Build as it is asked by a program of the given version; False when the records have problems."""
    asked = place.asked
    version = f"<!-- {asked.program} -->".encode()
    render = Renderer.__dict__["page"]
    ahead = 10**11 if asked.is_stable else 0
    with patch.context() as within:
        within.setattr("site_builder.incremental.manifest.program_fingerprint", lambda: str(asked.program))
        within.setattr(Renderer, "page", lambda *args: render(*args) + version)
        try:
            build(
                place.folder, output, on=asked.on, editions=asked.editions, jobs=1, clock=lambda: time.time_ns() + ahead
            )
        except CollectionProblems:
            return False
    return True


steps = st.lists(st.tuples(st.sampled_from(CHANGES), st.integers(0, 10**6)), min_size=1, max_size=4)


@settings(max_examples=EXAMPLES, suppress_health_check=list(HealthCheck))
@given(st.lists(steps, min_size=1, max_size=3))
def test_after_any_changes_a_build_gives_what_a_fresh_one_gives(builds):
    with TemporaryDirectory() as temporary, pytest.MonkeyPatch.context() as patch:
        place = changing_collections.begin(Path(temporary))
        build_again(place, place.output, patch)
        for changes in builds:
            for change, chance in changes:
                change(place, Random(chance))
            before = contents(place.output)
            if not build_again(place, place.output, patch):
                assert contents(place.output) == before
        place.asked.editions = ("catalogue", "binder")
        fresh = place.output.with_name("fresh")
        if build_again(place, place.output, patch):
            assert build_again(place, fresh, patch, build_afresh)
            assert contents(place.output) == contents(fresh)
            assert build_afresh(place.folder, fresh, on=place.asked.on).pages > 0
            links = {path: path.stat().st_nlink for path in place.output.rglob("*") if path.is_file()}
            assert set(links.values()) == {1}
        else:
            assert not build_again(place, fresh, patch, build_afresh)


def test_what_a_build_that_failed_has_noted_of_a_page_is_no_proof_of_the_one_in_place(tmp_path, monkeypatch):
    """It notes what its pages looked at before they are in place: of a quilt on loan no shelf was asked for."""
    place = changing_collections.begin(tmp_path)
    quilt = place.folder / "quilts/ebb.yaml"
    lines = [line for line in quilt.read_text().splitlines() if not line.startswith(("kept_at", "loans"))]
    text = "\n".join(lines)

    def build_with(more: str) -> None:
        quilt.write_text(f"{text}\n{more}\n")
        build(place.folder, place.output, on=place.asked.on)

    def fail(*_) -> None:
        raise OSError("no room is left")

    build_with("kept_at: Shelf one")
    with monkeypatch.context() as within, pytest.raises(OSError, match="no room"):
        within.setattr("site_builder.building.editions._write_the_rest", fail)
        build_with("kept_at: Shelf one\nloans: [{to: Hall, from: 2024}]")
    build_with("kept_at: Shelf two")
    assert "Shelf two" in (place.output / "binder/places.html").read_text()


MARK = "Xylographer"


def test_what_is_taken_out_of_the_records_leaves_the_pages_and_all_that_is_kept_beside_them(tmp_path):
    place = changing_collections.begin(tmp_path)
    quilt, photo = place.folder / "quilts/ebb.yaml", place.folder / f"photos/{MARK}.jpg"
    before = quilt.read_text()
    changing_collections.draw(photo, 3)
    fields = ("story", "notes", "kept_at", "also_called", "condition_note")
    quilt.write_text(
        "".join(f"{field}: {MARK} {field}\n" for field in fields) + f"title: {MARK}\nphotos: [{MARK}.jpg]\n"
    )
    quilt.rename(quilt.with_name(f"{MARK.lower()}.yaml"))
    build(place.folder, place.output, on=place.asked.on)
    assert where(MARK, place.output) and where(MARK, cache_of(place.folder).folder)
    quilt.with_name(f"{MARK.lower()}.yaml").unlink()
    photo.unlink()
    quilt.write_text(before)
    build(place.folder, place.output, on=place.asked.on)
    assert where(MARK, place.output) == where(MARK, cache_of(place.folder).folder) == []


def test_what_becomes_private_leaves_the_catalogue_and_stays_in_the_binder(tmp_path):
    place = changing_collections.begin(tmp_path)
    with (place.folder / "quilts/ebb.yaml").open("a") as quilt:
        quilt.write(f"story: {MARK}\n")
    build(place.folder, place.output, on=place.asked.on)
    assert where(MARK, place.output / "catalogue")
    (place.folder / "collection.yaml").write_text("public: [made, photos]\n")
    build(place.folder, place.output, on=place.asked.on)
    assert where(MARK, place.output / "catalogue") == []
    assert where(MARK, place.output / "binder")


def where(word: str, folder: Path) -> list[str]:
    """The files of a folder in whose content or name a word stands, in any case."""
    return [
        path.relative_to(folder).as_posix()
        for path in folder.rglob("*")
        if word.lower() in path.name.lower() or (path.is_file() and word.lower().encode() in path.read_bytes().lower())
    ]


@pytest.mark.parametrize("edition", ["catalogue", "binder"])
def test_a_story_changes_the_pages_of_its_quilt_alone(tmp_path, edition):
    """And the words by which the wall is searched; what lists each quilt with its story as well."""
    place = changing_collections.begin(tmp_path)
    build(place.folder, place.output, on=place.asked.on)
    before = contents(place.output)
    times = {path: path.stat().st_mtime_ns for path in (place.output / edition).rglob("*.*")}
    with (place.folder / "quilts/ebb.yaml").open("a") as quilt:
        quilt.write("story: By the sea.\n")
    report = build(place.folder, place.output, on=place.asked.on)
    after = contents(place.output)
    assert {name for name in before if before[name] != after[name] and name.startswith(edition)} == {
        f"{edition}/quilts/ebb.html",
        f"{edition}/wall/words.js",
    }
    assert report.changed == 2
    written = {path.name for path, time in times.items() if path.stat().st_mtime_ns != time}
    assert written == {"ebb.html", "words.js"}


def pages_made_after(change, place: Place, patch: pytest.MonkeyPatch) -> set[str]:
    """The pages that a build makes anew when a file has changed, whether or not they come out otherwise."""
    build(place.folder, place.output, on=place.asked.on)
    made, make = set(), EditionPages.make
    change()
    with patch.context() as within:
        within.setattr(
            EditionPages, "make", lambda self, plan: made.add(f"{self.edition.name}/{plan.path}") or make(self, plan)
        )
        build(place.folder, place.output, on=place.asked.on)
    return made


def add(path: Path, line: str) -> None:
    path.write_text(path.read_text() + line)


def test_only_pages_that_look_at_a_field_are_made_again_when_it_changes(tmp_path, monkeypatch):
    place = changing_collections.begin(tmp_path)
    quilt = place.folder / "quilts/ebb.yaml"
    add(quilt, "kept_at: Attic\n")
    made = pages_made_after(lambda: quilt.write_text(quilt.read_text().replace("Attic", "Chest")), place, monkeypatch)
    assert {"binder/quilts/ebb.html", "binder/places.html"} <= made
    assert not [path for path in made if path.startswith("catalogue/")]
    assert not made & {
        f"binder/{path}" for path in ("index.html", "giving/index.html", "costs.html", "plan.html", "recipients.html")
    }


def test_a_charity_makes_again_the_pages_that_ask_for_it(tmp_path, monkeypatch):
    place = changing_collections.begin(tmp_path)
    (place.folder / "quilts/ebb.yaml").write_text(
        "title: Ebb\ndestination: {is: donated, to: hill-hospice, delivered: 2024-02-01}\n"
    )
    (place.folder / "quilts/flood.yaml").write_text("title: Flood\nmade: 1990s\n")
    hospice = place.folder / "partners/hill-hospice.yaml"
    hospice.write_text("name: Hill Hospice\npublic: true\n")
    made = pages_made_after(lambda: add(hospice, "about: By the river.\n"), place, monkeypatch)
    assert {f"{edition}/quilts/ebb.html" for edition in ("catalogue", "binder")} <= made
    assert "binder/recipients.html" in made
    assert not made & {f"{edition}/quilts/flood.html" for edition in ("catalogue", "binder")}


def test_another_story_of_a_given_quilt_leaves_the_pages_of_giving(tmp_path, monkeypatch):
    """And another number the pages of other years."""
    place = changing_collections.begin(tmp_path)
    quilt, other = place.folder / "quilts/ebb.yaml", place.folder / "quilts/flood.yaml"
    quilt.write_text(
        "title: Ebb\nnumber: 1\nstory: Old.\ndestination: {is: donated, to: hill-hospice, delivered: 2024-02-01}\n"
    )
    other.write_text("title: Flood\ndestination: {is: donated, to: hill-hospice, delivered: 2020-02-01}\n")
    made = pages_made_after(lambda: quilt.write_text(quilt.read_text().replace("Old", "New")), place, monkeypatch)
    assert not [path for path in made if "/giving/" in path]
    made = pages_made_after(
        lambda: quilt.write_text(quilt.read_text().replace("number: 1", "number: 2")), place, monkeypatch
    )
    assert "binder/giving/2024.html" in made
    assert "binder/giving/2020.html" not in made


def test_a_request_makes_no_page_of_the_catalogue_again(tmp_path, monkeypatch):
    place = changing_collections.begin(tmp_path)
    request = place.folder / "requests/cots.yaml"
    made = pages_made_after(lambda: add(request, "notes: Asked again.\n"), place, monkeypatch)
    assert "binder/requests.html" in made
    assert not [path for path in made if path.startswith("catalogue/")]


def test_the_same_call_as_the_interrupted_state_is_called_by_those_who_write():
    from collection.storage.transaction import UNFINISHED
    from site_builder.incremental import up_to_date

    assert up_to_date.UNFINISHED == UNFINISHED
