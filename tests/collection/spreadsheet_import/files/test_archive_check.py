"""How far a sheet reaches is seen as the reader of cells sees it, or the file is refused, before room is made for it."""

import io
import zipfile

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from collection.spreadsheet_import.files import cell_reader
from collection.spreadsheet_import.files.archive_check import look_into
from collection.spreadsheet_import.files.cell_reader import read_sheets
from collection.spreadsheet_import.files.limits import SheetRefused
from collection.spreadsheet_import.files.workbook import workbook_of
from tests.collection.spreadsheet_import.files.test_files import an_ods, an_xlsx


def an_xlsx_of(sheet_data: str) -> bytes:
    """A workbook whose one sheet holds this XML of rows."""
    whole = an_xlsx(lambda book: book.add_worksheet("Quilts").write("A1", 1))
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(whole)) as packed, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as book:
        for name in packed.namelist():
            content = packed.read(name)
            if name == "xl/worksheets/sheet1.xml":
                head, rest = content.split(b"<sheetData>")
                content = head + f"<sheetData>{sheet_data}</sheetData>".encode() + rest.split(b"</sheetData>")[1]
            book.writestr(name, content)
    return out.getvalue()


def reach_seen(raw: bytes) -> tuple[int, int] | None:
    """The last row and column that is seen beforehand, None where the file is refused."""
    try:
        with zipfile.ZipFile(io.BytesIO(raw)) as archive:
            look = look_into(archive, "my.xlsx", len(raw))["Quilts"]
    except SheetRefused:
        return None
    return look.last_row, look.last_column


LETTERS = st.text("ABXYZabz", min_size=1, max_size=5)
NAMES = st.one_of(
    st.none(),
    st.builds(
        lambda column, row: f"{column}{row}",
        LETTERS,
        st.sampled_from([0, 1, 2, 7, 900, 70_000, 1_048_576, 1_048_577, 10**9, 2**32 + 1]),
    ),
    st.builds(lambda column, row: f"{column}{row}", st.sampled_from("ABC"), st.integers(1, 9)),
    st.sampled_from(["", "A", "1", "1A", "$A$1", "A-1", "A1 ", "A٣", "AAAAAAAAAAAA1"]),
)
ROWS = st.lists(
    st.tuples(st.sampled_from([None, None, 1, 2, 30, 5000, 0, -1, 2**31]), st.lists(NAMES, max_size=4)),
    min_size=1,
    max_size=4,
)


@settings(max_examples=60)
@given(ROWS)
@example([(None, ["ZZZZ2000"])])
@example([(5000, [None]), (None, [None, "C3", None])])
def test_no_cell_of_an_xlsx_is_farther_than_was_seen(rows):
    def attribute(value) -> str:
        return "" if value is None else f' r="{value}"'

    data = "".join(
        f"<row{attribute(row)}>" + "".join(f"<c{attribute(name)}><v>1</v></c>" for name in names) + "</row>"
        for row, names in rows
    )
    raw = an_xlsx_of(data)
    seen = reach_seen(raw)
    if seen is None:
        return
    try:
        (sheet,) = read_sheets(raw)
    except cell_reader.Unreadable:
        return
    assert sheet.last_row <= seen[0] and sheet.last_column <= seen[1]


REPEATS = st.sampled_from([1, 1, 2, 3, 40, 1000])


@settings(max_examples=40)
@given(st.lists(st.tuples(REPEATS, st.lists(st.tuples(REPEATS, st.booleans()), max_size=4)), min_size=1, max_size=4))
def test_no_cell_of_an_ods_is_farther_than_was_seen(rows):
    def cell(repeat: int, filled: bool) -> str:
        value = ' office:value-type="float" office:value="1"' if filled else ""
        return f'<table:table-cell table:number-columns-repeated="{repeat}"{value}>{"<text:p>1</text:p>" if filled else ""}</table:table-cell>'

    raw = an_ods(
        "".join(
            f'<table:table-row table:number-rows-repeated="{repeat}">{"".join(cell(*each) for each in cells)}</table:table-row>'
            for repeat, cells in rows
        )
    )
    seen = reach_seen(raw)
    if seen is None:
        return
    (sheet,) = read_sheets(raw)
    assert sheet.last_row <= seen[0] and sheet.last_column <= seen[1]


@pytest.mark.parametrize("name", ["ZZZZ2000", "XFE1", "A1048577", "AAA1A", "A0"])
def test_a_cell_that_no_sheet_has_is_refused_in_words(name):
    with pytest.raises(SheetRefused, match="can't be read as a spreadsheet"):
        workbook_of(an_xlsx_of(f'<row r="1"><c r="{name}"><v>1</v></c></row>'), "my.xlsx")


def test_a_reader_that_takes_too_much_memory_is_told_in_a_sentence(monkeypatch):
    if not hasattr(pytest.importorskip("resource"), "RLIMIT_AS"):
        pytest.skip("memory can't be bounded here")
    program = (
        *cell_reader._PROGRAM[:2],
        "-c",
        "import collection.spreadsheet_import.files.cell_reader as r; r._bound_memory(); bytearray(r.MOST_MEMORY)",
    )
    monkeypatch.setattr(cell_reader, "_PROGRAM", program)
    with pytest.raises(SheetRefused, match="can't be read as a spreadsheet"):
        workbook_of(an_xlsx_of('<row r="1"><c r="A1"><v>1</v></c></row>'), "my.xlsx")


@pytest.mark.parametrize(
    "program", ["import os; os.abort()", "raise ValueError('far from here')", "import os; os.kill(os.getpid(), 9)"]
)
def test_a_reader_that_fails_is_told_in_a_sentence(monkeypatch, program, capfd):
    monkeypatch.setattr(cell_reader, "_PROGRAM", (*cell_reader._PROGRAM[:2], "-c", program))
    with pytest.raises(SheetRefused, match="can't be read as a spreadsheet"):
        workbook_of(an_xlsx_of('<row r="1"><c r="A1"><v>1</v></c></row>'), "my.xlsx")
    assert capfd.readouterr() == ("", "")


@pytest.mark.parametrize("version", [64, 255])
@pytest.mark.parametrize("mark", [b"PK\3\4", b"PK\1\2"], ids=["local", "central"])
def test_a_file_that_asks_for_a_later_version_is_refused_in_words(version, mark):
    raw = bytearray(an_xlsx_of('<row r="1"><c r="A1"><v>1</v></c></row>'))
    offset = 6 if mark == b"PK\1\2" else 4
    for name in (b"xl/worksheets/sheet1.xml", b"xl/workbook.xml"):
        at = raw.rindex(name) if mark == b"PK\1\2" else raw.index(name)
        raw[raw.rindex(mark, 0, at) + offset] = version
    try:
        workbook_of(bytes(raw), "my.xlsx")
    except SheetRefused as refused:
        assert "can't be read as a spreadsheet" in str(refused)
