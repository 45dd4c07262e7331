"""The sheet that travels with a batch: everything the go-between needs, nothing that is only for the house."""

import io
import re

import pytest
from pypdf import PdfReader

from collection.care.washing import FIRST_WASH
from collection.transfers.handovers import find_batches
from site_builder.documents.as_page import set_as_page
from site_builder.documents.handover_sheet import NOBODY_NAMED, handover_sheet
from site_builder.documents.output import set_on_paper
from tests.support.made_records import a_charity, a_collection, a_quilt, a_request, donated

TAKEN = {"through": "nell", "handed_over": "2026-05-12"}
MAKER = {"name": "Ardis", "place": "Teasel Bend", "address": "14 Weir Lane"}
PRIVATE = {
    "materials_cost": "431.77", "appraisal": {"value": "871.33", "kind": "donation"}, "kept_at": "Cedar chest",
    "notes": "Never said", "condition_note": "A stain", "condition": "good",
}  # fmt: skip


def sheet(*records, address=False, **settings):
    collection = a_collection(*records, **{"maker": MAKER} | settings)
    (batch,) = find_batches(collection)
    return handover_sheet(collection, batch, with_address=address)


def pdf(view, **how) -> PdfReader:
    made = set_on_paper("handover_sheet.typ", view, **{"paper": "us-letter"} | how)
    assert made.shortcoming is None
    return PdfReader(io.BytesIO(made.pdf))


def text_of(reader: PdfReader) -> str:
    return re.sub(r"\s+", " ", " ".join(page.extract_text() for page in reader.pages))


def test_it_says_of_each_quilt_what_it_is_how_it_is_and_for_whom():
    request = a_request(needed_by="2026-06-15")
    quilt = a_quilt(
        number=143, finished_size="40 x 45", condition="good", care={"washed": "2026-03", "label": True},
        destination=donated(**TAKEN, request="spring-cots", line="cots"),
    )  # fmt: skip
    view = sheet(quilt, request)
    (line,) = view.lines
    assert (line.number, line.title, line.state) == (
        "No. 143",
        "Low Tide",
        "Condition good; washed March 2026; labelled.",
    )
    assert line.size.replace("\u00a0", " ") == "40 × 45 in (101.5 × 114.5 cm)"
    assert line.care.startswith("What it is made of is not recorded: ask its maker")
    assert line.meant_for == "River Street"
    assert line.request == "cots, needed by 15 June 2026"
    assert (view.number, view.giver, view.taker, view.date) == (
        "Nell, 12 May 2026",
        "Ardis, Teasel Bend",
        "Nell",
        "12 May 2026",
    )


def test_what_is_not_recorded_is_said_to_be_so():
    (line,) = sheet(a_quilt(destination={"is": "donated", **TAKEN})).lines
    assert line.size == "not measured"
    assert line.state == "Condition not recorded; washing not recorded; label not recorded."
    assert line.meant_for == NOBODY_NAMED
    assert line.check is None


def test_a_quilt_that_was_never_washed_is_told_about_its_first_wash():
    (line,) = sheet(a_quilt(care={"washed": False}, destination=donated(**TAKEN))).lines
    assert line.care.endswith(FIRST_WASH)
    assert "not washed" in line.state


def test_it_tells_what_to_check_by_the_charitys_rules():
    rules = {"shorter_side": "at most 38", "no": ["buttons", "beads"], "needs": ["label"]}
    quilt = a_quilt(finished_size="40 x 45", destination=donated(**TAKEN))
    (line,) = sheet(quilt, a_charity(rules=rules)).lines
    assert "2 in too" in line.check
    assert "they refuse buttons or beads, and the record does not say" in line.check


def test_what_to_check_is_said_in_words_without_the_names_of_fields():
    rules = {"suits": ["men"], "fibre": {"top": "cotton"}, "condition": "good", "shorter_side": "at most 60"}
    (line,) = sheet(a_quilt(destination=donated(**TAKEN)), a_charity(rules=rules)).lines
    assert line.check == (
        "its size is not recorded, and they ask for one; they ask for cotton for the top, and that is not certain; "
        "they ask for good condition or better, and it is not recorded; this is for men, and nobody has said whom the quilt suits."
    )


def test_the_line_of_a_request_counts_before_the_standing_rules():
    asked = a_request(lines=[{"id": "cots", "count": 3, "shorter_side": "at most 45"}])
    quilt = a_quilt(finished_size="40 x 45", destination=donated(**TAKEN, request="spring-cots", line="cots"))
    (line,) = sheet(quilt, asked, a_charity(rules={"shorter_side": "at most 38"})).lines
    assert line.check is None


def test_the_caution_about_infant_sleep_goes_with_a_baby_quilt():
    view = sheet(
        a_quilt(suits=["babies"], destination=donated(**TAKEN)), a_quilt("plain", destination=donated(**TAKEN))
    )
    (mind,) = view.minds
    assert "under 12 months" in mind.sentence
    assert mind.quilts == ("Low Tide",)


@pytest.mark.parametrize("size", ["35 x 44", "34 x 40", "20 x 20"])
def test_so_it_does_where_the_line_that_it_answers_is_for_babies(size):
    asked = a_request(lines=[{"id": "cots", "count": 3, "suits": ["babies"]}])
    quilt = a_quilt(
        finished_size=size, features=["buttons"], destination=donated(**TAKEN, request="spring-cots", line="cots")
    )
    sleep, small_parts = sheet(quilt, asked).minds
    assert sleep.sentence.startswith("A quilt does not belong in the place where a baby")
    assert small_parts.sentence.startswith("Buttons, beads")


