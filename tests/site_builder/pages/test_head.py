"""What stands round every page: the ways to other pages above all."""

import pytest

from site_builder.pages.all_pages import pages_of
from site_builder.pages.edition import Edition
from site_builder.pages.head import PageHeads
from site_builder.pages.wall import wall_order
from site_builder.rendering.renderer import Renderer
from tests.support.made_records import a_collection, a_quilt


def head_of(path: str, edition: Edition):
    plan = next(plan for plan in pages_of(edition, wall_order(edition)) if plan.path == path)
    spec = plan.page(edition)
    return spec, PageHeads(edition, ()).head(spec)


def catalogue(**settings) -> Edition:
    return Edition.catalogue(a_collection(a_quilt("low-tide"), **settings), {})


def test_pages_name_each_other_relatively():
    _, head = head_of("quilts/low-tide.html", catalogue(site={"url": "https://quilts.example/of/mine"}))
    assert head.root == "../"
    assert [link.href for link in head.nav[0].links][:2] == ["../index.html", "../browse.html"]


@pytest.mark.parametrize(
    ("url", "top"),
    [
        ("https://quilts.example", "/"),
        ("https://quilts.example/of/mine", "/of/mine/"),
    ],
)
def test_from_what_is_not_found_all_ways_lead_back_however_deep_the_address_was(url, top):
    spec, head = head_of("404.html", catalogue(site={"url": url}))
    assert head.root == top
    assert all(link.href.startswith(top) for group in head.nav for link in group.links)
    page = Renderer().page(spec.template, head, spec.view).decode()
    assert f'<a href="{top}index.html">All quilts</a>' in page
    assert f'<a href="{top}browse.html">Browse</a>' in page


def test_where_the_site_will_stand_is_not_known_what_is_not_found_has_relative_ways():
    _, head = head_of("404.html", catalogue())
    assert head.root == ""
    assert head.nav[0].links[0].href == "index.html"
