"""A whole build, from a folder of records to both editions."""

import io
import os
import shutil
import subprocess
import sys
from datetime import date
from pathlib import Path

import pytest
from PIL import Image

from collection.problems import CollectionProblems
from site_builder.building.build import build
from site_builder.rendering.renderer import Renderer
from tests.site_builder.images.drawn_photos import exif, patchwork
from tests.support.folders import files_below

TODAY = date(2026, 10, 20)
COMMAND = Path(sys.executable).with_name("counterpane")

RECORDS = {
    "collection.yaml": "title: Quilts of mine\nmaker: Someone\nsite: {url: https://quilts.example}\n",
    "quilts/low-tide.yaml": (
        "title: Low Tide\nnumber: 1\nmade: 2016\nfinished_size: 60 1/2 x 72\nphotos: [low-tide/front.jpg, low-tide/back.png]\n"
        "pattern: Low Tide\nblocks: [nine patch]\nstory: By the *sea*.\n"
        "setting: {blocks: 4 x 5, block: 12, sashing: 2, borders: [1 1/2, 5]}\n"
        "destination: {is: donated, to: river-street, through: nell, handed_over: 2026-05-12, delivered: 2026-05-30}\n"
    ),
    "quilts/high-tide.yaml": "title: High Tide\nmade: 1990s\nphotos: [high-tide.jpg]\ndestination: free\n",
    "quilts/ebb.yaml": "title: Ebb\nfinished_size: 40 x 40\nphotos: [ebb.jpg]\nloans: [{to: A show, due: 2026-11-01}]\n",
    "quilts/hidden.yaml": "title: Hidden\npublic: false\n",
    "partners/river-street.yaml": "name: River Street\npublic: true\n",
    "partners/nell.yaml": "name: Nell\nkind: go-between\n",
    "requests/cots.yaml": "partner: river-street\nneeded_by: 2026-11-01\nlines: [{id: cots, count: 3, size: baby}]\n",
    "pages/about.md": "# About\n\nMade by hand.\n",
}
PHOTOS = ("low-tide/front.jpg", "low-tide/back.png", "high-tide.jpg", "ebb.jpg")


@pytest.fixture
def collection(tmp_path, write_collection, a_photo) -> Path:
    folder = write_collection(tmp_path / "collection", RECORDS)
    for name, colour in zip(PHOTOS, ("seagreen", "steelblue", "tomato", "goldenrod")):
        a_photo(folder / "photos" / name, colour=colour)
    return folder


def editions(output: Path) -> dict[str, bytes]:
    return {name: content for name, content in files_below(output).items() if not name.startswith(".")}


def built(collection: Path, output: Path, **how) -> dict[str, bytes]:
    build(collection, output, **({"on": TODAY} | how))
    return editions(output)


# The same input gives the same bytes ------------------------------------------------------------


def test_a_build_gives_the_same_bytes_again_in_the_same_place_and_in_another(collection, tmp_path):
    first = built(collection, tmp_path / "one")
    assert {name.split("/")[0] for name in first} == {"catalogue", "binder"}
    assert built(collection, tmp_path / "one") == first
    assert built(collection, tmp_path / "two", jobs=1) == first


def test_a_copy_of_the_collection_gives_the_same_bytes(collection, tmp_path):
    """Neither the place of the files, nor their times, nor the order in which a disk lists them counts."""
    first = built(collection, tmp_path / "one")
    for name in reversed(files_below(collection)):
        copy = tmp_path / "a copy" / name
        copy.parent.mkdir(parents=True, exist_ok=True)
        shutil.copyfile(collection / name, copy)
        os.utime(copy, (0, 0))
    assert built(tmp_path / "a copy", tmp_path / "two") == first


def test_the_chance_in_a_run_of_the_program_does_not_count(collection, tmp_path):
    """Sets and hashes of text come in another order in each run."""
    outputs = [tmp_path / seed for seed in ("1", "2")]
    for output in outputs:
        words = [COMMAND, "build", collection, "--output", output, "--on", TODAY.isoformat()]
        subprocess.run(
            words, env=os.environ | {"PYTHONHASHSEED": output.name}, check=True, capture_output=True, timeout=300
        )
    assert editions(outputs[0]) == editions(outputs[1])


