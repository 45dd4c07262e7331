"""Which of the eleven terms a colour is called, against published names and an independent program.

Source of the names: the centroids of the ISCC-NBS system (K. L. Kelly, D. B. Judd, Color: Universal Language and
Dictionary of Names, NBS Special Publication 440, 1976), as sRGB: seen, in a public table of them. Its own names say the
basic term: `strong yellow green` is a green. Which term a table row of ours has is our own judgement: common practice,
no source. These checks hold it against names that others gave.
"""

from itertools import product

import coloraide
import pytest

from collection.colours.names import NAMED_COLOURS, nearest_named
from collection.colours.spaces import write_hex

CENTROIDS = """
vivid red be0032 | strong red bc3f4a | deep red 841b2d | dark red 722f37 | very dark red 3f1728
strong pink ea9399 | pale pink ead8d7 | strong orange ed872d | brownish orange ae6938
vivid yellow f3c300 | strong yellow d4af37 | pale yellow f3e5ab | dark yellow ab9144
strong brown 80461b | dark brown 422518 | dark olive green 403d21 | strong yellow green 7e9f2e
strong green 007959 | dark green 1b4d3e | strong bluish green 007a74
strong blue 0067a5 | dark blue 00304e | vivid purplish blue 30267a | very pale blue bcd4e6
strong purple 604e97 | strong purple 875692 | dark purple 563c5c | black 222222 | dark grey 555555
"""
# Two names are put in basic terms here: the system's olive is a green, and its violet a purple.
ROWS = [row.strip().rpartition(" ") for row in CENTROIDS.strip().replace("\n", "|").split("|")]
assert len(ROWS) == 29


@pytest.mark.parametrize(("name", "hex"), [(name, hex) for name, _, hex in ROWS])
def test_a_centroid_is_found_under_the_term_of_its_published_name(name, hex):
    terms = nearest_named(f"#{hex}").terms
    if name == "brownish orange":
        assert set(terms) & {"brown", "orange"}
    else:
        assert name.split()[-1] in terms


THEIRS = [coloraide.Color(named.hex) for named in NAMED_COLOURS]
# Steps of a third reach every corner of what a screen shows; the others lie between two terms.
GRID = [write_hex(colour) for colour in product(range(0, 256, 85), repeat=3)]
DISPUTED = ["#c8a053", "#3f1728", "#ab9144", "#1e7a8c", "#5b2d8e", "#2b2bd6"]


@pytest.mark.parametrize("colour", GRID + DISPUTED)
def test_an_independent_program_finds_no_nearer_name(colour):
    asked = coloraide.Color(colour)
    differences = [asked.delta_e(named, method="2000") for named in THEIRS]
    ours = differences[NAMED_COLOURS.index(nearest_named(colour))]
    assert ours <= min(differences) + 1e-4
