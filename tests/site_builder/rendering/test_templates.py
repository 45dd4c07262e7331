"""Every template, over views that are full and views that are nearly empty."""

import itertools
import re
from dataclasses import replace

import html5lib
import pytest
from markupsafe import Markup

from collection.sizes.tables import Mattress
from collection.values.lengths import Length, Size
from site_builder.drawings.bed import bed_drawing
from site_builder.drawings.block_setting import setting_drawing
from site_builder.drawings.giving_quilt import GivenQuilt, GivenTo, giving_picture
from site_builder.drawings.patchwork import head_strip, stand_in
from site_builder.rendering.renderer import Renderer
from site_builder.views.pages import (
    BedView,
    BrowseView,
    FacetTool,
    GivingView,
    GivingYearView,
    GroupEntry,
    GroupsView,
    GroupView,
    HomesView,
    ListingView,
    NavGroup,
    NotFoundView,
    PageHead,
    QuiltView,
    SettingView,
    SizeView,
    TextView,
    WallTools,
    WallView,
    YearEntry,
)
from site_builder.views.parts import (
    Card,
    Cell,
    Column,
    Fact,
    Link,
    PictureView,
    Section,
    Source,
    Table,
)
from tests.collection.construction.block_settings import a_setting

COLOURS = ("#204060", "#f0f0e0", "#a03020")
ODD = "<b>Tom & Ann's</b>"

picture = PictureView((Source("a-400.jpg", 400), Source("a-1600.jpg", 1600)), 1600, 1200, ODD, "hung-134", ODD)
detail = replace(picture, alt="A detail", caption=None)
card = Card("low-tide", "quilts/low-tide.html", ODD, ("about 2016", ODD), picture, None, eager=True)
card_without_photo = replace(
    card, picture=None, stand_in=stand_in("low-tide", COLOURS, title="No photo", shape=(3, 4)), eager=False
)
cards = (card, card_without_photo)
link, words = Link(ODD, "there.html", count=3), Link(ODD, "")
facts = (Fact("Made", (link, words), note=ODD), Fact("Number", (Link("143", ""),)))
table = Table(
    ODD,
    tuple(Column(name, numeric=name == "Costs") for name in ("Quilt", "To", "On", "Letter", "Way", "Costs")),
    ((Cell(ODD, "there.html", picture), *(Cell(ODD) for _ in range(4)), Cell("$84.50")),),
    total=(Cell(""), Cell("All"), *(Cell("") for _ in range(3)), Cell("$84.50")),
)
small_table = Table("By size", (Column("Size"), Column("Quilts", numeric=True)), ((Cell("baby"), Cell("3")),))
full_section = Section("one", ODD, ODD, Markup("<p>Words.</p>"), facts, cards, table)
bare_section = Section("two", "Two")
year = giving_picture([GivenTo(ODD, (GivenQuilt("a", ODD, COLOURS), GivenQuilt("b", ODD, ())))], title=ODD)
nothing_given = giving_picture([], title="Nothing given")
size = Size.parse("63 x 87 in")
twin = Mattress("twin", "twin", Length(39), Length(75), "", "made up")
quilt = QuiltView(
    title=ODD,
    also_called=ODD,
    number="143",
    cover=picture,
    stand_in=None,
    pictures=(detail,),
    facts=facts,
    size=SizeView("63 × 87 in", "160 × 221 cm", "twin", "twin.html", "before washing", "4 sq yd", (BedView(ODD, bed_drawing(size, twin, colours=COLOURS)),)),
    setting=SettingView(ODD, setting_drawing(a_setting(), colours=COLOURS), small_table, ODD),
    story=Markup("<p>Words.</p>"),
    cautions=(ODD,),
    related=(full_section,),
    earlier=link,
    later=link,
    private=(bare_section,),
)  # fmt: skip
bare_quilt = QuiltView(
    title="Untitled", also_called=None, number=None, cover=None, stand_in=card_without_photo.stand_in,
    pictures=(), facts=(), size=None, setting=None, story=None, cautions=(), related=(), earlier=None,
    later=None,
)  # fmt: skip
groups = GroupsView(ODD, ODD, (GroupEntry(link, ODD, cards), GroupEntry(link, None, ())))

