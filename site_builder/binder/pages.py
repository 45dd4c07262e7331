"""The binder's own pages, in the order of its navigation."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from collection.dates import EdtfDate
from collection.records.destinations import Donated, Staying
from collection.records.quilt import Quilt
from site_builder.binder.costs import costs_listing
from site_builder.binder.handovers import handovers_listing
from site_builder.binder.house import insurance_listing, loans_listing, places_listing, to_finish_listing
from site_builder.binder.listings import Listing
from site_builder.binder.plan import plan_listing
from site_builder.binder.recipients import recipients_listing
from site_builder.binder.requests import requests_listing
from site_builder.binder.to_do import follow_ups_listing, gaps_listing
from site_builder.edition import Edition, PageSpec
from site_builder.page_plans import PagePlan
from site_builder.paperwork.insurance_list import is_kept
from site_builder.views.pages import ListingView
from site_builder.wall_pages import colours_of


def _all(quilt: Quilt) -> bool:
    return True


def _has_gone(quilt: Quilt) -> bool:
    """Is it promised, given, a gift or lost, or was it once?"""
    return not isinstance(quilt.destination, Staying) or bool(quilt.history)


def _answers(quilt: Quilt) -> bool:
    """Is it promised or given in answer to a request?"""
    return getattr(quilt.destination, "request", None) is not None


def _may_go(quilt: Quilt) -> bool:
    return _answers(quilt) or (isinstance(quilt.destination, Staying) and quilt.destination.is_ == "free")


def _was_lent(quilt: Quilt) -> bool:
    return bool(quilt.loans)


def _waits(quilt: Quilt) -> bool:
    """May it be that somebody is to be asked about it? Not once the charity's letter came."""
    has_letter = isinstance(quilt.destination, Donated) and quilt.destination.acknowledged is not None
    return _was_lent(quilt) or not (has_letter or isinstance(quilt.destination, Staying))


def _is_in_the_house(quilt: Quilt) -> bool:
    return quilt.in_the_house


def _is_unfinished(quilt: Quilt) -> bool:
    return quilt.stage != "finished"


@dataclass(frozen=True, slots=True)
class BinderPage:
    """One page that the catalogue does not have.

    `about` says which quilts it is made from; of the others it sees nothing. `by_day`: it reckons what is
    past from a day.
    """

    path: str
    heading: str
    listing: Callable[[Edition, Sequence[Quilt], str], Listing]
    about: Callable[[Quilt], bool]
    by_day: bool = False


BINDER_PAGES = (
    BinderPage("requests.html", "Requests", requests_listing, _answers, by_day=True),
    BinderPage("plan.html", "Match plan", plan_listing, _may_go, by_day=True),
    BinderPage("follow-ups.html", "Follow-ups", follow_ups_listing, _waits, by_day=True),
    BinderPage("handovers.html", "Handovers", handovers_listing, _has_gone),
    BinderPage("recipients.html", "Recipients", recipients_listing, _has_gone),
    BinderPage("places.html", "Places", places_listing, _is_in_the_house),
    BinderPage("loans.html", "On loan", loans_listing, _was_lent, by_day=True),
    BinderPage("to-finish.html", "To finish", to_finish_listing, _is_unfinished),
    BinderPage("costs.html", "Costs", costs_listing, _all),
    BinderPage("insurance.html", "Insurance list", insurance_listing, is_kept),
    BinderPage("gaps.html", "Gaps", gaps_listing, _all),
)


def binder_pages(edition: Edition, quilts: Sequence[Quilt]) -> Iterator[PagePlan]:
    """A page for each of BINDER_PAGES, also where there is nothing to list: then it says so."""
    for page in BINDER_PAGES:
        yield PagePlan(page.path, _binder_page, tuple(filter(page.about, quilts)), (page.path,), by_day=page.by_day)


def _binder_page(edition: Edition, quilts: Sequence[Quilt], path: str) -> PageSpec:
    page = next(page for page in BINDER_PAGES if page.path == path)
    intro, sections, shown = page.listing(edition, quilts, path)
    return PageSpec(
        path=path,
        template="listing.html",
        title=page.heading,
        description=intro,
        view=ListingView(
            heading=page.heading,
            intro=intro,
            sections=tuple(sections),
            on=EdtfDate.parse(edition.on.isoformat()).say() if edition.on else None,
        ),
        colours=colours_of(edition, shown),
        section=path,
    )
