"""Words of every field that try to become markup, a script, a formula or a command stay words, wherever they go."""

import csv
import json
import re
import zipfile
from datetime import date
from html.parser import HTMLParser
from pathlib import Path
from xml.etree import ElementTree

import pypdf
import pytest
from click.testing import CliRunner

from site_builder.building.build import build
from site_builder.cli.main import cli
from site_builder.pages.feeds import ATOM
from tests.support.hostile_collection import BEGINS_A_FORMULA, EVIL, MARKUP, STRUCK, write_hostile_collection

NEVER = {"iframe", "object", "embed", "base", "frame", "applet", "math", "foreignobject"}
PLACES_THAT_ARE_FOLLOWED = {
    "href",
    "src",
    "srcset",
    "action",
    "formaction",
    "data",
    "poster",
    "xlink:href",
    "srcdoc",
    "background",
}
RECKONED = "111998999"
"""What 7*15999857 comes to, where a template language has read it."""


class Page(HTMLParser):
    """What a browser would obey on a page: tags, attributes, scripts."""

    def __init__(self, html: str):
        super().__init__()
        self.faults: list[str] = []
        self.scripts: list[str] = []
        self._in_script = False
        self.feed(html)
        self.close()

    def handle_starttag(self, tag, attributes):
        given = dict(attributes)
        if tag in NEVER:
            self.faults.append(tag)
        if tag == "meta" and (given.get("http-equiv") or "").lower() == "refresh":
            self.faults.append("a page that goes elsewhere by itself")
        if tag == "script":
            self._in_script = True
            if "json" not in (given.get("type") or ""):
                self.scripts.append(given.get("src") or "inline")
        for name, value in given.items():
            if name.startswith("on") or STRUCK in name:
                self.faults.append(f"{tag} {name}")
            if name in PLACES_THAT_ARE_FOLLOWED and re.match(
                r"[\s\x00-\x20]*(javascript|vbscript|data:text)", value or "", re.IGNORECASE
            ):
                self.faults.append(f"{tag} {name}={value}")
            if name == "style" and "url(" in (value or ""):
                self.faults.append(f"{tag} style")

    def handle_endtag(self, tag):
        self._in_script = self._in_script and tag != "script"

    def handle_data(self, data):
        if self._in_script and data.strip():
            json.loads(data)


@pytest.fixture(scope="module")
def place(tmp_path_factory) -> Path:
    """The collection as `records`, both editions in `output`, and papers."""
    place = tmp_path_factory.mktemp("hostile")
    records = write_hostile_collection(place / "records")
    build(records, place / "output", on=date(2026, 5, 12))
    papers = [f"--to={place}/report.{ending}" for ending in ("csv", "xlsx", "pdf", "html")]
    for command in (
        ["report", records, "1801", "--on", "2026-05-12", *papers],
        ["handover-sheet", records, "a-donated-quilt", f"--to={place}/sheet.pdf"],
        ["handover-sheet", records, "a-donated-quilt", f"--to={place}/sheet.html"],
        ["labels", records, "a-donated-quilt", "a-staying-quilt", f"--to={place}/labels.pdf"],
        *(["insurance-list", records, f"--to={place}/insurance.{ending}"] for ending in ("xlsx", "pdf")),
    ):
        done = CliRunner().invoke(cli, [str(part) for part in command])
        assert done.exit_code == 0, (command, done.output, done.exception)
    return place


def html_files(place: Path) -> list[Path]:
    return [*place.glob("output/*/**/*.html"), *place.glob("*.html")]


def test_no_page_holds_anything_that_a_browser_would_obey(place):
    pages = html_files(place)
    assert len(pages) > 150
    for path in pages:
        text = path.read_text("utf-8")
        page = Page(text)
        assert not page.faults, path
        assert all(re.fullmatch(r"(\.\./)*assets/js/[a-z-]+\.js", script) for script in page.scripts), path
        assert RECKONED not in text, path


def test_the_search_finds_what_a_browser_would_obey():
    for bad in (
        "<p onclick=x>",
        "<a href=' javascript:x'>",
        "<iframe>",
        "<meta http-equiv=Refresh>",
        "<script>x</script>",
    ):
        with pytest.raises((AssertionError, json.JSONDecodeError)):
            page = Page(bad)
            assert not page.faults and not page.scripts


def test_the_words_are_on_the_pages_as_words(place):
    whole = "".join(path.read_text("utf-8") for path in place.glob("output/binder/**/*.html"))
    assert "&lt;script&gt;" in whole and "{{ 7*15999857 }}" in whole and "&lt;img" in whole


