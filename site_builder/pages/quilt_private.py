"""The private sections of a quilt's page: its history, its costs, where it is kept, its notes."""

from collections.abc import Iterator

from collection.records.destinations import Destination
from collection.records.household import Household
from collection.records.quilt import Appraisal, Loan, MaterialsCost, Quilt
from collection.transfers.wording import request_name
from collection.values.dates import EdtfDate
from site_builder.pages.edition import Edition
from site_builder.text.markdown import to_html
from site_builder.text.urls import relative
from site_builder.text.wording import STANDINGS, money_words, standing_of, steps_in_words
from site_builder.views.parts import Cell, Column, Fact, Link, Section, Table, plain_facts


def private_sections(edition: Edition, quilt: Quilt, *, seen_from: str) -> Iterator[Section]:
    """The private part of a quilt's page; only sections that hold something."""
    way = tuple(_way(edition, quilt, seen_from))
    if way:
        yield Section("way", "Where it is bound", facts=way)
    keeping = tuple(_keeping(quilt))
    if keeping:
        yield Section("keeping", "Keeping", facts=keeping)
    if quilt.materials_cost and quilt.materials_cost.items:
        yield Section("materials", "Materials", table=_materials_table(quilt.materials_cost))
    if quilt.loans:
        yield Section("loans", "Loans", table=_loans_table(quilt.loans))
    if quilt.history:
        facts = tuple(
            Fact(f"Before, {number}", tuple(Link(words, "") for words in destination_words(edition, former)))
            for number, former in enumerate(quilt.history, start=1)
        )
        yield Section("history", "Former destinations", facts=facts)
    if quilt.notes:
        yield Section("notes", "Notes", text=to_html(quilt.notes, headings_below=3))


def _way(edition: Edition, quilt: Quilt, seen_from: str) -> Iterator[Fact]:
    if standing_of(quilt, edition.collection) == "undecided":
        yield Fact("Now", (Link(STANDINGS["undecided"][0], ""),))
    words = tuple(destination_words(edition, quilt.destination))
    if words:
        yield Fact("How far", tuple(Link(word, "") for word in words))
    request = edition.collection.requests.get(getattr(quilt.destination, "request", None) or "")
    if request is not None:
        href = relative("requests.html", seen_from=seen_from) + f"#{request.id}"
        name = request_name(request, edition.collection.partners)
        line = getattr(quilt.destination, "line", None)
        yield Fact("Request", (Link(f"{line} for {name}" if line else name, href),))


def destination_words(edition: Edition, destination: Destination) -> Iterator[str]:
    """The steps of a quilt's history, a line for each: to whom, through whom, when."""
    yield from steps_in_words(destination, edition.collection.partners)
    note = getattr(destination, "note", None)
    if note:
        yield note
    ended = getattr(destination, "returned", None) or getattr(destination, "until", None)
    if ended:
        yield f"came back or ended: {ended.say()}"


def household_words(household: Household) -> Iterator[str]:
    """The known facts about the household that a quilt comes from."""
    for fact, yes, no in (
        (household.smoke, "somebody smokes there", "smoke-free"),
        (household.pets, "pets live there", "no pets"),
        (household.scent, "washed or kept with scent", "no scent"),
    ):
        if fact is not None:
            yield yes if fact else no


def _keeping(quilt: Quilt) -> Iterator[Fact]:
    loan, appraisal = quilt.current_loan, quilt.appraisal
    washed = quilt.care.washed if quilt.care else None
    return plain_facts(
        {
            "Kept at": quilt.kept_at,
            "On loan to": loan.to if loan else None,
            "Ready by": quilt.ready_by.say() if quilt.ready_by else None,
            "Condition": ", ".join(filter(None, [quilt.condition, quilt.condition_note])),
            "Washed": washed.say() if isinstance(washed, EdtfDate) else None,
            "Another house": "; ".join(household_words(quilt.household)) if quilt.household else None,
            "Materials": money_words(quilt.materials_cost.total) if quilt.materials_cost else None,
            "Appraised": _appraisal_words(appraisal) if appraisal else None,
            "Catalogue": None if quilt.public else "kept out of it",
        }
    )


def _appraisal_words(appraisal: Appraisal) -> str:
    by = f"by {appraisal.by}" if appraisal.by else None
    on = appraisal.on.say() if appraisal.on else "undated"
    return ", ".join(filter(None, [money_words(appraisal.value), appraisal.kind, by, on]))


def _materials_table(cost: MaterialsCost) -> Table:
    rows = tuple((Cell(item.what), Cell(item.receipt or ""), Cell(money_words(item.amount))) for item in cost.items)
    return Table(
        caption="What was bought",
        columns=(Column("What"), Column("Receipt"), Column("Amount", numeric=True)),
        rows=rows,
        total=(Cell("All"), Cell(""), Cell(money_words(cost.total))),
    )


def _loans_table(loans: tuple[Loan, ...]) -> Table:
    return Table(
        caption="Loans",
        columns=tuple(Column(label) for label in ("To", "For", "From", "Due", "Back", "Note")),
        rows=tuple(
            (
                Cell(loan.to),
                Cell(loan.purpose or ""),
                *(Cell(day.say() if day else "") for day in (loan.start, loan.due)),
                Cell(loan.back.say() if loan.back else "still out"),
                Cell(loan.note or ""),
            )
            for loan in loans
        ),
    )
