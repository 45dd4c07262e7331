"""Giving: each year's patchwork picture and totals, and what a lifetime came to."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from collection.giving.donations import UNNAMED, Gift, Giving, GivingReport, PersonalGift, Totals, goes_or_went
from collection.giving.years import year_label
from collection.privacy import shown_as
from collection.records.quilt import Quilt
from collection.values.dates import EdtfDate
from site_builder.drawings.giving_quilt import GivenQuilt, GivenTo, giving_picture
from site_builder.drawings.patchwork import Patchwork
from site_builder.incremental.dependencies import Dependencies, are_the_same, as_it_is
from site_builder.pages.cards import cards, cover_view
from site_builder.pages.edition import Edition, PageSpec
from site_builder.pages.page_plan import PagePlan
from site_builder.pages.wall import colours_of
from site_builder.text.urls import GIVING, giving_path, group_path, quilt_path, relative
from site_builder.text.wording import NOT_RECORDED, area_words, count_of, money_words, quilts_to_charities, size_in
from site_builder.views.pages import GivingView, GivingYearView, YearEntry
from site_builder.views.parts import Cell, Column, Fact, Link, Section, Table

if TYPE_CHECKING:
    from collection.giving.annual_report import AnnualReport

NOT_SAID = "Charity not known yet"
NOT_NAMED = "Charities not named here"


def giving_pages(edition: Edition) -> Iterator[PagePlan]:
    """The overview and a page for each giving year. The binder's have dates and costs besides."""
    if not edition.shows("destination"):
        return
    quilts = tuple(filter(goes_or_went, edition.collection.quilts.values()))
    yield PagePlan(GIVING, _overview, quilts, by_day=edition.is_binder)
    for year in _years(edition, _giving(edition, quilts)):
        path = giving_path(_label(edition, year))
        yield PagePlan(path, _year_page, quilts, (year,), by_day=edition.is_binder)


def _giving(edition: Edition, quilts: Sequence[Quilt]) -> Giving:
    """The gifts among these quilts, which all pages of giving have in common.

    What a page shows of a quilt it should ask its own quilts for (see `_own`): what it asks those in here
    for, all pages of giving rest on.
    """
    asked_for = "giving", edition.on, edition.dependencies is not None
    known = edition.made_before.get(asked_for)
    if known is None or not are_the_same(known[0], quilts):
        dependencies = Dependencies()
        alone = edition.only(quilts) if edition.dependencies is None else edition.seen_from(quilts, dependencies)
        known = edition.made_before[asked_for] = (
            tuple(map(as_it_is, quilts)),
            Giving.of(alone.collection, edition.on),
            dependencies,
        )
    if edition.dependencies is not None:
        edition.dependencies.include_all_of(known[2])
    return known[1]


def _own(edition: Edition, report: GivingReport) -> GivingReport:
    """The same report with the page's own quilts."""

    def own(gifts: Sequence[Any]) -> tuple[Any, ...]:
        return tuple(replace(gift, quilt=edition.collection.quilts[gift.quilt.id]) for gift in gifts)

    return replace(report, given=own(report.given), on_its_way=own(report.on_its_way), to_people=own(report.to_people))


def _years(edition: Edition, giving: Giving) -> list[int]:
    """The years that have a page, the latest first."""
    return [year for year in giving.years if edition.is_binder or giving.report(year).given]


# Overview ---------------------------------------------------------------------------------------


