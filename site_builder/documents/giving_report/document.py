"""The report as a document in words, for its printed page and its PDF."""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from typing import Literal

from collection.giving.annual_report import AnnualReport, CharityPart, GiftRow, Sums
from collection.giving.arrival import ARRIVED
from collection.giving.donations import FormerGift, Gift, PersonalGift
from collection.giving.qualification import Qualification
from collection.giving.tax_notes import notes_heading
from collection.giving.years import giving_year, may_lie_in
from collection.records.quilt import Quilt
from collection.values.dates import EdtfDate
from site_builder.documents.giving_report.estimates import estimate_words
from site_builder.documents.giving_report.uncounted import UncountedList, partner_name, uncounted_lists
from site_builder.text.wording import (
    NOT_MEASURED,
    NOT_RECORDED,
    area_words,
    count_of,
    money_words,
    quilts_to_charities,
    size_in,
)

NAMED_AT_MOST = 12
"""The most quilts that a note names; the spreadsheet names all."""

NOT_SAID = "Charity not known yet"

QUALIFICATION_WORDS: Mapping[Qualification, str] = {
    "qualified": "qualified organisation",
    "not known": "not known whether it is a qualified organisation",
    "not qualified": "not a qualified organisation",
    "abroad": "abroad",
    "nobody named": "nobody has said yet which charity it was",
}


@dataclass(frozen=True, slots=True)
class Column:
    """`kind` sets its width and alignment; `own`: in the maker's words, and so in her language."""

    label: str
    kind: Literal["words", "day", "number", "money", "measure"] = "words"
    own: bool = False


@dataclass(frozen=True, slots=True)
class Line:
    """One row: its cells, a small line under the first one, and the quilt whose picture comes before it, if any."""

    cells: tuple[str, ...]
    under: str = ""
    picture: str | None = None
    alt: str = ""


@dataclass(frozen=True, slots=True)
class Grid:
    """A table. `pictured`: a column for pictures comes first."""

    caption: str
    columns: tuple[Column, ...]
    lines: tuple[Line, ...]
    total: tuple[str, ...] | None = None
    pictured: bool = False


@dataclass(frozen=True, slots=True)
class Chapter:
    """A part of the document: words, then tables. `own`: its heading is a name that the maker wrote."""

    heading: str
    level: int
    words: tuple[str, ...] = ()
    grids: tuple[Grid, ...] = ()
    own: bool = False


@dataclass(frozen=True, slots=True)
class NoteWords:
    """A note, the count of its quilts, the names of the first of them, how many `more`, and the law to look up."""

    sentence: str
    count: str
    names: tuple[str, ...]
    more: str
    authority: str


@dataclass(frozen=True, slots=True)
class Document:
    """The whole report. `language` is that of the maker's own words."""

    title: str
    collection: str
    maker: str | None
    period: str
    lead: str
    language: str
    summary: tuple[Grid, ...]
    chapters: tuple[Chapter, ...]
    notes: tuple[NoteWords, ...]
    notes_heading: str
    foot: str


def report_document(report: AnnualReport, pictured: AbstractSet[str] = frozenset()) -> Document:
    """The report in words. `pictured` are the IDs of the quilts that have a picture."""
    settings = report.collection.settings
    title = f"Quilts given in {report.label}"
    return Document(
        title=title,
        collection=settings.title,
        maker=settings.maker.name,
        period=period_words(report),
        lead=lead_words(report),
        language=settings.site.language,
        summary=tuple(_summary(report)),
        chapters=tuple(_chapters(report, pictured)),
        notes=tuple(_notes(report)),
        notes_heading=notes_heading(settings),
        foot=f"{settings.title}: {title[0].lower()}{title[1:]}{_as_of(report)}",
    )


# Summary ----------------------------------------------------------------------------------------


def period_words(report: AnnualReport) -> str:
    """The first and last day of the report, and the day on which it was made."""
    first, last = (_day(EdtfDate(day.isoformat())) for day in (report.first, report.last))
    return f"{first} to {last}{_as_of(report)}"


def _as_of(report: AnnualReport) -> str:
    return f", as of {_day(EdtfDate(report.on.isoformat()))}" if report.on else ""


