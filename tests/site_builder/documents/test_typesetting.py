"""Pages for paper: what a template is given, and what it can't reach."""

import io
from datetime import date

import pytest
import typst
from pypdf import PdfReader

from site_builder.documents import typesetting
from site_builder.documents.typesetting import paper_size, typeset

DATA = {"title": "A page", "paper": "a4", "language": "en", "foot": "The foot"}


@pytest.fixture
def set_words(monkeypatch, tmp_path):
    """`set_words("#title()", title="...")` -> the words of the PDF that a template of this text makes."""
    paper = tmp_path / "paper"
    paper.mkdir()
    (paper / "_page.typ").write_bytes((typesetting.files("site_builder") / "paper" / "_page.typ").read_bytes())
    monkeypatch.setattr(typesetting, "files", lambda package: tmp_path)
    begin = '#import "_page.typ": *\n#let data = json("data.json")\n#show: page-for-paper.with(data)\n'

    def words(template: str, *, on: date | None = None, **data) -> PdfReader:
        (paper / "page.typ").write_text(begin + template, encoding="utf-8")
        return PdfReader(io.BytesIO(typeset("page.typ", DATA | data, on=on).pdf))

    return words


def text_of(reader: PdfReader) -> str:
    return " ".join(" ".join(page.extract_text() for page in reader.pages).split())


def test_each_page_has_its_foot_and_its_number(set_words):
    reader = set_words("= One\n#pagebreak()\n= Two")
    assert [
        f"The foot Page {number} of 2" in text_of_page(page) for number, page in enumerate(reader.pages, start=1)
    ] == [True, True]


def text_of_page(page) -> str:
    return " ".join(page.extract_text().split())


def test_the_day_is_the_one_that_was_said_and_else_there_is_none(set_words):
    assert set_words("= One", on=date(2026, 5, 12)).metadata.creation_date.date() == date(2026, 5, 12)
    assert set_words("= One").metadata.creation_date is None


@pytest.mark.parametrize("words", ["#panic()", "*a* _b_ `c` $d$", "\\#x", "= Heading", '#import "@preview/a:1.0.0": *'])
def test_words_of_a_record_are_never_markup(set_words, words):
    reader = set_words("= One\n#own(data, data.words)", words=words)
    assert words.replace(" ", "") in text_of(reader).replace(" ", "")


def test_a_template_reaches_nothing_outside_its_workplace(set_words):
    with pytest.raises(typst.TypstError):
        set_words('#read("/etc/hostname")')
    with pytest.raises(typst.TypstError):
        set_words('#read("../data.json")')


def test_a_word_without_end_stays_within_its_line(set_words):
    reader = set_words("= One\n#own(data, data.words)", words="x" * 400)
    assert text_of(reader).replace(" ", "").replace("\u200b", "").count("x" * 400) == 1
    assert len(reader.pages[0].extract_text().splitlines()) > 4


@pytest.mark.parametrize(
    ("currency", "paper"), [("USD", "us-letter"), ("CAD", "us-letter"), ("GBP", "a4"), ("SEK", "a4")]
)
def test_paper_is_what_lies_in_the_makers_printer(currency, paper):
    assert paper_size(currency) == paper


def test_the_large_font_is_only_looked_at_where_it_is_needed():
    assert len(typesetting._font_folders("Łódź שמיכה לحاف")) == 1
    assert len(typesetting._font_folders("夜の海")) == 2
    assert len(typesetting._font_folders("조각보")) == 2
