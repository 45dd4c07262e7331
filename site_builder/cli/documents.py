"""The commands that print: sheets and letters that leave the house with quilts, and lists and tags that stay.

None of them changes a record. Each reads, makes a view, typesets it and writes one whole file.
"""

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from site_builder.cli.options import F, collection_argument, day_option
from site_builder.cli.output_files import ending_of, refuse_file, write_whole
from site_builder.cli.prompts import sound_reading
from site_builder.terminal import Progress, say

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from collection.records.collection import Collection
    from collection.records.partner import Partner
    from collection.records.quilt import Quilt
    from collection.transfers.handovers import Batch
    from site_builder.documents.typesetting import Typeset

SHEET_ENDINGS = ("pdf", "html")
LIST_ENDINGS = ("pdf", "xlsx")
PAPERS = {"letter": "us-letter", "a4": "a4"}
"""Paper sizes by the names that people use, with the names that typst uses."""


def _to_option(help_text: str) -> "Callable[[F], F]":
    return click.option("--to", required=True, type=click.Path(path_type=Path), help=help_text)


@click.command("handover-sheet")
@collection_argument
@click.argument("quilts", nargs=-1, metavar="[QUILT...]")
@click.option("--through", help="Who took them: the go-between's ID, or the charity's.")
@day_option("The day on which they were handed over. Default: the latest one.")
@click.option("--address", is_flag=True, help="With your address on it.")
@_to_option("The file to write: a .pdf or a .html.")
def handover_sheet(
    collection: Path, quilts: tuple[str, ...], through: str | None, on: date | None, address: bool, to: Path
) -> None:
    """Write the sheet of a batch once more: all that one person took on one day.

    Example: counterpane handover-sheet my-quilts --through nell --on 2026-05-12 --to nell.pdf
    """
    refuse_sheet(to)
    held = _sound_collection(collection)
    batch = _batch(held, quilts, through, on)
    _write_sheet(held, _as_known(held, batch, date.today()), to, with_address=address)


@click.command()
@collection_argument
@click.argument("partner")
@click.option("--year", required=True, type=click.IntRange(1, 9999), help="The giving year in which it received them.")
@click.option("--all", "all_of_them", is_flag=True, help="With those that it has acknowledged.")
@day_option("The day that the letter bears; it knows of nothing later. Default: today.")
@click.option("--address", is_flag=True, help="With your address on it.")
@_to_option("The file to write: a .pdf.")
def letter(
    collection: Path, partner: str, year: int, all_of_them: bool, on: date | None, address: bool, to: Path
) -> None:
    """Write the letter that asks a charity to acknowledge what it received, ready to sign.

    Example: counterpane letter my-quilts river-street --year 2026 --to river-street.pdf
    """
    from collection.records.as_of import as_of
    from collection.values.dates import EdtfDate
    from site_builder.documents.letter import acknowledgement_letter, gifts_to
    from site_builder.documents.output import set_on_paper
    from site_builder.text.wording import count_of

    refuse_file(to, ("pdf",))
    today = on or date.today()
    held = as_of(_sound_collection(collection), today)
    charity = held.partners[_known_partner(held, partner)]
    gifts = gifts_to(held, charity, year, on=today, acknowledged_too=all_of_them)
    if not gifts:
        raise click.UsageError(_nothing_to_acknowledge(held, charity, year, all_of_them, today))
    day = EdtfDate.parse(today.isoformat())
    view = acknowledgement_letter(held, charity, gifts, year=year, on=day, with_address=address)
    _warn_of_missing_address(view.address, asked=address)
    pictures = _pictures(held, (gift.quilt for gift in gifts))
    _write_pdf(to, set_on_paper("letter.typ", view, paper=_paper(held), pictures=pictures, on=day.exact_day))
    say(f"A letter to {charity.name} about {count_of(len(gifts), 'quilt')}: ready to print and sign.")
    click.echo(to)


