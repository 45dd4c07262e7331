"""The commands that write paper: one file, whole, and refusals in words before anything is changed."""

import io
import re

import pytest
from pypdf import PdfReader

FILES = {
    "collection.yaml": "maker: {name: Ardis, address: 14 Weir Lane}\nsite: {url: https://quilts.example}\ntax_notes: us\ncurrency: USD\n",
    "partners/river-street.yaml": "name: River Street Shelter\nqualified: true\n",
    "partners/nell.yaml": "name: Nell\nkind: go-between\n",
    "quilts/low-tide.yaml": "title: Low Tide\nnumber: 7\nfinished_size: 40 x 45\ndestination: free\n",
    "quilts/high-tide.yaml": (
        "title: High Tide\ndestination: {is: donated, to: river-street, through: nell, handed_over: 2026-03-01, "
        "delivered: 2026-03-20}\n"
    ),
    "quilts/kept.yaml": (
        "title: Grandmother's\ndestination: kept\nappraisal: {value: 900, kind: insurance replacement, on: 2020-04-02}\n"
        "loans: [{to: Hall Show, for: exhibition, from: 2026-02-01, due: 2026-06-01}]\n"
    ),
}


@pytest.fixture
def folder(tmp_path, write_collection):
    return write_collection(tmp_path / "quilts here", FILES)


def words(path) -> str:
    return " ".join(page.extract_text() for page in PdfReader(io.BytesIO(path.read_bytes())).pages)


# Handing over -----------------------------------------------------------------------------------


def test_handing_over_writes_the_sheet_of_all_that_went_that_day(run, folder, tmp_path):
    to = tmp_path / "nell.pdf"
    assert run("hand-over", folder, "low-tide", "--through", "nell", "--on", "2026-03-01", "--sheet", to)[0] == 0
    assert "Nell, 1 March 2026" in words(to)
    assert "Low Tide" in words(to) and "High Tide" in words(to)
    assert "Weir Lane" not in words(to)


def test_the_sheet_of_a_batch_can_be_written_once_more_by_quilt_or_by_person_and_day(run, folder, tmp_path):
    by_quilt, by_day = tmp_path / "a.pdf", tmp_path / "b.pdf"
    code, printed, told = run("handover-sheet", folder, "high-tide", "--to", by_quilt)
    assert (code, printed) == (0, f"{by_quilt}\n")
    assert "Sheet Nell, 1 March 2026, 1 quilt" in told
    assert run("handover-sheet", folder, "--through", "nell", "--on", "2026-03-01", "--to", by_day)[0] == 0
    assert by_quilt.read_bytes() == by_day.read_bytes()


def test_the_address_stands_on_the_sheet_only_when_asked_for(run, folder, tmp_path):
    to = tmp_path / "sheet.html"
    assert run("handover-sheet", folder, "high-tide", "--to", to, "--address")[0] == 0
    assert "14 Weir Lane" in to.read_text(encoding="utf-8")
    assert run("handover-sheet", folder, "high-tide", "--to", to)[0] == 0
    assert "14 Weir Lane" not in to.read_text(encoding="utf-8")


def test_a_sheet_that_cant_be_written_stops_the_hand_over_before_it_is_recorded(run, folder, tmp_path):
    before = (folder / "quilts/low-tide.yaml").read_bytes()
    for sheet, why in (
        (tmp_path / "x.doc", ".pdf"),
        (tmp_path / "no" / "x.pdf", "There is no folder"),
        (tmp_path, "ending"),
    ):
        code, _, told = run(
            "hand-over", folder, "low-tide", "--through", "nell", "--on", "2026-03-01", "--sheet", sheet
        )
        assert code == 2 and why in told
    assert (folder / "quilts/low-tide.yaml").read_bytes() == before


def test_a_dry_run_writes_no_sheet(run, folder, tmp_path):
    to = tmp_path / "nell.pdf"
    assert (
        run("hand-over", folder, "low-tide", "--through", "nell", "--on", "2026-03-01", "--sheet", to, "--dry-run")[0]
        == 0
    )
    assert not to.exists()


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        (("hi-tide",), "Did you mean high-tide?"),
        (
            ("low-tide",),
            "Low Tide was not handed over yet, as far as is recorded. Record it first: counterpane hand-over.",
        ),
        (("high-tide", "low-tide"), "were not handed over together"),
        (("--through", "nel"), "There is no partner “nel”. Did you mean nell?"),
        (("--through", "nell", "--on", "2026-03-02"), "There is a sheet for each day: Nell on 2026-03-01."),
        ((), "--through nell --on 2026-05-12"),
    ],
)
def test_a_batch_that_is_not_there_is_refused_with_what_is(run, folder, tmp_path, asked, told):
    to = tmp_path / "sheet.pdf"
    code, printed, said = run("handover-sheet", folder, *asked, "--to", to)
    assert (code, printed) == (2, "")
    assert told in said
    assert not to.exists()


