"""The binder's pages of things to do: what to ask about, and facts to write down."""

from collections.abc import Mapping, Sequence

from collection.forms.anchors import desk_mark
from collection.giving.follow_ups import FollowUp, find_follow_ups
from collection.giving.gaps import ORDER, Blocks, Gap, by_fact, find_gaps
from collection.quotes import listed
from collection.records.quilt import Quilt
from site_builder.pages.binder.listings import Listing, columns, day_cell, quilt_cell
from site_builder.pages.edition import Edition
from site_builder.text.gap_words import PURPOSES, missing_fact, purpose, task
from site_builder.text.wording import (
    count_of,
)
from site_builder.views.parts import Cell, Section, Table

_MATTERS = {
    "with the go-between": ("With a go-between, and no word", "Ask where each one landed."),
    "not acknowledged": ("Delivered, and no letter yet", "Ask the charity for an acknowledgement."),
    "promise is past": ("Promised, and the day has passed", "Hand it over, or set it free again."),
    "rules not confirmed": ("Rules not confirmed for a year", "Ask whether the rules still hold."),
    "loan overdue": ("Loans overdue", "Ask for it back, or write a new day."),
}


def follow_ups_listing(edition: Edition, quilts: Sequence[Quilt], path: str) -> Listing:
    """What to ask about, and who to ask."""
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
        what = Cell(each.partner.name, f"recipients.html#{each.partner.id}") if each.partner else Cell("")
    return what, Cell(each.ask), day_cell(each.since) if each.since else Cell("never")


_SEVERAL = {
    "giving": "Until they are known, a charity can't be answered, or a year can't be summed up.",
    "insurance": "They belong on the list of what is kept.",
    "catalogue": "They make a quilt easier to find and to know.",
}
_SHOWN_AT_ONCE = 24
"""The most quilts in one list, a good evening's work; the next ones follow when these are done."""


def gaps_listing(edition: Edition, quilts: Sequence[Quilt], path: str) -> Listing:
    """The missing facts, the most useful first, and each quilt once for each purpose.

    Quilts that lack a single fact come first, fact by fact: with that fact they are done.
    """
    gaps = find_gaps(edition.collection)
    if not gaps:
        return "Nothing is missing.", [], []
    anchors = _anchors(gaps)
    sections = [_where_to_begin(gaps, anchors)]
    for blocks in ORDER:
        last = [gap for gap in gaps if gap.blocks == blocks and gap.is_last]
        sections += [_last_fact(edition, group, anchors[_fact(group[0])], path) for group in by_fact(last)]
        several = [gap for gap in gaps if gap.blocks == blocks and not gap.is_last]
        sections += [_several_facts(edition, blocks, several, path)] if several else []
    with_gaps = {gap.quilt for gap in gaps}
    shown = [quilt for quilt in quilts if quilt.id in with_gaps]
    intro = (
        f"{count_of(len(gaps), 'fact')} missing, of {count_of(len(with_gaps), 'quilt')}; the most useful come first."
    )
    return intro, sections, shown


def _where_to_begin(gaps: Sequence[Gap], anchors: Mapping[tuple[str, str], str]) -> Section:
    """All tasks, how many quilts each one concerns, and how many of those it completes."""
    rows = []
    for group in by_fact(gaps):
        finished = sum(gap.is_last for gap in group)
        anchor = anchors[_fact(group[0])] if finished else f"several-for-{group[0].blocks}"
        what = Cell(f"{task(group[0])}, for {purpose(group[0])}", f"#{anchor}")
        rows.append((what, Cell(str(len(group))), Cell(str(finished))))
    heading = "Where to begin"
    note = "Then done: the quilts that lack nothing else for the same purpose."
    table = Table(heading, columns("What to do", "Quilts", "Then done"), tuple(rows))
    return Section("where-to-begin", heading, note=note, table=table)


def _last_fact(edition: Edition, group: Sequence[Gap], anchor: str, path: str) -> Section:
    """The quilts that lack only this fact."""
    first = group[0]
    rows = [_gap_row(edition, [gap], path) for gap in group]
    note = f"{first.why} Nothing else is missing for {purpose(first)}."
    return _to_work_off(anchor, task(first), note, rows)


def _several_facts(edition: Edition, blocks: Blocks, gaps: Sequence[Gap], path: str) -> Section:
    """The quilts that lack several facts, those with the most pressing gaps first."""
    by_quilt: dict[str, list[Gap]] = {}
    for gap in gaps:
        by_quilt.setdefault(gap.quilt, []).append(gap)
    rows = [_gap_row(edition, missing, path) for missing in by_quilt.values()]
    return _to_work_off(f"several-for-{blocks}", f"Several things, for {PURPOSES[blocks]}", _SEVERAL[blocks], rows)


def _to_work_off(anchor: str, heading: str, note: str, rows: Sequence[tuple[Cell, ...]]) -> Section:
    left = count_of(len(rows), "quilt")
    if len(rows) > _SHOWN_AT_ONCE:
        left += f", of which these {_SHOWN_AT_ONCE} come first"
    table = Table(heading, columns("Quilt", "Missing"), tuple(rows[:_SHOWN_AT_ONCE]))
    return Section(anchor, heading, note=f"{note} {left}.", table=table)


def _anchors(gaps: Sequence[Gap]) -> dict[tuple[str, str], str]:
    """The anchor of each fact. A field has two where it matters twice for the same purpose."""
    anchors: dict[tuple[str, str], str] = {}
    for first, *_ in by_fact(gaps):
        name = f"{first.field.replace('.', '-').replace('_', '-')}-for-{first.blocks}"
        anchors[_fact(first)] = f"{name}-too" if name in anchors.values() else name
    return anchors


def _gap_row(edition: Edition, missing: Sequence[Gap], path: str) -> tuple[Cell, ...]:
    """A quilt and its missing facts; the preview links to the first of them at the desk."""
    first = missing[0]
    what = listed([missing_fact(gap) for gap in missing])
    mark = desk_mark("quilt", first.quilt, first.field)
    return quilt_cell(edition, edition.collection.quilts[first.quilt], path), Cell(what, edit=mark)


def _fact(gap: Gap) -> tuple[str, str]:
    """The key of a fact: its field, and why it matters."""
    return gap.field, gap.why
