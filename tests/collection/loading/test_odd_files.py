"""Files with odd names, links, pipes and folders that can't be read: each is told, and none stops the reading."""

import os
import subprocess
import sys
import unicodedata
from pathlib import Path

import pytest

from collection.loading.loader import read_collection
from collection.storage import folder_layout
from tests.collection.loading.readings import QUILT, only_remedy, told

# Names ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "remedy"),
    [
        ("Low.yaml", "Rename it, such as to low.yaml."),
        ("low tide.yaml", "Rename it, such as to low-tide.yaml."),
        ("low_tide.yaml", "Rename it, such as to low-tide.yaml."),
        ("low--tide-.yaml", "Rename it, such as to low-tide.yaml."),
        ("low.tide.yaml", "Rename it, such as to low-tide.yaml."),
        ("Mother's quilt (2).yaml", "Rename it, such as to mother-s-quilt-2.yaml."),
        ("Blåbær.yaml", "Rename it, such as to blåbær.yaml."),
        ("---.yaml", "Rename it, such as to low-tide.yaml."),
        ("low-tide.yml", "here files end in .yaml. Rename it, such as to low-tide.yaml."),
        ("low-tide.YAML", "here files end in .yaml. Rename it, such as to low-tide.yaml."),
        ("low-tide.yaml.txt", "here files end in .yaml. Rename it, such as to low-tide.yaml."),
        ("low-tide", "here files end in .yaml. Rename it, such as to low-tide.yaml."),
        ("notes.md", "here files end in .yaml. Rename it, such as to notes.yaml."),
        ("con.yaml", "Some systems keep the name con for themselves. Rename it, such as to con-quilt.yaml."),
        ("lpt1.yaml", "Some systems keep the name lpt1"),
        (f"{'long-' * 30}quilt.yaml", "This name is too long"),
        ("\x1b[31mred.yaml", "Rename it, such as to 31mred.yaml."),
    ],
)
def test_a_file_with_an_odd_name_is_told_with_a_sound_one(name, remedy, read):
    reading = read({"collection.yaml": "", f"quilts/{name}": QUILT})
    (problem,) = reading.errors
    assert remedy in problem.remedy
    assert problem.file == f"quilts/{name}".replace("\x1b", "�")
    assert reading.collection.quilts == {}


def test_a_proposed_name_is_always_sound(read, tmp_path):
    for name in ("Low.yaml", "ÅÄÖ é.yml", f"{'ж' * 80}!.yaml", "nul.yaml", "  .txt"):
        (problem,) = read({"collection.yaml": "", f"quilts/{name}": QUILT}).errors
        proposed = problem.remedy.removesuffix(".").rpartition(" to ")[2]
        (tmp_path / "quilts" / name).rename(tmp_path / "quilts" / proposed)
        assert read({}).errors == ()
        (tmp_path / "quilts" / proposed).unlink()


@pytest.mark.parametrize("name", ["blåbär", "ромашка", "हिंदी-रजाई", "百合", "ζ-3", "i̇"])
def test_names_in_every_script_are_sound(name, read):
    reading = read({f"quilts/{name}.yaml": QUILT})
    assert reading.problems == ()
    assert list(reading.collection.quilts) == [unicodedata.normalize("NFC", name)]


def test_accents_that_are_stored_apart_make_the_same_name(read):
    apart = unicodedata.normalize("NFD", "blåbär")
    reading = read({f"quilts/{apart}.yaml": "title: Low\nweather: x\n"})
    assert [problem.file for problem in reading.errors] == ["quilts/blåbär.yaml"]
    assert list(reading.texts) == ["quilts/blåbär.yaml"]


def test_two_names_that_differ_only_in_how_accents_are_stored_are_told(read, tmp_path):
    reading = read({f"quilts/{unicodedata.normalize(form, 'blåbär')}.yaml": QUILT for form in ("NFC", "NFD")})
    if len(list((tmp_path / "quilts").iterdir())) == 1:
        pytest.skip("this file system takes both for one name")
    assert [problem.remedy for problem in reading.errors] == [
        "Two files have this name, their accents stored in different ways. Rename or remove one."
    ]


def test_twins_in_capitals_and_small_letters_are_told(read):
    reading = read({"quilts/low.yaml": QUILT, "quilts/Low.yaml": QUILT})
    if len(reading.collection.quilts) == 1 and not reading.problems:
        pytest.skip("this file system takes both for one name")
    assert only_remedy(reading, "quilts/Low.yaml").endswith(
        "There is a low.yaml already: take one out, or rename this one to low-2.yaml."
    )


