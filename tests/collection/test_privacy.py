"""What may go out, and that nothing else does."""

from collections.abc import Iterator

import pytest
from pydantic import BaseModel, Field

from collection.giving.donations import Giving
from collection.loading.loader import read_collection
from collection.privacy import PUBLIC, UNNAMED, publishable, shown_as
from collection.records.destinations import UNDECIDED, Donated, Gifted, Promised, Staying
from collection.records.fields import Record
from collection.records.partner import Partner
from collection.records.public_fields import FACTS
from collection.records.quilt import Pattern, Photo, Quilt
from collection.values.dates import EdtfDate
from tests.support.made_records import a_charity, a_collection, a_go_between, a_quilt, a_request, donated
from tests.support.marked_collection import OPEN_HOUSE, marked_collection
from tests.support.marked_records import MAY_GO_OUT

ALWAYS = {"id", "title", "measured", "public"}


@pytest.fixture(scope="module")
def marked(tmp_path_factory):
    """A collection in which every field of every kind of record says something."""
    folder = tmp_path_factory.mktemp("marked")
    for name, text in marked_collection().files.items():
        (folder / name).parent.mkdir(exist_ok=True)
        (folder / name).write_text(text, encoding="utf-8")
    reading = read_collection(folder)
    assert not reading.errors
    return reading.collection


def publish(quilt: Quilt, *records, **settings) -> Quilt:
    return publishable(a_collection(quilt, *records, **settings)).quilts[quilt.id]


def where_it_stands(destination, *records, **settings):
    return publish(a_quilt(destination=destination), *records, **settings).destination


def is_default(record: BaseModel, name: str) -> bool:
    return getattr(record, name) == type(record).model_fields[name].get_default()


# Field by field ---------------------------------------------------------------------------------


@pytest.mark.parametrize("field", sorted(set(Quilt.model_fields) - set(FACTS) - ALWAYS))
def test_a_field_of_a_quilt_that_is_not_named_as_public_stays_at_home(marked, field):
    assert not any(is_default(quilt, field) for quilt in marked.quilts.values())
    assert all(is_default(quilt, field) for quilt in publishable(marked).quilts.values())


@pytest.mark.parametrize("field", sorted(set(FACTS) - {"destination", "photos", "care", "stage"}))
def test_a_public_fact_goes_out_as_it_is(marked, field):
    for quilt in publishable(marked).quilts.values():
        assert getattr(quilt, field) == getattr(marked.quilts[quilt.id], field)
        assert not is_default(quilt, field)


@pytest.mark.parametrize("field", sorted(set(Partner.model_fields) - {"id", "name", "public", "url", "about"}))
def test_of_a_charity_that_may_be_named_the_rest_stays_at_home(marked, field):
    assert is_default(publishable(marked).partners[OPEN_HOUSE], field)


def records_in(value: object) -> Iterator[Record]:
    """All records in a value, however deep."""
    if isinstance(value, Record):
        yield value
        for name in type(value).model_fields:
            yield from records_in(getattr(value, name))
    elif isinstance(value, tuple | list):
        for item in value:
            yield from records_in(item)
    elif hasattr(value, "values"):
        yield from records_in(list(value.values()))


# These go out changed, or say nothing that is not plain from the page's being there.
OTHERWISE = {
    ("Quilt", "public"), ("Quilt", "destination"), ("Photo", "file"), ("Photo", "public"), ("Care", "washed"),
    ("Partner", "kind"), ("Staying", "is_"), ("Promised", "to"), ("Donated", "to"), ("Donated", "delivered"),
}  # fmt: skip


def test_no_record_that_goes_out_says_anything_in_a_field_that_may_not(marked):
    out = publishable(marked)
    seen = set()
    for record in records_in([out.settings, out.quilts, out.partners]):
        kind = type(record).__name__
        seen.add(kind)
        for name in set(type(record).model_fields) - MAY_GO_OUT.get(kind, set()):
            allowed = kind in ("Staying", "Promised", "Gifted", "Donated") or (kind, name) in {
                ("Quilt", "public"), ("Quilt", "destination"), ("Photo", "file"), ("Photo", "public"),
                ("Partner", "kind"), ("Care", "washed"),
            }  # fmt: skip
            assert allowed or is_default(record, name), f"{kind}.{name}"
    assert seen >= {"Quilt", "Photo", "Pattern", "FabricLine", "BlockSetting", "Grid", "Care", "Partner", "Maker"}