@click.command()
@collection_argument
@click.argument("quilts", nargs=-1, metavar="[QUILT...]")
@click.option(
    "--kind",
    type=click.Choice(["label", "tag"]),
    default="label",
    show_default=True,
    help="To sew on, or for the house.",
)
@click.option("--paper", type=click.Choice(list(PAPERS)), help="Default: what is usual where your currency is.")
@_to_option("The file to write: a .pdf.")
def labels(collection: Path, quilts: tuple[str, ...], kind: str, paper: str | None, to: Path) -> None:
    """Write labels to print on fabric and sew on, or storage tags with a code to the quilt's page.

    With no quilt named: a label for each in the house that has none yet, a tag for each in the house.

    Example: counterpane labels my-quilts low-tide bramble --kind tag --to tags.pdf
    """
    from site_builder.documents.labels import code_drawings, label_sheet, tag_sheet
    from site_builder.documents.output import set_on_paper
    from site_builder.text.wording import count_of

    refuse_file(to, ("pdf",))
    held = _sound_collection(collection)
    chosen = [_known_quilt(held, quilt_id) for quilt_id in dict.fromkeys(quilts)] or _in_need_of(held, kind)
    if not chosen:
        raise click.UsageError(f"No quilt in the house needs a {kind}. Name those to write one for all the same.")
    view = tag_sheet(held, chosen) if kind == "tag" else label_sheet(held, chosen)
    codes = code_drawings(view)
    if kind == "tag":
        _warn_of_missing_codes(held, len(view.labels) - len(codes))
        how = "Print at full size."
    else:
        _warn_of_unknown_fibres(chosen)
        how = "Print at full size, on fabric; the margin within the line is there to turn under."
    size = PAPERS[paper] if paper else _paper(held)
    _write_pdf(to, set_on_paper("labels.typ", view, paper=size, pictures=codes))
    say(f"{count_of(len(view.labels), kind)}. {how}")
    click.echo(to)


@click.command("insurance-list")
@collection_argument
@day_option("The day that the list bears; it knows of nothing later. Default: today.")
@_to_option("The file to write: a .pdf or an .xlsx.")
def insurance_list(collection: Path, on: date | None, to: Path) -> None:
    """Write the list of what is kept, for an insurer: what Object ID asks of each quilt, and its appraisal.

    Example: counterpane insurance-list my-quilts --to kept.pdf
    """
    from collection.records.as_of import as_of
    from site_builder.documents.insurance_list import insurance_list as list_of
    from site_builder.documents.insurance_list import kept_quilts
    from site_builder.text.wording import count_of

    refuse_file(to, LIST_ENDINGS)
    day = on or date.today()
    held = as_of(_sound_collection(collection), day)
    quilts = kept_quilts(held, on=day)
    if not quilts:
        raise click.UsageError(
            "No quilt is recorded as kept. Write destination: kept into the files of those that are."
        )
    if ending_of(to, LIST_ENDINGS) == "xlsx":
        from site_builder.documents.insurance_workbook import insurance_workbook

        write_whole(to, insurance_workbook(held, on=day))
    else:
        from site_builder.documents.output import set_on_paper

        view = list_of(held, on=day)
        pictures = _pictures(held, quilts)
        _write_pdf(to, set_on_paper("insurance_list.typ", view, paper=_paper(held), pictures=pictures, on=day))
    say(f"{count_of(len(quilts), 'quilt')} kept. Store a copy of this list away from the quilts.")
    click.echo(to)


@click.command("loan-sheet")
@collection_argument
@click.argument("borrower")
@click.option("--values", is_flag=True, help="With what each was appraised at.")
@day_option("The day that the sheet bears; it knows of nothing later. Default: today.")
@click.option("--address", is_flag=True, help="With your address on it.")
@_to_option("The file to write: a .pdf.")
def loan_sheet(collection: Path, borrower: str, values: bool, on: date | None, address: bool, to: Path) -> None:
    """Write the sheet of what is out to a borrower: an exhibition, a trunk show, a class.

    Example: counterpane loan-sheet my-quilts "Hall Show" --to hall-show.pdf
    """
    from collection.records.as_of import as_of
    from collection.values.dates import EdtfDate
    from site_builder.documents.loan_sheet import lent_to
    from site_builder.documents.loan_sheet import loan_sheet as sheet_of
    from site_builder.documents.output import set_on_paper

    refuse_file(to, ("pdf",))
    today = on or date.today()
    held = as_of(_sound_collection(collection), today)
    quilts = lent_to(held, borrower)
    if not quilts:
        raise click.UsageError(_nothing_lent(held, borrower, today))
    day = EdtfDate.parse(today.isoformat())
    view = sheet_of(held, quilts, on=day, with_values=values, with_address=address)
    _warn_of_missing_address(view.address, asked=address)
    pictures = _pictures(held, quilts)
    _write_pdf(to, set_on_paper("loan_sheet.typ", view, paper=_paper(held), pictures=pictures, on=day.exact_day))
    say(f"A loan sheet for {view.borrower}, {view.count}: ready to print and sign.")
    click.echo(to)


