"""What is in the house, what is out on loan, what is to finish, and what is kept and insured."""

from collections.abc import Sequence

from collection.holdings import inventory_order
from collection.records.quilt import Quilt
from site_builder.binder.listings import Listing, columns, day_cell, in_order, quilt_cell, size_cell
from site_builder.cards import cards
from site_builder.edition import Edition
from site_builder.paperwork.insurance_list import KEEP_A_COPY, KINDS_DIFFER, is_kept
from site_builder.paperwork.object_record import appraisal_words, object_record, place_words
from site_builder.views.parts import Cell, Fact, Link, Section, Table
from site_builder.words import NOT_RECORDED, count_of, due_words, money_words


def places_listing(edition: Edition, quilts: Sequence[Quilt], path: str) -> Listing:
    """The quilts in the house by the place that they are kept at."""
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
    """What is out on loan, the longest overdue first, then former loans."""
    out = [(quilt, quilt.current_loan) for quilt in quilts if quilt.current_loan]
    out.sort(key=lambda pair: (pair[1].due is None, in_order(pair[1].due), pair[0].id))
    former = [(quilt, loan) for quilt in quilts for loan in quilt.loans if loan.back is not None]
    former.sort(key=lambda pair: (pair[1].back.sort_key, pair[0].id), reverse=True)
    sections = []
    if out:
        rows = tuple(
            (
                quilt_cell(edition, quilt, path),
                Cell(loan.to),
                Cell(loan.purpose or ""),
                day_cell(loan.start),
                Cell(due_words(loan.due, edition.on)),
            )
            for quilt, loan in out
        )
        sections.append(
            Section("out", "Out now", table=Table("Out now", columns("Quilt", "To", "For", "From", "Due"), rows))
        )
    if former:
        rows = tuple(
            (quilt_cell(edition, quilt, path), Cell(loan.to), Cell(loan.purpose or ""), day_cell(loan.start), day_cell(loan.back))
            for quilt, loan in former
        )
        sections.append(
            Section("back", "Back again", table=Table("Back again", columns("Quilt", "To", "For", "From", "Back"), rows))
        )
    return f"{count_of(len(out), 'quilt')} out on loan.", sections, [quilt for quilt, loan in out]


def to_finish_listing(edition: Edition, quilts: Sequence[Quilt], path: str) -> Listing:
    """What is not finished, the nearest to its binding first."""
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
    """What is kept, with what an insurer asks for, first all in a table, then each by the categories of Object ID."""
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
    facts = tuple(
        Fact(entry.category, (Link(entry.words or NOT_RECORDED, ""),))
        for entry in object_record(edition.collection, quilt)
    )
    return Section(f"quilt-{quilt.id}", quilt.title, facts=facts)
