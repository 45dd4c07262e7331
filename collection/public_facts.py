"""The one place that decides what is public: a list of what may go out, never of what may not.

A fact that is not named here can't reach the catalogue, however it is recorded. `collection.yaml`
may shorten the list; nothing can lengthen it.
"""

from collections.abc import Mapping

from collection.dates import EdtfDate
from collection.giving import delivered_on, giving_year, state_of, year_bounds
from collection.holdings import Collection
from collection.records.destinations import (
    UNDECIDED,
    Destination,
    Donated,
    Gifted,
    Promised,
    Staying,
)
from collection.records.facts import FACTS
from collection.records.partner import Partner
from collection.records.quilt import Care, Photo, Quilt
from collection.records.settings import Maker, Settings

UNNAMED = "unnamed-charity"
"""Stands for every charity that may not be named."""


def publishable(collection: Collection) -> Collection:
    """The collection as anyone may see it: new records that hold the public facts and nothing else.

    What reads the result can't reach a private field, because it is not there. Requests, go-betweens,
    loans, costs, places, notes and former destinations never go out; a charity only where its own file
    says `public: true`; of a day on which a quilt arrived, only the giving year.
    """
    charities = {
        partner.id: Partner(id=partner.id, name=partner.name, public=True, url=partner.url, about=partner.about)
        for partner in collection.partners.values()
        if partner.public and partner.kind == "charity"
    }
    unnamed = Partner(id=UNNAMED, name="A charity", public=True)
    return Collection(
        folder=collection.folder,
        settings=_publishable_settings(collection.settings),
        quilts={
            quilt.id: _publishable_quilt(quilt, collection, charities)
            for quilt in collection.quilts.values()
            if quilt.public
        },
        partners={**charities, UNNAMED: unnamed},
        pages=collection.pages,
    )


def _publishable_settings(settings: Settings) -> Settings:
    return Settings(
        title=settings.title,
        maker=Maker(name=settings.maker.name, place=settings.maker.place),
        units=settings.units,
        giving_year_starts=settings.giving_year_starts,
        sizes=settings.sizes,
        public=settings.public,
        site=settings.site,
    )


def _publishable_quilt(quilt: Quilt, collection: Collection, charities: Mapping[str, Partner]) -> Quilt:
    reduced = {
        "photos": tuple(
            Photo(file=photo.file, shows=photo.shows, caption=photo.caption)
            for photo in quilt.photos
            if photo.public
        ),
        "care": _publishable_care(quilt.care),
        "destination": _publishable_destination(quilt.destination, collection, charities),
    }
    allowed = [fact for fact in FACTS if fact in collection.settings.public]
    facts = {fact: reduced.get(fact, getattr(quilt, fact)) for fact in allowed}
    if "finished_size" in facts:
        facts["measured"] = quilt.measured
    return Quilt(id=quilt.id, title=quilt.title, **facts)


def _publishable_care(care: Care | None) -> Care | None:
    """Whether it was washed, not when."""
    if care is None:
        return None
    washed = care.washed if isinstance(care.washed, bool | None) else True
    return Care(washed=washed, label=care.label, sleeve=care.sleeve)


def _publishable_destination(
    destination: Destination, collection: Collection, charities: Mapping[str, Partner]
) -> Destination:
    """Where a quilt stands, without names of persons, without days, without the way that it took."""
    match destination:
        case Staying():
            return Staying.model_validate({"is": destination.is_})
        case Gifted():
            return Gifted()
        case Promised():
            return Promised(to=_publishable_charity(destination.to, charities))
        case Donated():
            charity = _publishable_charity(destination.to, charities)
            if state_of(destination, collection.partners) not in ("delivered", "acknowledged"):
                return Promised(to=charity)
            return Donated(to=charity, delivered=_giving_year_of(destination, collection))
        case _:
            return UNDECIDED


def _publishable_charity(charity: str | None, charities: Mapping[str, Partner]) -> str:
    return charity if charity in charities else UNNAMED


def _giving_year_of(donation: Donated, collection: Collection) -> EdtfDate | None:
    starts = collection.settings.giving_year_starts
    year = giving_year(delivered_on(donation, collection.partners), starts)
    if year is None:
        return None
    first, last = year_bounds(year, starts)
    return EdtfDate.parse(str(year) if starts == "01-01" else f"{first}/{last}")