def test_a_wheelchair_lap_for_seniors_says_nothing_of_babies():
    quilt = a_quilt(finished_size="36 x 42", destination=donated(**TAKEN))
    view = sheet(quilt, a_charity(rules={"suits": ["seniors"]}))
    assert not [mind for mind in view.minds if "baby" in mind.sentence]
    assert "wheels" in view.minds[0].sentence


def test_the_slip_knows_what_is_known_and_leaves_the_rest_to_be_written():
    arrived = donated(
        to="hill-hospice", meant_for="river-street", **TAKEN, delivered="2026-05-30", acknowledged="2026-06-02"
    )
    view = sheet(a_quilt("a", destination=arrived), a_quilt("b", destination=donated(**TAKEN)))
    there, on_its_way = view.lines
    assert (there.meant_for, there.landed, there.landed_on, there.acknowledged) == (
        "River Street",
        "Hill Hospice",
        "30 May 2026",
        True,
    )
    assert (on_its_way.landed, on_its_way.landed_on, on_its_way.acknowledged) == (None, None, False)


@pytest.mark.parametrize("made", ["pdf", "html"])
def test_no_value_no_note_no_place_and_no_address_unless_asked(made):
    quilt = a_quilt(**PRIVATE, destination=donated(**TAKEN, note="Hush", set_aside_for="Cousin Fern"))
    nell = a_charity("nell", kind="go-between", contact={"address": "3 Mill Street", "phone": "555-0117"})
    told = {}
    for address in (False, True):
        view = sheet(quilt, nell, address=address)
        told[address] = text_of(pdf(view)) if made == "pdf" else set_as_page("handover_sheet.html", view).decode()
    private = ("431", "871", "Cedar", "Never said", "A stain", "Hush", "Fern", "Mill Street", "0117", "$")
    assert not [word for word in private if word in told[True] or word in told[False]]
    assert "Weir Lane" in told[True] and "Weir Lane" not in told[False]


@pytest.mark.parametrize("paper", ["us-letter", "a4"])
def test_sixty_quilts_are_each_on_the_sheet_once_and_on_the_slip_once(paper):
    quilts = [
        a_quilt(f"q{n:02d}", title=f"Quilt {n:02d}.", number=n, destination=donated(**TAKEN)) for n in range(1, 61)
    ]
    reader = pdf(sheet(*quilts), paper=paper)
    pages = [page.extract_text() for page in reader.pages]
    slip = next(index for index, words in enumerate(pages) if "Where each one landed" in words)
    for part in (" ".join(pages[:slip]), " ".join(pages[slip:])):
        assert [part.count(f"Quilt {n:02d}.") for n in range(1, 61)] == [1] * 60
    assert "60 quilts in all." in " ".join(pages[:slip])
    assert f"Page 2 of {len(pages)}" in pages[1]


def test_titles_in_all_scripts_and_of_any_length_can_be_read_back():
    titles = [
        "Blåbær og Façade",
        "春の海",
        "ים נמוך",
        "بحر هادئ",
        "Ж" * 20,
        "A very long title " * 12,
        "#strong[x] $y$ <b>&",
    ]
    quilts = [
        a_quilt(f"q{n}", title=title.strip(), number=n + 1, destination=donated(**TAKEN))
        for n, title in enumerate(titles)
    ]
    view = sheet(*quilts)
    reader = pdf(view)
    words = text_of(reader)
    for title in ("Blåbær og Façade", "春の海", "Ж" * 20, "#strong[x] $y$ <b>&"):
        assert title in words
    assert words.count("A very long title") == 24
    assert reader.trailer["/Root"]["/MarkInfo"]["/Marked"]
    page = set_as_page("handover_sheet.html", view).decode()
    assert "#strong[x] $y$ &lt;b&gt;&amp;" in page and "<b>" not in page


def test_the_same_batch_gives_the_same_bytes():
    from PIL import Image

    out = io.BytesIO()
    Image.new("RGB", (40, 60), "seagreen").save(out, "JPEG")
    view = sheet(a_quilt(destination=donated(**TAKEN)))
    pictures = {"low-tide": out.getvalue()}
    first, again = (set_on_paper("handover_sheet.typ", view, paper="a4", pictures=pictures).pdf for _ in range(2))
    assert first == again
    assert len(PdfReader(io.BytesIO(first)).pages[0].images) == 1
    page = set_as_page("handover_sheet.html", view, pictures=pictures)
    assert page == set_as_page("handover_sheet.html", view, pictures=pictures)
    assert page.count(b"data:image/jpeg") == 2


def test_the_request_names_the_charity_only_where_it_is_another_than_whom_the_quilt_is_for():
    asked = a_request(asked="2026-03-01", needed_by="2026-06-01", lines=[{"id": "cot-quilts", "count": 3}])
    (line,) = sheet(a_quilt(destination=donated(**TAKEN, request="spring-cots", line="cot-quilts")), asked).lines
    assert line.request == "cot quilts, asked 1 March 2026, needed by 1 June 2026"
    elsewhere = donated(**{**TAKEN, "to": "hill-house"}, request="spring-cots", line="cot-quilts")
    (line,) = sheet(a_quilt(destination=elsewhere), asked, a_charity("hill-house")).lines
    assert line.request == "cot quilts for River Street, asked 1 March 2026, needed by 1 June 2026"
