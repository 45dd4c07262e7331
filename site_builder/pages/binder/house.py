"""The binder's pages of the quilts at home: places, loans, unfinished quilts, and the insurance list."""

from collections.abc import Sequence

from collection.records.collection import inventory_order, is_kept
from collection.records.quilt import Loan, Quilt
from site_builder.documents.insurance_list import KEEP_A_COPY, KINDS_DIFFER
from site_builder.documents.object_id import appraisal_words, object_record, place_words
from site_builder.pages.binder.listings import Listing, columns, day_cell, in_order, quilt_cell, size_cell
from site_builder.pages.cards import cards
from site_builder.pages.edition import Edition
from site_builder.text.wording import NOT_RECORDED, count_of, due_words, money_words
from site_builder.views.parts import Cell, Section, Table, plain_facts


def places_listing(edition: Edition, quilts: Sequence[Quilt], path: str) -> Listing:
    """The quilts in the house, by place."""
    here = [quilt for quilt in quilts if quilt.in_the_house]
    places: dict[str | None, list[Quilt]] = {}
    for quilt in here:
        place = f"On loan: {quilt.current_loan.to}" if quilt.current_loan else quilt.kept_at
        places.setdefault(place, []).append(quilt)
    sections = [
        Section(
            anchor=f"place-{number}",
            heading=place or "Place not recorded",
            note=count_of(len(members), "quilt"),
            cards=cards(edition, members, seen_from=path),
        )
        for number, (place, members) in enumerate(
            sorted(places.items(), key=lambda item: (item[0] is None, (item[0] or "").casefold())), start=1
        )
    ]
    known = len(places) - (None in places)
    return f"{count_of(len(here), 'quilt')} in the house, in {count_of(known, 'place')}.", sections, here


def loans_listing(edition: Edition, quilts: Sequence[Quilt], path: str) -> Listing:
    """The quilts out on loan, the longest overdue first, then former loans."""
    out = [(quilt, quilt.current_loan) for quilt in quilts if quilt.current_loan]
    out.sort(key=lambda pair: (pair[1].due is None, in_order(pair[1].due), pair[0].id))
    former = [(quilt, loan) for quilt in quilts for loan in quilt.loans if loan.back is not None]
    former.sort(key=lambda pair: (in_order(pair[1].back), pair[0].id), reverse=True)

    def section(anchor: str, heading: str, loans: Sequence[tuple[Quilt, Loan]], end: str) -> Section:
        rows = tuple(
            (
                quilt_cell(edition, quilt, path),
                Cell(loan.to),
                Cell(loan.purpose or ""),
                day_cell(loan.start),
                day_cell(loan.back) if loan.back else Cell(due_words(loan.due, edition.on)),
            )
            for quilt, loan in loans
        )
        return Section(anchor, heading, table=Table(heading, columns("Quilt", "To", "For", "From", end), rows))

    sections = [section("out", "Out now", out, "Due")] if out else []
    sections += [section("back", "Back again", former, "Back")] if former else []
    return f"{count_of(len(out), 'quilt')} out on loan.", sections, [quilt for quilt, _ in out]


def to_finish_listing(edition: Edition, quilts: Sequence[Quilt], path: str) -> Listing:
    """The unfinished quilts, the furthest along first."""
    stages = (("binding", "At the binding"), ("quilting", "At the quilting"), ("piecing", "At the piecing"))
    sections = []
    shown: list[Quilt] = []
    for stage, heading in stages:
        members = [quilt for quilt in quilts if quilt.stage == stage]
        shown += members
        if members:
            sections.append(Section(stage, heading, cards=cards(edition, members, seen_from=path)))
    return f"{count_of(len(shown), 'quilt')} to finish.", sections, shown


def insurance_listing(edition: Edition, quilts: Sequence[Quilt], path: str) -> Listing:
    """The kept quilts with what an insurer asks for: a table of all, then each by the categories of Object ID."""
    kept = sorted(filter(is_kept, quilts), key=inventory_order)
    rows = tuple(
        (
            quilt_cell(edition, quilt, path),
            Cell(str(quilt.number or "")),
            day_cell(quilt.made),
            size_cell(edition, quilt),
            Cell(": ".join(filter(None, [quilt.condition, quilt.condition_note]))),
            Cell(place_words(quilt) or NOT_RECORDED),
            Cell(money_words(quilt.materials_cost.total) if quilt.materials_cost else NOT_RECORDED),
            Cell(appraisal_words(quilt)),
        )
        for quilt in kept
    )
    labels = ("Quilt", "Number", "Made", "Size", "Condition", "Where", "Materials", "Appraisal")
    sections = [Section("kept", "Kept", table=Table("Kept", columns(*labels), rows))] if kept else []
    sections += [_object_section(edition, quilt) for quilt in kept]
    return f"{count_of(len(kept), 'quilt')} kept. {KEEP_A_COPY} {KINDS_DIFFER}", sections, kept


def _object_section(edition: Edition, quilt: Quilt) -> Section:
    """One quilt by the categories of Object ID."""
    record = object_record(edition.collection, quilt)
    facts = plain_facts({entry.category: entry.words or NOT_RECORDED for entry in record})
    return Section(f"quilt-{quilt.id}", quilt.title, facts=tuple(facts))
