"""The binder's own pages, in the order of its navigation."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pkgutil import resolve_name

from collection.giving.donations import goes_or_went
from collection.records.collection import is_kept, stays
from collection.records.destinations import Donated, Staying
from collection.records.quilt import Quilt
from collection.values.dates import EdtfDate
from site_builder.pages.binder.listings import Listing
from site_builder.pages.edition import Edition, PageSpec
from site_builder.pages.page_plan import PagePlan
from site_builder.pages.wall import colours_of
from site_builder.views.pages import ListingView


def _all(quilt: Quilt) -> bool:
    return True


def _answers(quilt: Quilt) -> bool:
    """Is it promised or given in answer to a request?"""
    return getattr(quilt.destination, "request", None) is not None


def _may_go(quilt: Quilt) -> bool:
    """Is it free, undecided, or promised or given for a request?"""
    return _answers(quilt) or stays(quilt, "free") or stays(quilt, "undecided")


def _was_lent(quilt: Quilt) -> bool:
    return bool(quilt.loans)


def _waits(quilt: Quilt) -> bool:
    """May there be something to ask about it? Not once the charity's letter has come."""
    has_letter = isinstance(quilt.destination, Donated) and quilt.destination.acknowledged is not None
    return _was_lent(quilt) or not (has_letter or isinstance(quilt.destination, Staying))


def _is_in_the_house(quilt: Quilt) -> bool:
    return quilt.in_the_house


def _is_unfinished(quilt: Quilt) -> bool:
    return quilt.stage != "finished"


@dataclass(frozen=True, slots=True)
class BinderPage:
    """One page that the catalogue does not have.

    `about` selects the quilts that it is made from. `by_day`: it depends on the day. `listed_by` names the
    function that makes its listing, and the module of that function in this package. The module is loaded when
    the page is made, as most builds make few of these pages.
    """

    path: str
    heading: str
    listed_by: str
    about: Callable[[Quilt], bool]
    by_day: bool = False

    def listing(self, edition: Edition, quilts: Sequence[Quilt]) -> Listing:
        listed_by: Callable[[Edition, Sequence[Quilt], str], Listing] = resolve_name(f"{__package__}.{self.listed_by}")
        return listed_by(edition, quilts, self.path)


BINDER_PAGES = (
    BinderPage("requests.html", "Requests", "requests:requests_listing", _answers, by_day=True),
    BinderPage("plan.html", "Match plan", "plan:plan_listing", _may_go, by_day=True),
    BinderPage("follow-ups.html", "Follow-ups", "to_do:follow_ups_listing", _waits, by_day=True),
    BinderPage("handovers.html", "Handovers", "handovers:handovers_listing", goes_or_went),
    BinderPage("recipients.html", "Recipients", "recipients:recipients_listing", goes_or_went),
    BinderPage("places.html", "Places", "house:places_listing", _is_in_the_house),
    BinderPage("loans.html", "On loan", "house:loans_listing", _was_lent, by_day=True),
    BinderPage("to-finish.html", "To finish", "house:to_finish_listing", _is_unfinished),
    BinderPage("costs.html", "Costs", "costs:costs_listing", _all),
    BinderPage("insurance.html", "Insurance list", "house:insurance_listing", is_kept),
    BinderPage("gaps.html", "Gaps", "to_do:gaps_listing", _all),
)


def binder_pages(edition: Edition, quilts: Sequence[Quilt]) -> Iterator[PagePlan]:
    """A page for each of BINDER_PAGES. A page with nothing to list says so."""
    for page in BINDER_PAGES:
        yield PagePlan(page.path, _binder_page, tuple(filter(page.about, quilts)), (page.path,), by_day=page.by_day)


def _binder_page(edition: Edition, quilts: Sequence[Quilt], path: str) -> PageSpec:
    page = next(page for page in BINDER_PAGES if page.path == path)
    intro, sections, shown = page.listing(edition, quilts)
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
