"""The commands that match quilts to requests and record transfers.

Each shows what it would change before it changes anything, and records all of it or none.
"""

from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, TypedDict, Unpack

import click

from site_builder.cli.options import F, collection_argument, day_option
from site_builder.cli.prompts import ask, log_entry_now, sound_reading
from site_builder.terminal import print_json, say, tell

if TYPE_CHECKING:
    from collection.loading.loader import Reading
    from collection.matching.plan import Plan
    from collection.records.collection import Collection
    from collection.transfers.transfers import Transfers
    from collection.values.dates import EdtfDate

Compute = Callable[["Reading", "EdtfDate"], "Transfers"]


class Recording(TypedDict):
    """The options of every command that records a transfer."""

    on: date | None
    dry_run: bool
    yes: bool


def _quilts_argument(command: F) -> F:
    return click.argument("quilts", nargs=-1, required=True, metavar="QUILT...")(command)


def _recording_options(command: F) -> F:
    for option in (
        click.option("--dry-run", is_flag=True, help="Only show what would change."),
        click.option("--yes", is_flag=True, help="Do not ask first on a terminal."),
        day_option("The day on which it happened. Default: today."),
    ):
        command = option(command)
    return command


@click.command()
@collection_argument
@day_option("The day to match on. Default: today.")
@click.option("--save", type=click.Path(path_type=Path), help="Write the plan to this file, for promise.")
@click.option("--json", "as_json", is_flag=True, help="The result for programs.")
def match(collection: Path, on: date | None, save: Path | None, as_json: bool) -> None:
    """Find the best plan for the open requests, with its reasons.

    Example: counterpane match my-quilts --save plan.yaml
    """
    from collection.matching.match import match as best_plan
    from collection.matching.plan import reminders_of_plan
    from collection.matching.plan_file import plan_text

    day = on or date.today()
    reading = sound_reading(collection)
    plan = best_plan(reading.collection, on=day)
    if as_json:
        reminders = reminders_of_plan(reading.collection, plan)
        print_json(
            plan.as_data() | {"mind": [{"sentence": mind.sentence, "quilts": list(mind.ids)} for mind in reminders]}
        )
    else:
        for line in plan_lines(plan, reading.collection, day):
            tell(line)
        if plan.undecided:
            tell(f"To let some of them go: counterpane set-free {collection} QUILT...")
    if save is not None:
        from site_builder.cli.output_files import write_whole

        write_whole(save, plan_text(plan, reading.collection, on=day).encode())
        say(f"The plan is in {save}. Look it over, then: counterpane promise {collection} {save}")


