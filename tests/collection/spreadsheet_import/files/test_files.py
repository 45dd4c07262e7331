"""Files of sheets are read whatever wrote them, and refused in words where they can't be."""

import io
import zipfile
from contextlib import suppress
from datetime import date

import pytest
import xlsxwriter
from hypothesis import given
from hypothesis import strategies as st

from collection.spreadsheet_import.files import archive_check, limits
from collection.spreadsheet_import.files import workbook as workbook_reading
from collection.spreadsheet_import.files.csv_file import decoded, read_csv, separator_of
from collection.spreadsheet_import.files.limits import SheetRefused
from collection.spreadsheet_import.files.workbook import workbook_of
from tests.support.patience import soon

LINES = "Quilt;Size;Made for\nBlåbær;60½ x 72;Zoë’s café\nÉtoile;“50 x 50”;Jürgen\n"


def values(workbook, sheet=0):
    return {cell.place: cell.value for cell in workbook.sheets[sheet].cells.values()}


def an_xlsx(fill) -> bytes:
    out = io.BytesIO()
    book = xlsxwriter.Workbook(out)
    fill(book)
    book.close()
    return out.getvalue()


# .csv -------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("codec", "told"),
    [
        ("utf-8", "UTF-8"),
        ("utf-8-sig", "UTF-8"),
        ("utf-16", "UTF-16"),
        ("utf-16-le", "UTF-16"),
        ("utf-16-be", "UTF-16"),
        ("cp1252", "Windows-1252"),
    ],
)
def test_accents_come_through_in_each_common_encoding_and_it_is_said_which(codec, told):
    workbook = read_csv(LINES.encode(codec), "my.csv")
    assert workbook.sheets[0].cells[2, 1].text == "Blåbær"
    assert workbook.sheets[0].cells[2, 3].text == "Zoë’s café"
    assert workbook.said == (f"my.csv was read as {told}, its columns parted by semicolons.",)


def test_an_old_macintosh_is_told_from_windows_by_where_its_letters_stand():
    assert decoded(LINES.replace("½", " 1/2").encode("mac-roman")) == (
        LINES.replace("½", " 1/2"),
        "Mac Roman",
    )


@given(
    st.lists(
        st.sampled_from(
            ["Blåbær", "café", "Zoë", "Jürgen", "Étoile", "naïve", "Noël", "Søren", "garçon", "Müller", "Bärbel"]
        ),
        min_size=1,
        max_size=8,
    )
)
def test_words_with_accents_are_told_apart_in_both_old_encodings(words):
    text = " ".join(words)
    assert decoded(text.encode("cp1252"))[0] == text
    assert decoded(text.encode("mac-roman"))[0] == text


def test_a_file_put_together_from_two_encodings_is_read_line_by_line():
    raw = "Quilt;Gave to\nBlåbær;Zoë\n".encode() + "Étoile;Jürgen\n".encode("cp1252")
    assert decoded(raw) == ("Quilt;Gave to\nBlåbær;Zoë\nÉtoile;Jürgen\n", "Windows-1252, some lines as UTF-8")


@given(st.text(alphabet=st.characters(codec="utf-8", exclude_categories=("Cs", "Cc")), min_size=1))
def test_utf_8_is_read_as_that(text):
    if not text.startswith("\ufeff"):
        assert decoded(text.encode("utf-8"))[0] == text or "\0" in text


@pytest.mark.parametrize("separator", list(",;\t|"))
def test_the_separator_is_found_and_commas_within_quotes_are_none(separator):
    lines = [separator.join(('"Low, Tide; the blue"', "60,5", "1998")) for _ in range(4)]
    text = "\n".join([separator.join(("Quilt", "Size", "Made")), *lines])
    assert separator_of(text) == separator
    assert values(read_csv(text.encode(), "my.csv"))["A2"] == "Low, Tide; the blue"


def test_a_cell_of_several_lines_is_one_cell():
    assert values(read_csv(b'Quilt,Notes\nLow Tide,"one\ntwo"\n', "my.csv"))["B2"] == "one\ntwo"


@pytest.mark.parametrize("raw", [b"", b"   \n  ", b",,,\n,,\n"])
def test_an_empty_file_is_refused_in_words(raw):
    with pytest.raises(SheetRefused, match="is empty"):
        workbook_of(raw, "my.csv")


@given(st.binary(max_size=300), st.sampled_from(("my.csv", "my.xlsx", "my.ods", "my.txt")))
def test_any_bytes_are_read_or_refused_in_words(raw, name):
    try:
        assert workbook_of(raw, name).sheets
    except SheetRefused as refused:
        assert str(refused).endswith(".")


# Packed -----------------------------------------------------------------------------------------


