"""Labels and tags: what they say, that a phone reads their codes, that they fit their sheets."""

import io
import re

import pypdfium2
import pytest
import segno
import zxingcpp
from hypothesis import given, settings
from hypothesis import strategies as st
from pypdf import PdfReader

from site_builder.documents.labels import QUIET_ZONE, code_drawings, label_sheet, page_address, tag_sheet
from site_builder.documents.output import set_on_paper
from tests.support.made_records import a_collection, a_quilt

MAKER = {"name": "Ardis", "place": "Teasel Bend", "address": "14 Weir Lane"}
SITE = {"url": "https://quilts.example"}
DOTS_PER_INCH = 150
CODE_ON_PAPER = 31
"""Millimetres, as labels.typ has it, the quiet zone included."""


def sheet(kind, *quilts, **more):
    collection = a_collection(*quilts, **{"maker": MAKER, "site": SITE} | more)
    make = tag_sheet if kind == "tag" else label_sheet
    return make(collection, quilts)


def pdf(view, paper="us-letter") -> bytes:
    made = set_on_paper("labels.typ", view, paper=paper, pictures=code_drawings(view))
    assert made.shortcoming is None
    return made.pdf


def text_of(view, paper="us-letter") -> str:
    pages = PdfReader(io.BytesIO(pdf(view, paper))).pages
    return re.sub(r"\s+", " ", " ".join(page.extract_text() for page in pages))


def codes_on(content: bytes) -> list[str]:
    found = []
    for page in pypdfium2.PdfDocument(content):
        picture = page.render(scale=DOTS_PER_INCH / 72).to_pil()
        found += [code.text for code in zxingcpp.read_barcodes(picture)]
    return sorted(found)


def test_a_label_names_quilt_maker_quilter_and_year_and_says_how_to_wash_it():
    quilt = a_quilt(
        made="about 2016", quilting={"by": "Delphine"}, fibre={"top": "cotton", "backing": "cotton", "batting": "wool"}
    )
    (label,) = sheet("label", quilt).labels
    assert (label.title, label.by, label.quilted_by, label.made) == (
        "Low Tide",
        "Ardis, Teasel Bend",
        "Delphine",
        "about 2016",
    )
    assert label.care == ("Hand wash cold. No bleach.", "Dry flat in the shade. Do not iron.")
    told = text_of(sheet("label", quilt))
    assert "Low Tide Made by Ardis, Teasel Bend Quilted by Delphine about 2016 Hand wash cold." in told


def test_a_label_guesses_no_fibre():
    (label,) = sheet("label", a_quilt(fibre={"top": "cotton"})).labels
    assert label.care == ("Fibre not recorded. Hand wash cold.", "No bleach. Dry flat. Do not iron.")


def test_a_maker_who_quilted_it_herself_is_named_once():
    (label,) = sheet("label", a_quilt(quilting={"by": "Ardis"})).labels
    assert label.quilted_by is None


def test_a_label_says_nothing_that_is_private():
    quilt = a_quilt(kept_at="Cedar chest", materials_cost="431.77", notes="Never said", number=143)
    told = text_of(sheet("label", quilt))
    assert not [word for word in ("Cedar", "431", "Never", "Weir Lane", "143") if word in told]


def test_a_label_shows_no_sign_of_a_care_label():
    """Source: ginetex.net, Care labelling, seen: the signs are protected marks. Words only, no picture."""
    view = sheet("label", a_quilt())
    reader = PdfReader(io.BytesIO(pdf(view)))
    assert code_drawings(view) == {}
    assert not reader.pages[0].images
    assert text_of(view).isascii()


def test_a_tag_says_number_title_size_and_place():
    quilt = a_quilt(number=143, finished_size="40 x 45", kept_at="Cedar chest, top")
    told = text_of(sheet("tag", quilt)).replace("\u00a0", " ")
    assert "No. 143 Low Tide 40 × 45 in (101.5 × 114.5 cm) Cedar chest, top" in told
    assert "not measured place not recorded" in text_of(sheet("tag", a_quilt()))


@pytest.mark.parametrize("paper", ["us-letter", "a4"])
def test_the_codes_on_the_printed_sheet_lead_to_the_pages_of_their_quilts(paper):
    quilts = [a_quilt(f"quilt-{n}") for n in range(12)]
    expected = sorted(f"https://quilts.example/quilts/quilt-{n}.html" for n in range(12))
    assert codes_on(pdf(sheet("tag", *quilts), paper)) == expected


def test_an_address_in_another_script_is_written_as_a_browser_sends_it():
    collection = a_collection(a_quilt("blå-bær"), site={"url": "https://quilts.example/all/"})
    address = page_address(collection, collection.quilts["blå-bær"])
    assert address == "https://quilts.example/all/quilts/bl%C3%A5-b%C3%A6r.html"
    assert codes_on(pdf(tag_sheet(collection, collection.quilts.values()))) == [address]


@pytest.mark.parametrize(("site", "public"), [({}, True), (SITE, False)])
def test_where_there_is_no_page_to_lead_to_there_is_no_code(site, public):
    view = sheet("tag", a_quilt(public=public), site=site)
    assert view.labels[0].address is None
    assert code_drawings(view) == {}
    assert codes_on(pdf(view)) == []


@settings(max_examples=40)
@given(st.text("abcdefghijklmnopqrstuvwxyz0123456789-", min_size=1, max_size=100))
def test_a_module_of_a_code_is_never_too_small_to_be_read(quilt_id):
    """Common practice, no source: 1/3 mm a module, also where the code is printed at 20 mm."""
    code = segno.make(f"https://quilts.example/quilts/{quilt_id}.html", error="m", micro=False)
    modules, _ = code.symbol_size(border=QUIET_ZONE)
    assert code.error in ("M", "Q", "H")
    assert 20 / modules > 0.33
    assert CODE_ON_PAPER / modules > 0.5


@pytest.mark.parametrize("paper", ["us-letter", "a4"])
@pytest.mark.parametrize(("kind", "to_a_sheet"), [("label", 8), ("tag", 10)])
def test_the_sheets_are_filled_and_every_quilt_is_there_once(kind, to_a_sheet, paper):
    quilts = [a_quilt(f"q{n:02d}", title=f"Quilt {n:02d}.") for n in range(60)]
    content = pdf(sheet(kind, *quilts), paper)
    pages = [page.extract_text() for page in PdfReader(io.BytesIO(content)).pages]
    assert len(pages) == -(-60 // to_a_sheet)
    assert [" ".join(pages).count(quilt.title) for quilt in quilts] == [1] * 60


def test_a_long_title_is_set_smaller_and_other_scripts_are_there():
    titles = ["The quilt that was begun before the barn burnt down and finished long after", "春の海", "בחר", "Ć" * 60]
    quilts = [
        a_quilt(f"q{n}", title=title, kept_at="Under the bed in the back bedroom, left " * 3)
        for n, title in enumerate(titles)
    ]
    for kind in ("label", "tag"):
        view = sheet(kind, *quilts)
        told = text_of(view)
        assert titles[0] in told and "春の海" in told
        assert len(PdfReader(io.BytesIO(pdf(view))).pages) == 1
        assert pdf(view) == pdf(view)
