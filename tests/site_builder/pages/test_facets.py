"""The ways to look through the collection."""

from dataclasses import replace

import pytest

from collection.records.public_fields import FACTS
from site_builder.images.picture import Picture, QuiltColours, Rendition
from site_builder.pages.edition import Edition
from site_builder.pages.facets import FACETS, colour_terms, groups_of, newest_first
from site_builder.text.wording import STANDINGS
from tests.support.made_records import a_charity, a_collection, a_quilt, donated

KINDS = {facet.kind: facet for facet in FACETS}
FREE, UNDECIDED = STANDINGS["free"][1], STANDINGS["undecided"][1]
COVER = Picture(
    digest="d",
    width=400,
    height=300,
    renditions=(Rendition(400, 300, f"{'0a' * 10}-400.jpg", 1),),
    average_colour="#224466",
    colours=QuiltColours((("#224466", 0.7),), (("blue", 0.7), ("brown", 0.22), ("red", 0.05))),
)


def edition_of(*records, pictures=None, **settings) -> Edition:
    return Edition.catalogue(a_collection(*records, **settings), pictures or {})


def groups(kind: str, edition: Edition) -> dict[str, list[str]]:
    """The IDs of the quilts by the label of their group, in order."""
    found = groups_of(edition, KINDS[kind], newest_first(edition.collection.quilts.values()))
    return {group.value.label: [quilt.id for quilt in group.quilts] for group in found}


def test_every_facet_rests_on_a_fact_that_may_be_public():
    assert {facet.fact for facet in FACETS} <= set(FACTS)


@pytest.mark.parametrize("kind", KINDS)
def test_a_facet_whose_fact_is_not_public_is_not_there(kind):
    quilt = a_quilt(
        made="2016", finished_size="60 x 72", pattern="Low Tide", fabric_lines=["Harbour"], blocks=["nine patch"],
        techniques=["pieced"], suits=["children"], colours=["green"], destination=donated(delivered="2026"),
    )  # fmt: skip
    charity = a_charity(public=True)
    others = [fact for fact in FACTS if fact != KINDS[kind].fact]
    assert groups(kind, edition_of(quilt, charity))
    assert not groups(kind, edition_of(quilt, charity, public=others))


def test_one_name_in_two_spellings_is_one_group_under_the_first():
    quilts = [a_quilt("a", pattern="Bear's Paw", made="2016"), a_quilt("b", pattern="bears paw", made="2015")]
    assert groups("patterns", edition_of(*quilts)) == {"Bear's Paw": ["a", "b"]}


def test_groups_stand_in_the_order_of_the_alphabet_whatever_the_case():
    quilts = [a_quilt("a", pattern="zig-zag"), a_quilt("b", pattern="Windmill")]
    assert list(groups("patterns", edition_of(*quilts))) == ["Windmill", "zig-zag"]


def test_sizes_stand_from_small_to_large_and_years_from_late_to_early():
    quilts = [
        a_quilt("a", finished_size="90 x 108", made="1998"),
        a_quilt("b", finished_size="36 x 45", made="2011/2021"),
    ]
    sizes = list(groups("sizes", edition_of(*quilts)))
    assert sizes.index("baby") < sizes.index("queen")
    assert groups("years", edition_of(*quilts)) == {"2020s": ["b"], "2010s": ["b"], "1990s": ["a"]}


def test_a_quilt_of_which_nothing_is_known_is_in_no_group():
    assert not any(groups(kind, edition_of(a_quilt())) for kind in KINDS)


def test_the_catalogue_does_not_tell_what_is_not_decided_yet():
    quilts = a_collection(a_quilt("a"), a_quilt("b", destination="free"))
    assert groups("destinations", Edition.catalogue(quilts, {})) == {FREE: ["b"]}
    binder = replace(Edition.catalogue(quilts, {}), name="binder")
    assert groups("destinations", binder) == {FREE: ["b"], UNDECIDED: ["a"]}


def test_charities_that_may_not_be_named_are_one_group():
    quilts = [a_quilt("a", destination=donated()), a_quilt("b", destination=donated(to="hill-hospice"))]
    assert groups("charities", edition_of(*quilts)) == {"A charity": ["a", "b"]}
    assert list(groups("charities", edition_of(*quilts, a_charity(public=True)))) == ["A charity", "River Street"]


def test_the_makers_word_for_a_colour_wins_over_what_the_photo_shows():
    quilts = [a_quilt("a", colours=["teal"], photos=["x.jpg"]), a_quilt("b", photos=["x.jpg"]), a_quilt("c")]
    edition = edition_of(*quilts, pictures={"x.jpg": COVER})
    said = {quilt.id: colour_terms(edition, quilt) for quilt in edition.collection.quilts.values()}
    assert said == {"a": ("teal",), "b": ("blue", "brown"), "c": ()}


def test_the_newest_hang_first_and_those_without_a_date_last():
    made = {"a": None, "b": "2016", "c": "2016-05", "d": "about 2020", "e": None, "f": "2016", "g": "1990s"}
    quilts = [a_quilt(name, **({"made": when} if when else {})) for name, when in made.items()]
    assert [quilt.id for quilt in newest_first(reversed(quilts))] == ["d", "c", "b", "f", "g", "a", "e"]