def test_numbers_days_truths_errors_and_formulas_come_out_of_an_xlsx_as_what_they_are():
    def fill(book):
        sheet = book.add_worksheet("Quilts")
        sheet.write_row("A1", ["Low Tide", 60.5, True])
        sheet.write_datetime("A2", date(1998, 5, 6), book.add_format({"num_format": "yyyy"}))
        sheet.write_formula("B2", "=1/0", None, "#DIV/0!")
        sheet.write_formula("C2", "=1+1", None, 2)
        sheet.write_string("A3", "=1+1")

    found = values(workbook_of(an_xlsx(fill), "my.xlsx"))
    assert found == {
        "A1": "Low Tide",
        "B1": 60.5,
        "C1": True,
        "A2": date(1998, 5, 6),
        "B2": "#DIV/0!",
        "C2": 2.0,
        "A3": "=1+1",
    }


def test_a_table_that_begins_further_in_keeps_its_places():
    found = values(workbook_of(an_xlsx(lambda book: book.add_worksheet().write("D7", "here")), "my.xlsx"))
    assert found == {"D7": "here"}


def test_merged_cells_hidden_rows_and_hidden_sheets_are_told():
    def fill(book):
        sheet = book.add_worksheet("Quilts")
        sheet.merge_range("A1:C1", "My quilts")
        sheet.write("A2", "Low Tide")
        sheet.set_row(1, None, None, {"hidden": True})
        other = book.add_worksheet("Old")
        other.write("A1", "x")
        other.hide()

    workbook = workbook_of(an_xlsx(fill), "my.xlsx")
    quilts, old = workbook.sheets
    assert [(area.top, area.left, area.bottom, area.right) for area in quilts.merged] == [(1, 1, 1, 3)]
    assert (quilts.hidden_rows, quilts.hidden, old.hidden) == (frozenset({2}), False, True)
    assert workbook.said == ("In the sheet Quilts, one hidden row is read like the others.",)


ODS = """<?xml version="1.0" encoding="UTF-8"?>
<office:document-content xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0"
 xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0" xmlns:text="urn:oasis:names:tc:opendocument:xmlns:text:1.0"
 xmlns:calcext="urn:org:documentfoundation:names:experimental:calc:xmlns:calcext:1.0" office:version="1.3">
<office:body><office:spreadsheet><table:table table:name="Quilts">{rows}</table:table></office:spreadsheet></office:body>
</office:document-content>"""
ODS_TYPE = "application/vnd.oasis.opendocument.spreadsheet"


def an_ods(rows: str, head: str = "") -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("mimetype", ODS_TYPE, zipfile.ZIP_STORED)
        archive.writestr(
            "META-INF/manifest.xml",
            f'<?xml version="1.0"?><manifest:manifest xmlns:manifest="urn:oasis:names:tc:opendocument:xmlns:manifest:1.0"><manifest:file-entry manifest:full-path="/" manifest:media-type="{ODS_TYPE}"/></manifest:manifest>',
        )
        content = ODS.format(rows=rows)
        archive.writestr("content.xml", content.replace("?>\n", f"?>\n{head}", 1))
    return out.getvalue()


def ods_text(text: str, more: str = "") -> str:
    return f'<table:table-cell office:value-type="string" {more}><text:p>{text}</text:p></table:table-cell>'


def test_an_ods_is_read_with_its_days_errors_and_repeated_cells():
    rows = (
        f'<table:table-row>{ods_text("Low Tide")}<table:table-cell office:value-type="date" office:date-value="1998-05-06"><text:p>1998</text:p></table:table-cell></table:table-row>'
        f'<table:table-row table:number-rows-repeated="2"><table:table-cell/></table:table-row>'
        f"<table:table-row>{ods_text('red', 'table:number-columns-repeated=' + chr(34) + '2' + chr(34))}{ods_text('#DIV/0!', 'calcext:value-type=' + chr(34) + 'error' + chr(34))}</table:table-row>"
        f'<table:table-row table:number-rows-repeated="1048570"><table:table-cell table:number-columns-repeated="16384"/></table:table-row>'
    )
    found = values(workbook_of(an_ods(rows), "my.ods"))
    assert found == {"A1": "Low Tide", "B1": date(1998, 5, 6), "A4": "red", "B4": "red", "C4": "#DIV/0!"}


# What can't be read -----------------------------------------------------------------------------


def refusal(raw: bytes, name: str) -> str:
    with pytest.raises(SheetRefused) as refused:
        workbook_of(raw, name)
    return str(refused.value)