def test_the_day_counts_in_the_binder_alone(collection, tmp_path):
    autumn = built(collection, tmp_path / "one", on=TODAY)
    spring = built(collection, tmp_path / "two", on=date(2027, 3, 1))
    changed = {name for name in autumn if autumn[name] != spring[name]}
    by_day = ("requests", "plan", "follow-ups", "loans")
    assert changed == {f"binder/{name}.html" for name in by_day}


def test_no_page_tells_on_which_machine_it_was_made(collection, tmp_path):
    for name, content in built(collection, tmp_path / "output").items():
        assert os.fsencode(tmp_path) not in content, name


# What is written --------------------------------------------------------------------------------


def test_the_originals_are_never_touched(collection, tmp_path):
    def seen() -> dict[str, tuple[int, int]]:
        return {path.name: (path.stat().st_mtime_ns, path.stat().st_ino) for path in collection.rglob("*")}

    before, stamps = files_below(collection), seen()
    built(collection, tmp_path / "output")
    assert (files_below(collection), seen()) == (before, stamps)


def test_one_edition_is_built_alone(collection, tmp_path):
    both = built(collection, tmp_path / "both")
    for name in ("catalogue", "binder"):
        alone = built(collection, tmp_path / name, editions=(name,))
        assert alone == {path: content for path, content in both.items() if path.startswith(f"{name}/")}


def test_the_editions_share_no_file(collection, tmp_path):
    for _ in range(2):
        built(collection, tmp_path / "output")
        inodes = [path.stat().st_ino for path in (tmp_path / "output").rglob("*") if path.is_file()]
        assert len(set(inodes)) == len(inodes)


def test_what_is_hidden_or_gone_leaves_the_next_build(collection, tmp_path):
    before = built(collection, tmp_path / "output")
    (collection / "quilts/high-tide.yaml").unlink()
    (collection / "quilts/ebb.yaml").write_text("title: Ebb\npublic: false\nphotos: [ebb.jpg]\n")
    after = built(collection, tmp_path / "output")
    gone = set(before) - set(after)
    assert {"catalogue/quilts/high-tide.html", "binder/quilts/high-tide.html", "catalogue/quilts/ebb.html"} <= gone
    assert "binder/quilts/ebb.html" in after
    catalogue = b"".join(content for name, content in after.items() if name.startswith("catalogue/"))
    assert b"high-tide" not in catalogue and b"ebb" not in catalogue
    pictures = sum(name.startswith("catalogue/pictures/") for name in gone)
    assert pictures == sum(name.startswith("catalogue/pictures/") for name in before) // 2


def test_a_report_counts_what_was_made(collection, tmp_path):
    steps: list[tuple[str, int, int]] = []
    report = build(collection, tmp_path / "output", on=TODAY, progress=lambda *step: steps.append(step))
    pages = [name for name in editions(tmp_path / "output") if name.endswith(".html")]
    assert (report.quilts, report.pictures, report.pages) == (4, 4, len(pages))
    assert report.editions == (tmp_path / "output/catalogue", tmp_path / "output/binder")
    assert ("Photos", 4, 4) in steps
    assert {what for what, _, _ in steps} == {"Photos", "Pages"}
    assert all(1 <= done <= of for _, done, of in steps)


# Little, odd and much ---------------------------------------------------------------------------


def test_an_empty_collection_is_built(tmp_path, write_collection):
    made = built(write_collection(tmp_path / "empty", {"collection.yaml": ""}), tmp_path / "output")
    assert {"catalogue/index.html", "binder/index.html", "catalogue/catalogue.json"} <= set(made)


def test_a_folder_without_settings_is_built(tmp_path, write_collection):
    made = built(
        write_collection(tmp_path / "bare", {"quilts/low-tide.yaml": "title: Low Tide\n"}), tmp_path / "output"
    )
    for edition in ("catalogue", "binder"):
        assert b"Low Tide" in made[f"{edition}/quilts/low-tide.html"]


