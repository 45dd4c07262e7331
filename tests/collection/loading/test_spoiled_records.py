"""Records, values and names that are spoiled in any way are read, or told with their file's name, and soon."""

import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from collection.giving.gaps import find_gaps
from collection.loading.loader import read_collection
from collection.problems import CollectionProblems
from collection.quotes import printable
from collection.values.dates import EdtfDate
from collection.values.lengths import Length, LengthRange, Size
from collection.values.money import Money
from tests.support.mutations import TEXTS, assert_memory_is_bounded, inputs, spoiled
from tests.support.patience import soon

DEMO = Path(__file__).parents[3] / "demo_collection"
NAMED = (
    "collection.yaml", "partners/river-street.yaml", "partners/river-street-cots.yaml", "partners/nell.yaml",
    "requests/2026-spring-cots.yaml", "quilts/low-tide.yaml", "pages/about.md",
)  # fmt: skip
FILES = {name: (DEMO / name).read_text("utf-8") for name in NAMED}
OTHERS = [path.read_text("utf-8") for path in sorted((DEMO / "quilts").glob("*.yaml"))]
WHOLES = {
    "collection.yaml": [FILES["collection.yaml"]],
    "quilts/low-tide.yaml": OTHERS,
    "partners/river-street.yaml": [path.read_text("utf-8") for path in sorted((DEMO / "partners").glob("*.yaml"))],
    "requests/2026-spring-cots.yaml": [path.read_text("utf-8") for path in sorted((DEMO / "requests").glob("*.yaml"))],
    "pages/about.md": [path.read_text("utf-8") for path in sorted((DEMO / "pages").glob("*.md"))],
}


@pytest.fixture(scope="module")
def folder(tmp_path_factory) -> Path:
    """A small whole collection."""
    place = tmp_path_factory.mktemp("spoiled")
    for name, text in FILES.items():
        (place / name).parent.mkdir(exist_ok=True)
        (place / name).write_text(text, "utf-8")
    assert not read_collection(place).errors
    return place


def read_with(folder: Path, name: str, content: str | bytes):
    """What is read when one file of the collection holds that."""
    path = folder / name
    try:
        path.write_bytes(content if isinstance(content, bytes) else content.encode("utf-8", "surrogatepass"))
        with soon():
            reading = read_collection(folder)
            find_gaps(reading.collection)
    finally:
        path.write_text(FILES[name], "utf-8")
    return reading


def assert_told(reading, name: str) -> None:
    """Either the file was read as a record, or a problem names it."""
    for problem in reading.problems:
        assert problem.file and problem.line >= 1 and problem.remedy.strip()
        assert str(problem) == printable(str(problem)) and "Traceback" not in str(problem)
    kind, _, file = name.partition("/")
    found = getattr(reading.collection, kind, None)
    if found is not None and file.rpartition(".")[0] not in found:
        assert any(problem.file == name for problem in reading.errors), "left out in silence"


@pytest.mark.parametrize("name", WHOLES)
def test_a_spoiled_file_is_read_or_told_with_its_name(folder, name):
    @inputs(0.8)
    @given(spoiled(WHOLES[name]))
    def search(text):
        assert_told(read_with(folder, name, text), name)

    search()
    assert_memory_is_bounded()


@pytest.mark.parametrize("name", ["quilts/low-tide.yaml", "collection.yaml"])
def test_a_spoiled_file_of_bytes_is_read_or_told_with_its_name(folder, name):
    @inputs(0.4)
    @given(spoiled([whole.encode() for whole in WHOLES[name]]))
    def search(raw):
        assert_told(read_with(folder, name, raw), name)

    search()


def test_a_spoiled_name_of_a_file_is_read_or_told(folder):
    @inputs(0.4)
    @given(spoiled(["low-tide-2.yaml", "blåbær.yaml", "毛布.yaml", "שמיכה.yaml"]))
    def search(name):
        name = name.replace("/", "").replace("\0", "").encode("utf-8", "ignore").decode()
        if not name.strip(".") or len(name.encode()) > 250 or (folder / "quilts" / name).exists():
            return
        (folder / "quilts" / name).write_text("title: Spoiled\n")
        try:
            with soon():
                reading = read_collection(folder)
        finally:
            (folder / "quilts" / name).unlink()
        left_alone = name.startswith(".") or re.fullmatch(r"(?is).*~|#.*#|.*\.(bak|orig|swp|tmp)", name)
        assert left_alone or len(reading.problems) > len(ALWAYS) or len(reading.collection.quilts) == 2
        assert all(str(problem) == printable(str(problem)) for problem in reading.problems)

    ALWAYS = read_collection(folder).problems
    search()


# Values -----------------------------------------------------------------------------------------

LENGTHS = ["60 1/2", "60½", "5 ft 1/2 in", "153,5 cm", '60 1/2"', "1.5 m", "2 yd 3 in", "60-1/2"]
SIZES = ["60 1/2 x 72 in", "153 x 183 cm", "36 square", "5 ft by 6 ft", "60½ × 72"]
RANGES = ["36 to 45", "at least 36", "at most 45 cm", "36-1/2-40", "between 3 ft and 4 ft", "any", "36+"]
DATES = [
    "2016-05-12", "about 2016", "1990s", "spring 2001", "2015/2017", "before 1994", "the early nineties", "201X", "2016-05~", "12 May 2016",
    "winter 2001/02", "between 1990 and 1995", "some time in the eighties", "2016?", "May 5th, 2016", "../2010", "2010/..",
]  # fmt: skip
AMOUNTS = ["84.50", "1,234.50", "$84.50", "84,50 EUR", "1'234.50 CHF", "¥ 900", "GBP 12", "0", "12 345,67"]

KINDS = {
    "length": (LENGTHS, lambda text: Length.parse(text, unit="cm")),
    "size": (SIZES, lambda text: Size.parse(text, unit="in")),
    "range": (RANGES, lambda text: LengthRange.parse(text, unit="in")),
    "date": (DATES, EdtfDate.parse),
    "money": (AMOUNTS, lambda text: Money.parse(text, currency="EUR")),
}


def _in_words(value):
    """The value as people read it."""
    if isinstance(value, Size):
        return value.say("in")
    return value.say() if hasattr(value, "say") else value.in_inches()


@pytest.mark.parametrize("kind", KINDS)
def test_a_spoiled_value_is_read_and_written_back_or_told_in_words(kind):
    wholes, parse = KINDS[kind]
    many = st.one_of(spoiled(wholes), st.lists(st.sampled_from([*TEXTS, *wholes]), max_size=6).map("".join))

    @inputs(2)
    @given(many)
    def search(text):
        with soon():
            try:
                value = parse(text)
            except ValueError as told:
                remedy = str(told)
                assert remedy[0].isupper() or remedy[0] in "“0123456789", remedy
                assert remedy.endswith((".", "?")) and remedy == printable(remedy)
                return
        assert parse(str(value)) == value
        said = _in_words(value)
        assert said and said == printable(said)

    search()


def test_a_folder_that_is_no_collection_is_told():
    with pytest.raises(CollectionProblems):
        read_collection(DEMO / "photos")
