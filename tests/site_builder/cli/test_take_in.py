"""Taking in a spreadsheet from the command line: shown first, written whole, taken back, refused in words."""

import json
import subprocess
import sys

import pytest
import xlsxwriter

from collection.loading.loader import read_collection
from site_builder.cli import prompts
from tests.collection.spreadsheet_import.messy_sheet import PARTNERS, write_messy_sheet
from tests.support.folders import files_below

SHEET = (
    "My quilts,,,,\n"
    "No.,Quilt,Size,Gave to,Notes\n"
    "1,Low Tide,60x72ish,gave to cousin?,blue\n"
    "2,Bramble,50 x 50,River Street Shelter,\n"
    "3,,40 x 60,Harbour Refuge,=1+1\n"
    ",Total,,,\n"
)


@pytest.fixture
def folder(tmp_path, write_collection):
    (tmp_path / "quilts here" / "quilts").mkdir(parents=True)
    return write_collection(tmp_path / "quilts here", PARTNERS)


@pytest.fixture
def sheet(tmp_path):
    path = tmp_path / "my list.csv"
    path.write_text(SHEET, encoding="utf-8")
    return path


def test_a_dry_run_shows_what_would_be_made_and_writes_nothing(run, folder, sheet):
    before = files_below(folder)
    code, printed, told = run("take-in", folder, sheet, "--dry-run")
    assert code == 0
    assert "Sheet my list: headings in row 2" in printed
    assert "C  Size" in printed and "finished_size" in printed
    assert "New: 3 quilts out of 3 rows." in printed
    assert "gave to cousin?" in printed and "Harbour Refuge (1 row): partners/harbour-refuge.yaml" in printed
    assert "20 cells accounted for" in printed
    assert "Nothing was changed: 3 quilts shown only." in told
    assert files_below(folder) == before
    assert list(sheet.parent.glob("*.columns.yaml")) == []


def test_taking_in_writes_sound_records_and_undo_takes_all_of_it_back(run, folder, sheet):
    before = files_below(folder)
    code, _, told = run("take-in", folder, sheet, "--on", "2026-11-25")
    assert code == 0
    assert "Took in 3 quilts" in told
    reading = read_collection(folder)
    assert reading.errors == ()
    assert sorted(reading.collection.quilts) == ["bramble", "low-tide", "quilt-3"]
    assert "taken-in/2026-11-25-my-list.json" in files_below(folder)
    assert run("undo", folder, "--yes")[0] == 0
    assert {
        name: content for name, content in files_below(folder).items() if not name.startswith(".counterpane/")
    } == before
    assert run("take-in", folder, sheet)[0] == 0
    assert len(read_collection(folder).collection.quilts) == 3


def test_taking_in_again_changes_nothing_that_was_edited_since(run, folder, sheet):
    run("take-in", folder, sheet)
    record = folder / "quilts" / "low-tide.yaml"
    record.write_text("title: The Low Tide   # by hand\n", encoding="utf-8")
    before = files_below(folder)
    code, printed, told = run("take-in", folder, sheet)
    assert (code, files_below(folder)) == (0, before)
    assert "3 rows taken in before" in printed
    assert "There is nothing new to take in" in told


def test_a_longer_and_renamed_sheet_adds_its_new_rows(run, folder, sheet):
    run("take-in", folder, sheet)
    longer = sheet.with_name("list 2.csv")
    longer.write_text(
        SHEET.replace("2,Bramble,50 x 50", "2,Bramble,51 x 50").replace(",Total", "9,Fox,30 x 30,,\n,Total"),
        encoding="utf-8",
    )
    code, printed, _ = run("take-in", folder, longer)
    assert code == 0
    assert "Size: was “50 x 50”, is “51 x 50”. quilts/bramble.yaml: finished_size: 51 x 50 in" in printed
    assert sorted(read_collection(folder).collection.quilts) == ["bramble", "fox", "low-tide", "quilt-3"]
    assert "50 x 50" in (folder / "quilts/bramble.yaml").read_text()


def test_the_account_of_each_cell_is_written_where_it_is_asked_for(run, folder, sheet, tmp_path):
    account = tmp_path / "cells.csv"
    assert run("take-in", folder, sheet, "--dry-run", "--account", account)[0] == 0
    lines = account.read_text(encoding="utf-8-sig").splitlines()
    assert len(lines) == 1 + 20
    assert "my list,E5,Notes,'=1+1,notes,quilt-3: notes," in lines
    assert [line.split(",")[1] for line in lines if line.endswith("the collection has no partner of that name")] == [
        "D5"
    ]
    assert run("take-in", folder, sheet, "--dry-run", "--account", tmp_path / "cells.pdf")[0] == 2


def test_cells_that_say_the_same_are_one_line_of_what_to_look_at(run, folder, sheet):
    sheet.write_text(SHEET.replace("50 x 50", "large").replace("40 x 60", "large"), encoding="utf-8")
    _, printed, _ = run("take-in", folder, sheet, "--dry-run")
    assert "C4 and 1 more like it, Size: “large”: no size can be read of it" in printed


def test_the_result_for_programs_has_its_stable_shape(run, folder, sheet):
    code, printed, _ = run("take-in", folder, sheet, "--json")
    data = json.loads(printed)
    assert code == 0
    assert list(data) == [
        "source", "done", "said", "sheets", "quilts", "taken_before", "changed", "same_as_another_row", "recorded_already",
        "to_look_at", "unknown_charities", "account",
    ]  # fmt: skip
    assert data["done"] is True
    assert data["quilts"][0] == {"quilt": "low-tide", "title": "Low Tide", "sheet": "my list", "row": 3}
    assert data["sheets"][0]["columns"][2] == {
        "column": "C",
        "heading": "Size",
        "means": "size",
        "unit": None,
        "why": "",
    }
    assert data["unknown_charities"] == [{"written": "Harbour Refuge", "rows": 1}]
    assert data["account"]["cells"] == len(data["account"]["each"]) == 20


