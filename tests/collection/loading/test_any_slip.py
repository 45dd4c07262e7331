"""No slip in a file stops the reading, and each problem names a line of a file."""

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from collection.loading.loader import read_collection
from collection.yaml_files.parser import split_lines

WHOLE = {
    "collection.yaml": "title: Our Quilts\nunits: cm\ncurrency: EUR\nsizes:\n  categories:\n    - {name: cot, shorter_side: 60 to 90, longer_side: 90 to 120}\nsite: {url: https://quilts.example, language: en}\n",
    "partners/river-street.yaml": "name: River Street Shelter\nchecked: 2026-02-01\nrules:\n  shorter_side: 36 to 45\n  no: [buttons]\n  needs: [label, washed]\n",
    "partners/nell.yaml": "name: Nell\nkind: go-between\nacts_for: [river-street]\n",
    "requests/spring.yaml": "partner: river-street\nthrough: nell\nasked: 2026-03-01\nlines:\n  - {id: cots, count: 2, ideal: 38 x 44 in, tolerance: 1}\n",
    "quilts/low-tide.yaml": (
        "title: Low Tide\nnumber: 143\nmade: 2016~\nfinished_size: 60 1/2 x 72 in\nsetting:\n  blocks: 4 x 5\n  block: 12\n"
        "  sashing: 2\n  borders: [1 1/2, 5]\nphotos:\n  - a.jpg\n  - {file: b.jpg, shows: back}\nmaterials_cost:\n  items:\n"
        "    - {what: Cotton, amount: 24.00}\nloans:\n  - {to: Hall, from: 2025-03-01, back: 2025-06-04}\n"
        "destination:\n  is: donated\n  to: river-street\n  through: nell\n  handed_over: 2026-05-12\nhistory:\n  - {is: kept, until: 2020}\n"
        "story: |\n  One winter.\n"
    ),
}  # fmt: skip
PIECES = [
    ": ",
    "\n",
    "  ",
    "- ",
    "[",
    "]",
    "{",
    "}",
    ",",
    "#",
    " #",
    "'",
    '"',
    "x",
    "0",
    "-",
    "/",
    "true",
    "\t",
    "é",
    "\x00",
    "&",
    "*",
    "!",
    "~",
    "\ud800",
]


@st.composite
def slips(draw) -> tuple[str, bytes]:
    """One of the files with a few pieces taken out, put in, moved or changed at random places."""
    name = draw(st.sampled_from(sorted(WHOLE)))
    text = WHOLE[name]
    for _ in range(draw(st.integers(1, 3))):
        start = draw(st.integers(0, len(text)))
        end = min(len(text), start + draw(st.integers(0, 12)))
        put = draw(st.sampled_from(["", text[start:end] * 2, *PIECES]) | st.text(max_size=5))
        text = text[:start] + put + text[end:]
    return name, text.encode("utf-8", "surrogatepass")


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(slips())
def test_no_slip_in_a_file_stops_the_reading_and_each_problem_names_a_line_of_a_file(tmp_path, write_collection, slip):
    name, raw = slip
    write_collection(tmp_path, WHOLE | {name: raw})

    read = read_collection(tmp_path)

    for problem in read.problems:
        lines = split_lines((tmp_path / problem.file).read_bytes().decode("utf-8", "replace"))
        assert 1 <= problem.line <= len(lines)
        assert str(problem).isprintable()
        assert "Input should" not in problem.remedy


def test_the_whole_records_are_sound(tmp_path, write_collection):
    assert read_collection(write_collection(tmp_path, WHOLE)).errors == ()