PAPERWORK_COMMANDS = (handover_sheet, letter, labels, insurance_list, loan_sheet)


# The sheet of a batch ---------------------------------------------------------------------------


def refuse_sheet(path: Path) -> None:
    """UsageError for a file that no sheet can be written to, before anything is recorded."""
    refuse_file(path, SHEET_ENDINGS)


def write_handover_sheet(collection: "Collection", quilt_id: str, path: Path, *, with_address: bool) -> None:
    """Write the sheet of the batch in which a quilt has just left."""
    from collection.transfers.handovers import find_batches

    batch = next(each for each in reversed(find_batches(collection)) if each.holds(quilt_id))
    _write_sheet(collection, batch, path, with_address=with_address)


def _write_sheet(collection: "Collection", batch: "Batch", path: Path, *, with_address: bool) -> None:
    from site_builder.documents.as_page import set_as_page
    from site_builder.documents.handover_sheet import handover_sheet as sheet_of

    view = sheet_of(collection, batch, with_address=with_address)
    pictures = _pictures(collection, (handed.quilt for handed in batch.handed))
    _warn_of_missing_address(view.address, asked=with_address)
    if ending_of(path, SHEET_ENDINGS) == "html":
        write_whole(path, set_as_page("handover_sheet.html", view, pictures=pictures))
    else:
        from site_builder.documents.output import set_on_paper

        paper = _paper(collection)
        day = batch.on.exact_day
        _write_pdf(path, set_on_paper("handover_sheet.typ", view, paper=paper, pictures=pictures, on=day))
    say(f"Sheet {view.number}, {view.count}: ready to print and sign.")
    click.echo(path)


def _batch(collection: "Collection", quilts: tuple[str, ...], through: str | None, on: date | None) -> "Batch":
    """The latest batch that matches the options. UsageError if none does, or if it is ambiguous."""
    from collection.transfers.handovers import find_batches

    if not quilts and through is None:
        raise click.UsageError("Name a quilt of the batch, or who took it and when: --through nell --on 2026-05-12.")
    for quilt_id in quilts:
        _known_quilt(collection, quilt_id)
    taker = _known_partner(collection, through) if through is not None else None
    batches = [batch for batch in find_batches(collection) if taker in (None, batch.taker)]
    found = [each for each in batches if on in (None, each.on.exact_day) and all(map(each.holds, quilts))]
    if not found:
        raise click.UsageError(_no_batch(collection, batches, quilts, on))
    if on is not None and taker is None and len(found) > 1:
        raise click.UsageError(f"There are {len(found)} such batches. Say with --through who took it.")
    return found[-1]


def _as_known(collection: "Collection", batch: "Batch", today: date) -> "Batch":
    """The same batch as of today, or as of its own day if that is later."""
    from collection.records.as_of import as_of
    from collection.transfers.handovers import find_batches

    by_then = as_of(collection, max(today, batch.on.earliest or today))
    same = (each for each in find_batches(by_then) if (each.taker, each.on) == (batch.taker, batch.on))
    return next(same, batch)


def _no_batch(collection: "Collection", batches: list["Batch"], quilts: tuple[str, ...], on: date | None) -> str:
    from collection.quotes import listed
    from collection.transfers.wording import partner_name

    what = listed([collection.quilts[quilt_id].title for quilt_id in quilts]) or "Nothing"
    verb = "was not" if len(quilts) == 1 else "were not" if quilts else "was"
    together = " together" if len(quilts) > 1 else ""
    begun = (
        f"{what} {verb} handed over{together} {'in that way' if on or not quilts else 'yet, as far as is recorded'}."
    )
    near = [batch for batch in batches if not quilts or any(map(batch.holds, quilts))]
    if not near:
        return f"{begun} Record it first: counterpane hand-over."
    latest = [f"{partner_name(batch.taker, collection.partners)} on {batch.on}" for batch in near[-4:]]
    return f"{begun} There is a sheet for each day: {'; '.join(latest)}."


# Letters ----------------------------------------------------------------------------------------


