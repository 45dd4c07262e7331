"""The commands that match quilts to requests and record their moves.

Each shows what it would change before it changes anything, and records all of it or none.
"""

from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from site_builder.command_options import collection_argument, day_option
from site_builder.command_parts import ask, sound_reading, told_now
from site_builder.terminal import print_json, say, tell

if TYPE_CHECKING:
    from collection.holdings import Collection
    from collection.moves import Moves
    from collection.plans import Plan
    from collection.reading import Reading

Move = Callable[["Reading"], "Moves"]


def _quilts_argument(command):
    return click.argument("quilts", nargs=-1, required=True, metavar="QUILT...")(command)


def _recording_options(command):
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
    from collection.cautions import minds_of_plan
    from collection.matching import match as best_plan
    from collection.plan_files import plan_text

    day = on or date.today()
    reading = sound_reading(collection)
    plan = best_plan(reading.collection, on=day)
    if as_json:
        told = minds_of_plan(reading.collection, plan)
        print_json(plan.as_data() | {"mind": [{"sentence": mind.sentence, "quilts": list(mind.ids)} for mind in told]})
    else:
        for line in plan_lines(plan, reading.collection, day):
            tell(line)
        if plan.undecided:
            tell(f"To let some of them go: counterpane set-free {collection} QUILT...")
    if save is not None:
        from site_builder.result_files import write_whole

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
    from collection.dates import EdtfDate
    from collection.disk import bytes_of_named
    from collection.moves import promise as promise_quilts
    from collection.plan_files import assignments, check_plan, read_plan
    from collection.plans import days_passed
    from collection.problems import CollectionProblems
    from collection.yaml_text import LARGEST_FILE

    wanted, text, problems = read_plan(bytes_of_named(plan, LARGEST_FILE), str(plan))
    if wanted is None:
        raise CollectionProblems(problems)
    when = EdtfDate.parse((on or date.today()).isoformat()) if on or not wanted.on else wanted.on
    day = when.exact_day or date.today()

    def moves(reading: "Reading") -> "Moves":
        unfit, judgements = check_plan(reading.collection, wanted, text, on=day)
        if unfit:
            raise CollectionProblems(unfit)
        for quilt, judgement in judgements.items():
            if checks := dict.fromkeys(check.why for check in judgement.checks if check.field != "needed_by"):
                say(f"{reading.collection.quilts[quilt].title}: check first: {'; '.join(checks)}.")
        requests = {request: reading.collection.requests.get(request) for _, request, _ in assignments(wanted)}
        for passed in days_passed(filter(None, requests.values()), on or max(day, date.today())):
            say(f"{passed.request} {passed.say()}.")
            if not dry_run:
                ask("Promise them all the same?", yes=yes)
        in_time = [q for q in judgements if reading.collection.quilts[q].stage != "finished"]
        return promise_quilts(
            reading.collection, reading.texts, assignments(wanted), on=when, to_be_finished=in_time
        )

    _record(collection, moves, dry_run=dry_run, yes=yes)


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
def hand_over(collection, quilts, through, to, request, line, sheet, address, on, dry_run, yes) -> None:
    """Record that quilts have left the house, and print what goes with them.

    Example: counterpane hand-over my-quilts low-tide bramble --through nell --sheet nell.pdf
    """
    from collection.moves import hand_over as hand_over_quilts
    from site_builder.paperwork_commands import refuse_sheet, write_handover_sheet

    if address and sheet is None:
        raise click.UsageError("The address stands on the sheet: name its file with --sheet.")
    if sheet is not None:
        refuse_sheet(sheet)

    def moves(reading: "Reading") -> "Moves":
        return hand_over_quilts(
            reading.collection, reading.texts, quilts,
            on=_when(on), through=through, to=to, request=request, line=line,
        )  # fmt: skip

    def then(moved: "Collection", ids: list[str]) -> None:
        _print_sheet(moved, ids)
        if sheet is not None:
            write_handover_sheet(moved, ids[0], sheet, with_address=address)

    _record(collection, moves, dry_run=dry_run, yes=yes, then=then)