@pytest.mark.parametrize(
    "name",
    [
        ".hidden.yaml",
        "low.yaml~",
        "#low.yaml#",
        "Thumbs.db",
        "desktop.ini",
        ".DS_Store",
        "low.yaml.bak",
        ".low.yaml.swp",
    ],
)
def test_what_systems_and_editors_leave_behind_is_left_alone(name, read):
    assert read({"collection.yaml": "", f"quilts/{name}": "x"}).problems == ()


def test_a_photo_among_the_records_is_told_as_a_warning(read):
    reading = read({"quilts/low-tide.yaml": QUILT, "quilts/low-tide.jpg": b"x"})
    (problem,) = reading.warnings
    assert (problem.file, reading.errors) == ("quilts/low-tide.jpg", ())
    assert "Photos go into photos/." in problem.remedy


def test_a_folder_among_the_records_is_told(read):
    reading = read({"quilts/2016/low-tide.yaml": QUILT, "partners/nell.yaml/x": ""})
    assert [file for file, _ in told(reading)] == ["partners/nell.yaml", "quilts/2016"]
    assert all("Move the files of this folder up" in remedy for _, remedy in told(reading))


@pytest.mark.parametrize("name", ["quilt", "Quilts", "photo", "partner", "Requests", "page"])
def test_a_folder_with_nearly_the_right_name_is_told(name, read, tmp_path):
    reading = read({"collection.yaml": "", f"{name}/low-tide.yaml": QUILT})
    if (tmp_path / name.lower()).is_dir() and name != name.lower():
        pytest.skip("this file system takes both for one name")
    assert "This folder is not read, as its name is not" in only_remedy(reading, name)


@pytest.mark.parametrize("name", ["collection.yml", "Collection.yaml", "collection.yaml.txt", "collection"])
def test_settings_with_nearly_the_right_name_are_told(name, read):
    reading = read({"quilts/low-tide.yaml": QUILT, name: "title: Ours\n"})
    assert "its name is not collection.yaml" in only_remedy(reading, name)


@pytest.mark.parametrize(
    "name", ["output", "schemas", "receipts", "drawing", "README.md", "plan.yaml", "pictures of aunts"]
)
def test_other_folders_and_files_beside_the_records_are_nobodys_business(name, read):
    assert read({"collection.yaml": "", f"{name}/x": "x"}).problems == ()


# Files that are none ----------------------------------------------------------------------------


def test_a_link_out_of_the_collection_is_not_followed(read, tmp_path_factory, tmp_path):
    secret = tmp_path_factory.mktemp("elsewhere") / "secret.yaml"
    secret.write_text("title: Secret\npassword: 12345\n", encoding="utf-8")
    read({"collection.yaml": ""})
    (tmp_path / "quilts").mkdir()
    (tmp_path / "quilts" / "low-tide.yaml").symlink_to(secret)
    reading = read({})
    assert "a link to a place outside the collection" in only_remedy(reading, "quilts/low-tide.yaml")
    assert reading.collection.quilts == {}


def test_a_whole_folder_that_is_a_link_out_of_the_collection_is_not_followed(read, tmp_path_factory, tmp_path):
    elsewhere = tmp_path_factory.mktemp("elsewhere")
    (elsewhere / "low-tide.yaml").write_text(QUILT, encoding="utf-8")
    read({"collection.yaml": ""})
    (tmp_path / "quilts").symlink_to(elsewhere, target_is_directory=True)
    assert "outside the collection" in only_remedy(read({}), "quilts/low-tide.yaml")


def test_a_link_within_the_collection_is_followed(read, tmp_path):
    read({"collection.yaml": "", "drafts/low.txt": QUILT})
    (tmp_path / "quilts").mkdir()
    (tmp_path / "quilts" / "low-tide.yaml").symlink_to("../drafts/low.txt")
    reading = read({})
    assert reading.problems == ()
    assert reading.collection.quilts["low-tide"].title == "Low Tide"


