"""Decides in one place what is public: a list of the fields that may be published, never of those that may not.

A field that is not in the list can't reach the catalogue. `collection.yaml` can remove fields from the list; nothing
can add one.
"""

from collections.abc import Iterable, Iterator, Mapping
from operator import is_
from pathlib import Path
from typing import Any

from collection.giving.arrival import arrival_of, has_arrived
from collection.giving.donations import UNNAMED
from collection.giving.years import giving_year, year_bounds
from collection.records.collection import Collection
from collection.records.destinations import UNDECIDED, Destination, Donated, Gifted, Promised, Staying
from collection.records.fields import Record
from collection.records.partner import Partner
from collection.records.public_fields import FACTS
from collection.records.quilt import BlockSetting, Care, FabricLine, Fibre, Grid, Pattern, Photo, Quilt, Quilting
from collection.records.settings import Maker, MattressRow, Settings, Site, SizeRow, SizeTable
from collection.values.dates import EdtfDate

PUBLIC: Mapping[type[Record], tuple[str, ...]] = {
    Settings: ("title", "maker", "units", "giving_year_starts", "sizes", "public", "site"),
    Maker: ("name", "place"),
    SizeTable: ("replace", "categories", "mattresses", "beds"),
    SizeRow: ("name", "shorter_side", "longer_side"),
    MattressRow: ("name", "size"),
    Site: ("url", "description", "language", "rights"),
    Partner: ("id", "name", "public", "url", "about"),
    Quilt: ("id", "title", *FACTS),
    BlockSetting: ("blocks", "block", "arrangement", "sashing", "cornerstones", "outer_sashing", "borders"),
    Grid: ("columns", "rows"),
    Photo: ("file", "shows", "caption"),
    Pattern: ("name", "designer", "source", "published_in", "published", "url"),
    FabricLine: ("name", "maker", "designer", "year"),
    Quilting: ("by", "how"),
    Fibre: ("top", "backing", "batting"),
    Care: ("washed", "label", "sleeve"),
}
"""The fields that may be published, for each kind of record. A destination is never published unchanged
(see `_destination`). The file name of a photo only finds the picture: no page shows it."""


class PublicForm:
    """A collection as anyone may see it: new records with the public fields and nothing else.

    Code that reads these records can't reach a private field, because they have none. Requests, go-betweens, loans,
    costs, places, notes and former destinations are never published. A charity is published only if its own file has
    `public: true`, and the date of an arrival only as its giving year.
    """

    def __init__(self, collection: Collection):
        self._of = collection
        self._allowed = _allowed_of_a_quilt(collection)
        charities = [partner for partner in collection.partners.values() if partner.kind == "charity"]
        self._charities = {partner.id: _reduced(partner) for partner in charities if partner.public}
        kept_back = (partner.id for partner in charities if not partner.public)
        # Unnamed charities have different IDs, so that they can be counted, and one name on all pages.
        self._unnamed = {partner: f"{UNNAMED}_{number}" for number, partner in enumerate(kept_back, start=1)}

    @property
    def quilts(self) -> Iterator[str]:
        """The IDs of the public quilts."""
        return (quilt.id for quilt in self._of.quilts.values() if quilt.public)

    def quilt(self, quilt_id: str) -> Quilt:
        """A public quilt with its public fields."""
        return _publishable_quilt(self._of.quilts[quilt_id], self._of, self._charities, self._unnamed, self._allowed)

    def collection(self) -> Collection:
        """The collection of all public records."""
        return Collection(
            folder=Path(),
            settings=_reduced(self._of.settings),
            quilts={quilt_id: self.quilt(quilt_id) for quilt_id in self.quilts},
            partners={**self._charities, UNNAMED: Partner(id=UNNAMED, name="A charity", public=True)},
            pages=self._of.pages,
        )


