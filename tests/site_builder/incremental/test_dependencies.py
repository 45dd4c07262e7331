"""What a page looked at of the records it was made from, and what of it is noted."""

from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given
from hypothesis import strategies as st

from collection.records.collection import Collection
from collection.records.partner import Partner
from collection.records.quilt import Quilt
from site_builder.incremental.cache_folder import CacheFolder
from site_builder.incremental.dependencies import (
    WRITTEN,
    Dependencies,
    PageDependencies,
    TrackedQuilt,
    TrackedRecords,
    are_the_same,
    as_it_is,
    tracked,
)
from site_builder.incremental.dependency_store import DependencyStore
from site_builder.incremental.manifest import BuildNotes
from site_builder.pages.cards import cards
from site_builder.pages.edition import Edition

QUILT = Quilt.model_validate(
    {"id": "ebb", "title": "Ebb", "kept_at": "Attic", "destination": {"is": "promised", "to": "nell"}}
)


def looked_at_by(look) -> frozenset[str]:
    """What is noted when a function looks at a quilt."""
    noted = Dependencies()
    look(tracked(QUILT, noted))
    return noted.of_page([QUILT]).of("ebb")


FIELDS = sorted(Quilt.model_fields.keys() - {"id"})


@given(st.lists(st.sampled_from(FIELDS)))
def test_the_fields_that_are_asked_for_are_noted_and_no_others(names):
    def look(quilt):
        for name in names:
            assert getattr(quilt, name) is getattr(QUILT, name)

    assert looked_at_by(look) == set(names)


def test_what_follows_from_a_field_notes_the_field():
    assert looked_at_by(lambda quilt: quilt.in_the_house) == {"destination"}
    assert looked_at_by(lambda quilt: quilt.current_loan) == {"loans"}


def test_an_id_is_not_noted_since_pages_are_planned_with_it():
    assert looked_at_by(lambda quilt: quilt.id) == set()


def test_which_fields_were_written_is_noted_apart_from_what_they_say():
    assert looked_at_by(lambda quilt: "features" in quilt.model_fields_set) == {WRITTEN}


@pytest.mark.parametrize("look", [repr, hash, list, lambda quilt: quilt == Quilt(id="ebb", title="Ebb")])
def test_who_looks_at_the_whole_quilt_has_looked_at_every_field(look):
    assert looked_at_by(look) >= set(FIELDS)


def test_a_quilt_that_notes_is_equal_to_the_quilt_and_to_another_that_notes():
    assert tracked(QUILT, Dependencies()) == QUILT == tracked(QUILT, Dependencies()) == tracked(QUILT, Dependencies())
    assert hash(tracked(QUILT, Dependencies())) == hash(QUILT)
    assert tracked(QUILT, Dependencies()) != Quilt(id="ebb", title="Flood")
    assert dict(tracked(QUILT, Dependencies())) == dict(QUILT)


def test_what_is_no_field_is_no_field_of_a_quilt_that_notes():
    with pytest.raises(AttributeError):
        _ = tracked(QUILT, Dependencies()).colour


def test_a_quilt_that_notes_for_two_notes_for_each_what_it_was_asked():
    first, second = Dependencies(), Dependencies()
    of_first = tracked(QUILT, first)
    assert of_first.title == "Ebb"
    of_second = tracked(of_first, second)
    assert of_second.title and of_second.kept_at
    assert (first.of("ebb"), second.of("ebb")) == ({"title"}, {"title", "kept_at"})
    assert as_it_is(of_second) is QUILT


def test_the_same_quilts_are_known_again_whoever_notes():
    other = QUILT.model_copy()
    assert are_the_same((QUILT, other), [tracked(QUILT, Dependencies()), other])
    assert not are_the_same((QUILT, other), (other, QUILT))
    assert not are_the_same((QUILT,), (QUILT, other))


@given(st.dictionaries(st.sampled_from("abcdef"), st.frozensets(st.sampled_from(FIELDS))))
def test_looks_tell_of_each_quilt_what_was_looked_at(fields):
    noted = Dependencies()
    quilts = [Quilt(id=quilt, title="A quilt") for quilt in "abcdef"]
    for quilt in quilts:
        one = tracked(quilt, noted)
        for name in fields.get(quilt.id, ()):
            getattr(one, name)
    looks = noted.of_page(quilts)
    assert {quilt.id: looks.of(quilt.id) for quilt in quilts} == {
        quilt.id: fields.get(quilt.id, frozenset()) for quilt in quilts
    }
    assert looks.usual not in looks.others.values()


