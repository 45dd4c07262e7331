"""Sizes without a unit that are hardly inches, in a collection that doesn't name its units."""

import json

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from collection.forms.field_labels import in_form_words
from collection.loading.loader import read_collection
from collection.loading.sizes_in_doubt import LONGEST_LIKELY_SIDE
from collection.values.lengths import Size

IN_CM = {"quilts/low-tide.yaml": "title: Low Tide\nmade: 2016\nfinished_size: 150 x 200\n"}


@pytest.fixture
def warnings(tmp_path, write_collection):
    def of(files: dict[str, str]):
        found = read_collection(write_collection(tmp_path, {"collection.yaml": ""} | files)).problems
        return [problem for problem in found if problem.severity == "warning"]

    return of


def test_the_warning_names_file_line_field_what_was_found_and_what_to_write(warnings):
    (found,) = warnings(IN_CM)
    assert str(found) == (
        "quilts/low-tide.yaml:3: finished_size: found “150 x 200”. A number without a unit means inches, as the collection "
        "names no units, and few quilts are that large. Write units: cm in collection.yaml if such numbers are "
        "centimetres. For this one alone write 150 x 200 cm, or 150 x 200 in."
    )


def test_no_page_shows_what_a_field_is_called_in_a_file(warnings):
    (found,) = warnings(IN_CM)
    words = in_form_words("quilt", found.field, found.remedy)
    assert "Choose cm under “Units” in the form of the collection itself" in words
    assert ".yaml" not in words and "units:" not in words


def test_many_are_one_warning_that_says_how_many_there_are(warnings):
    quilts = {f"quilts/{name}.yaml": f"title: {name}\nfinished_size: 140 x 18{at}\n" for at, name in enumerate("abcd")}
    (found,) = warnings(quilts)
    assert found.file == "quilts/a.yaml"
    assert found.remedy.endswith(" 3 other sizes are like it.")
    (found,) = warnings(dict(list(quilts.items())[2:]) | {f"quilts/{each}.yaml": f"title: {each}\n" for each in "ab"})
    assert found.file == "quilts/c.yaml" and found.remedy.endswith(" 1 other size is like it.")


@pytest.mark.parametrize("units", ["in", "cm", "IN", "inch"])
def test_a_collection_that_says_what_its_numbers_mean_is_taken_at_its_word(warnings, units):
    """Also where it says it wrongly: then that is the problem."""
    assert warnings(IN_CM | {"collection.yaml": f"units: {units}\n"}) == []


@pytest.mark.parametrize(
    "size",
    [
        "90 x 120",  # a large quilt
        "108 x 132",  # as large as the largest
        "150 x 200 cm", "150 x 200 in", "150 x 200cm", '150" x 200"', "5 ft x 7 ft", "1500 x 2000 mm",
        "400 x 500",  # too large in either unit
    ],
)  # fmt: skip
def test_what_is_likely_in_inches_or_has_a_unit_or_is_no_quilt_in_either_is_not_in_doubt(warnings, size):
    assert warnings({"quilts/low-tide.yaml": f"title: Low Tide\nfinished_size: {json.dumps(size)}\n"}) == []


RULES = "longer_side: 150 to 180"


def test_what_charities_ask_for_is_in_doubt_too(warnings):
    (found,) = warnings({"partners/hill.yaml": f"name: Hill\nrules:\n  {RULES}\n"})
    assert (found.file, found.line, found.field, found.found) == (
        "partners/hill.yaml",
        3,
        "rules.longer_side",
        "150 to 180",
    )
    (found,) = warnings(
        {
            "partners/hill.yaml": "name: Hill\n",
            "requests/laps.yaml": "partner: hill\nlines:\n  - id: laps\n    count: 2\n    width: at least 140\n",
        }
    )
    assert (found.file, found.line, found.field) == ("requests/laps.yaml", 5, "lines.1.width")
    assert "write at least 140 cm, or at least 140 in." in found.remedy


def test_partners_and_requests_with_units_of_their_own_are_not_in_doubt(warnings):
    request = f"partner: hill\nlines:\n  - id: laps\n    count: 2\n    {RULES}\n"
    files = {"partners/hill.yaml": f"name: Hill\nunits: cm\nrules:\n  {RULES}\n", "requests/laps.yaml": request}
    assert warnings(files) == []
    files = {"partners/hill.yaml": "name: Hill\n", "requests/laps.yaml": f"units: cm\n{request}"}
    assert warnings(files) == []


def test_a_quilt_with_another_mistake_is_in_doubt_too(warnings):
    (found,) = warnings({"quilts/low-tide.yaml": "title: Low Tide\nmade: someday\nfinished_size: 150 x 200\n"})
    assert found.field == "finished_size"


# Whatever is written ----------------------------------------------------------------------------

sides = st.integers(1, 400)
suffixes = st.sampled_from(["", "", "", " cm", " in", "ish"])
sizes = st.tuples(sides, sides, suffixes).map(lambda size: (f"{size[0]} x {size[1]}{size[2]}", max(size[:2]), size[2]))


@given(st.lists(sizes, max_size=5), st.sampled_from([None, "in", "cm"]))
@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_there_is_one_warning_where_a_bare_size_is_too_long_in_inches_and_not_in_cm_and_no_units_are_named(
    tmp_path_factory, write_collection, written, units
):
    folder = tmp_path_factory.mktemp("sizes")
    quilts = {
        f"quilts/q{at}.yaml": f"title: Q {at}\nfinished_size: {size}\n" for at, (size, _, _) in enumerate(written)
    }
    settled = {"collection.yaml": f"units: {units}\n" if units else "title: Quilts\n"}
    found = read_collection(write_collection(folder, settled | quilts)).problems
    doubtful = [
        f"quilts/q{at}.yaml"
        for at, (_, longer, suffix) in enumerate(written)
        if suffix in ("", "ish") and 132 < longer <= 132 * 2.54
    ]
    assert [problem.file for problem in found] == (doubtful[:1] if units is None else [])


@given(sizes)
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_what_the_warning_says_to_write_ends_it(tmp_path_factory, write_collection, written):
    folder = tmp_path_factory.mktemp("sizes")
    size, *_ = written
    files = {"collection.yaml": "title: Quilts\n", "quilts/q.yaml": f"title: Q\nfinished_size: {size}\n"}
    for problem in read_collection(write_collection(folder, files)).problems:
        in_cm, in_inches = problem.remedy.removesuffix(".").rpartition("alone write ")[2].split(", or ")
        assert Size.parse(in_cm).longer <= LONGEST_LIKELY_SIDE < Size.parse(in_inches).longer
        for mended in (in_cm, in_inches):
            again = write_collection(folder, {"quilts/q.yaml": f"title: Q\nfinished_size: {mended}\n"})
            assert read_collection(again).problems == ()
        whole = write_collection(folder, {**files, "collection.yaml": "units: cm\n"})
        assert read_collection(whole).problems == ()
        assert read_collection(whole).collection.quilts["q"].finished_size == Size.parse(in_cm)