VIEWS = {
    "a full wall": ("wall.html", WallView(ODD, "2 quilts", cards, WallTools((FacetTool("sizes", ODD),)), link, link, (Link("1", "#", current="page"),))),
    "an empty wall": ("wall.html", WallView("All quilts", "No quilts yet", (), None, None, None, ())),
    "a full quilt": ("quilt.html", quilt),
    "a bare quilt": ("quilt.html", bare_quilt),
    "a full group": ("group.html", GroupView(ODD, ODD, (full_section, bare_section), link, link)),
    "a group of one part": ("group.html", GroupView(ODD, ODD, (full_section,))),
    "an empty group": ("group.html", GroupView("Baby", "", ())),
    "groups": ("groups.html", groups),
    "no groups": ("groups.html", GroupsView("Size", "", ())),
    "browse": ("browse.html", BrowseView(ODD, (groups,))),
    "homes": ("homes.html", HomesView(ODD, ODD, (full_section,))),
    "no homes wanted": ("homes.html", HomesView("Looking for homes", "None just now.", ())),
    "giving": ("giving.html", GivingView(ODD, ODD, year, facts, (YearEntry(link, ODD, year),), (table, small_table))),
    "no giving": ("giving.html", GivingView("Giving", "", nothing_given, (), (), ())),
    "a year": ("giving_year.html", GivingYearView(ODD, ODD, year, facts, (small_table, table), (full_section,), link, link)),
    "an empty year": ("giving_year.html", GivingYearView("2020", "", nothing_given, (), (), ())),
    "a text": ("text.html", TextView(ODD, Markup("<p>Words.</p>"))),
    "a listing": ("listing.html", ListingView(ODD, ODD, (full_section, bare_section), "25 November 2026")),
    "an empty listing": ("listing.html", ListingView("Gaps", "Nothing is missing.", ())),
    "not found": ("not_found.html", NotFoundView("Nothing here", (link,))),
}  # fmt: skip


def a_head(**changes):
    head = PageHead(
        path="quilts/low-tide.html",
        title=ODD,
        description=ODD,
        edition="catalogue",
        site_title=ODD,
        language="en",
        root="../",
        nav=(NavGroup("", (Link("All", "#", current="page"),)), NavGroup("Browse by", (link, link))),
        trail=(link,),
        strip=head_strip(COLOURS),
        canonical="https://quilts.example/",
        image="https://quilts.example/a.jpg",
        structured=Markup('{"name": "Low Tide"}'),
        rights=ODD,
        has_feed=True,
    )
    return replace(head, **changes)


@pytest.fixture(scope="module")
def render():
    renderer = Renderer()
    return lambda name, **changes: renderer.page(VIEWS[name][0], a_head(**changes), VIEWS[name][1]).decode()


every_view = pytest.mark.parametrize("name", VIEWS)


@every_view
@pytest.mark.parametrize("edition", ["catalogue", "binder"])
def test_a_page_is_sound_html(render, name, edition):
    parser = html5lib.HTMLParser()
    parser.parse(render(name, edition=edition))
    assert parser.errors == []


@every_view
def test_a_page_with_the_least_in_its_head_is_sound_html(render, name):
    parser = html5lib.HTMLParser()
    parser.parse(
        render(name, trail=(), strip=None, canonical=None, image=None, structured=None, rights=None, has_feed=False)
    )
    assert parser.errors == []


@every_view
def test_words_are_escaped(render, name):
    page = render(name)
    assert "<b>Tom" not in page
    assert "&lt;b&gt;Tom &amp; Ann" in page


@every_view
def test_nothing_needs_a_weaker_content_security_policy(render, name):
    page = render(name)
    assert not re.search(r"\s(style|on\w+)=", page)
    assert not re.search(r"<style|<script(?![^>]*( src=| type=\"application/ld\+json\"))", page)


@every_view
def test_every_address_of_our_own_is_relative(render, name):
    links = re.findall(r"(?:src|href)=\"([^\"]*)\"", render(name))
    assert [link for link in links if re.match(r"[a-z]+:|/", link)] == ["https://quilts.example/"]


@every_view
def test_headings_come_in_order_with_one_first_heading(render, name):
    levels = [int(level) for level in re.findall(r"<h([1-6])", render(name))]
    assert levels.count(1) == 1
    assert levels[0] == 1
    assert all(later <= earlier + 1 for earlier, later in itertools.pairwise(levels))


@every_view
def test_every_picture_holds_its_place_and_has_words(render, name):
    for picture in re.findall(r"<img[^>]*>", render(name)):
        assert re.search(r' width="\d+" height="\d+" alt="', picture)
    for drawing in re.findall(r"<svg[^>]*role=\"img\"[^>]*>.{30}", render(name), flags=re.DOTALL):
        assert re.search(r' width="\d+" height="\d+"><title>', drawing)


def test_what_is_seen_first_loads_at_once_and_the_rest_when_needed(render):
    cover, detail = re.findall(r"<img[^>]*>", render("a full quilt"))[:2]
    assert "loading" not in cover
    assert 'loading="lazy"' in detail
    assert "loading" not in re.findall(r"<img[^>]*>", render("a full wall"))[0]


def test_each_picture_of_a_quilt_leads_to_its_largest_rendition(render):
    assert render("a full quilt").count('<a class="larger" href="a-1600.jpg">') == 2


def test_only_the_binder_says_that_it_is_private(render):
    assert "noindex" not in render("a full quilt")
    assert "noindex" in render("a full quilt", edition="binder")


def test_the_page_one_is_on_is_marked_in_the_navigation(render):
    assert '<a href="#" aria-current="page">All</a>' in render("a bare quilt")
