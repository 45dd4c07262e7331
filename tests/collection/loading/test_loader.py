"""From a folder to a collection: which files are read, and what is told of the others."""

import os

import pytest

from collection.loading.loader import read_collection
from collection.problems import CollectionProblems
from collection.yaml_files.parser import LARGEST_FILE
from tests.collection.loading.readings import QUILT, only_remedy

# The folder -------------------------------------------------------------------------------------


def test_a_folder_that_is_not_there_is_refused(tmp_path):
    with pytest.raises(CollectionProblems) as refused:
        read_collection(tmp_path / "nowhere")
    assert "no such folder" in refused.value.problems[0].remedy


def test_a_folder_without_a_collection_is_refused(tmp_path):
    with pytest.raises(CollectionProblems) as refused:
        read_collection(tmp_path)
    assert "begin one with a file such as quilts/low-tide.yaml" in refused.value.problems[0].remedy


def test_a_folder_with_nearly_a_collection_is_refused_with_what_to_rename(tmp_path, write_collection):
    write_collection(tmp_path, {"quilt/low-tide.yaml": QUILT, "Collection.yml": "title: Ours\n"})
    with pytest.raises(CollectionProblems) as refused:
        read_collection(tmp_path)
    assert [problem.file for problem in refused.value.problems[1:]] == ["Collection.yml", "quilt"]


@pytest.mark.parametrize("files", [{"collection.yaml": ""}, {"collection.yaml": "# nothing yet\n", "quilts/.keep": ""}])
def test_a_collection_may_be_empty(files, read):
    reading = read(files)
    assert reading.problems == ()
    assert reading.collection.quilts == {}


def test_a_collection_needs_no_settings(read):
    reading = read({"quilts/low-tide.yaml": QUILT})
    assert reading.problems == ()
    assert (reading.collection.settings.title, reading.collection.settings.units) == ("Quilts", "in")


def test_records_are_read_in_the_order_of_the_alphabet_and_know_their_file(read):
    reading = read({"quilts/b.yaml": QUILT, "quilts/a.yaml": QUILT, "quilts/a-1.yaml": QUILT})
    assert list(reading.collection.quilts) == ["a", "a-1", "b"]
    assert reading.collection.quilts["a-1"].id == "a-1"
    assert set(reading.texts) == {"quilts/a.yaml", "quilts/a-1.yaml", "quilts/b.yaml"}


# Pages ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "title"),
    [
        ("# About me\n\nHello.\n", "About me"),
        ("\n\n#  About *me* \nHello.\n", "About *me*"),
        ("\ufeff# About me\r\nHello.\r\n", "About me"),
        ("Hello.\n# Later\n", "Care of quilts"),
        ("## Small\n", "Care of quilts"),
        ("#\n", "Care of quilts"),
        ("", "Care of quilts"),
    ],
)
def test_a_page_is_called_by_its_first_heading_else_by_its_file(text, title, read):
    page = read({"collection.yaml": "", "pages/care-of-quilts.md": text}).collection.pages["care-of-quilts"]
    assert page.title == title
    assert page.markdown == text.removeprefix("\ufeff")


@pytest.mark.parametrize(
    ("name", "content", "remedy"),
    [
        ("about.md", "Appliqué".encode("latin-1"), "UTF-8"),
        ("about.md", b"x" * (LARGEST_FILE + 1), "Part it in two"),
        ("About.md", b"x", "Rename it, such as to about.md."),
        ("about.markdown", b"x", "here files end in .md. Rename it, such as to about.md."),
    ],
)
def test_a_page_that_can_not_be_read_is_told(name, content, remedy, read):
    reading = read({"collection.yaml": "", f"pages/{name}": content})
    assert remedy in only_remedy(reading, f"pages/{name}")
    assert reading.collection.pages == {}


# Photos -----------------------------------------------------------------------------------------


def test_all_files_below_photos_are_known_by_their_name_with_slashes(read, tmp_path):
    names = ["a.jpg", "low-tide/front.JPG", "deep/down/here/é.heic"]
    reading = read(
        {"collection.yaml": "", "photos/.hidden/x.jpg": b"", "photos/.DS_Store": b""}
        | {f"photos/{n}": b"" for n in names}
    )
    assert reading.collection.photos == frozenset(names)


def test_folders_of_photos_that_lead_round_in_a_circle_end(read, tmp_path):
    read({"collection.yaml": "", "photos/a/b.jpg": b""})
    (tmp_path / "photos" / "a" / "again").symlink_to(tmp_path / "photos", target_is_directory=True)
    assert read({}).collection.photos == {"a/b.jpg"}


def test_a_photo_with_a_name_that_is_no_text_can_be_told(read, tmp_path):
    read({"quilts/low-tide.yaml": "title: x\nphotos: front.jpg\n", "photos/a.jpg": b""})
    try:
        (tmp_path / "photos" / os.fsdecode(b"fr\xf8nt.jpg")).write_bytes(b"")
    except OSError:
        pytest.skip("this file system refuses such names")
    (problem,) = read({}).problems
    assert str(problem).encode("utf-8")


# Problems ---------------------------------------------------------------------------------------


def test_problems_are_told_by_file_and_line_and_the_same_in_every_run(read):
    files = {
        "quilts/b.yaml": "title: B\nx: 1\ny: 2\n",
        "quilts/a.yaml": "made: soon\n",
        "collection.yaml": "unit: in\n",
    }
    reading = read(files)
    assert [(p.file, p.line) for p in reading.problems] == [
        ("collection.yaml", 1),
        ("quilts/a.yaml", 1),
        ("quilts/a.yaml", 1),
        ("quilts/b.yaml", 2),
        ("quilts/b.yaml", 3),
    ]
    assert read({}).problems == reading.problems


@pytest.mark.parametrize("letter", ["a", "é"])
def test_a_page_that_markdown_would_take_long_for_is_refused(tmp_path, write_collection, letter):
    pages = {"pages/long.md": letter * 60_001, "pages/just.md": letter * 60_000}
    reading = read_collection(write_collection(tmp_path, {"quilts/low-tide.yaml": "title: Low Tide\n", **pages}))
    (problem,) = reading.problems
    assert str(problem) == "pages/long.md:1: This page is longer than 60,000 characters. Part it in two."
    assert set(reading.collection.pages) == {"just"}
