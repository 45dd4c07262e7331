"""The insurance list of the kept quilts: an object record of each, with the kind and date of its appraisal."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date

from collection.records.as_of import is_later
from collection.records.collection import Collection, inventory_order, is_kept
from collection.records.quilt import Quilt
from collection.values.dates import EdtfDate
from collection.values.money import Money
from site_builder.documents.object_id import Entry, appraisal_words, object_record
from site_builder.text.wording import NOT_RECORDED, count_of, money_words, number_words

KEEP_A_COPY = "Store a copy of this list away from the quilts."
KINDS_DIFFER = (
    "An appraisal is worth only what its kind and date say; ask your insurer which kind it takes. What different "
    "kinds come to is not added up."
)


@dataclass(frozen=True, slots=True)
class ListedQuilt:
    """One quilt of the list in words."""

    id: str
    number: str | None
    title: str
    entries: tuple[Entry, ...]
    materials: str
    appraisal: str


@dataclass(frozen=True, slots=True)
class KindSum:
    """The sum of the appraisals of one kind."""

    kind: str
    count: int
    total: Money

    @property
    def words(self) -> str:
        return f"{self.kind}: {count_of(self.count, 'quilt')}, {self.total.say_sum()}"


@dataclass(frozen=True, slots=True)
class InsuranceList:
    """The list in words. `sums` has a line for each kind of appraisal; `language` is that of the maker's own words."""

    title: str
    owner: str
    date: str
    lead: str
    advice: tuple[str, ...]
    sums: tuple[str, ...]
    quilts: tuple[ListedQuilt, ...]
    language: str
    foot: str


def kept_quilts(collection: Collection, *, on: date) -> tuple[Quilt, ...]:
    """The quilts kept on a day, in the order of the inventory, without those made later."""
    kept = (quilt for quilt in collection.quilts.values() if is_kept(quilt) and not is_later(quilt.made, on))
    return tuple(sorted(kept, key=inventory_order))


def sums_by_kind(quilts: Iterable[Quilt], currency: str | None) -> tuple[KindSum, ...]:
    """The sum of the appraisals of each kind, in alphabetical order; those of no kind last."""
    found: dict[str | None, list[Money]] = {}
    for quilt in quilts:
        if quilt.appraisal is not None:
            found.setdefault(quilt.appraisal.kind, []).append(quilt.appraisal.value)
    return tuple(
        KindSum(kind or "kind not recorded", len(values), sum(values, Money.nothing(currency)))
        for kind, values in sorted(found.items(), key=lambda item: (item[0] is None, item[0] or ""))
    )


def insurance_list(collection: Collection, *, on: date) -> InsuranceList:
    """The list as of a day."""
    settings = collection.settings
    quilts = kept_quilts(collection, on=on)
    day = EdtfDate.parse(on.isoformat()).say()
    owner = settings.maker.name or settings.title
    return InsuranceList(
        title="Insurance list",
        owner=owner,
        date=day,
        lead=" ".join(_lead(quilts)),
        advice=(KEEP_A_COPY, KINDS_DIFFER),
        sums=tuple(each.words for each in sums_by_kind(quilts, settings.currency)),
        quilts=tuple(_listed(collection, quilt) for quilt in quilts),
        language=settings.site.language,
        foot=f"Insurance list of {owner}, {day}",
    )


def _lead(quilts: tuple[Quilt, ...]) -> Iterator[str]:
    lacking = sum(quilt.appraisal is None for quilt in quilts)
    yield f"{count_of(len(quilts), 'quilt')} kept."
    if lacking:
        yield f"{count_of(lacking, 'of them has', 'of them have')} no appraisal."


def _listed(collection: Collection, quilt: Quilt) -> ListedQuilt:
    cost = quilt.materials_cost
    return ListedQuilt(
        id=quilt.id,
        number=number_words(quilt),
        title=quilt.title,
        entries=object_record(collection, quilt),
        materials=money_words(cost.total) if cost else NOT_RECORDED,
        appraisal=appraisal_words(quilt),
    )
