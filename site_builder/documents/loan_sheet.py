"""The sheet for quilts that are lent: to an exhibition, a trunk show, a class.

It leaves the house: it holds values and the maker's address only on request, and never a note.
Common practice for what it holds. Source: seen, Collections Trust, Spectrum fact sheets on loans in and out;
Spurlock Museum, incoming loan policy.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from collection.quotes import listed
from collection.records.collection import Collection, inventory_order
from collection.records.quilt import Loan, Quilt
from collection.values.dates import EdtfDate
from site_builder.documents.object_id import appraisal_words
from site_builder.text.wording import (
    count_of,
    due_words,
    measured_size,
    number_words,
)


@dataclass(frozen=True, slots=True)
class LentLine:
    """One quilt of the sheet. `condition` is the recorded one; the condition on leaving is noted by hand."""

    id: str
    number: str | None
    title: str
    size: str
    condition: str | None
    fitted: str | None
    since: str | None
    due: str
    value: str | None


@dataclass(frozen=True, slots=True)
class LoanSheet:
    """The sheet in words. `with_values`: there is a column of values."""

    title: str
    lender: str
    address: str | None
    borrower: str
    purpose: str | None
    date: str
    count: str
    lines: tuple[LentLine, ...]
    with_values: bool
    language: str
    foot: str


def borrowers(collection: Collection) -> tuple[str, ...]:
    """Everyone who has a quilt on loan now, as the records write the names, in alphabetical order."""
    out = {quilt.current_loan.to for quilt in collection.quilts.values() if quilt.current_loan}
    return tuple(sorted(out, key=lambda name: (name.casefold(), name)))


def lent_to(collection: Collection, borrower: str) -> tuple[Quilt, ...]:
    """The quilts that a borrower has now, in the order of the inventory. Capitals and spaces do not count."""
    out = ((quilt.current_loan, quilt) for quilt in collection.quilts.values())
    found = (quilt for loan, quilt in out if loan and _folded(loan.to) == _folded(borrower))
    return tuple(sorted(found, key=inventory_order))


def _folded(name: str) -> str:
    return " ".join(name.casefold().split())


def loan_sheet(
    collection: Collection,
    quilts: Iterable[Quilt],
    *,
    on: EdtfDate,
    with_values: bool = False,
    with_address: bool = False,
) -> LoanSheet:
    """The sheet as of a day for quilts that are all lent to the same borrower."""
    settings = collection.settings
    lent = [(quilt, quilt.current_loan) for quilt in quilts if quilt.current_loan]
    borrower = lent[0][1].to
    return LoanSheet(
        title="Loan sheet",
        lender=", ".join(filter(None, [settings.maker.name or settings.title, settings.maker.place])),
        address=settings.maker.address if with_address else None,
        borrower=borrower,
        purpose=listed(list(dict.fromkeys(loan.purpose for _, loan in lent if loan.purpose))) or None,
        date=on.say(),
        count=count_of(len(lent), "quilt"),
        lines=tuple(_line(collection, quilt, loan, on, with_values) for quilt, loan in lent),
        with_values=with_values,
        language=settings.site.language,
        foot=f"Loan sheet: {settings.maker.name or settings.title} to {borrower}, {on.say()}",
    )


def _line(collection: Collection, quilt: Quilt, loan: Loan, on: EdtfDate, with_values: bool) -> LentLine:
    care = quilt.care
    fitted = ["labelled" if care and care.label else None, "with a hanging sleeve" if care and care.sleeve else None]
    # "none recorded" leaves the value to be agreed.
    value = appraisal_words(quilt) if quilt.appraisal else "none recorded"
    return LentLine(
        id=quilt.id,
        number=number_words(quilt),
        title=quilt.title,
        size=measured_size(quilt, collection.settings.units),
        condition=quilt.condition,
        fitted=", ".join(filter(None, fitted)) or None,
        since=loan.start.say() if loan.start else None,
        due=due_words(loan.due, on.exact_day),
        value=value if with_values else None,
    )