def test_what_any_page_asked_of_what_they_have_in_common_counts_for_each():
    page, common = Dependencies(), Dependencies()
    page.include_all_of(common)
    in_common = tracked(QUILT, common)
    assert tracked(QUILT, page).made is None and in_common.title
    common.beside.add("partners/nell")
    assert page.of_page([QUILT]) == PageDependencies(frozenset({"title", "made"}), {}, frozenset({"partners/nell"}))


def test_what_most_quilts_were_asked_for_is_told_once():
    noted = Dependencies()
    quilts = [Quilt(id=quilt, title="A quilt") for quilt in "abc"]
    assert [tracked(quilt, noted).title for quilt in quilts] == ["A quilt"] * 3
    _ = tracked(quilts[1], noted).made
    looks = noted.of_page(quilts)
    assert (looks.usual, looks.others) == ({"title"}, {"b": {"title", "made"}})


# Partners and requests --------------------------------------------------------------------------

NELL = Partner(id="nell", name="Nell")


@pytest.mark.parametrize(
    ("look", "names"),
    [
        (lambda partners: partners["nell"], {"partners/nell"}),
        (lambda partners: partners.get("nobody"), {"partners/nobody"}),
        (lambda partners: "nell" in partners, {"partners/nell"}),
        (list, {"partners/*"}),
        (len, {"partners/*"}),
        (lambda partners: list(partners.values()), {"partners/*", "partners/nell"}),
    ],
)
def test_a_partner_is_noted_by_its_id_and_a_list_of_them_as_such(look, names):
    noted = Dependencies()
    look(TrackedRecords({"nell": NELL}, "partners", noted))
    assert noted.beside == names


# What many pages share --------------------------------------------------------------------------


def edition() -> Edition:
    return Edition("binder", Collection(folder=None, quilts={"ebb": QUILT}, partners={"nell": NELL}))


def test_a_page_has_looked_at_what_a_card_was_made_from_also_when_it_was_made_for_another():
    whole, first, second = edition(), Dependencies(), Dependencies()
    for noted in (first, second):
        page = whole.seen_from([QUILT], noted)
        assert cards(page, page.collection.quilts.values(), seen_from="index.html")[0].title == "Ebb"
    assert first.of_page([QUILT]) == second.of_page([QUILT])
    assert {"title", "finished_size", "destination"} <= first.of("ebb")
    assert "kept_at" not in first.of("ebb")
    assert first.beside == {"partners/nell"}


def test_what_was_made_before_is_made_anew_for_another_quilt_of_the_same_id():
    whole, other = edition(), Quilt(id="ebb", title="Ebb and Flow")
    titles = [
        whole.memoized("title", [quilt], lambda alone, quilts: quilts[0].title) for quilt in (QUILT, other, QUILT)
    ]
    assert titles == ["Ebb", "Ebb and Flow", "Ebb"]


def test_what_a_page_was_made_from_once_it_need_not_see_again_for_another_quilt():
    """Each quilt is noted for itself: a title elsewhere on the page changes nothing of this card."""
    other, noted = Quilt(id="flood", title="Flood"), Dependencies()
    page = edition().seen_from([QUILT, other], noted)
    assert cards(page, [page.collection.quilts["ebb"]], seen_from="index.html")
    assert noted.of_page([QUILT, other]).of("flood") == set()


def test_a_page_sees_no_other_quilt():
    whole = edition()
    assert list(whole.seen_from([], Dependencies()).collection.quilts) == []
    assert isinstance(whole.seen_from([QUILT], Dependencies()).collection.quilts["ebb"], TrackedQuilt)


# From one build to the next ---------------------------------------------------------------------

names = st.frozensets(st.sampled_from(FIELDS), max_size=4)
looks_of_a_page = st.builds(PageDependencies, names, st.dictionaries(st.sampled_from("abc"), names, max_size=2), names)


@given(st.dictionaries(st.text(max_size=5), looks_of_a_page, max_size=5))
def test_what_pages_looked_at_is_known_to_the_next_build(pages):
    with TemporaryDirectory() as folder:
        now = DependencyStore(notes_in(Path(folder)), "binder")
        for path, looks in pages.items():
            now.note(path, looks)
        now.save()
        known = DependencyStore(notes_in(Path(folder)), "binder")
        assert {path: known.before(path) for path in pages} == pages
        assert (
            DependencyStore(notes_in(Path(folder), "another program"), "binder").before(next(iter(pages), "")) is None
        )


def notes_in(folder: Path, program: str = "this program") -> BuildNotes:
    return BuildNotes(CacheFolder(folder), folder, folder, program)


@pytest.mark.parametrize("entries", [{"looks": [[], {"a": [0, 0, {}]}]}, {"looks": [3, 4]}, {}])
def test_notes_of_another_shape_count_as_none(tmp_path, entries):
    notes_in(tmp_path).write_entries("binder-looks", entries)
    assert DependencyStore(notes_in(tmp_path), "binder").before("a") is None