def lead_words(report: AnnualReport) -> str:
    """The year in a sentence."""
    totals, year = report.sums.totals, report.label
    so_far = "" if report.has_ended else " so far"
    counted = quilts_to_charities(totals, "not known yet", verb="reached", when=f" in {year}{so_far}")
    return f"{counted}.{_uncounted_words(report)}"


def _uncounted_words(report: AnnualReport) -> str:
    """The quilts that a reader may miss in the year, and why they are not there."""
    former = _former_in(report)
    kinds = (
        (former["given"], "more was given in it and is back or lost", "more were given in it and are back or lost"),
        (former["left"], "more left in it and never arrived", "more left in it and never arrived"),
        (former["back"], "from before came back or was lost in it", "from before came back or were lost in it"),
        (
            former["perhaps"],
            "more may have been given or come back in it",
            "more may have been given or come back in it",
        ),
        (
            report.not_placed,
            "more may belong to it, and counts in no year yet",
            "more may belong to it, and count in no year yet",
        ),
        (report.planned, "is planned for it", "are planned for it"),
    )
    return "".join(f" {len(listed):,} {one if len(listed) == 1 else many}." for listed, one, many in kinds if listed)


def _former_in(report: AnnualReport) -> Mapping[str, Sequence[FormerGift]]:
    """The gifts that are over, each once, by what surely happened in the year."""
    starts = report.collection.settings.giving_year_starts
    found: dict[str, list[FormerGift]] = {"given": [], "left": [], "back": [], "perhaps": []}
    for each in report.former:
        if giving_year(each.began_on, starts) == report.year:
            kind = "given" if each.state in ARRIVED else "left"
        elif may_lie_in(each.began_on, report.first, report.last) or giving_year(each.ended_on, starts) != report.year:
            kind = "perhaps"
        else:
            kind = "back"
        found[kind].append(each)
    return found


def _summary(report: AnnualReport) -> Iterator[Grid]:
    yield compared(report)
    if report.parts:
        yield _by_charity(report)
        yield _by_size(report)
        yield _by_month(report)


def compared(report: AnnualReport) -> Grid:
    """The year compared with the year before and all years."""
    units = report.collection.settings.units
    columns = (report.sums, report.before, report.lifetime)
    estimated = any(sums.estimated.count for sums in columns)

    def line(label: str, words: Callable[[Sums], str]) -> Line:
        return Line((label, *(words(sums) for sums in columns)))

    lines = [
        line("Quilts given", lambda sums: f"{sums.totals.count:,}"),
        line("Charities", lambda sums: f"{sums.totals.charities:,}"),
    ]
    if any(sums.totals.without_charity for sums in columns):
        lines.append(line("Quilts whose charity is not known", lambda sums: f"{sums.totals.without_charity:,}"))
    lines += [
        line("Patchwork", lambda sums: area_words(sums.totals.area, units)),
        line("Materials recorded", lambda sums: sums.totals.materials.known.say_sum()),
        line("Quilts with recorded materials", lambda sums: _of_all(sums.totals.materials.recorded, sums)),
    ]
    if estimated:
        lines += [
            line("Materials estimated", lambda sums: sums.estimated.total.say_sum()),
            line("Quilts with an estimate", lambda sums: _of_all(sums.estimated.count, sums)),
            line("Quilts with neither", lambda sums: _of_all(sums.lacking, sums)),
        ]
    lines.append(line("Quilts acknowledged", lambda sums: _of_all(_acknowledged(sums), sums)))
    heads = (report.label, report.label_before, "All years")
    return Grid("Compared", (Column(""), *(Column(head, "measure") for head in heads)), tuple(lines))


def _acknowledged(sums: Sums) -> int:
    return sums.totals.count - sums.totals.unacknowledged


def _of_all(count: int, sums: Sums) -> str:
    return f"{count:,} of {sums.totals.count:,}"


