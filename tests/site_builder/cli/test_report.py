"""`counterpane report`: which year, which files, and what it says when it can't."""

import json
import os
from functools import partial
from pathlib import Path

import pytest

RECORDS = {
    "collection.yaml": "tax_notes: us\ncurrency: USD\nprices: {backing: 11}\n",
    "partners/river-street.yaml": "name: River Street\nqualified: true\n",
    "quilts/low-tide.yaml": (
        "title: Low Tide\nfinished_size: 60 x 72\nmaterials_cost: 84.50\nphotos: low-tide.jpg\n"
        "destination: {is: donated, to: river-street, delivered: 2026-05-30}\n"
    ),
    "quilts/high-tide.yaml": (
        "title: High Tide\nfinished_size: 40 x 40\nphotos: missing.jpg\n"
        "destination: {is: donated, to: river-street, delivered: 2026-02-01}\n"
    ),
    "quilts/slack-water.yaml": "title: Slack Water\ndestination: {is: gifted, to: A cousin, on: 2026-03}\n",
}
ENDINGS = {"pdf": b"%PDF-", "xlsx": b"PK\x03\x04", "csv": b"\xef\xbb\xbfListed as", "html": b"<!doctype html>"}


@pytest.fixture
def collection(tmp_path, write_collection, a_photo) -> Path:
    folder = write_collection(tmp_path / "quilts-of-mine", RECORDS)
    a_photo(folder / "photos" / "low-tide.jpg")
    return folder


@pytest.fixture
def report(counterpane):
    """`report(folder, 2026, ...)` -> exit code, what went to standard output, what went to standard error."""
    return partial(counterpane, "report")


@pytest.mark.parametrize("ending", [*ENDINGS, "PDF"])
def test_the_ending_says_which_kind_of_file_it_is(report, collection, tmp_path, ending):
    path = tmp_path / f"giving.{ending}"
    code, out, err = report(collection, 2026, "--to", path, "--on", "2027-01-10")
    assert (code, out) == (0, f"{path}\n")
    assert path.read_bytes().startswith(ENDINGS[ending.lower()])
    assert err.endswith(
        "2 quilts reached 1 charity in 2026. Materials recorded: $84.50 for 1 quilt; "
        "estimated apart: $30.25 for 1 quilt.\n"
    )


def test_several_files_come_from_one_report(report, collection, tmp_path):
    paths = [tmp_path / f"giving.{ending}" for ending in ENDINGS]
    code, out, _ = report(collection, 2026, *(word for path in paths for word in ("--to", path)))
    assert code == 0
    assert out.splitlines() == [str(path) for path in paths]
    assert all(path.exists() for path in paths)
    assert {path.name for path in tmp_path.iterdir()} == {collection.name, *(path.name for path in paths)}


def test_pictures_are_in_the_pdf_and_the_page_and_a_missing_photo_is_left_out(report, collection, tmp_path):
    report(collection, 2026, "--to", tmp_path / "giving.pdf", "--to", tmp_path / "giving.html")
    assert (tmp_path / "giving.html").read_text(encoding="utf-8").count("<img ") == 1
    assert b"/Subtype/Image" in (tmp_path / "giving.pdf").read_bytes().replace(b" ", b"")


def test_the_same_day_gives_the_same_bytes(report, collection, tmp_path):
    for name in ("one", "two"):
        report(
            collection, 2026, "--to", tmp_path / f"{name}.pdf", "--to", tmp_path / f"{name}.xlsx", "--on", "2027-01-10"
        )
    for ending in ("pdf", "xlsx"):
        assert (tmp_path / f"one.{ending}").read_bytes() == (tmp_path / f"two.{ending}").read_bytes()


def test_for_programs_nothing_but_data_goes_to_standard_output(report, collection, tmp_path):
    code, out, err = report(collection, 2026, "--json", "--to", tmp_path / "giving.csv", "--on", "2027-01-10")
    assert code == 0
    data = json.loads(out)
    assert data["totals"]["count"] == 2
    assert data["given"][0] == {
        "quilt": "high-tide", "to": "river-street", "handed_over": None, "delivered": "2026-02-01", "acknowledged": None,
        "materials": {"recorded": None, "estimated": "30.25 USD"},
    }  # fmt: skip
    assert data["to_people"] == [{"quilt": "slack-water", "to": "A cousin", "on": "2026-03"}]
    assert str(tmp_path / "giving.csv") in err