def _overview(edition: Edition, quilts: Sequence[Quilt]) -> PageSpec:
    giving = _giving(edition, quilts)
    years = [(_label(edition, year), _own(edition, giving.report(year))) for year in _years(edition, giving)]
    lifetime = _own(edition, giving.lifetime())
    undated = [gift for gift in lifetime.given if gift.year is None]
    entries = [
        YearEntry(
            link=Link(label, relative(giving_path(label), seen_from=GIVING), count=report.totals.count),
            words=_year_words(edition, report.totals),
            patchwork=_patchwork(edition, report.given, f"The quilts given in {label}", numbered=False),
        )
        for label, report in years
    ]
    intro = "No quilt has gone to a charity yet."
    if lifetime.given:
        intro = f"{_total_words(edition, lifetime.totals)} so far."
    if undated:
        intro += f" {len(undated):,} of them in a year that is not known for certain."
    tables = [
        _by_charity(edition, lifetime, seen_from=GIVING, numbered=True),
        _by_size(edition, lifetime, seen_from=GIVING),
    ]
    return PageSpec(
        path=GIVING,
        template="giving.html",
        title="Giving",
        description=intro,
        view=GivingView(
            heading="Giving",
            intro=intro,
            patchwork=_patchwork(edition, lifetime.given, "All the quilts given, by charity"),
            lifetime=tuple(_facts(edition, lifetime)),
            years=tuple(entries),
            tables=tuple(table for table in tables if table.rows),
            sections=tuple(_uncounted(edition, giving)) if edition.is_binder else (),
        ),
        colours=colours_of(edition, [gift.quilt for gift in lifetime.given]),
        section=GIVING,
    )


def _uncounted(edition: Edition, giving: Giving) -> Iterator[Section]:
    """Only for the household: of all years what counts in no total, or in the total of no year."""
    from site_builder.pages.binder.year_of_giving import uncounted_sections

    yield from uncounted_sections(edition, giving.planned, giving.not_placed, giving.former, seen_from=GIVING)


def _year_words(edition: Edition, totals: Totals) -> str:
    return quilts_to_charities(totals, "not known yet" if edition.is_binder else "not named here")


def _total_words(edition: Edition, totals: Totals) -> str:
    if not totals.area:
        return _year_words(edition, totals)
    area = area_words(totals.area, edition.collection.settings.units)
    return f"{_year_words(edition, totals)}, {area} of patchwork"


def _label(edition: Edition, year: int) -> str:
    return year_label(year, edition.collection.settings.giving_year_starts)


# One year ---------------------------------------------------------------------------------------


def _year_page(edition: Edition, quilts: Sequence[Quilt], year: int) -> PageSpec:
    giving = _giving(edition, quilts)
    years, report = _years(edition, giving), _own(edition, giving.report(year))
    place = years.index(year)
    annual = replace(_annual(edition, giving, year), of_year=report) if edition.is_binder else None
    label = _label(edition, year)
    path = giving_path(label)

    def to_year(other: int) -> Link | None:
        if not 0 <= other < len(years):
            return None
        name = _label(edition, years[other])
        return Link(name, relative(giving_path(name), seen_from=path))

    tables = [
        _by_charity(edition, report, seen_from=path, numbered=True),
        _by_size(edition, report, seen_from=path),
    ]
    if edition.is_binder:
        tables.append(_by_month(report))
    heading = f"Given in {label}"
    return PageSpec(
        path=path,
        template="giving_year.html",
        title=heading,
        description=f"{heading}: {_total_words(edition, report.totals)}.",
        view=GivingYearView(
            heading=heading,
            intro=_total_words(edition, report.totals) + ".",
            patchwork=_patchwork(edition, report.given, f"The quilts given in {label}, by charity"),
            facts=tuple(_facts(edition, report)),
            tables=tuple(table for table in tables if table.rows),
            sections=tuple(_sections(edition, report, annual, seen_from=path)),
            earlier=to_year(place + 1),
            later=to_year(place - 1),
        ),
        colours=colours_of(edition, [gift.quilt for gift in report.given]),
        section=GIVING,
        trail=(("Giving", GIVING),),
    )


def _annual(edition: Edition, giving: Giving, year: int) -> "AnnualReport":
    """What the binder says about a year. It is slow to load, and only the binder needs it."""
    from collection.giving.annual_report import giving_report

    return giving_report(edition.collection, year, edition.on, giving=giving)