def _by_charity(report: AnnualReport) -> Grid:
    columns = [Column("Charity", own=True), Column("Quilts", "number"), Column("Acknowledged", "number")]
    columns.append(Column("Materials recorded", "money"))
    columns += [Column("Estimated", "money")] if report.sums.estimated.count else []

    def cells(name: str, sums: Sums) -> tuple[str, ...]:
        return name, f"{sums.totals.count:,}", f"{_acknowledged(sums):,}", *_sum_words(report, sums)

    lines = tuple(
        Line(
            cells(part.name or NOT_SAID, part.sums),
            under=QUALIFICATION_WORDS[part.qualification] if report.tells_qualified_apart and part.charity else "",
        )
        for part in report.parts
    )
    return Grid("By charity", tuple(columns), lines, cells("All", report.sums))


def _by_size(report: AnnualReport) -> Grid:
    counts = report.sums.totals.by_size
    named = [(box.name, counts[box.key]) for box in report.collection.size_boxes if counts.get(box.key)]
    return _counts("By size", "Size", named, NOT_MEASURED, counts.get(None), report)


def _by_month(report: AnnualReport) -> Grid:
    counts = report.sums.totals.by_month
    known = sorted(month for month in counts if month is not None)
    named = [(EdtfDate(f"{year:04d}-{month:02d}").say(), counts[year, month]) for year, month in known]
    return _counts("By month of delivery", "Month", named, "month not known", counts.get(None), report)


def _counts(
    caption: str,
    label: str,
    named: Sequence[tuple[str, int]],
    otherwise: str,
    unknown: int | None,
    report: AnnualReport,
) -> Grid:
    rows = [*named, *([(otherwise, unknown)] if unknown else [])]
    return Grid(
        caption,
        (Column(label), Column("Quilts", "number")),
        tuple(Line((name, f"{count:,}")) for name, count in rows),
        ("All", f"{report.sums.totals.count:,}"),
    )


# Quilt by quilt ---------------------------------------------------------------------------------


def _chapters(report: AnnualReport, pictured: AbstractSet[str]) -> Iterator[Chapter]:
    if report.tells_qualified_apart:
        yield from _apart("Given to qualified organisations", report.qualified_parts, report, pictured)
        yield from _apart("Given abroad, or not known to be qualified", report.other_parts, report, pictured)
    elif report.parts:
        yield Chapter("Given, charity by charity", 1)
        yield from (_charity(report, part, pictured) for part in report.parts)
    if report.of_year.on_its_way:
        words = "Handed over in this year and counted in no total: these have not reached a charity yet."
        yield Chapter("On their way", 1, (words,), (_on_their_way(report, pictured),))
    if report.of_year.to_people:
        yield Chapter("Given to people", 1, ("Counted in no total.",), (_to_people(report, pictured),))
    for each in uncounted_lists(report.collection, report.planned, report.not_placed, report.former):
        yield Chapter(each.heading, 1, (each.note,), (_uncounted(report, each, pictured),))
    if report.sums.estimated.count:
        yield Chapter("How the estimates are made", 1, estimate_words(report.collection.settings))


def _apart(
    heading: str, parts: Sequence[CharityPart], report: AnnualReport, pictured: AbstractSet[str]
) -> Iterator[Chapter]:
    if not parts:
        return
    sums = report.sums_of(parts)
    recorded = sums.totals.materials.known if sums.totals.materials.recorded else None
    words = f"{count_of(sums.totals.count, 'quilt')}; materials: {money_words(recorded)}"
    if sums.estimated.count:
        words += f"; estimated: {sums.estimated.total.say()}"
    yield Chapter(heading, 1, (words + ".",))
    yield from (_charity(report, part, pictured) for part in parts)


def _charity(report: AnnualReport, part: CharityPart, pictured: AbstractSet[str]) -> Chapter:
    days = (Column(label, "day") for label in ("Handed over", "Delivered", "Acknowledged"))
    columns = [Column("Quilt", own=True), *days, Column("Materials recorded", "money")]
    columns += [Column("Estimated", "money")] if report.sums.estimated.count else []
    total = (f"All {count_of(len(part.rows), 'quilt')}", "", "", "", *_sum_words(report, part.sums))
    grid = Grid(
        part.name or NOT_SAID,
        tuple(columns),
        tuple(_gift_line(report, row, pictured) for row in part.rows),
        total if len(part.rows) > 1 else None,
        pictured=True,
    )
    status = QUALIFICATION_WORDS[part.qualification]
    is_doubtful = report.tells_qualified_apart and part.qualification != "qualified"
    words = (status[0].upper() + status[1:] + ".",) if is_doubtful else ()
    return Chapter(part.name or NOT_SAID, 2, words, (grid,), own=part.name is not None)


