"""Spreadsheets that are spoiled in any way are taken in as sound records, or refused in words, soon and silently."""

import io
import os
import random
import subprocess
import sys
import zipfile
from datetime import date
from pathlib import Path

import pytest
import xlsxwriter
from hypothesis import given
from hypothesis import strategies as st

from collection.loading.loader import read_collection
from collection.quotes import printable
from collection.spreadsheet_import.files.limits import SheetRefused
from collection.spreadsheet_import.files.workbook import workbook_of
from collection.spreadsheet_import.importer import take_in
from collection.spreadsheet_import.write import check_drafts
from tests.collection.spreadsheet_import.files.test_files import an_ods
from tests.collection.spreadsheet_import.messy_sheet import (
    _COSTS,
    _DATES,
    _NOTES,
    _RECIPIENTS,
    _SIDES,
    _TITLES,
    _WASHED,
)
from tests.collection.spreadsheet_import.sheets import a_sheet, a_workbook
from tests.support.mutations import TEXTS, assert_memory_is_bounded, inputs, spoiled
from tests.support.patience import soon

TODAY = date(2026, 11, 25)
HEADINGS = ("No.", "Quilt name", "W", "L", "Year made", "Given to", "Materials cost", "Washed?", "Notes")


def rows(count: int, seed: int) -> list[list[object]]:
    chance = random.Random(seed)
    columns = (_TITLES, _SIDES, _SIDES, _DATES, _RECIPIENTS, _COSTS, _WASHED, _NOTES)
    return [list(HEADINGS), *([number, *(chance.choice(words) for words in columns)] for number in range(1, count + 1))]


def as_csv(seed: int) -> str:
    import csv

    out = io.StringIO()
    csv.writer(out).writerows(rows(12, seed))
    return out.getvalue()


def as_xlsx(seed: int) -> bytes:
    out = io.BytesIO()
    with xlsxwriter.Workbook(
        out,
        {
            "in_memory": True,
            "strings_to_formulas": False,
            "strings_to_urls": False,
            "default_date_format": "d mmm yyyy",
        },
    ) as book:
        sheet = book.add_worksheet("Quilts")
        for row, values in enumerate(rows(8, seed)):
            for column, value in enumerate(values):
                sheet.write(row, column, value)
    return out.getvalue()


@pytest.fixture(scope="module")
def reading(tmp_path_factory):
    folder = tmp_path_factory.mktemp("taking-in")
    (folder / "quilts").mkdir()
    (folder / "quilts/low-tide.yaml").write_text("title: Low Tide\nnumber: 3\n")
    (folder / "partners").mkdir()
    (folder / "partners/river-street.yaml").write_text("name: River Street Shelter\nkind: charity\n")
    (folder / "partners/nell.yaml").write_text("name: Nell\nkind: go-between\n")
    return read_collection(folder)


def assert_taken_or_refused(reading, workbook_from) -> None:
    with soon():
        try:
            intake = take_in(workbook_from(), reading, (), on=TODAY)
        except SheetRefused as refused:
            assert str(refused)[0].isprintable() and str(refused).endswith("."), refused
            return
        problems = check_drafts(intake, reading)
    errors = [problem for problem in problems if problem.severity == "error"]
    assert all(error.file.startswith(intake.workbook.name) and "is longer than" in error.remedy for error in errors), (
        errors
    )
    assert len({draft.file for draft in intake.drafts}) == len(intake.drafts)
    for draft in intake.drafts:
        assert draft.file == printable(draft.file)


def test_a_spoiled_table_of_values(reading):
    @inputs(1)
    @given(
        spoiled([as_csv(seed) for seed in range(3)]),
        st.sampled_from(["utf-8", "utf-8-sig", "utf-16", "cp1252", "mac_roman"]),
    )
    def search(text, codec):
        raw = text.encode(codec, "replace")
        assert_taken_or_refused(reading, lambda: workbook_of(raw, "quilts.csv"))

    search()
    assert_memory_is_bounded()


def test_a_spoiled_packed_file(reading, capfd):
    wholes = [as_xlsx(seed) for seed in range(2)]

    @inputs(0.4)
    @given(spoiled(wholes))
    def search(raw):
        assert_taken_or_refused(reading, lambda: workbook_of(raw, "quilts.xlsx"))

    search()
    assert capfd.readouterr().err == "", "a library has written to the terminal"


def members(raw: bytes) -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(raw)) as packed:
        return {name: packed.read(name) for name in packed.namelist()}