def test_the_two_lists_of_what_may_go_out_agree():
    """A field that is made public is named twice: in `PUBLIC`, and by hand beside the tests."""
    ours = {kind.__name__: set(names) for kind, names in PUBLIC.items()}
    ours["Quilt"] |= {"measured"}
    ours["Quilt"] -= {"destination"}
    ours["Photo"] -= {"file"}
    ours["Care"] -= {"washed"}
    assert ours == MAY_GO_OUT


def test_every_public_field_is_one_that_its_record_has():
    for kind, names in PUBLIC.items():
        assert set(names) <= set(kind.model_fields), kind.__name__
    assert set(FACTS) <= set(Quilt.model_fields)


def test_a_new_field_of_a_quilt_is_private_until_it_is_named():
    class QuiltWithADiary(Quilt):
        diary: str = Field("", description="What the day was like.")

    quilt = QuiltWithADiary(id="low-tide", title="Low Tide", diary="It rained.")
    assert not hasattr(publish(quilt), "diary")


def test_a_new_kind_of_record_cannot_go_out_until_it_is_named():
    class PatternWithADiary(Pattern):
        diary: str = ""

    with pytest.raises(KeyError):
        publish(a_quilt().model_copy(update={"pattern": PatternWithADiary(name="Low Tide", diary="It rained.")}))


# What is kept out as a whole --------------------------------------------------------------------


def test_a_quilt_that_is_not_public_is_not_there(marked):
    hidden = {quilt.id for quilt in marked.quilts.values() if not quilt.public}
    assert len(hidden) == 1
    assert set(publishable(marked).quilts) == set(marked.quilts) - hidden


def test_a_photo_that_is_not_public_is_not_there():
    photos = ["low-tide/front.jpg", {"file": "low-tide/label.jpg", "public": False}]
    assert publish(a_quilt(photos=photos)).photos == (Photo(file="low-tide/front.jpg"),)


def test_requests_photo_names_and_the_folder_on_the_disk_stay_at_home():
    out = publishable(a_collection(a_quilt(), a_request()))
    assert not out.requests
    assert not out.photos
    assert out.folder != a_collection().folder


def test_of_partners_only_charities_that_say_so_are_named():
    partners = publishable(
        a_collection(a_charity("open-house", public=True), a_go_between("tuesday-van", public=True))
    ).partners
    assert set(partners) == {"open-house", UNNAMED}
    assert partners[UNNAMED].name == "A charity"


def test_no_file_of_a_partner_can_be_called_like_the_one_that_stands_for_the_unnamed(tmp_path, write_collection):
    folder = write_collection(
        tmp_path, {"quilts/low-tide.yaml": "title: Low Tide", f"partners/{UNNAMED}.yaml": "name: X"}
    )
    (problem,) = read_collection(folder).errors
    assert "address of its page" in problem.remedy


# Where a quilt stands ---------------------------------------------------------------------------

PUBLIC_CHARITY = a_charity(public=True)
ON_THE_WAY = {"through": "nell", "handed_over": "2026-05-12", "note": "ring twice"}


@pytest.mark.parametrize("word", ["kept", "free", "undecided"])
def test_the_three_words_go_out(word):
    assert where_it_stands(word) == Staying.model_validate({"is": word})


def test_a_lost_quilt_is_not_told_as_lost():
    assert where_it_stands({"is": "lost", "through": "nell", "on": "2026"}) == UNDECIDED


def test_of_a_gift_to_a_person_it_is_said_that_it_was_one():
    gift = {"is": "gifted", "to": "A cousin", "on": "2019~", "occasion": "wedding", "note": "blue"}
    assert where_it_stands(gift) == Gifted()


