"""The private parts of the page of a giving year: comparison, tax purposes, estimates, notes."""

from collections.abc import Iterator, Sequence

from markupsafe import Markup

from collection.giving.annual_report import AnnualReport, CharityPart, Sums
from collection.giving.cost_estimates import MaterialEstimate
from collection.giving.donations import FormerGift, Gift, NotPlaced, PersonalGift
from collection.giving.tax_notes import TaxNote, notes_heading
from collection.records.settings import Settings
from site_builder.documents.giving_report.document import NOT_SAID, QUALIFICATION_WORDS, compared
from site_builder.documents.giving_report.estimates import estimate_words, price_words
from site_builder.documents.giving_report.uncounted import uncounted_lists
from site_builder.pages.binder.listings import columns, quilt_cell
from site_builder.pages.edition import Edition
from site_builder.text.urls import group_path, quilt_path, relative
from site_builder.text.wording import count_of, money_words
from site_builder.views.parts import Cell, Column, Section, Table, plain_facts


def sections_of_the_year(edition: Edition, report: AnnualReport, *, seen_from: str) -> Iterator[Section]:
    """The sections above the quilts: the year compared with others, and charities by their tax status."""
    grid = compared(report)
    labels = (Column("What"), *(Column(column.label, numeric=True) for column in grid.columns[1:]))
    rows = tuple(tuple(map(Cell, line.cells)) for line in grid.lines)
    yield Section("compared", "Beside other years", table=Table("Beside other years", labels, rows))
    if report.tells_qualified_apart and report.parts:
        yield from _apart("qualified", "To qualified organisations", report.qualified_parts, report, seen_from)
        yield from _apart("others", "Abroad, or not known to be qualified", report.other_parts, report, seen_from)


def uncounted_sections(
    edition: Edition,
    planned: Sequence[Gift | PersonalGift],
    not_placed: Sequence[NotPlaced],
    former: Sequence[FormerGift],
    *,
    seen_from: str,
) -> Iterator[Section]:
    """The gifts that count in no total: planned, in no year yet, or returned."""
    for each in uncounted_lists(edition.collection, planned, not_placed, former):
        rows = tuple(
            (quilt_cell(edition, edition.collection.quilts[quilt.id], seen_from), *map(Cell, cells))
            for quilt, cells in each.rows
        )
        table = Table(each.heading, columns("Quilt", *each.labels), rows)
        yield Section(each.anchor, each.heading, note=each.note, table=table)


def sections_behind(edition: Edition, report: AnnualReport, *, seen_from: str) -> Iterator[Section]:
    """The sections below the quilts: gifts that count in no total, how estimates are made, and notes."""
    yield from uncounted_sections(edition, report.planned, report.not_placed, report.former, seen_from=seen_from)
    if report.sums.estimated.count:
        sentences = estimate_words(report.collection.settings)
        words = Markup("").join(Markup("<p>{}</p>").format(sentence) for sentence in sentences)
        yield Section("estimates", "Estimates", text=words, table=_estimates(edition, report, seen_from))
    if report.notes:
        yield Section("notes", notes_heading(report.collection.settings), text=_notes(edition, report, seen_from))


def prices_section(settings: Settings) -> Section | None:
    """The maker's price list, from which estimates are made."""
    if settings.prices is None:
        return None
    facts = tuple(plain_facts(dict(price_words(settings.prices, settings.units))))
    return Section("prices", "Prices for estimates", facts=facts) if facts else None


def _apart(
    anchor: str, heading: str, parts: Sequence[CharityPart], report: AnnualReport, seen_from: str
) -> Iterator[Section]:
    if not parts:
        return
    estimated = report.sums.estimated.count > 0
    labels = [Column("Charity"), Column("Quilts", numeric=True), Column("Materials", numeric=True)]
    labels += [Column("Estimated", numeric=True)] if estimated else []
    if anchor == "others":
        labels.append(Column("Status"))

    def cells(first: Cell, sums: Sums, stands: str) -> tuple[Cell, ...]:
        recorded = money_words(sums.totals.materials.known if sums.totals.materials.recorded else None)
        found = [first, Cell(f"{sums.totals.count:,}"), Cell(recorded)]
        found += [Cell(sums.estimated.total.say() if sums.estimated.count else "")] if estimated else []
        return tuple([*found, Cell(stands)] if anchor == "others" else found)

    rows = tuple(
        cells(_charity_cell(report, part, seen_from), part.sums, QUALIFICATION_WORDS[part.qualification])
        for part in parts
    )
    table = Table(heading, tuple(labels), rows, cells(Cell("All"), report.sums_of(parts), ""))
    yield Section(anchor, heading, table=table)


def _charity_cell(report: AnnualReport, part: CharityPart, seen_from: str) -> Cell:
    known = part.charity in report.collection.partners
    href = relative(group_path("charities", part.charity), seen_from=seen_from) if known else None
    return Cell(part.name or NOT_SAID, href)


def _estimates(edition: Edition, report: AnnualReport, seen_from: str) -> Table:
    """Each estimate with its parts."""
    names = ("top", "backing", "batting", "binding")
    labels = [Column("Quilt"), *(Column(name.title(), numeric=True) for name in (*names, "estimate"))]

    def part(estimate: MaterialEstimate, name: str) -> str:
        found = next((each for each in estimate.parts if each.part == name), None)
        return f"{found.amount}: {found.cost.say()}" if found else "not priced" if name in estimate.unpriced else "none"

    rows = tuple(
        (
            quilt_cell(edition, edition.collection.quilts[row.gift.quilt.id], seen_from),
            *(Cell(part(row.estimate, name)) for name in names),
            Cell(row.estimate.total.say()),
        )
        for row in report.rows
        if row.estimate
    )
    blank = (Cell(""),) * len(names)
    return Table("Estimates", tuple(labels), rows, (Cell("All"), *blank, Cell(report.sums.estimated.total.say())))


def _notes(edition: Edition, report: AnnualReport, seen_from: str) -> Markup:
    return Markup("").join(_note(edition, note, seen_from) for note in report.notes)


def _note(edition: Edition, note: TaxNote, seen_from: str) -> Markup:
    quilts = edition.collection.quilts
    links = Markup(", ").join(
        Markup('<a href="{}">{}</a>').format(relative(quilt_path(quilt), seen_from=seen_from), quilts[quilt].title)
        for quilt in note.quilts
    )
    words = Markup(" {}: {}.").format(count_of(len(note.quilts), "quilt"), links) if links else ""
    authority = Markup("<br><small>See {}</small>").format(note.authority) if note.authority else ""
    sentence = Markup("<strong>{}</strong>" if note.key == "advice" else "{}").format(note.sentence)
    return Markup("<p>{}{}{}</p>").format(sentence, words, authority)