def _sections(
    edition: Edition, report: GivingReport, annual: "AnnualReport | None", *, seen_from: str
) -> Iterator[Section]:
    if annual:
        from site_builder.pages.binder.year_of_giving import sections_behind, sections_of_the_year

        yield from sections_of_the_year(edition, annual, seen_from=seen_from)
        if report.given:
            table = _list_of_gifts(edition, annual, seen_from=seen_from)
            yield Section("each", table.caption, table=table)
    for charity, gifts in _by_recipient(edition, report.given):
        yield Section(
            anchor=f"to-{charity or 'not-known'}",
            heading=_charity_name(edition, charity),
            note=count_of(len(gifts), "quilt"),
            cards=cards(edition, [gift.quilt for gift in gifts], seen_from=seen_from, says_standing=False),
        )
    if annual:
        yield from _not_counted(edition, report, seen_from=seen_from)
        yield from sections_behind(edition, annual, seen_from=seen_from)


def _not_counted(edition: Edition, report: GivingReport, *, seen_from: str) -> Iterator[Section]:
    on_their_way = "Handed over in this year and not counted: they have not reached a charity yet."
    to_people = "Gifts to people are listed apart and counted in no total."
    parts: tuple[tuple[str, str, str, Sequence[Gift | PersonalGift]], ...] = (
        ("on-their-way", "On their way", on_their_way, report.on_its_way),
        ("to-people", "To people", to_people, report.to_people),
    )
    for anchor, heading, note, gifts in parts:
        if gifts:
            shown = cards(edition, [gift.quilt for gift in gifts], seen_from=seen_from)
            yield Section(anchor, heading, note=note, cards=shown)


# Shared -----------------------------------------------------------------------------------------


def _by_recipient(edition: Edition, gifts: Sequence[Gift]) -> list[tuple[str | None, list[Gift]]]:
    """Gifts by charity, the one with the most first, then by name."""
    found: dict[str | None, list[Gift]] = {}
    for gift in gifts:
        found.setdefault(shown_as(gift.donation.to), []).append(gift)
    return sorted(found.items(), key=lambda item: (-len(item[1]), _charity_name(edition, item[0])))


def _charity_name(edition: Edition, charity: str | None) -> str:
    if charity == UNNAMED:
        return NOT_NAMED
    partner = edition.collection.partners.get(charity or "")
    return partner.name if partner else NOT_SAID


def _patchwork(edition: Edition, gifts: Sequence[Gift], title: str, *, numbered: bool = True) -> Patchwork:
    return giving_picture(
        [
            GivenTo(
                _charity_name(edition, charity),
                tuple(GivenQuilt(gift.quilt.id, gift.quilt.title, edition.palette(gift.quilt)) for gift in members),
            )
            for charity, members in _by_recipient(edition, gifts)
        ],
        title=title,
        numbered=numbered,
    )


def _facts(edition: Edition, report: GivingReport) -> Iterator[Fact]:
    totals, units = report.totals, edition.collection.settings.units

    def plain(term: str, words: str, note: str | None = None) -> Fact:
        return Fact(term, (Link(words, ""),), note)

    if totals.unmeasured:
        lacking = f"without {count_of(totals.unmeasured, 'quilt')} not measured"
        yield plain("Area", area_words(totals.area, units), lacking)
    if not edition.is_binder:
        return
    materials = totals.materials
    yield plain(
        "Materials",
        money_words(materials.known),
        f"recorded for {materials.recorded:,}, lacking for {materials.lacking:,}",
    )
    yield plain(
        "Acknowledged", f"{totals.count - totals.unacknowledged:,}", f"{totals.unacknowledged:,} still without a letter"
    )
    yield plain("On their way", f"{len(report.on_its_way):,}", "handed over, not counted")
    yield plain("To people", f"{len(report.to_people):,}", "counted apart")