@pytest.mark.parametrize("name", ["Index", "index", "INDEX!"])
def test_a_value_that_is_called_like_an_overview_has_a_page_of_its_own(tmp_path, write_collection, name):
    words = f"title: Low Tide\npattern: {name}\nfabric_lines: [{name}]\nblocks: [{name}]\ntechniques: [{name}]\nsuits: [{name}]\ncolours: [{name}]\n"
    files = {
        "quilts/index.yaml": f"{words}destination: {{is: promised, to: index}}\n",
        "partners/index.yaml": "name: Index\n",
    }
    made = built(write_collection(tmp_path / "odd", files), tmp_path / "output")
    for kind in ("patterns", "fabric-lines", "blocks", "techniques", "for", "colours", "charities"):
        assert {f"binder/{kind}/index.html", f"binder/{kind}/index_.html"} <= set(made)


# Photos that are not as they should be ----------------------------------------------------------


def test_a_damaged_photo_is_named_and_the_build_goes_on(collection, tmp_path):
    whole = (collection / "photos/low-tide/front.jpg").read_bytes()
    (collection / "photos/low-tide/front.jpg").write_bytes(whole[: len(whole) // 2])
    (collection / "photos/ebb.jpg").write_bytes(b"")
    (collection / "photos/high-tide.jpg").unlink()
    report = build(collection, tmp_path / "output", on=TODAY)
    assert report.pictures == 1, "of four, those that can be shown"
    told = {(warning.file, warning.line, warning.field): str(warning) for warning in report.warnings}
    assert set(told) == {
        ("quilts/low-tide.yaml", 5, "photos.1.file"),
        ("quilts/ebb.yaml", 3, "photos.1.file"),
        ("quilts/high-tide.yaml", 3, "photos.1.file"),
    }
    assert "low-tide/front.jpg" in told["quilts/low-tide.yaml", 5, "photos.1.file"]
    assert "cut short" in told["quilts/low-tide.yaml", 5, "photos.1.file"]
    assert "empty" in told["quilts/ebb.yaml", 3, "photos.1.file"]
    assert (tmp_path / "output/catalogue/quilts/low-tide.html").exists()


# Or nothing -------------------------------------------------------------------------------------


def test_records_with_errors_change_nothing(collection, tmp_path):
    built(collection, tmp_path / "output")
    before = files_below(tmp_path / "output")
    (collection / "quilts/low-tide.yaml").write_text("title: Low Tide\nfinshed_size: 60 x 72\n")
    (collection / "quilts/high-tide.yaml").write_text("number: none\n")
    with pytest.raises(CollectionProblems) as problems:
        built(collection, tmp_path / "output")
    assert {problem.file for problem in problems.value.problems} >= {"quilts/low-tide.yaml", "quilts/high-tide.yaml"}
    assert files_below(tmp_path / "output") == before


@pytest.mark.parametrize("content", [b"", None])
def test_a_strict_build_stops_at_a_photo_that_cannot_be_shown(collection, tmp_path, content):
    built(collection, tmp_path / "output")
    before = editions(tmp_path / "output")
    photo = collection / "photos/ebb.jpg"
    photo.unlink() if content is None else photo.write_bytes(content)
    with pytest.raises(CollectionProblems) as problems:
        built(collection, tmp_path / "output", strict=True)
    assert [problem.field for problem in problems.value.problems] == ["photos.1.file"]
    assert editions(tmp_path / "output") == before


def test_a_mistake_of_ours_half_way_leaves_the_former_output(collection, tmp_path, monkeypatch):
    before = built(collection, tmp_path / "output")
    pages = 0

    def render_a_few(self, *args):
        nonlocal pages
        pages += 1
        if pages > 2:
            raise ZeroDivisionError
        return render(self, *args)

    render = Renderer.page
    monkeypatch.setattr(Renderer, "page", render_a_few)
    (collection / "quilts/low-tide.yaml").write_text("title: Another\n")
    with pytest.raises(ZeroDivisionError):
        built(collection, tmp_path / "output")
    assert editions(tmp_path / "output") == before


# Much -------------------------------------------------------------------------------------------


def test_many_pages_made_by_several_processes_are_those_that_one_makes(tmp_path, write_collection):
    """From nothing, and when all have changed."""
    setting = (
        "setting: {blocks: 3 x 4, block: 12, sashing: 2}\nmade: 2016\nblocks: [nine patch]\nstory: By the *sea*.\n"
    )
    quilts = {
        f"quilts/quilt-{number}.yaml": f"title: Quilt {number}\nfinished_size: {40 + number} x 60\n{setting}"
        for number in range(120)
    }
    folder = write_collection(tmp_path / "collection", quilts)

    def run(output: str, jobs: int) -> dict[str, bytes]:
        words = [
            COMMAND,
            "build",
            folder,
            "--output",
            tmp_path / output,
            "--jobs",
            str(jobs),
            "--on",
            TODAY.isoformat(),
        ]
        own_cache = os.environ | {"XDG_CACHE_HOME": str(tmp_path / f"cache-of-{output}")}
        subprocess.run(words, check=True, capture_output=True, timeout=300, env=own_cache)
        return editions(tmp_path / output)

    assert run("two", 2) == run("one", 1)
    (folder / "collection.yaml").write_text("title: Other quilts\n")
    assert run("two", 2) == run("fresh", 1)


# A process of its own between the tests and the build: a child begins with the peak of its parent.
PEAK_OF = """
import resource, subprocess, sys
code = subprocess.run(sys.argv[1:], check=False).returncode
peak = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss
print(code, peak // (1 << 20 if sys.platform == "darwin" else 1 << 10))
"""
QUILTS, DISTINCT_PHOTOS = 300, 30


def photos_of_12_megapixels(count: int):
    """Photos as a phone takes them, each another content: a few are drawn, the rest differ in a comment."""
    drawn = []
    for seed in range(3):
        out = io.BytesIO()
        large = patchwork(1008, 756, seed).resize((4032, 3024), Image.Resampling.BILINEAR)
        large.save(out, "JPEG", quality=88, exif=exif(orientation=1 + 5 * (seed % 2)))
        drawn.append(out.getvalue())
    for number in range(count):
        comment = f"{number:08}".encode()
        photo = drawn[number % len(drawn)]
        yield photo[:2] + b"\xff\xfe" + (len(comment) + 2).to_bytes(2, "big") + comment + photo[2:]


def test_three_hundred_quilts_with_large_photos_stay_under_400_megabytes(tmp_path, write_collection):
    """Every tenth photo is a new content, so that the test is short: the others are read, and known again.

    What is in memory at once does not depend on it: two photos, and all pages' views.
    """
    distinct = list(photos_of_12_megapixels(DISTINCT_PHOTOS))
    files = {}
    for number in range(QUILTS):
        files[f"photos/{number}.jpg"] = distinct[number % DISTINCT_PHOTOS]
        files[f"quilts/quilt-{number}.yaml"] = (
            f"title: Quilt {number}\nmade: {1980 + number % 46}\nfinished_size: {40 + number % 50} x {50 + number % 60}\n"
            f"photos: [{number}.jpg]\npattern: Pattern {number % 30}\nstory: |\n"
            + "  Made by the sea, in a week of rain.\n"
            * 20
        )
    folder = write_collection(tmp_path / "collection", files)
    words = [COMMAND, "build", folder, "--output", tmp_path / "output", "--jobs", "2"]
    run = subprocess.run(
        [sys.executable, "-c", PEAK_OF, *words], capture_output=True, text=True, timeout=300, check=False
    )
    code, megabytes = map(int, run.stdout.splitlines()[-1].split())
    assert (code, run.stderr.startswith("Built 300 quilts, ")) == (0, True), run.stderr
    assert 40 < megabytes < 400
    # Photos that differ in a comment alone give the same renditions: three of each that was drawn, and one
    # of the quilt alone.
    assert len(list((tmp_path / "output/catalogue/pictures").iterdir())) == 3 * (3 + 1)
    shutil.rmtree(tmp_path)