@click.command()
@collection_argument
@_quilts_argument
@click.option("--to", help="The charity's ID. Left out: the one that they were for.")
@_recording_options
def delivered(collection, quilts, to, on, dry_run, yes) -> None:
    """Record where quilts have landed.

    Example: counterpane delivered my-quilts low-tide --to river-street --on 2026-05-30
    """
    from collection.moves import delivered as deliver

    _record(
        collection,
        lambda reading: deliver(reading.collection, reading.texts, quilts, on=_when(on), to=to),
        dry_run=dry_run, yes=yes,
    )  # fmt: skip


@click.command()
@collection_argument
@_quilts_argument
@click.option("--letter", help="The file name of the letter.")
@_recording_options
def acknowledged(collection, quilts, letter, on, dry_run, yes) -> None:
    """Record that a charity's letter has come.

    Example: counterpane acknowledged my-quilts low-tide --letter river-street-2026.pdf
    """
    from collection.moves import acknowledged as acknowledge

    _record(
        collection,
        lambda reading: acknowledge(reading.collection, reading.texts, quilts, on=_when(on), letter=letter),
        dry_run=dry_run, yes=yes,
    )  # fmt: skip


@click.command()
@collection_argument
@_quilts_argument
@click.option("--note", help="Why, for the quilt's history. Private.")
@_recording_options
def returned(collection, quilts, note, on, dry_run, yes) -> None:
    """Record that quilts have come back; they are free again.

    Example: counterpane returned my-quilts low-tide --note "too large for their beds"
    """
    from collection.moves import returned as take_back

    _record(
        collection,
        lambda reading: take_back(reading.collection, reading.texts, quilts, on=_when(on), note=note),
        dry_run=dry_run, yes=yes,
    )  # fmt: skip


@click.command("set-free")
@collection_argument
@_quilts_argument
@click.option("--note", help="Why, for the quilt's history. Private.")
@_recording_options
def set_free(collection, quilts, note, on, dry_run, yes) -> None:
    """Record that quilts in the house look for a home: a promise ends, a kept one may go.

    Example: counterpane set-free my-quilts low-tide
    """
    from collection.moves import set_free as free

    _record(
        collection,
        lambda reading: free(reading.collection, reading.texts, quilts, on=_when(on), note=note),
        dry_run=dry_run, yes=yes,
    )  # fmt: skip


@click.command()
@collection_argument
@_quilts_argument
@click.option("--note", help="What is known of it. Private.")
@_recording_options
def lost(collection, quilts, note, on, dry_run, yes) -> None:
    """Record that quilts can't be found.

    Example: counterpane lost my-quilts low-tide --note "not in the van"
    """
    from collection.moves import lost as miss

    _record(
        collection,
        lambda reading: miss(reading.collection, reading.texts, quilts, on=_when(on), note=note),
        dry_run=dry_run, yes=yes,
    )  # fmt: skip


MOVE_COMMANDS = (match, promise, hand_over, delivered, acknowledged, returned, set_free, lost)


# Recording --------------------------------------------------------------------------------------


def _when(on: date | None):
    from collection.dates import EdtfDate

    return EdtfDate.parse((on or date.today()).isoformat())


def _record(
    folder: Path,
    move: Move,
    *,
    dry_run: bool,
    yes: bool,
    then: Callable[["Collection", list[str]], None] | None = None,
) -> None:
    """Show a move, ask where someone can answer, and record it in all its files or in none."""
    from collection.cautions import minds_of_moves
    from collection.problems import CollectionProblems
    from collection.recording import file_changes
    from site_builder.words import count_of

    reading = sound_reading(folder)
    moves = move(reading)
    if moves.refusals:
        raise CollectionProblems(moves.refusals)
    lines = [change.say(reading.collection) for change in moves.changes]
    for line in (*lines, *(mind.say() for mind in minds_of_moves(reading.collection, moves.changes))):
        say(line)
    changes = file_changes(reading.collection, moves)
    if dry_run:
        say(f"Nothing was changed: {count_of(len(moves.changes), 'change')} shown only.")
        return
    if not changes.changes:
        say("There is nothing to record; nothing was changed.")
        return
    ask("Record this?", yes=yes)
    names = changes.commit(told_now("\n".join(lines)))
    say(f"Recorded in {count_of(len(names), 'file')}; counterpane undo takes it back.")
    if then is not None:
        then(sound_reading(folder).collection, [change.quilt.id for change in moves.changes])