def _gift_line(report: AnnualReport, row: GiftRow, pictured: AbstractSet[str]) -> Line:
    donation = row.gift.donation
    cells = [
        row.gift.quilt.title,
        _day(donation.handed_over),
        _day(row.gift.delivered),
        _day(donation.acknowledged) or "not yet",
        money_words(row.gift.materials),
    ]
    if report.sums.estimated.count:
        cells.append(row.estimated.say() if row.estimated is not None else "")
    return _line(report, row.gift.quilt, cells, pictured)


def _on_their_way(report: AnnualReport, pictured: AbstractSet[str]) -> Grid:
    def line(gift: Gift) -> Line:
        donation, collection = gift.donation, report.collection
        through = partner_name(collection, donation.through) if donation.through else ""
        cells = (gift.quilt.title, _day(donation.handed_over), through, partner_name(collection, donation.to))
        return _line(report, gift.quilt, cells, pictured)

    names = (Column(label, own=True) for label in ("With", "For"))
    columns = (Column("Quilt", own=True), Column("Handed over", "day"), *names)
    lines = tuple(map(line, report.of_year.on_its_way))
    return Grid("On their way", columns, lines, pictured=True)


def _to_people(report: AnnualReport, pictured: AbstractSet[str]) -> Grid:
    def line(gift: PersonalGift) -> Line:
        gifted = gift.gifted
        cells = (gift.quilt.title, _day(gifted.on), gifted.to or NOT_RECORDED, gifted.occasion or "")
        return _line(report, gift.quilt, cells, pictured)

    columns = (Column("Quilt", own=True), Column("Given", "day"), Column("To", own=True), Column("Occasion", own=True))
    lines = tuple(map(line, report.of_year.to_people))
    return Grid("Given to people", columns, lines, pictured=True)


def _uncounted(report: AnnualReport, each: UncountedList, pictured: AbstractSet[str]) -> Grid:
    names = ("To", "For", "Through")
    columns = (Column("Quilt", own=True), *(Column(label, own=label in names) for label in each.labels))
    lines = tuple(_line(report, quilt, (quilt.title, *cells), pictured) for quilt, cells in each.rows)
    return Grid(each.heading, columns, lines, pictured=True)


def _line(report: AnnualReport, quilt: Quilt, cells: Iterable[str], pictured: AbstractSet[str]) -> Line:
    category = report.collection.category(quilt)
    size = size_in(quilt.finished_size, report.collection.settings.units) if quilt.finished_size else NOT_MEASURED
    facts = [f"No. {quilt.number}" if quilt.number else None, size, category.box.name if category else None]
    has_picture = quilt.id in pictured
    return Line(
        tuple(cells),
        under=" · ".join(fact for fact in facts if fact),
        picture=quilt.id if has_picture else None,
        alt=f"Photo of {quilt.title}" if has_picture else "",
    )


def _sum_words(report: AnnualReport, sums: Sums) -> list[str]:
    """The recorded cost and, where the report estimates anything, the estimate. Unknown is not 0.00."""
    materials, estimated = sums.totals.materials, sums.estimated
    words = [materials.known.say() if materials.recorded else NOT_RECORDED]
    return words + [estimated.total.say() if estimated.count else ""] if report.sums.estimated.count else words


def _day(day: EdtfDate | None) -> str:
    return day.say().replace(" ", "\u00a0") if day else ""


# Notes ------------------------------------------------------------------------------------------


def _notes(report: AnnualReport) -> Iterator[NoteWords]:
    quilts = report.collection.quilts
    named = set()
    for note in report.notes:
        count = count_of(len(note.quilts), "quilt") if note.quilts else ""
        if note.quilts in named:
            yield NoteWords(note.sentence, f"The same {count}", (), "", note.authority)
            continue
        named |= {note.quilts} - {()}
        names = tuple(quilts[quilt].title for quilt in note.quilts[:NAMED_AT_MOST])
        more = f" and {len(note.quilts) - len(names):,} more" if len(note.quilts) > len(names) else ""
        yield NoteWords(note.sentence, count, names, more, note.authority)