def test_a_sheet_does_not_know_where_a_quilt_will_land(run, folder, tmp_path):
    to, quilt = tmp_path / "sheet.html", folder / "quilts/high-tide.yaml"
    assert run("handover-sheet", folder, "high-tide", "--to", to)[0] == 0
    known = to.read_text(encoding="utf-8")
    assert "2026" in known
    quilt.write_text(re.sub(r"delivered: [0-9-]+", "delivered: 9998-01-02", quilt.read_text()))
    assert run("handover-sheet", folder, "high-tide", "--to", to)[0] == 0
    assert "9998" not in to.read_text(encoding="utf-8")


# Letters ----------------------------------------------------------------------------------------


def test_a_letter_lists_what_waits_to_be_acknowledged(run, folder, tmp_path):
    to = tmp_path / "letter.pdf"
    code, printed, told = run("letter", folder, "river-street", "--year", 2026, "--to", to, "--on", "2026-12-01")
    assert (code, printed) == (0, f"{to}\n")
    assert "A letter to River Street Shelter about 1 quilt" in told
    assert "High Tide" in words(to) and "1 December 2026" in words(to) and "Weir Lane" not in words(to)
    assert run("letter", folder, "river-street", "--year", 2026, "--to", to, "--address", "--on", "2026-12-01")[0] == 0
    assert "Weir Lane" in words(to)


def test_what_is_acknowledged_is_only_in_a_letter_about_all(run, folder, tmp_path):
    to = tmp_path / "letter.pdf"
    assert run("acknowledged", folder, "high-tide", "--on", "2026-04-02")[0] == 0
    code, _, told = run("letter", folder, "river-street", "--year", 2026, "--to", to, "--on", "2026-12-01")
    assert code == 2 and "has acknowledged all that it received in 2026, 1 quilt" in told
    assert run("letter", folder, "river-street", "--year", 2026, "--to", to, "--all", "--on", "2026-12-01")[0] == 0


@pytest.mark.parametrize(
    ("partner", "told"),
    [
        ("river-steet", "Did you mean river-street?"),
        ("River Street Shelter", "Did you mean river-street?"),
        ("nell", "is a go-between"),
        ("river-street", "Nothing is recorded as delivered"),
    ],
)
def test_a_letter_about_nothing_is_refused(run, folder, tmp_path, partner, told):
    code, _, said = run("letter", folder, partner, "--year", 2020, "--to", tmp_path / "letter.pdf")
    assert code == 2 and told in said


@pytest.mark.parametrize(
    ("on", "told"), [("2026-03-19", "Nothing is recorded as delivered"), ("2026-03-20", "about 1 quilt")]
)
def test_a_letter_knows_of_nothing_later_than_its_day(run, folder, tmp_path, on, told):
    assert told in run("letter", folder, "river-street", "--year", 2026, "--on", on, "--to", tmp_path / "letter.pdf")[2]


# Labels and tags --------------------------------------------------------------------------------


def test_tags_are_written_for_all_in_the_house_and_labels_for_those_that_lack_one(run, folder, tmp_path):
    (folder / "quilts/labelled.yaml").write_text("title: Labelled\ncare: {label: true}\n", encoding="utf-8")
    tags, labels = tmp_path / "tags.pdf", tmp_path / "labels.pdf"
    assert "3 tags." in run("labels", folder, "--kind", "tag", "--to", tags)[2]
    told = run("labels", folder, "--to", labels)[2]
    assert "2 labels." in told and "2 labels say that the fibre is not recorded" in told
    assert "Labelled" in words(tags) and "Labelled" not in words(labels)
    assert "High Tide" not in words(tags)


def test_named_quilts_have_a_label_each_whatever_they_have(run, folder, tmp_path):
    to = tmp_path / "labels.pdf"
    assert "2 labels." in run("labels", folder, "high-tide", "low-tide", "high-tide", "--to", to, "--paper", "a4")[2]
    box = PdfReader(io.BytesIO(to.read_bytes())).pages[0].mediabox
    assert (round(box.width), round(box.height)) == (595, 842)


def test_tags_without_a_web_site_have_no_code_and_the_command_says_so(run, folder, tmp_path):
    (folder / "collection.yaml").unlink()
    code, _, told = run("labels", folder, "low-tide", "--kind", "tag", "--to", tmp_path / "tags.pdf")
    assert code == 0 and "The tags have no code" in told