@pytest.mark.parametrize("target", ["nothing.yaml", "low-tide.yaml"])
def test_a_link_to_nothing_or_to_itself_is_told(target, read, tmp_path):
    read({"collection.yaml": ""})
    (tmp_path / "quilts").mkdir()
    (tmp_path / "quilts" / "low-tide.yaml").symlink_to(target)
    assert "This file can't be read" in only_remedy(read({}), "quilts/low-tide.yaml")


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no named pipes")
@pytest.mark.parametrize("name", ["quilts/low-tide.yaml", "pages/about.md", "collection.yaml"])
def test_a_pipe_does_not_keep_the_reading_waiting(name, write_collection, tmp_path):
    write_collection(tmp_path, {"quilts/high-tide.yaml": QUILT, "pages/care.md": "Wash cold."})
    os.mkfifo(tmp_path / name)
    program = f"from collection.loading.loader import *; from pathlib import Path; print(*read_collection(Path({str(tmp_path)!r})).problems)"
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, timeout=300, check=True)
    assert f"{name}:1: This file can't be read: it is not an ordinary file." in done.stdout


def test_settings_that_are_a_folder_are_told(read):
    assert "not an ordinary file" in only_remedy(read({"collection.yaml/x": ""}), "collection.yaml")


def test_a_file_that_may_not_be_read_is_told(read, monkeypatch):
    def refuse(path, *arguments, **more):
        if Path(path).name == "low-tide.yaml":
            raise PermissionError(13, "Permission denied", str(path))
        return open(path, *arguments, **more)

    monkeypatch.setattr("collection.loading.loader.open", refuse, raising=False)
    reading = read({"quilts/low-tide.yaml": QUILT, "quilts/high-tide.yaml": QUILT})
    assert (
        only_remedy(reading, "quilts/low-tide.yaml")
        == "This file can't be read: permission denied. Allow your account to read it."
    )
    assert list(reading.collection.quilts) == ["high-tide"]


def test_a_folder_that_may_not_be_read_is_told(read, monkeypatch, tmp_path):
    look = os.scandir

    def refuse(path):
        if Path(path).name == "partners":
            raise PermissionError(13, "Permission denied", str(path))
        return look(path)

    monkeypatch.setattr(folder_layout.os, "scandir", refuse)
    reading = read({"quilts/low-tide.yaml": QUILT, "partners/nell.yaml": "name: Nell\n"})
    assert "This folder can't be read: permission denied. Allow your account to read it." == only_remedy(
        reading, "partners"
    )


def test_a_file_in_place_of_a_folder_is_told(read):
    assert "A file stands where a folder of this name is needed" in only_remedy(
        read({"collection.yaml": "", "quilts": "low-tide\n"}), "quilts"
    )


# Names and files that are none ------------------------------------------------------------------


def test_a_link_that_leads_to_itself_is_told_without_the_ways_of_this_machine(tmp_path, write_collection):
    folder = write_collection(tmp_path, {"quilts/low-tide.yaml": "title: Low Tide\n"})
    (folder / "quilts/ring.yaml").symlink_to(folder / "quilts/ring.yaml")
    (problem,) = read_collection(folder).problems
    assert (
        str(problem)
        == "quilts/ring.yaml:1: This file can't be read: it is a link that leads to itself. Put the file itself there."
    )


@pytest.mark.parametrize("name", ["con", "lpt²", "com¹"])
def test_names_that_other_systems_keep_are_refused(tmp_path, write_collection, name):
    (problem,) = read_collection(write_collection(tmp_path, {f"quilts/{name}.yaml": "title: Low Tide\n"})).problems
    assert problem.file == f"quilts/{name}.yaml" and f"Some systems keep the name {name}" in problem.remedy


@pytest.mark.parametrize("name", ["star", "é" * 50])
def test_there_is_a_free_name_however_many_are_taken(name):
    taken = set()
    for _ in range(200):
        taken.add(folder_layout.free_id(name, taken))
    short = min(taken, key=len)
    taken |= {f"{folder_layout.free_id(name, taken).rpartition('-')[0]}-{number}" for number in range(2, 12_000)}
    assert folder_layout.free_id(name, taken | {name}).endswith("-12000")
    assert len(short.encode()) <= 100 and len(folder_layout.free_id(name, taken | {name}).encode()) <= 100


# Folders that are links -------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["quilts", "partners", "requests", "pages", "photos"])
def test_a_folder_that_is_a_link_to_nothing_is_told_and_not_read_as_empty(tmp_path, name):
    (tmp_path / "collection.yaml").touch()
    (tmp_path / name).symlink_to("nowhere")
    assert "is a link to nothing" in only_remedy(read_collection(tmp_path), name)


@pytest.mark.parametrize("name", ["quilts", "partners", "requests", "pages", "photos"])
def test_a_folder_that_is_a_link_to_itself_is_told(tmp_path, name):
    (tmp_path / "collection.yaml").touch()
    (tmp_path / name).symlink_to(name)
    assert "leads to itself" in only_remedy(read_collection(tmp_path), name)