# Saying -----------------------------------------------------------------------------------------


def plan_lines(plan: "Plan", collection: "Collection", on: date):
    """A plan as a person reads it in a terminal."""
    from collection.readiness import passed_words
    from collection.cautions import minds_of_plan
    from site_builder.words import count_of

    def title(quilt: str) -> str:
        return f"{collection.quilts[quilt].title} ({quilt})"

    yield f"{count_of(len(plan.assigned), 'place')} filled, {sum(each.places for each in plan.open):,} still open."
    for passed in plan.day_passed:
        yield f"{passed.request} {passed.say()}."
    last = None
    for each in plan.assigned:
        if (each.request, each.line) != last:
            last = each.request, each.line
            yield f"\n{each.request}, line {each.line}:"
        yield f"  {title(each.quilt)}: {each.fit}; {each.why}"
        for check in each.checks:
            yield f"    check first: {check.field}: {check.why}"
    for mind in minds_of_plan(collection, plan):
        yield f"\n{mind.say()}"
    if plan.open:
        yield "\nStill open:"
    for opened in plan.open:
        yield f"  {opened.request}, line {opened.line}: {count_of(opened.places, 'place')}"
        for near in opened.nearest:
            yield f"    nearest: {title(near.quilt)}: {near.because}"
    if plan.left_over:
        yield "\nLeft over:"
    for left in plan.left_over:
        near = left.nearest
        because = f"{near.request}, line {near.line}: {near.because}" if near else "nothing is open"
        yield f"  {title(left.quilt)}: {because}"
    if plan.make_next:
        yield "\nWhat to make next:"
    for each in plan.make_next:
        what = ", ".join(filter(None, [each.size or (None if each.target else "any size"), each.say_size()]))
        needed = f", the first by {each.by.say()}{passed_words(each.by, on)}" if each.by else ""
        lines = ", ".join(f"{request}, line {line}" for request, line in each.lines)
        yield f"  {count_of(each.count, 'quilt')}: {'; '.join(filter(None, [what, each.say_rules()]))}{needed} (for {lines})"
    if plan.cannot_be_made:
        yield "\nNo quilt can be made for:"
    for each in plan.cannot_be_made:
        yield f"  {each.request}, line {each.line}: {each.because}"
    if plan.undecided:
        yield f"\n{plan.say_undecided()}"
    for undecided in plan.undecided:
        if undecided.would_fit is not None:
            request, line = undecided.would_fit
            yield f"  {title(undecided.quilt)}: would fit {request}, line {line}"


def _print_sheet(collection: "Collection", quilts: list[str]) -> None:
    """What travels with a batch, as text: who, what, for whom, and what to mind; no values."""
    from collection.cautions import minds
    from site_builder.quilt_pages import care_words
    from site_builder.words import count_of, number_words, size_both, standing_words

    for quilt_id in quilts:
        quilt = collection.quilts[quilt_id]
        number = number_words(quilt)
        size = size_both(quilt.finished_size, collection.settings.units) if quilt.finished_size else "not measured"
        parts = [number, quilt.title, size, care_words(quilt), standing_words(quilt, collection)]
        tell("; ".join(filter(None, parts)))
    for mind in minds(collection, [(collection.quilts[quilt], None) for quilt in quilts]):
        tell(mind.say())
    click.echo(f"{count_of(len(quilts), 'quilt')} in all.")