def test_the_collection_may_be_left_out(report, collection, tmp_path, monkeypatch):
    monkeypatch.chdir(collection)
    assert report(2026, "--to", tmp_path / "giving.csv")[0] == 0


def test_a_year_without_gifts_makes_a_report_that_says_so(report, collection, tmp_path):
    code, _, err = report(collection, 1999, "--to", tmp_path / "giving.pdf")
    assert (code, err) == (0, "No quilt reached a charity in 1999.\n")
    assert (tmp_path / "giving.pdf").exists()


def test_a_year_that_is_not_over_is_told_so_far(report, collection, tmp_path):
    _, _, err = report(collection, 2026, "--to", tmp_path / "giving.csv", "--on", "2026-06-01")
    assert err.startswith("2 quilts reached 1 charity in 2026 so far.")


@pytest.mark.parametrize(
    ("starts", "year", "answer"),
    [
        ("04-06", "2025/26", "in 2025/26"),
        ("04-06", "2025-26", "in 2025/26"),
        ("04-06", "2025", "in 2025/26"),
        ("04-06", "2025/27", "ends in the year after. Write 2025/26."),
        ("01-01", "2025/26", "is a calendar year. Write 2025."),
        ("01-01", "last", "“last” is not a year. Write it with four figures, such as 2026."),
        ("04-06", "26", "“26” is not a year. Write it with four figures, such as 2026/27."),
        ("01-01", "0000", "“0000” is not a year."),
    ],
)
def test_a_year_is_written_as_on_its_page(report, collection, tmp_path, starts, year, answer):
    (collection / "collection.yaml").write_text(f"giving_year_starts: {starts}\n", encoding="utf-8")
    code, _, err = report(collection, year, "--to", tmp_path / "giving.csv")
    assert answer in err
    assert code == (0 if answer.startswith("in ") else 2)


@pytest.mark.parametrize(
    ("words", "answer"),
    [
        (["2026"], "Name the file to write, such as --to giving.pdf"),
        (["2026", "--to", "giving.doc"], "or one of .pdf, .xlsx, .csv, .html."),
        (["2026", "--to", "giving"], "giving has no ending. Write giving.pdf"),
        (["2026", "--to", "nowhere/giving.pdf"], "There is no folder nowhere."),
        (["2026", "--to", "photos.pdf", "--to", "giving.odt"], "giving.odt ends in .odt"),
        (["2026", "--to", "a-folder.pdf"], "a-folder.pdf is a folder."),
        (["--to", "giving.pdf"], "Say which year"),
    ],
)
def test_what_can_not_be_is_said_before_anything_is_made(report, collection, monkeypatch, words, answer):
    monkeypatch.chdir(collection)
    (collection / "a-folder.pdf").mkdir()
    before = sorted(collection.iterdir())
    code, out, err = report(*words)
    assert (code, out) == (2, "")
    assert answer in err
    assert sorted(collection.iterdir()) == before


def test_records_with_problems_are_told_and_nothing_is_written(report, collection, tmp_path):
    (collection / "quilts" / "low-tide.yaml").write_text("title: Low Tide\nmade: soon\n", encoding="utf-8")
    code, _, err = report(collection, 2026, "--to", tmp_path / "giving.pdf")
    assert code == 1
    assert "quilts/low-tide.yaml:2: made:" in err
    assert not (tmp_path / "giving.pdf").exists()


def test_a_file_that_is_there_is_kept_whole_when_the_new_one_can_not_be_written(
    report, collection, tmp_path, monkeypatch
):
    path = tmp_path / "giving.csv"
    path.write_bytes(b"of last year")

    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "write", full)
    code, out, err = report(collection, 2026, "--to", path)
    monkeypatch.undo()
    assert (code, out) == (2, "")
    assert err == f"{path}: There is no room left on the disk. Make room, then try again.\n"
    assert path.read_bytes() == b"of last year"
    assert {each.name for each in tmp_path.iterdir()} == {collection.name, "giving.csv"}


def test_where_no_currency_is_set_amounts_have_none_anywhere(report, collection):
    settings = collection / "collection.yaml"
    settings.write_text(settings.read_text(encoding="utf-8").replace("currency: USD\n", ""), encoding="utf-8")
    code, out, _ = report(collection, 2026, "--json", "--on", "2027-01-10")
    assert code == 0
    data = json.loads(out)
    assert data["currency"] is None
    amounts = [each["materials"]["recorded"] for each in data["given"]]
    assert "84.50" in amounts and "USD" not in out
    assert "currency not set" in {note["key"] for note in data["notes"]}