def _by_charity(edition: Edition, report: GivingReport, *, seen_from: str, numbered: bool = False) -> Table:
    """Quilts by charity, in the order of the patchwork picture, which is numbered alike."""
    rows = []
    recipients = _by_recipient(edition, report.given)
    numbered = numbered and len(recipients) > 1
    for number, (charity, gifts) in enumerate(recipients, start=1):
        known = charity is not None and charity in edition.collection.partners
        href = relative(group_path("charities", charity), seen_from=seen_from) if known else None
        row = [Cell(_charity_name(edition, charity), href), Cell(f"{len(gifts):,}")]
        rows.append((Cell(str(number)), *row) if numbered else tuple(row))
    total = [Cell("All"), Cell(f"{report.totals.count:,}")]
    columns = (Column("Charity"), Column("Quilts", numeric=True))
    return Table(
        caption="By charity",
        columns=(Column("No."), *columns) if numbered else columns,
        rows=tuple(rows),
        total=(Cell(""), *total) if numbered else tuple(total),
    )


def _by_size(edition: Edition, report: GivingReport, *, seen_from: str) -> Table:
    counts = report.totals.by_size
    rows = [
        (Cell(box.name, relative(group_path("sizes", box.key), seen_from=seen_from)), Cell(f"{counts[box.key]:,}"))
        for box in edition.collection.size_boxes
        if counts.get(box.key)
    ]
    if counts.get(None):
        rows.append((Cell("not measured"), Cell(f"{counts[None]:,}")))
    return Table(
        caption="By size",
        columns=(Column("Size"), Column("Quilts", numeric=True)),
        rows=tuple(rows),
        total=(Cell("All"), Cell(f"{report.totals.count:,}")),
    )


def _by_month(report: GivingReport) -> Table:
    counts = report.totals.by_month
    known = sorted(month for month in counts if month is not None)
    rows = [
        (Cell(EdtfDate(f"{year:04d}-{month:02d}").say()), Cell(f"{counts[year, month]:,}")) for year, month in known
    ]
    if counts.get(None):
        rows.append((Cell("month not known"), Cell(f"{counts[None]:,}")))
    return Table(
        caption="By month of delivery",
        columns=(Column("Month"), Column("Quilts", numeric=True)),
        rows=tuple(rows),
        total=(Cell("All"), Cell(f"{report.totals.count:,}")),
    )


def _list_of_gifts(edition: Edition, annual: "AnnualReport", *, seen_from: str) -> Table:
    """Each quilt with its days, the recorded cost of its materials and, in a column of its own, the estimate."""
    estimated = annual.sums.estimated
    estimates = {row.gift.quilt.id: row.estimated.say() for row in annual.rows if row.estimated is not None}
    labels = ["Quilt", "Number", "Size", "To", "Handed over", "Delivered", "Acknowledged", "Materials"]
    materials = annual.sums.totals.materials
    total = [Cell("All"), Cell(f"{annual.sums.totals.count:,}"), *[Cell("")] * 5, Cell(money_words(materials.known))]
    rows = [_gift_cells(edition, gift, seen_from) for gift in annual.of_year.given]
    if estimated.count:
        labels.append("Estimated")
        total.append(Cell(estimated.total.say()))
        for gift, row in zip(annual.of_year.given, rows, strict=True):
            row.append(Cell(estimates.get(gift.quilt.id, "")))
    numeric = {"Number", "Materials", "Estimated"}
    return Table(
        caption="Quilt by quilt",
        columns=tuple(Column(label, numeric=label in numeric) for label in labels),
        rows=tuple(map(tuple, rows)),
        total=tuple(total),
    )


def _gift_cells(edition: Edition, gift: Gift, seen_from: str) -> list[Cell]:
    quilt, donation, units = gift.quilt, gift.donation, edition.collection.settings.units
    href = relative(quilt_path(quilt.id), seen_from=seen_from)
    return [
        Cell(quilt.title, href, cover_view(edition, quilt, seen_from=seen_from)),
        Cell(str(quilt.number or "")),
        Cell(size_in(quilt.finished_size, units) if quilt.finished_size else NOT_RECORDED),
        Cell(_charity_name(edition, donation.to)),
        Cell(donation.handed_over.say() if donation.handed_over else ""),
        Cell(gift.delivered.say() if gift.delivered else ""),
        Cell(donation.acknowledged.say() if donation.acknowledged else "not yet"),
        Cell(money_words(gift.materials)),
    ]
