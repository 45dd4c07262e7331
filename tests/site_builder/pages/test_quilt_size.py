"""What the page of a quilt says of its block setting and what to cut."""

import pytest

from collection.records.collection import Collection
from collection.records.settings import Settings
from site_builder.pages.edition import Edition
from site_builder.pages.quilt_size import setting_view, size_view
from tests.support.made_records import a_quilt


def view(tmp_path, units, **setting):
    edition = Edition("catalogue", Collection(tmp_path, Settings.model_validate({"units": units})))
    return setting_view(edition, a_quilt(setting={"blocks": "3 x 3"} | setting))


def rows(tmp_path, units, **setting) -> list[tuple[str, ...]]:
    table = view(tmp_path, units, **setting).cutting
    return [tuple(cell.text.replace("\u00a0", " ") for cell in row) for row in table.rows]


def test_pieces_are_cut_to_the_millimetre_and_to_the_eighth_of_an_inch(tmp_path):
    assert rows(tmp_path, "cm", block="43 cm", sashing="5 cm") == [
        ("blocks", "9", "44.3 × 44.3 cm", "17 3/8 × 17 3/8 in"),
        ("sashes", "2", "6.3 × 140.3 cm", "2 1/2 × 55 1/4 in"),
        ("sashes", "6", "6.3 × 44.3 cm", "2 1/2 × 17 3/8 in"),
    ]


@pytest.mark.parametrize("units", ["in", "cm"])
def test_the_collections_own_unit_comes_first(tmp_path, units):
    (row,) = rows(tmp_path, units, block="12 in")
    inches, centimetres = "12 1/2 × 12 1/2 in", "31.8 × 31.8 cm"
    assert row[2:] == ((inches, centimetres) if units == "in" else (centimetres, inches))


def test_triangles_in_centimetres_are_large_enough(tmp_path):
    side = rows(tmp_path, "cm", block="30 cm", arrangement="on point")[-2]
    assert side == ("side triangles", "8", "45.7 × 45.7 cm", "18 × 18 in", "from 2 squares, cut twice corner to corner")


def test_the_size_of_a_block_is_said_to_the_millimetre(tmp_path):
    assert "blocks of 10.8 cm finished" in view(tmp_path, "cm", block="10.8 cm").summary
    assert "blocks of 4 1/4 in finished" in view(tmp_path, "in", block="4 1/4 in").summary


def test_what_nobody_said_of_the_size_and_the_setting_is_not_said(tmp_path):
    edition = Edition("catalogue", Collection(tmp_path, Settings()))

    def said(**facts):
        return size_view(edition, a_quilt(finished_size="48 x 60", **facts), seen_from="").measured

    assert said() is None
    assert said(measured="quilted") == "measured before washing"
    assert said(measured="washed") == "measured after washing"
    assert "taken as a straight set" in view(tmp_path, "in", block="12").summary
    assert "in a straight set" in view(tmp_path, "in", block="12", arrangement="straight").summary


def test_an_approximate_size_is_shown_as_one(tmp_path):
    edition = Edition("catalogue", Collection(tmp_path, Settings()))
    shown = size_view(edition, a_quilt(finished_size="60x80ish"), seen_from="")
    assert shown.inches.replace("\u00a0", " ") == "about 60 × 80 in"
    assert shown.centimetres.replace("\u00a0", " ") == "about 152.5 × 203 cm"