@click.command()
@collection_argument
@click.argument("plan", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@_recording_options
def promise(collection: Path, plan: Path, on: date | None, dry_run: bool, yes: bool) -> None:
    """Accept a plan: its quilts are promised to their places.

    Example: counterpane promise my-quilts plan.yaml
    """
    from collection.matching.judgement import checks_in_short
    from collection.matching.plan import days_passed
    from collection.matching.plan_file import assignments, check_plan, read_plan
    from collection.problems import CollectionProblems
    from collection.storage.files import bytes_of_named
    from collection.transfers.transfers import promise as promise_quilts
    from collection.values.dates import EdtfDate
    from collection.yaml_files.parser import LARGEST_FILE

    wanted, text, problems = read_plan(bytes_of_named(plan, LARGEST_FILE), str(plan))
    if wanted is None:
        raise CollectionProblems(problems)
    when = EdtfDate.parse((on or date.today()).isoformat()) if on or not wanted.on else wanted.on
    day = when.exact_day or date.today()

    def compute(reading: "Reading", today: EdtfDate) -> "Transfers":
        unfit, judgements = check_plan(reading.collection, wanted, text, on=day)
        if unfit:
            raise CollectionProblems(unfit)
        for quilt, judgement in judgements.items():
            if checks := checks_in_short(check for check in judgement.checks if check.field != "needed_by"):
                say(f"{reading.collection.quilts[quilt].title}: check first: {checks}.")
        requests = {request: reading.collection.requests.get(request) for _, request, _ in assignments(wanted)}
        for passed in days_passed(filter(None, requests.values()), on or max(day, date.today())):
            say(f"{passed.request} {passed.say()}.")
            if not dry_run:
                ask("Promise them all the same?", yes=yes)
        in_time = [q for q in judgements if reading.collection.quilts[q].stage != "finished"]
        places = assignments(wanted)
        return promise_quilts(reading.collection, reading.texts, places, on=when, to_be_finished=in_time)

    _record(collection, compute, on=on, dry_run=dry_run, yes=yes)


@click.command("hand-over")
@collection_argument
@_quilts_argument
@click.option("--through", help="The go-between's ID.")
@click.option("--to", help="The charity's ID, where it is known, or where there is no go-between.")
@click.option("--request", help="The request that they answer.")
@click.option("--line", help="The line of that request.")
@click.option("--sheet", type=click.Path(path_type=Path), help="Write the batch's sheet: a .pdf or a .html.")
@click.option("--address", is_flag=True, help="With your address on the sheet.")
@_recording_options
def hand_over(
    collection: Path,
    quilts: tuple[str, ...],
    through: str | None,
    to: str | None,
    request: str | None,
    line: str | None,
    sheet: Path | None,
    address: bool,
    **options: Unpack[Recording],
) -> None:
    """Record that quilts have left the house, and print what goes with them.

    Example: counterpane hand-over my-quilts low-tide bramble --through nell --sheet nell.pdf
    """
    from collection.transfers import transfers
    from site_builder.cli.documents import refuse_sheet, write_handover_sheet

    if address and sheet is None:
        raise click.UsageError("The address stands on the sheet: name its file with --sheet.")
    if sheet is not None:
        refuse_sheet(sheet)

    def compute(reading: "Reading", day: "EdtfDate") -> "Transfers":
        return transfers.hand_over(
            reading.collection, reading.texts, quilts, on=day, through=through, to=to, request=request, line=line
        )

    def then(moved: "Collection", ids: list[str]) -> None:
        _print_sheet(moved, ids)
        if sheet is not None:
            write_handover_sheet(moved, ids[0], sheet, with_address=address)

    _record(collection, compute, then=then, **options)


@click.command()
@collection_argument
@_quilts_argument
@click.option("--to", help="The charity's ID. Left out: the one that they were for.")
@_recording_options
def delivered(collection: Path, quilts: tuple[str, ...], to: str | None, **options: Unpack[Recording]) -> None:
    """Record where quilts have landed.

    Example: counterpane delivered my-quilts low-tide --to river-street --on 2026-05-30
    """
    from collection.transfers import transfers

    def compute(reading: "Reading", day: "EdtfDate") -> "Transfers":
        return transfers.delivered(reading.collection, reading.texts, quilts, on=day, to=to)

    _record(collection, compute, **options)


@click.command()
@collection_argument
@_quilts_argument
@click.option("--letter", help="The file name of the letter.")
@_recording_options
def acknowledged(collection: Path, quilts: tuple[str, ...], letter: str | None, **options: Unpack[Recording]) -> None:
    """Record that a charity's letter has come.

    Example: counterpane acknowledged my-quilts low-tide --letter river-street-2026.pdf
    """
    from collection.transfers import transfers

    def compute(reading: "Reading", day: "EdtfDate") -> "Transfers":
        return transfers.acknowledged(reading.collection, reading.texts, quilts, on=day, letter=letter)

    _record(collection, compute, **options)


@click.command()
@collection_argument
@_quilts_argument
@click.option("--note", help="Why, for the quilt's history. Private.")
@_recording_options
def returned(collection: Path, quilts: tuple[str, ...], note: str | None, **options: Unpack[Recording]) -> None:
    """Record that quilts have come back; they are free again.

    Example: counterpane returned my-quilts low-tide --note "too large for their beds"
    """
    from collection.transfers import transfers

    def compute(reading: "Reading", day: "EdtfDate") -> "Transfers":
        return transfers.returned(reading.collection, reading.texts, quilts, on=day, note=note)

    _record(collection, compute, **options)


@click.command("set-free")
@collection_argument
@_quilts_argument
@click.option("--note", help="Why, for the quilt's history. Private.")
@_recording_options
def set_free(collection: Path, quilts: tuple[str, ...], note: str | None, **options: Unpack[Recording]) -> None:
    """Record that quilts in the house look for a home: a promise ends, a kept one may go.

    Example: counterpane set-free my-quilts low-tide
    """
    from collection.transfers import transfers

    def compute(reading: "Reading", day: "EdtfDate") -> "Transfers":
        return transfers.set_free(reading.collection, reading.texts, quilts, on=day, note=note)

    _record(collection, compute, **options)


@click.command()
@collection_argument
@_quilts_argument
@click.option("--note", help="What is known of it. Private.")
@_recording_options
def lost(collection: Path, quilts: tuple[str, ...], note: str | None, **options: Unpack[Recording]) -> None:
    """Record that quilts can't be found.

    Example: counterpane lost my-quilts low-tide --note "not in the van"
    """
    from collection.transfers import transfers

    def compute(reading: "Reading", day: "EdtfDate") -> "Transfers":
        return transfers.lost(reading.collection, reading.texts, quilts, on=day, note=note)

    _record(collection, compute, **options)


TRANSFER_COMMANDS = (match, promise, hand_over, delivered, acknowledged, returned, set_free, lost)


# Recording --------------------------------------------------------------------------------------


def _record(
    folder: Path,
    compute: Compute,
    *,
    then: Callable[["Collection", list[str]], None] | None = None,
    **options: Unpack[Recording],
) -> None:
    """Show transfers, ask on a terminal, and record them in all files or in none. `then` gets the new state and the IDs."""
    from collection.problems import CollectionProblems
    from collection.transfers.file_edits import file_changes
    from collection.transfers.transfers import reminders_of_transfers
    from collection.values.dates import EdtfDate
    from site_builder.text.wording import count_of

    reading = sound_reading(folder)
    found = compute(reading, EdtfDate.parse((options["on"] or date.today()).isoformat()))
    if found.refusals:
        raise CollectionProblems(found.refusals)
    lines = [change.say(reading.collection) for change in found.changes]
    for line in (*lines, *(mind.say() for mind in reminders_of_transfers(reading.collection, found.changes))):
        say(line)
    changes = file_changes(reading.collection, found)
    if options["dry_run"]:
        say(f"Nothing was changed: {count_of(len(found.changes), 'change')} shown only.")
        return
    if not changes.changes:
        say("There is nothing to record; nothing was changed.")
        return
    ask("Record this?", yes=options["yes"])
    names = changes.commit(log_entry_now("\n".join(lines)))
    say(f"Recorded in {count_of(len(names), 'file')}; counterpane undo takes it back.")
    if then is not None:
        then(sound_reading(folder).collection, [change.quilt.id for change in found.changes])


# The plan in words ------------------------------------------------------------------------------


def plan_lines(plan: "Plan", collection: "Collection", on: date) -> Iterator[str]:
    """A plan as text for the terminal."""
    from collection.matching.plan import reminders_of_plan
    from site_builder.text.wording import count_of

    def title(quilt: str) -> str:
        return f"{collection.quilts[quilt].title} ({quilt})"

    yield f"{count_of(len(plan.assigned), 'place')} filled, {sum(each.places for each in plan.open):,} still open."
    yield from (f"{passed.request} {passed.say()}." for passed in plan.day_passed)
    yield from _assigned_lines(plan, title)
    yield from (f"\n{mind.say()}" for mind in reminders_of_plan(collection, plan))
    parts = (
        ("Still open", _open_lines(plan, title)),
        ("Left over", _left_over_lines(plan, title)),
        ("What to make next", _make_next_lines(plan, on)),
        ("No quilt can be made for", (f"  {at.request}, line {at.line}: {at.because}" for at in plan.cannot_be_made)),
    )
    for heading, lines in parts:
        for number, line in enumerate(lines):
            yield f"\n{heading}:\n{line}" if number == 0 else line
    if plan.undecided:
        yield f"\n{plan.say_undecided()}"
    for undecided in plan.undecided:
        if undecided.would_fit is not None:
            request, place = undecided.would_fit
            yield f"  {title(undecided.quilt)}: would fit {request}, line {place}"


def _assigned_lines(plan: "Plan", title: Callable[[str], str]) -> Iterator[str]:
    from collection.matching.judgement import checks_in_short

    last = None
    for each in plan.assigned:
        if (each.request, each.line) != last:
            last = each.request, each.line
            yield f"\n{each.request}, line {each.line}:"
        yield f"  {title(each.quilt)}: {each.fit}; {each.why}"
        if each.checks:
            yield f"    check first: {checks_in_short(each.checks)}"


def _open_lines(plan: "Plan", title: Callable[[str], str]) -> Iterator[str]:
    from site_builder.text.wording import count_of

    for opened in plan.open:
        yield f"  {opened.request}, line {opened.line}: {count_of(opened.places, 'place')}"
        yield from (f"    nearest: {title(near.quilt)}: {near.because}" for near in opened.nearest)


def _left_over_lines(plan: "Plan", title: Callable[[str], str]) -> Iterator[str]:
    for left in plan.left_over:
        near = left.nearest
        because = f"{near.request}, line {near.line}: {near.because}" if near else "nothing is open"
        yield f"  {title(left.quilt)}: {because}"


def _make_next_lines(plan: "Plan", on: date) -> Iterator[str]:
    from collection.matching.readiness import passed_words
    from site_builder.text.wording import count_of

    for each in plan.make_next:
        what = ", ".join(filter(None, [each.size or (None if each.target else "any size"), each.say_size()]))
        words = "; ".join(filter(None, [what, each.say_rules()]))
        needed = f", the first by {each.by.say()}{passed_words(each.by, on)}" if each.by else ""
        lines = ", ".join(f"{request}, line {line}" for request, line in each.lines)
        yield f"  {count_of(each.count, 'quilt')}: {words}{needed} (for {lines})"


# The batch in words -----------------------------------------------------------------------------


def _print_sheet(collection: "Collection", quilts: list[str]) -> None:
    """Print what accompanies a batch: number, title, size, care, destination and cautions, but no values."""
    from collection.care.cautions import minds
    from site_builder.pages.quilt import care_words
    from site_builder.text.wording import count_of, number_words, size_both, standing_words

    for quilt_id in quilts:
        quilt = collection.quilts[quilt_id]
        number = number_words(quilt)
        size = size_both(quilt.finished_size, collection.settings.units) if quilt.finished_size else "not measured"
        parts = [number, quilt.title, size, care_words(quilt), standing_words(quilt, collection)]
        tell("; ".join(filter(None, parts)))
    for mind in minds(collection, [(collection.quilts[quilt], None) for quilt in quilts]):
        tell(mind.say())
    click.echo(f"{count_of(len(quilts), 'quilt')} in all.")
