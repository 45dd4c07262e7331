"""The binder's own pages, in the order of its navigation."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from collection.dates import EdtfDate
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
from site_builder.views.pages import ListingView
from site_builder.wall_pages import colours_of


@dataclass(frozen=True, slots=True)
class BinderPage:
    """One page that the catalogue does not have. `by_day`: it reckons what is past from a day."""

    path: str
    heading: str
    listing: Callable[[Edition, Sequence[Quilt], str], Listing]
    by_day: bool = False


BINDER_PAGES = (
    BinderPage("requests.html", "Requests", requests_listing, by_day=True),
    BinderPage("plan.html", "Match plan", plan_listing, by_day=True),
    BinderPage("follow-ups.html", "Follow-ups", follow_ups_listing, by_day=True),
    BinderPage("handovers.html", "Handovers", handovers_listing),
    BinderPage("recipients.html", "Recipients", recipients_listing),
    BinderPage("places.html", "Places", places_listing),
    BinderPage("loans.html", "On loan", loans_listing, by_day=True),
    BinderPage("to-finish.html", "To finish", to_finish_listing),
    BinderPage("costs.html", "Costs", costs_listing),
    BinderPage("insurance.html", "Insurance list", insurance_listing),
    BinderPage("gaps.html", "Gaps", gaps_listing),
)


def binder_pages(edition: Edition, quilts: Sequence[Quilt]) -> Iterator[PageSpec]:
    """A page for each of BINDER_PAGES, also where there is nothing to list: then it says so."""
    for page in BINDER_PAGES:
        intro, sections, shown = page.listing(edition, quilts, page.path)
        day = EdtfDate.parse(edition.on.isoformat()).say() if edition.on and page.by_day else None
        yield PageSpec(
            path=page.path,
            template="listing.html",
            title=page.heading,
            description=intro,
            view=ListingView(heading=page.heading, intro=intro, sections=tuple(sections), on=day),
            colours=colours_of(edition, shown),
            section=page.path,
        )
