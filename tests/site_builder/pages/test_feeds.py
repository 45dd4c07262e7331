"""The feed, the site map and the catalogue as data, as other programs read them."""

import json
import re
from dataclasses import replace
from datetime import date, datetime
from itertools import combinations
from urllib.parse import unquote, urljoin, urlparse
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from site_builder.images.picture import Picture, QuiltColours, Rendition
from site_builder.pages.all_pages import pages_of
from site_builder.pages.edition import Edition
from site_builder.pages.feeds import NEWEST, web_files
from site_builder.pages.wall import wall_order
from tests.support.made_records import a_charity, a_collection, a_quilt, donated

SITE = {"url": "https://quilts.example/of/mine", "description": "Quilts & more", "language": "en-GB", "rights": "© me"}
ATOM = "{http://www.w3.org/2005/Atom}"
SITE_MAP = "{http://www.sitemaps.org/schemas/sitemap/0.9}"

COVER = Picture(
    digest="d",
    width=4000,
    height=3000,
    renditions=tuple(Rendition(w, w * 3 // 4, f"{'0a' * 10}-{w}.jpg", w) for w in (400, 800, 1600)),
    average_colour="#224466",
    colours=QuiltColours((("#224466", 0.7), ("#ddccbb", 0.3)), (("blue", 0.7), ("brown", 0.3))),
)


def catalogue(*records, pictures=None, **settings) -> Edition:
    return Edition.catalogue(a_collection(*records, **({"site": SITE} | settings)), pictures or {})


def pages_of_edition(edition: Edition) -> list[str]:
    return [plan.path for plan in pages_of(edition, wall_order(edition))]


def files(edition: Edition) -> dict[str, bytes]:
    return web_files(edition, pages_of_edition(edition))


def feed(*records, **more) -> ElementTree.Element:
    return ElementTree.fromstring(files(catalogue(*records, **more))["feed.xml"])


def data(*records, **more) -> list[dict]:
    return json.loads(files(catalogue(*records, **more))["catalogue.json"])["quilts"]


def test_an_approximate_size_says_so_in_the_data():
    [about] = data(a_quilt(finished_size="about 60 x 80"))
    assert about["finished_size"]["approximate"] is True
    assert about["finished_size"]["width"] == {"in": "60", "cm": 152.5}
    assert about["finished_size"]["least"]["width"] == {"in": "57", "cm": 145.0}
    [within] = data(a_quilt(finished_size="60-62 x 80"))
    assert within["finished_size"]["most"]["width"]["in"] == "62"
    [exact] = data(a_quilt(finished_size="60 x 80"))
    assert set(exact["finished_size"]) == {"width", "length"}


def text_of(element: ElementTree.Element, *tags: str) -> str | None:
    return element.findtext("/".join(ATOM + tag for tag in tags))


# Feed -------------------------------------------------------------------------------------------


def assert_atom(root: ElementTree.Element) -> None:
    """What a feed and its entries must have. Source: RFC 4287, 4.1.1, 4.1.2, 3.3 and 4.2.6."""
    assert root.tag == f"{ATOM}feed"
    for element in (root, *root.iter(f"{ATOM}entry")):
        for required in ("id", "title", "updated"):
            assert len(element.findall(ATOM + required)) == 1, required
        assert urlparse(text_of(element, "id")).scheme == "https"
        stamp = text_of(element, "updated")
        assert re.fullmatch(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ", stamp)
        datetime.fromisoformat(stamp)
        for link in element.findall(f"{ATOM}link"):
            assert link.get("href")
    assert text_of(root, "author", "name")
    assert [link.get("href") for link in root.findall(f"{ATOM}link") if link.get("rel") == "self"]
    for entry in root.iter(f"{ATOM}entry"):
        assert [link for link in entry.findall(f"{ATOM}link") if link.get("rel", "alternate") == "alternate"]
    ids = [text_of(element, "id") for element in (root, *root.iter(f"{ATOM}entry"))]
    assert len(ids) == len(set(ids))


def test_a_feed_has_what_every_feed_must_have():
    root = feed(a_quilt(made="2016-05-12", story="By the *sea*."), a_quilt("high-tide", made="about 2015"))
    assert_atom(root)
    assert text_of(root, "id") == "https://quilts.example/of/mine/"
    assert text_of(root, "subtitle") == "Quilts & more"
    assert text_of(root, "rights") == "© me"
    assert root.get("{http://www.w3.org/XML/1998/namespace}lang") == "en-GB"
    assert [text_of(entry, "title") for entry in root.iter(f"{ATOM}entry")] == ["Low Tide", "High Tide"]


def test_an_entry_leads_to_its_page_and_holds_the_picture_and_the_story():
    quilt = a_quilt(made="2016", story="By the *sea*.", photos=["low-tide/front.jpg"])
    (entry,) = feed(quilt, pictures={"low-tide/front.jpg": COVER}).iter(f"{ATOM}entry")
    assert text_of(entry, "id") == "https://quilts.example/of/mine/quilts/low-tide.html"
    content = entry.find(f"{ATOM}content")
    assert content.get("type") == "html"
    assert content.text == (
        '<p><img src="https://quilts.example/of/mine/pictures/0a0a0a0a0a0a0a0a0a0a-800.jpg" width="800" height="600" '
        'alt="Low Tide"></p><p>By the <em>sea</em>.</p>'
    )


def test_a_picture_that_is_damaged_is_not_in_the_feed():
    quilt = a_quilt(made="2016", photos=["low-tide/front.jpg"])
    (entry,) = feed(quilt, pictures={"low-tide/front.jpg": replace(COVER, problem="cut short")}).iter(f"{ATOM}entry")
    assert entry.find(f"{ATOM}content") is None


@pytest.mark.parametrize(
    ("made", "day"),
    [
        ("2016", "2016-01-01"),
        ("2016-05", "2016-05-01"),
        ("2016-05-12", "2016-05-12"),
        ("1990s", "1990-01-01"),
        ("2015/..", "2015-01-01"),
    ],
)
def test_an_entry_is_dated_by_the_first_day_on_which_the_quilt_may_have_been_made(made, day):
    (entry,) = feed(a_quilt(made=made)).iter(f"{ATOM}entry")
    assert text_of(entry, "updated") == f"{day}T00:00:00Z"


REFINED = list(combinations(["201X", "2015/2016", "2016", "2016-05", "2016-05-12"], 2))


@pytest.mark.parametrize(("vague", "exact"), REFINED)
def test_a_date_that_becomes_known_more_exactly_never_moves_back(vague, exact):
    before, after = (text_of(feed(a_quilt(made=made)), "updated") for made in (vague, exact))
    assert before <= after


def test_the_feed_holds_the_newest_and_is_as_new_as_the_newest_of_them():
    quilts = [a_quilt(f"quilt-{number}", made=f"{1950 + number}") for number in range(NEWEST + 5)]
    root = feed(*quilts)
    days = [text_of(entry, "updated") for entry in root.iter(f"{ATOM}entry")]
    assert len(days) == NEWEST
    assert days == sorted(days, reverse=True)
    assert text_of(root, "updated") == days[0] == "1984-01-01T00:00:00Z"


def test_a_feed_without_news_is_a_feed():
    for quilts in ((), (a_quilt(),), (a_quilt(made="before 2010"),)):
        root = feed(*quilts)
        assert_atom(root)
        assert not list(root.iter(f"{ATOM}entry"))


TITLES = st.text(st.characters(codec="utf-8"), min_size=1).filter(lambda title: any(sign.isalnum() for sign in title))


@pytest.mark.parametrize(
    "title",
    ["<b>\"Low\" & 'high'</b>", "]]> <!-- x -->", "גאות ושפל", "\u202eedit woL", "bell \x07 and \ufffe", "Tide 🌊"],
)
def test_any_title_can_stand_in_the_feed(title):
    root = feed(a_quilt(title=title, made="2016", story=title))
    assert_atom(root)
    (entry,) = root.iter(f"{ATOM}entry")
    assert text_of(entry, "title") == re.sub("[\x07\ufffe]", "", title)


@given(TITLES)
def test_whatever_the_words_are_the_files_can_be_read(title):
    edition = catalogue(a_quilt(title=title, made="2016", story=title), maker=title, title=title)
    made = files(edition)
    assert_atom(ElementTree.fromstring(made["feed.xml"]))
    ElementTree.fromstring(made["sitemap.xml"])
    assert json.loads(made["catalogue.json"])["title"] == edition.collection.settings.title


# Site map ---------------------------------------------------------------------------------------


def test_the_site_map_names_every_page_once_and_no_page_for_lost_visitors():
    edition = catalogue(a_quilt("blåbær", title="Blåbær", pattern="Kringsjå & Co."))
    pages = set(pages_of_edition(edition)) - {"404.html"}
    root = ElementTree.fromstring(files(edition)["sitemap.xml"])
    assert root.tag == f"{SITE_MAP}urlset"
    addresses = [loc.text for loc in root.findall(f"{SITE_MAP}url/{SITE_MAP}loc")]
    assert all(address.isascii() for address in addresses)
    found = [unquote(address).removeprefix("https://quilts.example/of/mine/") for address in addresses]
    assert sorted(found) == sorted(pages)


# The catalogue as data --------------------------------------------------------------------------


def test_all_that_is_public_of_a_quilt_is_in_the_data():
    quilt = a_quilt(
        "blåbær",
        title="Blåbær",
        number=143,
        made="about 2016",
        finished_size="60 1/2 x 72",
        pattern="Low Tide",
        fabric_lines=["Harbour"],
        blocks=["nine patch"],
        techniques=["pieced"],
        suits=["children"],
        photos=["front.jpg"],
        destination=donated(delivered="2026-05-30"),
    )
    (told,) = data(quilt, a_charity(public=True), pictures={"front.jpg": COVER})
    assert told == {
        "id": "blåbær",
        "title": "Blåbær",
        "address": "quilts/bl%C3%A5b%C3%A6r.html",
        "number": 143,
        "made": "2016~",
        "finished_size": {"width": {"in": "60 1/2", "cm": 153.5}, "length": {"in": "72", "cm": 183.0}},
        "category": "lap",
        "pattern": "Low Tide",
        "fabric_lines": ["Harbour"],
        "blocks": ["nine patch"],
        "techniques": ["pieced"],
        "colours": ["blue", "brown"],
        "palette": ["#224466", "#ddccbb"],
        "suits": ["children"],
        "destination": "given",
    }
    assert urljoin("https://quilts.example/of/mine/", told["address"]).endswith("/quilts/bl%C3%A5b%C3%A6r.html")


def test_what_is_not_known_is_left_out_of_the_data():
    assert data(a_quilt()) == [{"id": "low-tide", "title": "Low Tide", "address": "quilts/low-tide.html"}]


def test_what_may_not_go_out_is_not_in_the_data():
    quilt = a_quilt(number=143, colours=["blue"], photos=["front.jpg"], destination="kept", pattern="Low Tide")
    (told,) = data(quilt, pictures={"front.jpg": COVER}, public=["number", "photos"])
    assert set(told) == {"id", "title", "address", "number"}


def test_a_lost_quilt_is_told_like_one_of_which_nothing_is_decided():
    assert data(a_quilt(destination="lost")) == data(a_quilt(destination="undecided"))


# Which there are --------------------------------------------------------------------------------


def test_without_an_address_there_is_the_data_alone():
    assert set(files(catalogue(a_quilt(), site={}))) == {"catalogue.json"}
    assert set(files(catalogue(a_quilt()))) == {"catalogue.json", "feed.xml", "sitemap.xml"}


def test_the_binder_has_none_of_them_but_says_that_it_is_private():
    binder = Edition.binder(a_collection(a_quilt(), site=SITE), {}, date(2026, 10, 20))
    (said,) = files(binder).items()
    assert said[0] == "README.txt" and said[1].startswith(b"PRIVATE")


def test_the_same_records_give_the_same_bytes_in_whatever_order_they_come():
    quilts = [a_quilt(f"quilt-{number}", made="2016") for number in range(8)]
    assert files(catalogue(*quilts)) == files(catalogue(*reversed(quilts)))