def test_a_broken_file_is_refused_in_words():
    whole = an_xlsx(lambda book: book.add_worksheet().write("A1", "x"))
    for raw in (
        whole[: len(whole) // 2],
        b"PK\x03\x04rubbish",
        b"rubbish",
        whole.replace(b"xl/workbook.xml", b"xl/workb00k.xml"),
    ):
        assert "saved" in refusal(raw, "my.xlsx") or "save it anew" in refusal(raw, "my.xlsx")


def test_a_file_with_a_password_is_refused_with_what_to_do():
    raw = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 600 + "EncryptedPackage".encode("utf-16-le")
    assert "password" in refusal(raw, "my.xlsx")


def test_an_old_xls_is_refused_with_what_to_do():
    assert ".xlsx" in refusal(b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 600, "my.xls")


def test_a_workbook_with_nothing_in_it_is_refused():
    assert "is empty" in refusal(an_xlsx(lambda book: book.add_worksheet()), "my.xlsx")


def test_a_cell_far_off_is_refused_before_room_is_made_for_all_between():
    def fill(book):
        sheet = book.add_worksheet("Quilts")
        sheet.write(0, 0, "a")
        sheet.write(1_048_575, 16_383, "z")

    assert "far off the table" in refusal(an_xlsx(fill), "my.xlsx")


def test_sheets_that_reach_far_together_are_refused_before_room_is_made_for_them():
    def fill(book):
        for _ in range(20):
            sheet = book.add_worksheet()
            sheet.write(0, 0, "a")
            sheet.write(999, 999, "z")

    assert "far off the table" in refusal(an_xlsx(fill), "my.xlsx")


def test_more_sheets_than_any_list_of_quilts_has_are_refused():
    def fill(book):
        for _ in range(limits.MOST_SHEETS + 1):
            book.add_worksheet().write(0, 0, "a")

    assert "sheets" in refusal(an_xlsx(fill), "my.xlsx")


def test_an_ods_that_repeats_a_cell_without_end_is_refused():
    many = ods_text("x", 'table:number-columns-repeated="16384"')
    assert f"{limits.MOST_CELLS:,} cells" in refusal(
        an_ods(f'<table:table-row table:number-rows-repeated="1048576">{many}</table:table-row>'), "my.ods"
    )


def test_a_few_signs_that_stand_for_endless_text_are_refused_before_room_is_made_for_it():
    blanks = ods_text('a<text:s text:c="2000000000"/>')
    repeated = ods_text("x" * 10_000, 'table:number-columns-repeated="5000"')
    for cells in (blanks, repeated):
        assert "million characters" in refusal(an_ods(f"<table:table-row>{cells}</table:table-row>"), "my.ods")

    def fill(book):
        sheet = book.add_worksheet("Quilts")
        for row in range(700):
            sheet.write(row, 0, "x" * 32_000)

    assert "million characters" in refusal(an_xlsx(fill), "my.xlsx")


def test_more_rows_or_columns_than_any_list_of_quilts_are_refused_and_as_many_are_read_soon():
    rows = "Name,Size\n" + "".join(f"Star,40 x {number}\n" for number in range(limits.MOST_ROWS))
    columns = ",".join(f"c{number}" for number in range(limits.MOST_COLUMNS + 1))
    for text in (rows, columns):
        assert "part it in two" in refusal(text.encode(), "my.csv")
    with soon():
        assert len(workbook_of(rows[: rows.rindex("Star")].encode(), "my.csv").sheets[0].rows) == limits.MOST_ROWS


@pytest.mark.parametrize("line", [b"\xe9t\xe9,40\n", "😀,1\n".encode(), b"\n", b'"', b"a,", b"\0"])
def test_a_long_table_of_text_is_read_or_refused_soon(line):
    raw = b"Name,Size\n" + line * (limits.LARGEST_TEXT // len(line) - 10)
    with soon(), suppress(SheetRefused):
        workbook_of(raw, "my.csv")
    assert "is larger than 5 MB" in refusal(raw + line * 100, "my.csv")


def test_a_file_that_declares_entities_is_refused():
    head = '<!DOCTYPE x [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;">]>'
    assert "can't be read" in refusal(an_ods(f"<table:table-row>{ods_text('x')}</table:table-row>", head), "my.ods")


def test_a_file_beyond_a_limit_is_refused_with_the_limit(monkeypatch, tmp_path):
    raw = an_xlsx(lambda book: book.add_worksheet().write_row("A1", list("abcdef")))
    monkeypatch.setattr(archive_check, "MOST_CELLS", 5)
    assert "5 cells" in refusal(raw, "my.xlsx") or "more than" in refusal(raw, "my.xlsx")
    monkeypatch.setattr(archive_check, "LARGEST_UNPACKED", 100)
    monkeypatch.setattr(archive_check, "LARGEST_UNPACKED_A_BYTE", 0)
    assert "unpacks to far more than" in refusal(raw, "my.xlsx")
    monkeypatch.setattr(workbook_reading, "LARGEST_FILE", 100)
    (tmp_path / "my.xlsx").write_bytes(raw)
    with pytest.raises(SheetRefused, match="is larger than"):
        workbook_reading.read_workbook(tmp_path / "my.xlsx")