def test_a_packed_file_of_which_a_part_is_spoiled(reading, capfd):
    whole = members(as_xlsx(1))
    parts = (
        "xl/worksheets/sheet1.xml",
        "xl/sharedStrings.xml",
        "xl/workbook.xml",
        "xl/styles.xml",
        "xl/_rels/workbook.xml.rels",
    )

    @st.composite
    def packed(draw) -> bytes:
        name = draw(st.sampled_from(parts))
        text = draw(spoiled([whole[name].decode()]))
        out = io.BytesIO()
        with zipfile.ZipFile(out, "w") as book:
            for each, content in whole.items():
                book.writestr(each, text.encode("utf-8", "replace") if each == name else content)
        return out.getvalue()

    @inputs(1)
    @given(packed())
    def search(raw):
        assert_taken_or_refused(reading, lambda: workbook_of(raw, "quilts.xlsx"))

    search()
    assert capfd.readouterr().err == "", "a library has written to the terminal"
    assert_memory_is_bounded()


# Little files that unpack to much, or to very many parts -------------------------------------------

SHEET, SHARED, BOOK, TABLE = "xl/worksheets/sheet1.xml", "xl/sharedStrings.xml", "xl/workbook.xml", "content.xml"
BEFORE = {
    SHEET: b"</sheetData>",
    SHARED: b"</sst>",
    BOOK: b"</sheets>",
    "xl/styles.xml": b"<cellXfs",
    TABLE: b"</table:table>",
}
MUCH = 38_000_000
MANY_SHEETS = b"".join(
    b'<sheet name="s%d" sheetId="%d" r:id="rId1"/>' % (number, number + 9) for number in range(65_000)
)
FILLED = (
    b"<table:table-row>"
    + b'<table:table-cell office:value-type="float" office:value="1"/>' * 20
    + b"</table:table-row>"
)
SWELLING = {
    "a comment": (SHEET, b"<!--" + b"a" * MUCH + b"-->", None),
    "a CDATA": (SHEET, b'<row><c t="inlineStr"><is><t><![CDATA[' + b"a" * MUCH + b"]]></t></is></c></row>", "holds 38,000,000 characters"),
    "the name of a tag": (SHEET, b"<" + b"a" * MUCH + b"/>", None),
    "an instruction": (SHEET, b"<?a " + b"b" * MUCH + b"?>", None),
    "a value of an attribute": (SHEET, b"<a b='" + b"c" * MUCH + b"'/>", None),
    "more than any list": (SHEET, b" " * 90_000_000, "unpacks to far more"),
    "blank lines": (SHEET, b"\n" * MUCH, "far more small parts"),
    "entities": (SHEET, b"&lt;" * 8_000_000, "far more small parts"),
    "tags": (SHEET, b"<a/>" * 8_000_000, "far more small parts"),
    "attributes": (SHEET, b"<a b='' c='' d=''/>" * 1_500_000, "far more small parts"),
    "empty shared texts": (SHARED, b"<si/>" * 5_000_000, "far more small parts"),
    "sheets": (BOOK, MANY_SHEETS, "more than 100 sheets"),
    "styles": ("xl/styles.xml", b"<a/>" * 8_000_000, "far more small parts"),
    "cells": (SHEET, (b"<row>" + b"<c><v>1</v></c>" * 900 + b"</row>") * 600, "far more small parts|more than 200,000 cells"),
    "a comment of an .ods": (TABLE, b"<!--" + b"a" * MUCH + b"-->", None),
    "the name of a tag of an .ods": (TABLE, b"<" + b"a" * MUCH + b"/>", None),
    "tags of an .ods": (TABLE, b"<a/>" * 8_000_000, "far more small parts"),
    "tables of one name in an .ods": (TABLE, b"</table:table><table:table table:name='a'>" * 700_000, "more than 100 sheets|far more small parts"),
    "hidden rows of an .ods": (TABLE, b"<table:table-row table:visibility='collapse' table:number-rows-repeated='1000000'/>" * 20_000, None),
    "cells of an .ods": (TABLE, FILLED * 30_000, "far more small parts|more than 200,000 cells"),
}  # fmt: skip


def with_part(whole: dict[str, bytes], part: str, more: bytes) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as book:
        for name, content in whole.items():
            before = BEFORE.get(name, b"")
            book.writestr(name, content.replace(before, more + before, 1) if name == part else content)
    return out.getvalue()


