"""The wall as data: what its search and filters work from in the browser."""

import json
from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st

from collection.privacy import publishable
from collection.records.collection import Collection
from collection.records.quilt import Quilt
from collection.records.settings import Settings
from site_builder.pages.edition import Edition
from site_builder.pages.search_index import QUILTS_FILE, WORDS_FILE, fold, wall_index


def _edition(*quilts: dict, name: str = "catalogue") -> Edition:
    records = [Quilt.model_validate({"id": f"quilt-{n}", "title": f"Quilt {n}", **q}) for n, q in enumerate(quilts)]
    collection = Collection(Path(), Settings(), {quilt.id: quilt for quilt in records})
    return Edition(name, publishable(collection) if name == "catalogue" else collection)


def _read(edition: Edition) -> tuple[dict, list[str]]:
    files = wall_index(edition, tuple(edition.collection.quilts.values()))
    quilts, words = (files[name].decode() for name in (QUILTS_FILE, WORDS_FILE))
    assert quilts.startswith("self.wallQuilts=") and words.startswith("self.wallWords=")
    return tuple(json.loads(text.partition("=")[2].removesuffix(";\n")) for text in (quilts, words))


def test_a_quilt_is_found_by_each_of_its_public_words():
    edition = _edition(
        {
            "title": "Låg Ebb",
            "also_called": ["The Harbour One"],
            "made": "1990s",
            "finished_size": "40 x 45",
            "pattern": {"name": "Tideline", "designer": "A. Invented", "source": "class"},
            "fabric_lines": ["Salt Hay"],
            "blocks": ["ohio star"],
            "techniques": ["appliqué"],
            "colours": ["navy"],
            "suits": ["children"],
            "story": "Made in the *long* winter.",
        }
    )
    _, (words,) = _read(edition)
    for word in [
        "lag",
        "ebb",
        "harbour",
        "1990s",
        "tideline",
        "invented",
        "class",
        "salt",
        "hay",
        "ohio",
        "star",
        "applique",
        "blue",
        "children",
        "long",
        "winter",
        "baby",
    ]:
        assert f" {word}" in words, word


def test_no_private_word_is_searched_in_the_catalogue_but_all_are_in_the_binder():
    private = {"notes": "Zwergnase", "kept_at": "Rumpelkammer", "condition_note": "Tintenfleck"}
    _, (public,) = _read(_edition(private))
    _, (household,) = _read(_edition(private, name="binder"))
    for word in ("zwergnase", "rumpelkammer", "tintenfleck"):
        assert word not in public
        assert word in household


def test_values_are_numbered_by_the_facets_own_lists():
    edition = _edition({"blocks": ["nine patch", "ohio star"]}, {"blocks": ["ohio star"]}, {})
    quilts, _ = _read(edition)
    place = [facet["kind"] for facet in quilts["facets"]].index("blocks")
    labels = [label for key, label in quilts["facets"][place]["values"]]
    assert labels == ["nine patch", "ohio star"]
    assert [row[6][place] for row in quilts["quilts"]] == [[0, 1], [1], []]


def test_a_second_colour_narrows_and_a_second_size_widens():
    edition = _edition({"finished_size": "40 x 45", "colours": ["green"]})
    quilts, _ = _read(edition)
    narrows = {facet["kind"]: facet["narrows"] for facet in quilts["facets"]}
    assert narrows["colours"] and not narrows["sizes"]


def test_no_bed_for_infants_is_offered_to_hang_a_quilt_beside():
    quilts, _ = _read(_edition({}))
    assert quilts["beds"] and not [bed for bed in quilts["beds"] if "crib" in bed[0]]


def test_words_that_could_end_a_script_stay_data():
    edition = _edition({"title": "</script> \"'\\", "story": "one\u2028two", "blocks": ["nine\u2029patch"]})
    quilts, _ = _read(edition)
    assert quilts["quilts"][0][1] == "</script> \"'\\"
    for script in wall_index(edition, tuple(edition.collection.quilts.values())).values():
        assert len(script.decode().splitlines()) == 1  # also where older JavaScript ends a line


@given(st.text(max_size=60))
def test_folding_twice_is_folding_once(text):
    assert fold(fold(text)) == fold(text)