def shown_as(charity: str | None) -> str | None:
    """The ID of a charity on pages; all charities that may not be named share one."""
    return UNNAMED if charity is not None and charity.startswith(UNNAMED) else charity


def publishable(collection: Collection) -> Collection:
    """The public form of a whole collection."""
    return PublicForm(collection).collection()


def _reduced(value: Any) -> Any:
    """A value with only the public fields of its records; the same object if it has no other fields.

    KeyError for a type of record that is not listed: such a record can't be published.
    """
    kind = type(value)
    if value is None or kind is str:
        return value
    if isinstance(value, Record):
        found = [getattr(value, name) for name in PUBLIC[kind]]
        public = [_reduced(each) for each in found]
        is_public_as_it_is = len(public) == len(kind.model_fields) and all(map(is_, public, found))
        # The fields were validated when they were read.
        return (
            value
            if is_public_as_it_is
            else kind.model_construct(**_known(dict(zip(PUBLIC[kind], public, strict=True))))
        )
    if isinstance(value, tuple):
        items = tuple(_reduced(item) for item in value)
        return value if all(map(is_, items, value)) else items
    return value


def _known(facts: Mapping[str, Any]) -> dict[str, Any]:
    return {name: fact for name, fact in facts.items() if fact is not None}


def _allowed_of_a_quilt(collection: Collection) -> list[str]:
    """The fields of a quilt that may be published and that the maker's settings allow."""
    allowed = [name for name in PUBLIC[Quilt] if name not in FACTS or name in collection.settings.public]
    return [*allowed, "measured"] if "finished_size" in allowed else allowed


def _publishable_quilt(
    quilt: Quilt,
    collection: Collection,
    charities: Mapping[str, Partner],
    unnamed: Mapping[str, str],
    allowed: Iterable[str],
) -> Quilt:
    facts = {name: getattr(quilt, name) for name in allowed}
    if "photos" in facts:
        facts["photos"] = tuple(photo for photo in quilt.photos if photo.public)
    if "care" in facts:
        facts["care"] = _care(quilt.care)
    destination = facts.pop("destination", UNDECIDED)
    shown = {name: _reduced(value) for name, value in facts.items()}
    shown["destination"] = _destination(quilt, destination, collection, charities, unnamed)
    return Quilt.model_construct(**_known(shown))


def _care(care: Care | None) -> Care | None:
    """The care, with whether the quilt was washed but not when."""
    if care is None or isinstance(care.washed, bool | None):
        return care
    return care.model_copy(update={"washed": True})


def _destination(
    quilt: Quilt,
    destination: Destination,
    collection: Collection,
    charities: Mapping[str, Partner],
    unnamed: Mapping[str, str],
) -> Destination:
    """A quilt's destination without names of people, days or go-betweens."""
    match destination:
        case Staying():
            return Staying.model_validate({"is": destination.is_})
        case Gifted():
            return Gifted()
        case Promised():
            return Promised(to=_charity(destination.to, charities))
        case Donated() if has_arrived(destination, collection.partners):
            to = unnamed.get(destination.to or "") or _charity(destination.to, charities)
            return Donated(to=to, delivered=_giving_year_of(quilt, destination, collection))
        case Donated():
            return Promised(to=_charity(destination.to, charities))
        case _:  # nothing of a kind that is not named above
            return UNDECIDED


def _charity(charity: str | None, charities: Mapping[str, Partner]) -> str:
    return charity if charity is not None and charity in charities else UNNAMED


def _giving_year_of(quilt: Quilt, donation: Donated, collection: Collection) -> EdtfDate | None:
    """The giving year of a delivery, as a date that covers the whole year."""
    starts = collection.settings.giving_year_starts
    year = giving_year(arrival_of(quilt, len(quilt.history), donation, collection.partners).when, starts)
    if year is None:
        return None
    first, last = year_bounds(year, starts)
    return EdtfDate(f"{first.year:04}" if starts == "01-01" else f"{first}/{last}")