@pytest.mark.parametrize(("part", "more", "refused"), SWELLING.values(), ids=SWELLING)
def test_a_little_file_that_swells_takes_little_work(part, more, refused, capfd):
    row = '<table:table-row><table:table-cell office:value-type="string"><text:p>Quilt name</text:p></table:table-cell></table:table-row>'
    raw = with_part(members(an_ods(row) if part == TABLE else as_xlsx(1)), part, more)
    with soon():
        if refused is None:
            assert workbook_of(raw, "quilts.xlsx").sheets
            return
        with pytest.raises(SheetRefused, match=refused):
            workbook_of(raw, "quilts.xlsx")
    assert capfd.readouterr().err == ""


def test_many_sheets_that_are_one_part_count_each_time():
    whole = members(as_xlsx(1))
    whole[BOOK] = whole[BOOK].replace(
        b"</sheets>", MANY_SHEETS[: MANY_SHEETS.index(b'<sheet name="s90"')] + b"</sheets>"
    )
    with soon(), pytest.raises(SheetRefused, match="unpacks to far more"):
        workbook_of(with_part(whole, SHEET, b"<!--" + b"a" * 900_000 + b"-->"), "quilts.xlsx")


def test_a_part_in_another_encoding_is_refused():
    whole = members(as_xlsx(1))
    whole[BOOK] = whole[BOOK].replace(b'encoding="UTF-8"', b'encoding="cp037"', 1)
    with pytest.raises(SheetRefused, match="can't be read as a spreadsheet"):
        workbook_of(with_part(whole, "", b""), "quilts.xlsx")


def test_fifty_thousand_cells_of_words_are_read():
    out = io.BytesIO()
    with xlsxwriter.Workbook(out, {"in_memory": True}) as book:
        sheet = book.add_worksheet("Quilts")
        for row in range(5000):
            sheet.write_row(row, 0, [f"Word {row * column} of a quilt" for column in range(10)])
    (sheet,) = workbook_of(out.getvalue(), "quilts.xlsx").sheets
    assert len(sheet.cells) == 50_000


@pytest.mark.parametrize(("text", "said"), [
    ("Low Tide," + "a" * 40_000, "In quilts.csv, sheet quilts, row 2: the cell B2 holds 40,000 characters, and a cell may hold at most 32,767. "),
    (",".join(["b" * 30_000] * 4), "In quilts.csv, sheet quilts, row 2: the cells hold 120,000 characters together, "),
])  # fmt: skip
def test_of_what_is_too_long_the_place_is_told(text, said):
    with pytest.raises(SheetRefused) as told:
        workbook_of(f"Quilt name,Notes,More,Still more\n{text}\n".encode(), "quilts.csv")
    assert str(told.value).startswith(said) and "Shorten" in str(told.value)


CELLS = [
    *TEXTS,
    *(value for values in (_TITLES, _SIDES, _DATES, _RECIPIENTS, _COSTS, _WASHED, _NOTES) for value in values),
]
ANY_CELL = st.one_of(
    st.sampled_from(CELLS),
    spoiled([cell for cell in CELLS if isinstance(cell, str) and cell], most=2),
    st.integers(),
    st.floats(),
    st.dates(),
)


def test_any_cells_below_the_headings(reading):
    @inputs(1)
    @given(st.lists(st.lists(ANY_CELL, min_size=len(HEADINGS), max_size=len(HEADINGS)), min_size=1, max_size=4))
    def search(cells):
        assert_taken_or_refused(reading, lambda: a_workbook(a_sheet([list(HEADINGS), *cells])))

    search()
    assert_memory_is_bounded()


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="pipes with names are a thing of Unix")
@pytest.mark.parametrize("ending", ["csv", "xlsx"])
@pytest.mark.parametrize("kind", ["a pipe", "a device", "a link to itself", "a gigabyte"])
def test_what_is_no_spreadsheet_at_all_is_told_and_not_waited_for(tmp_path, reading, kind, ending):
    source = tmp_path / f"quilts.{ending}"
    match kind:
        case "a pipe":
            os.mkfifo(source)
        case "a device":
            source.symlink_to("/dev/zero")
        case "a link to itself":
            source.symlink_to(source)
        case "a gigabyte":
            source.touch()
            os.truncate(source, 1 << 30)
    command = [Path(sys.executable).with_name("counterpane"), "take-in", reading.collection.folder, source, "--yes"]
    done = subprocess.run(command, capture_output=True, text=True, timeout=300, check=False)
    assert done.returncode in (1, 2), done.stdout + done.stderr
    assert done.stderr.strip() and "Traceback" not in done.stderr