def test_a_quilt_kept_out_of_the_catalogue_has_a_tag_without_a_code(run, folder, tmp_path):
    (folder / "quilts/own.yaml").write_text("title: Own\npublic: false\n", encoding="utf-8")
    code, _, told = run("labels", folder, "own", "low-tide", "--kind", "tag", "--to", tmp_path / "tags.pdf")
    assert code == 0 and "1 tag without a code" in told


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        (("lo-tide",), "Did you mean low-tide?"),
        (("--kind", "sticker"), "'label', 'tag'"),
        (("--paper", "a5"), "'letter', 'a4'"),
    ],
)
def test_labels_that_cant_be_are_refused(run, folder, tmp_path, asked, told):
    code, _, said = run("labels", folder, *asked, "--to", tmp_path / "labels.pdf")
    assert code == 2 and told in said


# The house --------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["kept.pdf", "kept.xlsx"])
def test_the_insurance_list_is_of_what_is_kept(run, folder, tmp_path, name):
    to = tmp_path / name
    code, printed, told = run("insurance-list", folder, "--to", to, "--on", "2026-11-01")
    assert (code, printed) == (0, f"{to}\n")
    assert "1 quilt kept." in told
    first = to.read_bytes()
    assert run("insurance-list", folder, "--to", to, "--on", "2026-11-01")[0] == 0
    assert to.read_bytes() == first


def test_where_nothing_is_kept_there_is_no_list(run, folder, tmp_path):
    (folder / "quilts/kept.yaml").unlink()
    code, _, told = run("insurance-list", folder, "--to", tmp_path / "kept.pdf")
    assert code == 2 and "No quilt is recorded as kept" in told


def test_a_loan_sheet_has_values_and_address_only_when_asked(run, folder, tmp_path):
    to = tmp_path / "hall.pdf"
    code, printed, told = run("loan-sheet", folder, "hall show", "--to", to, "--on", "2026-03-01")
    assert (code, printed) == (0, f"{to}\n")
    assert "A loan sheet for Hall Show, 1 quilt" in told
    assert "Grandmother" in words(to) and "900" not in words(to) and "Weir Lane" not in words(to)
    assert run("loan-sheet", folder, "Hall Show", "--to", to, "--values", "--address", "--on", "2026-03-01")[0] == 0
    assert "$900.00" in words(to) and "Weir Lane" in words(to)


@pytest.mark.parametrize(
    ("borrower", "told"), [("Hall Shwo", "Did you mean Hall Show?"), ("Nobody", "Quilts are out to Hall Show.")]
)
def test_a_borrower_who_has_nothing_is_refused(run, folder, tmp_path, borrower, told):
    code, _, said = run("loan-sheet", folder, borrower, "--to", tmp_path / "x.pdf", "--on", "2026-03-01")
    assert code == 2 and told in said
    (folder / "quilts/kept.yaml").unlink()
    code, _, said = run("loan-sheet", folder, borrower, "--to", tmp_path / "x.pdf", "--on", "2026-03-01")
    assert code == 2 and "Write the loan into the quilt's file first" in said


def test_a_loan_and_an_appraisal_of_a_later_day_are_not_there(run, folder, tmp_path):
    sheet, kept = tmp_path / "hall.pdf", tmp_path / "kept.pdf"
    code, _, said = run("loan-sheet", folder, "Hall Show", "--on", "2026-01-31", "--to", sheet)
    assert code == 2 and "Nothing is out on loan to “Hall Show” as of 2026-01-31" in said
    assert run("insurance-list", folder, "--on", "2020-04-01", "--to", kept)[0] == 0
    assert "900" not in words(kept)
    assert run("insurance-list", folder, "--on", "2020-04-02", "--to", kept)[0] == 0
    assert "900" in words(kept)


# Files ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "told"),
    [
        ("sheet.doc", "Write sheet.pdf"),
        ("sheet.pfd", "Write sheet.pdf"),
        ("sheet", "has no ending"),
        ("no/sheet.pdf", "There is no folder"),
    ],
)
def test_a_file_that_cant_be_is_refused_in_words(run, folder, tmp_path, name, told):
    code, _, said = run("handover-sheet", folder, "high-tide", "--to", tmp_path / name)
    assert code == 2 and told in said


def test_a_name_that_the_disk_refuses_is_told_in_words(run, folder, tmp_path):
    code, _, _said = run("handover-sheet", folder, "high-tide", "--to", tmp_path / f"{'x' * 300}.pdf")
    assert code == 2