def _nothing_to_acknowledge(
    collection: "Collection", charity: "Partner", year: int, all_of_them: bool, on: date
) -> str:
    from site_builder.documents.letter import gifts_to
    from site_builder.text.wording import count_of

    if charity.kind == "go-between":
        return f"{charity.name} is a go-between. The letter goes to the charity that received the quilts: name that."
    acknowledged = () if all_of_them else gifts_to(collection, charity, year, on=on, acknowledged_too=True)
    if acknowledged:
        return (
            f"{charity.name} has acknowledged all that it received in {year}, {count_of(len(acknowledged), 'quilt')}. "
            "A letter about them all the same: --all."
        )
    begun = f"Nothing is recorded as delivered to {charity.name} in {year}, as of {on}."
    return f"{begun} Record it first: counterpane delivered."


# Labels and tags --------------------------------------------------------------------------------


def _in_need_of(collection: "Collection", kind: str) -> list["Quilt"]:
    """The quilts in the house in the order of the inventory; for labels, the finished ones that have none."""
    from collection.records.collection import inventory_order

    here = sorted((quilt for quilt in collection.quilts.values() if quilt.in_the_house), key=inventory_order)
    if kind == "tag":
        return here
    return [quilt for quilt in here if quilt.stage == "finished" and not (quilt.care and quilt.care.label)]


def _warn_of_unknown_fibres(quilts: "Iterable[Quilt]") -> None:
    from collection.care.washing import layers_of_unknown_fibre
    from site_builder.text.wording import count_of

    unknown = [quilt.title for quilt in quilts if layers_of_unknown_fibre(quilt)]
    if unknown:
        labels = "The label says" if len(unknown) == 1 else f"{count_of(len(unknown), 'label')} say"
        say(
            f"{labels} that the fibre is not recorded or not known to us: write down the fibres of each layer. {'; '.join(unknown)}."
        )


def _warn_of_missing_codes(collection: "Collection", missing: int) -> None:
    from site_builder.text.wording import count_of

    if not collection.settings.site.url:
        say("The tags have no code: it would lead to the web site, and collection.yaml names none under site: url.")
    elif missing:
        say(f"{count_of(missing, 'tag')} without a code: kept out of the catalogue, so there is no page to lead to.")


# Loans ------------------------------------------------------------------------------------------


def _nothing_lent(collection: "Collection", borrower: str, on: date) -> str:
    from collection.problems import nearest_word
    from collection.quotes import listed, quoted
    from site_builder.documents.loan_sheet import borrowers

    out = {name.lower(): name for name in borrowers(collection)}
    begun = f"Nothing is out on loan to {quoted(borrower)} as of {on}."
    if not out:
        return f"{begun} Write the loan into the quilt's file first, under loans."
    near = nearest_word(borrower, out)
    return f"{begun} Did you mean {out[near]}?" if near else f"{begun} Quilts are out to {listed(list(out.values()))}."


# Reading and writing ----------------------------------------------------------------------------


def _sound_collection(folder: Path) -> "Collection":
    """The collection. CollectionProblems if its records have errors."""
    return sound_reading(folder).collection


def _known_quilt(collection: "Collection", quilt_id: str) -> "Quilt":
    from collection.transfers.preconditions import unknown_quilt

    if quilt_id not in collection.quilts:
        raise click.UsageError(unknown_quilt(collection, {}, quilt_id).remedy)
    return collection.quilts[quilt_id]


def _known_partner(collection: "Collection", partner_id: str) -> str:
    from collection.problems import nearest_word
    from collection.quotes import quoted

    if partner_id not in collection.partners:
        named = (each.id for each in collection.partners.values() if each.name.casefold() == partner_id.casefold())
        near = next(named, None) or nearest_word(partner_id, collection.partners)
        hint = f"Did you mean {near}?" if near else "A partner is named as its file in partners/ is, without .yaml."
        raise click.UsageError(f"There is no partner {quoted(partner_id)}. {hint}")
    return partner_id


def _pictures(collection: "Collection", quilts: "Iterable[Quilt]") -> dict[str, bytes]:
    from site_builder.documents.giving_report.thumbnails import thumbnails

    with Progress() as progress:
        return thumbnails(collection, quilts, progress=lambda done, of: progress("Pictures", done, of))


def _warn_of_missing_address(address: str | None, *, asked: bool) -> None:
    if asked and not address:
        say("No address is recorded, so there is none on it. Write it in collection.yaml, under maker: address.")


def _paper(collection: "Collection") -> str:
    from site_builder.documents.typesetting import paper_size

    return paper_size(collection.settings.currency)


def _write_pdf(path: Path, made: "Typeset") -> None:
    if made.shortcoming:
        say(made.shortcoming)
    write_whole(path, made.pdf)