def test_the_feed_and_the_data_are_read_as_they_were_meant(place):
    catalogue = place / "output/catalogue"
    feed = ElementTree.parse(catalogue / "feed.xml")
    entries = feed.findall(f"{{{ATOM}}}entry")
    assert len(entries) > 5
    for entry in entries:
        content = entry.findtext(f"{{{ATOM}}}content")
        page = Page(content)
        assert not page.faults and not page.scripts
    assert {element.tag.split("}")[1] for element in feed.iter()} <= {
        "feed", "id", "title", "subtitle", "updated", "author", "name", "link", "rights", "generator", "entry", "summary", "content",
    }  # fmt: skip
    ElementTree.parse(catalogue / "sitemap.xml")
    titles = [quilt["title"] for quilt in json.loads((catalogue / "catalogue.json").read_bytes())["quilts"]]
    assert any("<script>" in title or "<svg" in title or "<meta" in title or "HYPERLINK" in title for title in titles)


def test_no_cell_of_a_table_begins_as_a_formula_does(place):
    rows = list(csv.reader((place / "report.csv").read_text("utf-8-sig").splitlines(keepends=True)))
    cells = [cell for row in rows for cell in row]
    assert any("HYPERLINK" in cell for cell in cells)
    for cell in cells:
        assert not cell.startswith(("=", "+", "-", "@", "\t", "\r", "＝")), cell


@pytest.mark.parametrize("name", ["report.xlsx", "insurance.xlsx"])
def test_a_spreadsheet_has_no_formula_and_no_link_but_its_own(place, name):
    with zipfile.ZipFile(place / name) as book:
        parts = {part: book.read(part).decode() for part in book.namelist() if part.endswith((".xml", ".rels"))}
    whole = "".join(parts.values())
    formulas = re.findall(r"<f[ >].*?</f>", whole, re.DOTALL)
    assert not [formula for formula in formulas if re.search("HYPERLINK|cmd|evil", formula, re.IGNORECASE)]
    assert "<hyperlink" not in whole and "evil.example" not in "".join(
        parts[part] for part in parts if part.endswith(".rels")
    )
    assert "HYPERLINK" in parts["xl/sharedStrings.xml"].upper()


@pytest.mark.parametrize("name", ["report.pdf", "sheet.pdf", "labels.pdf", "insurance.pdf"])
def test_a_pdf_runs_nothing_leads_nowhere_unasked_and_reckons_nothing(place, name):
    content = (place / name).read_bytes()
    for action in (b"/JavaScript", b"/JS", b"/Launch", b"/OpenAction", b"/EmbeddedFile", b"/SubmitForm"):
        assert action not in content
    read = pypdf.PdfReader(place / name)
    text = "".join(page.extract_text() for page in read.pages)
    assert RECKONED not in text and "root:" not in text
    for page in read.pages:
        for annotation in page.get("/Annots") or ():
            address = str(annotation.get_object().get("/A", {}).get("/URI", ""))
            assert not address.lower().startswith("javascript:")


# By way of a spreadsheet ------------------------------------------------------------------------


def test_hostile_cells_that_are_taken_in_stay_words_too(tmp_path, write_collection):
    records = write_collection(
        tmp_path / "records",
        {"quilts/low-tide.yaml": "title: Low Tide\n", "partners/nell.yaml": "name: Nell\nkind: go-between\n"},
    )
    headings = [
        "No.",
        "Quilt name",
        "Width",
        "Length",
        "Year made",
        "Pattern",
        "Designer",
        "Colours",
        "Given to",
        "Materials cost",
        "Washed?",
        "Story",
        "Notes",
    ]
    with (tmp_path / "quilts.csv").open("w", encoding="utf-8", newline="") as file:
        table = csv.writer(file)
        table.writerow(headings)
        for number, words in enumerate((*MARKUP, *(f'{begins}HYPERLINK("{EVIL}")' for begins in BEGINS_A_FORMULA))):
            words = words.replace("\0", "")
            table.writerow([number + 1, f"{words} {number}", *[words] * (len(headings) - 2)])
    for command in (
        ["take-in", records, tmp_path / "quilts.csv", "--yes", "--account", tmp_path / "account.csv"],
        ["build", records, "--output", tmp_path / "output", "--on", "2026-05-12"],
    ):
        done = CliRunner().invoke(cli, [str(part) for part in command])
        assert done.exit_code == 0, done.output
        assert "\x1b" not in done.output and "\u202e" not in done.output
    pages = list(tmp_path.glob("output/*/**/*.html"))
    assert len(pages) > len(MARKUP)
    for path in pages:
        text = path.read_text("utf-8")
        page = Page(text)
        assert not page.faults and RECKONED not in text, path
        assert all(script.endswith(".js") and EVIL not in script for script in page.scripts), path
    with (tmp_path / "account.csv").open(encoding="utf-8-sig", newline="") as file:
        cells = [cell for row in csv.reader(file) for cell in row]
    assert any("HYPERLINK" in cell for cell in cells)
    assert not [cell for cell in cells if cell.startswith(("=", "+", "-", "@", "\t", "\r", "＝"))]
