"""What waits: words to ask for, and facts to write down."""

from collections.abc import Sequence

from collection.follow_ups import FollowUp, find_follow_ups
from collection.gaps import ORDER, Gap, find_gaps
from collection.records.quilt import Quilt
from site_builder.binder.listings import Listing, columns, day_cell, quilt_cell
from site_builder.edition import Edition
from site_builder.views.parts import Cell, Section, Table
from site_builder.words import count_of, listed

_MATTERS = {
    "with the go-between": ("With a go-between, and no word", "Ask where each one landed."),
    "not acknowledged": ("Delivered, and no letter yet", "Ask the charity for an acknowledgement."),
    "promise is past": ("Promised, and the day has passed", "Hand it over, or set it free again."),
    "rules not confirmed": ("Rules not confirmed for a year", "Ask whether the rules still hold."),
    "loan overdue": ("Loans overdue", "Ask for it back, or write a new day."),
}


def follow_ups_listing(edition: Edition, quilts: Sequence[Quilt], path: str) -> Listing:
    """What to ask about, and whom."""
    follow_ups = find_follow_ups(edition.collection, edition.on) if edition.on else ()
    sections = []
    for matter, (heading, remedy) in _MATTERS.items():
        members = [each for each in follow_ups if each.matter == matter]
        if members:
            sections.append(
                Section(
                    anchor=matter.replace(" ", "-"),
                    heading=heading,
                    note=remedy,
                    table=Table(
                        caption=heading,
                        columns=columns("What", "Ask", "Since"),
                        rows=tuple(_follow_up_row(edition, each, path) for each in members),
                    ),
                )
            )
    shown = [each.quilt for each in follow_ups if each.quilt]
    intro = f"{count_of(len(follow_ups), 'thing')} to ask about." if follow_ups else "Nothing waits for a word."
    return intro, sections, shown


def _follow_up_row(edition: Edition, each: FollowUp, path: str) -> tuple[Cell, ...]:
    if each.quilt is not None:
        what = quilt_cell(edition, each.quilt, path)
    else:
        what = Cell(each.partner.name, f"recipients.html#{each.partner.id}")
    return what, Cell(each.ask), day_cell(each.since) if each.since else Cell("never")


_FIELDS = {
    "finished_size": "its size",
    "fibre": "what it is made of",
    "care.washed": "whether it is washed",
    "care.label": "whether it has a label",
    "condition": "its condition",
    "quilting.how": "how it is quilted",
    "destination.to": "which charity has it",
    "destination.delivered": "when it was delivered",
    "destination.handed_over": "when it was handed over",
    "destination.on": "when it was given",
    "materials_cost": "what its materials cost",
    "photos": "a photo",
    "number": "an inventory number",
    "appraisal": "an appraisal",
    "kept_at": "where it is kept",
    "made": "when it was made",
    "pattern": "its pattern",
}

_BLOCKED = {
    "giving": ("For giving", "Without these a charity can't be answered, or a year can't be summed up."),
    "insurance": ("For insurance", "These belong on the list of what is kept."),
    "catalogue": ("For the catalogue", "These make a quilt easier to find and to know."),
}


def gaps_listing(edition: Edition, quilts: Sequence[Quilt], path: str) -> Listing:
    """What is missing, the most pressing first, a row for each quilt."""
    gaps = find_gaps(edition.collection)
    sections = []
    for blocks in ORDER:
        by_quilt: dict[str, list[Gap]] = {}
        for gap in gaps:
            if gap.blocks == blocks:
                by_quilt.setdefault(gap.quilt, []).append(gap)
        if by_quilt:
            heading, note = _BLOCKED[blocks]
            rows = tuple(
                (
                    quilt_cell(edition, edition.collection.quilts[quilt_id], path),
                    Cell(listed([_FIELDS.get(gap.field, gap.field) for gap in members])),
                    Cell(" ".join(gap.why for gap in members)),
                )
                for quilt_id, members in by_quilt.items()
            )
            table = Table(heading, columns("Quilt", "Missing", "Why it matters"), rows)
            sections.append(Section(blocks, heading, note=note, table=table))
    with_gaps = {gap.quilt for gap in gaps}
    shown = [quilt for quilt in quilts if quilt.id in with_gaps]
    return f"{count_of(len(gaps), 'fact')} missing, of {count_of(len(with_gaps), 'quilt')}.", sections, shown