def test_of_a_promise_the_charity_alone():
    promise = {"is": "promised", "to": "river-street", "through": "nell", "on": "2026-04-30", "by": "2026-05-30"}
    promise |= {"request": "spring-cots", "line": "cots", "note": "ring twice"}
    assert where_it_stands(promise, PUBLIC_CHARITY) == Promised(to="river-street")
    assert where_it_stands(promise) == Promised(to=UNNAMED)


def test_a_gift_on_its_way_is_told_as_promised_and_not_with_whom_it_is():
    assert where_it_stands(donated(**ON_THE_WAY), PUBLIC_CHARITY) == Promised(to="river-street")
    assert where_it_stands({"is": "donated", **ON_THE_WAY}, PUBLIC_CHARITY) == Promised(to=UNNAMED)


def test_of_a_gift_that_arrived_the_charity_and_the_giving_year():
    arrived = donated(**ON_THE_WAY, delivered="2026-05-30", acknowledged="2026-06-02", meant_for="hill-hospice")
    year = EdtfDate("2026")
    assert where_it_stands(arrived, PUBLIC_CHARITY) == Donated(to="river-street", delivered=year)
    told = where_it_stands(arrived)
    assert (shown_as(told.to), told.delivered) == (UNNAMED, year)


def test_charities_that_may_not_be_named_are_counted_and_stand_as_one():
    quilts = [
        a_quilt("one", destination=donated(delivered="2026-05-30")),
        a_quilt("two", destination=donated(to="hill-hospice", delivered="2026-05-30")),
        a_quilt("three", destination=donated(to="hill-hospice", delivered="2026-05-30")),
        a_quilt("four", destination={"is": "donated", "handed_over": "2026-05-30"}),
    ]
    out = publishable(a_collection(*quilts))
    assert Giving.of(out).lifetime().totals.charities == 2
    assert Giving.of(out).lifetime().totals.without_charity == 1
    assert {shown_as(quilt.destination.to) for quilt in out.quilts.values()} == {UNNAMED} == set(out.partners)


def test_a_giving_year_that_starts_in_april_goes_out_as_such():
    told = where_it_stands(donated(delivered="2027-04-05"), PUBLIC_CHARITY, giving_year_starts="04-06")
    assert told.delivered == EdtfDate("2026-04-06/2027-04-05")


@pytest.mark.parametrize("day", ["about 2026", "2025/2026", "2026/.."])
def test_a_day_that_lies_in_no_year_surely_does_not_go_out(day):
    assert where_it_stands(donated(delivered=day)).delivered is None


@pytest.mark.parametrize("mistyped", ["0206-05-12", "0001-01-01", "9999-12-31"])
@pytest.mark.parametrize("starts", ["01-01", "04-06"])
def test_a_mistyped_year_stops_nothing(mistyped, starts):
    assert where_it_stands(donated(delivered=mistyped), giving_year_starts=starts).delivered is not None


def test_of_washing_it_is_said_whether_not_when():
    assert publish(a_quilt(care={"washed": "2026-03"})).care.washed is True
    assert publish(a_quilt(care={"washed": False})).care.washed is False
    assert publish(a_quilt(care={"label": True})).care.washed is None


# The maker's own choice -------------------------------------------------------------------------


@pytest.mark.parametrize("fact", sorted(FACTS))
def test_the_settings_shorten_the_list_fact_by_fact(marked, fact):
    others = tuple(name for name in FACTS if name != fact)
    settings = marked.settings.model_copy(update={"public": others})
    shortened = publishable(type(marked)(marked.folder, settings, marked.quilts, marked.partners))
    for quilt in shortened.quilts.values():
        whole = publishable(marked).quilts[quilt.id]
        changed = {name for name in Quilt.model_fields if getattr(quilt, name) != getattr(whole, name)}
        assert is_default(quilt, fact) or quilt.destination == UNDECIDED
        assert changed <= {fact} | ({"measured"} if fact == "finished_size" else set())


def test_a_list_of_nothing_leaves_the_titles(marked):
    settings = marked.settings.model_copy(update={"public": ()})
    for quilt in publishable(type(marked)(marked.folder, settings, marked.quilts)).quilts.values():
        assert quilt == Quilt(id=quilt.id, title=quilt.title)