def test_what_the_columns_mean_is_written_once_and_read_from_then_on(run, folder, sheet):
    columns = sheet.with_name("my list.columns.yaml")
    code, _, told = run("take-in", folder, sheet, "--columns", columns)
    assert (code, "nothing was taken in yet" in told) == (0, True)
    assert read_collection(folder).collection.quilts == {}
    columns.write_text(
        columns.read_text(encoding="utf-8").replace("heading: Notes, means: note", "heading: Notes, means: kept at"),
        encoding="utf-8",
    )
    code, _, told = run("take-in", folder, sheet)
    assert (code, f"read from {columns}" in told) == (0, True)
    assert read_collection(folder).collection.quilts["low-tide"].kept_at == "blue"


def test_a_mistake_in_the_file_of_columns_is_told_and_nothing_is_written(run, folder, sheet, tmp_path):
    columns = tmp_path / "c.yaml"
    columns.write_text("same_rows: twice\n")
    before = files_below(folder)
    code, _, told = run("take-in", folder, sheet, "--columns", columns)
    assert (code, files_below(folder)) == (1, before)
    assert "c.yaml:1: same_rows:" in told


def test_it_asks_first_where_someone_can_answer(run, folder, sheet, monkeypatch):
    monkeypatch.setattr(prompts, "someone_can_answer", lambda: True)
    before = files_below(folder)
    code, _, told = run("take-in", folder, sheet, answer="n\n")
    assert "Take in 3 quilts?" in told
    assert (code != 0, files_below(folder)) == (True, before)
    assert run("take-in", folder, sheet, answer="y\n")[0] == 0
    assert len(read_collection(folder).collection.quilts) == 3


def test_nothing_is_written_unless_all_drafts_are_sound(run, folder, sheet):
    sheet.write_text(SHEET + "7,Fox,,," + "x" * 20_001 + "\n", encoding="utf-8")
    before = files_below(folder)
    code, _, told = run("take-in", folder, sheet)
    assert (code, files_below(folder)) == (1, before)
    assert "my list.csv, my list:7: notes:" in told


@pytest.mark.parametrize(
    ("name", "content", "words"),
    [
        ("a.xlsx", b"PK rubbish", "save it anew"),
        ("a.csv", b"", "is empty"),
        ("a.xls", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 99, "old .xls form"),
        ("a.xlsx", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + "EncryptedPackage".encode("utf-16-le"), "password"),
        ("a.csv", b"Shop,Metres\nAnna's,3\n", "no headings were found in it"),
    ],
)
def test_a_file_that_can_not_be_taken_in_is_refused_in_words(run, folder, tmp_path, name, content, words):
    (tmp_path / name).write_bytes(content)
    code, _, told = run("take-in", folder, tmp_path / name)
    assert code == 2
    assert words in told and "Traceback" not in told


def test_a_missing_source_is_refused_in_words(run, folder, tmp_path):
    assert run("take-in", folder, tmp_path / "none.csv")[0] == 2
    assert run("take-in")[0] == 2


def test_records_with_errors_stop_the_taking_in(run, folder, sheet):
    (folder / "quilts" / "bad.yaml").write_text("titel: x\n")
    assert run("take-in", folder, sheet)[0] == 1


def test_photos_are_handed_to_what_takes_in_photos(run, folder, tmp_path, monkeypatch):
    called = []
    import site_builder.cli.take_in_photos as command

    monkeypatch.setattr(command, "take_in_photos", lambda *paths, **options: called.append((paths, options)))
    (tmp_path / "a.jpg").write_bytes(b"")
    assert run("take-in", folder, tmp_path / "a.jpg", "--on", "2026-11-25", "--dry-run")[0] == 0
    assert run("take-in", folder, tmp_path, "--yes")[0] == 0
    assert called[0][0] == (folder, tmp_path / "a.jpg")
    assert called[1][1]["yes"] is True
    assert run("take-in", folder, tmp_path, "--account", tmp_path / "x.csv")[0] == 2


def test_a_messy_sheet_is_taken_in_whole_and_a_second_time_not_at_all(run, folder, tmp_path):
    messy = write_messy_sheet(tmp_path / "messy.xlsx")
    assert run("take-in", folder, messy.path, "--on", "2026-11-25")[0] == 0
    reading = read_collection(folder)
    assert reading.errors == ()
    before = files_below(folder)
    code, printed, _ = run("take-in", folder, messy.path, "--on", "2026-11-25", "--json")
    data = json.loads(printed)
    assert (code, data["quilts"], data["changed"], files_below(folder)) == (0, [], [], before)
    assert data["account"]["cells"] == messy.cells


def test_an_enormous_sheet_is_refused_within_bounded_memory(folder, tmp_path):
    path = tmp_path / "far.xlsx"
    book = xlsxwriter.Workbook(path)
    sheet = book.add_worksheet()
    sheet.write(0, 0, "Quilt")
    sheet.write(1_048_575, 16_383, "z")
    book.close()
    code = (
        "import resource; resource.setrlimit(resource.RLIMIT_AS, (2_000_000_000,) * 2); "
        f"import sys; sys.argv = ['counterpane', 'take-in', {str(folder)!r}, {str(path)!r}]; "
        "from site_builder.cli.main import main; main()"
    )
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=300, check=False)
    assert ran.returncode == 2
    assert "far off the table" in ran.stderr
