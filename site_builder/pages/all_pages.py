"""The list of all pages of an edition."""

from collections.abc import Iterator, Sequence

from collection.records.quilt import Quilt
from site_builder.pages.binder.pages import binder_pages
from site_builder.pages.edition import Edition
from site_builder.pages.giving import giving_pages
from site_builder.pages.page_plan import PagePlan
from site_builder.pages.quilt import quilt_pages
from site_builder.pages.wall import browse_pages, homes_page, not_found_page, text_pages, wall_pages


def pages_of(edition: Edition, quilts: Sequence[Quilt]) -> Iterator[PagePlan]:
    """Every page of an edition, each with its own path. `quilts` are in the order of the wall."""
    yield from wall_pages(edition, quilts)
    yield from quilt_pages(edition, quilts)
    yield from browse_pages(edition, quilts)
    yield from homes_page(edition, quilts)
    yield from giving_pages(edition)
    yield from text_pages(edition)
    yield not_found_page(edition)
    if edition.is_binder:
        yield from binder_pages(edition, quilts)
