"""The sheet for quilts that are lent: to an exhibition, a trunk show, a class.

It goes out of the house: values and the maker's address stand on it only when asked for, and never a note.
Common practice for what it holds. Source: seen, Collections Trust, Spectrum fact sheets on loans in and out;
Spurlock Museum, incoming loan policy.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from collection.dates import EdtfDate
from collection.holdings import Collection, inventory_order
from collection.records.quilt import Loan, Quilt
from site_builder.paperwork.object_record import appraisal_words
from site_builder.words import count_of, due_words, listed, number_words, size_both


@dataclass(frozen=True, slots=True)
class LentLine:
    """One quilt of the sheet. `condition` is the one recorded, from which the one on leaving is noted by hand."""

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
    """The sheet in words. `with_values` says whether there is a column for them."""

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
    """Those who have a quilt now, as the records write them, in the order of the alphabet."""
    out = {quilt.current_loan.to for quilt in collection.quilts.values() if quilt.current_loan}
    return tuple(sorted(out, key=lambda name: (name.casefold(), name)))


def lent_to(collection: Collection, borrower: str) -> tuple[Quilt, ...]:
    """What a borrower has now, by number; capitals do not count."""
    return tuple(
        sorted(
            (q for q in collection.quilts.values() if q.current_loan and _same(q.current_loan.to, borrower)),
            key=inventory_order,
        )
    )


def _same(one: str, other: str) -> bool:
    return " ".join(one.casefold().split()) == " ".join(other.casefold().split())


def loan_sheet(
    collection: Collection, quilts: Iterable[Quilt], *, on: EdtfDate, with_values: bool = False, with_address: bool = False
) -> LoanSheet:
    """The sheet for quilts that are all lent to the same borrower, as of a day."""
    settings = collection.settings
    quilts = tuple(quilts)
    loans = [quilt.current_loan for quilt in quilts]
    lender = ", ".join(filter(None, [settings.maker.name or settings.title, settings.maker.place]))
    borrower = loans[0].to
    return LoanSheet(
        title="Loan sheet",
        lender=lender,
        address=settings.maker.address if with_address else None,
        borrower=borrower,
        purpose=listed(list(dict.fromkeys(loan.purpose for loan in loans if loan.purpose))) or None,
        date=on.say(),
        count=count_of(len(quilts), "quilt"),
        lines=tuple(
            _line(collection, quilt, loan, on, with_values) for quilt, loan in zip(quilts, loans, strict=True)
        ),
        with_values=with_values,
        language=settings.site.language,
        foot=f"Loan sheet: {settings.maker.name or settings.title} to {borrower}, {on.say()}",
    )


def _line(collection: Collection, quilt: Quilt, loan: Loan, on: EdtfDate, with_values: bool) -> LentLine:
    size = quilt.finished_size
    care = quilt.care
    fitted = [
        "labelled" if care and care.label else None,
        "with a hanging sleeve" if care and care.sleeve else None,
    ]
    return LentLine(
        id=quilt.id,
        number=number_words(quilt),
        title=quilt.title,
        size=size_both(size, collection.settings.units) if size else "not measured",
        condition=quilt.condition,
        fitted=", ".join(filter(None, fitted)) or None,
        since=loan.start.say() if loan.start else None,
        due=due_words(loan.due, on.exact_day),
        value=_value(quilt) if with_values else None,
    )


def _value(quilt: Quilt) -> str:
    """What it was appraised at, with kind and date; `none recorded` leaves it to be agreed."""
    return appraisal_words(quilt) if quilt.appraisal else "none recorded"
