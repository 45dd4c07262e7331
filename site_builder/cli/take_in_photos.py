"""Imports photos at a terminal: reads them, proposes drafts, asks, and writes all of it or nothing."""

from collections.abc import Callable, Iterator, Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from site_builder.cli.prompts import ask, log_entry_now, someone_can_answer, sound_reading
from site_builder.terminal import Progress, harmless, print_json, say, tell

if TYPE_CHECKING:
    from collection.loading.loader import Reading
    from site_builder.photo_import.drafts import Draft
    from site_builder.photo_import.duplicates import Decision, Duplicate
    from site_builder.photo_import.grouping import Doubt, Group, Grouping
    from site_builder.photo_import.plan import Addition, Plan

ASKED_OF_AT_MOST = 6
"""The most drafts in one question, as the person does not see the pictures."""

NAMED_AT_MOST = 4
LISTED_AT_MOST = 30

PUT_RIGHT = (
    "Where pictures belong together otherwise: don't take them in yet (or take them back with counterpane undo). Put "
    "those of one quilt into a folder named like “Low Tide quilt”, with the word quilt at its end, and run this "
    "again: all in such a folder is one quilt."
)


def take_in_photos(collection: Path, source: Path, *, on: date, dry_run: bool, yes: bool, as_json: bool) -> None:
    """Make draft records of the pictures in `source`, a folder or one picture, and copy them into photos/.

    Shows first what it would do. Asks if someone can answer, unless `yes`; if nobody can, pictures that the collection
    has already are skipped and listed. Raises CollectionProblems, click.UsageError or click.Abort, with nothing changed.
    """
    from site_builder.photo_import.plan import file_changes
    from site_builder.text.wording import count_of

    reading = sound_reading(collection)
    asking = not (dry_run or yes) and someone_can_answer()
    plan = _plan(reading, source, on=on, asking=asking, keep=not dry_run)
    for line in lines_of(plan, whole=dry_run):
        tell(line, err=as_json)
    photos = count_of(len(plan.photos), "photo")
    if not plan.photos:
        say("There is nothing new to take in; nothing was changed.")
    elif dry_run:
        say(f"Nothing was changed: {photos} shown only.")
    else:
        ask(f"Take in {photos}?", yes=yes)
        file_changes(plan, reading.collection).commit(log_entry_now("\n".join(lines_of_log(plan))))
        say(
            f"Took in {photos}; counterpane undo takes it back, and the pictures that they come from are as they "
            f"were. What is missing: counterpane check {collection}"
        )
    if as_json:
        print_json({**plan.as_data(), "written": bool(plan.photos) and not dry_run})


def _plan(reading: "Reading", source: Path, *, on: date, asking: bool, keep: bool) -> "Plan":
    from dataclasses import replace

    from site_builder.photo_import.duplicates import skip
    from site_builder.photo_import.grouping import group
    from site_builder.photo_import.inspect import look_at_all
    from site_builder.photo_import.known_photos import known_photos
    from site_builder.photo_import.plan import Skipped, plan_intake
    from site_builder.photo_import.sources import open_source

    opened = open_source(source, reading.collection)
    with Progress() as progress:
        seen, unusable = look_at_all(
            opened.pictures, on=on, progress=lambda done, of: progress("Looking at pictures", done, of)
        )
        known = known_photos(
            reading.collection.folder,
            reading.collection.photos - {file.known_path for file in opened.pictures},
            keep=keep,
            progress=lambda done, of: progress("Looking at the collection's own photos", done, of),
        )
    grouping = group(seen, opened.folder if source.is_dir() else "")
    if asking:
        grouping = _asked_together(grouping, {likeness.digest for likeness in known.values()})
    plan = plan_intake(
        grouping.groups,
        reading.collection,
        known,
        decide=_Asker() if asking else skip,
        left_out=(*opened.left_out, *unusable),
        doubts=grouping.doubts,
    )
    named = tuple(Skipped(file.name, f"{title} names it already.") for file, title in opened.named)
    return replace(plan, skipped=(*named, *plan.skipped))


# Asking -----------------------------------------------------------------------------------------


def _asked_together(grouping: "Grouping", known: set[str]) -> "Grouping":
    """The groups after asking about each doubt that a person can settle, and the doubts that are left.

    Pictures with a `known` digest are not asked about, as they will be skipped.
    """
    from site_builder.photo_import.grouping import Grouping, put_together

    groups: list[Group] = list(grouping.groups)
    left: list[Doubt] = []
    for doubt in grouping.doubts:
        names = {name for each in doubt.groups for name in each}
        meant = [
            each
            for each in groups
            if any(p.file.name in names and p.likeness.digest not in known for p in each.pictures)
        ]
        if not 1 < len(meant) <= ASKED_OF_AT_MOST:
            left.append(doubt)
            continue
        say("\n" + "\n".join(f"  {each.name}" for each in meant))
        if click.confirm(harmless(f"{doubt.why} Are they one quilt?"), default=False, err=True):
            groups[groups.index(meant[0])] = put_together(meant, "put together by you")
            groups = [each for each in groups if each not in meant]
    return Grouping(tuple(groups), tuple(left))


def _answer_of(answers: Sequence[str]) -> Callable[[str], str]:
    """A function that finds the answer that a person types; the first letter is enough."""

    def answer(typed: str) -> str:
        start = typed.strip().casefold()
        found = next((answer for answer in answers if start and answer.startswith(start)), None)
        if found is None:
            raise click.BadParameter(f"Type {_listed_or(answers)}; the first letter will do.")
        return found

    return answer


def _listed_or(words: Sequence[str]) -> str:
    """A list of choices for a sentence.

    >>> _listed_or(["skip", "new", "rest"])
    'skip, new or rest'
    """
    return f"{', '.join(words[:-1])} or {words[-1]}"


class _Asker:
    """Asks what to do with each duplicate, until an answer applies to all the rest."""

    def __init__(self) -> None:
        self._skip_the_rest = False

    def __call__(self, meeting: "Duplicate") -> "Decision":
        if self._skip_the_rest:
            return "skip"
        several = len(meeting.group.pictures) > 1
        it_is = "the others are" if meeting.same else "they are" if several else "it is"
        words = {
            "skip": f"leave {'all of them' if several and not meeting.is_draft else 'it'} out",
            "new": "a quilt of its own",
            "add": f"{it_is} of {meeting.title}",
            "rest": "leave this out, and all the rest that is there already",
        }
        say(f"\n{meeting.says}")
        answers = (*meeting.choices, "rest")
        for answer in answers:
            say(f"  {answer}: {words[answer]}")
        given = click.prompt("What is it?", value_proc=_answer_of(answers), default="skip", err=True)
        self._skip_the_rest = given == "rest"
        return next((choice for choice in meeting.choices if choice == given), "skip")


# Saying -----------------------------------------------------------------------------------------


def lines_of(plan: "Plan", *, whole: bool = False) -> Iterator[str]:
    """A plan as text for the terminal; `whole` names every draft."""
    from site_builder.photo_import.find_files import summed_up

    yield from _draft_lines(plan, whole=whole)
    for added in plan.additions:
        yield f"quilts/{added.quilt}.yaml: {added.title} is given {_came_as(added)}"
    yield from _skipped_lines(plan, whole=whole)
    if plan.left_out:
        yield "\nLeft out:"
        yield from (f"  {line}" for line in summed_up(plan.left_out))
    if plan.doubts:
        yield "\nPerhaps one quilt, and drafts of their own for now:"
        yield from (f"  {_some([names[0] for names in doubt.groups])}: {doubt.why}" for doubt in plan.doubts)
    if plan.drafts or plan.additions:
        yield f"\n{_in_short(plan)}"
    if plan.drafts:
        yield PUT_RIGHT


def _draft_lines(plan: "Plan", *, whole: bool) -> Iterator[str]:
    """A line for each draft; many drafts of a single picture without a name share one."""
    alone = [draft for draft in plan.drafts if len(draft.photos) == 1 and not draft.is_named]
    alone = [] if whole or len(alone) <= NAMED_AT_MOST else alone
    for draft in plan.drafts:
        if draft not in alone:
            yield f"quilts/{draft.id}.yaml: {draft.title}: {_came_as(draft)} ({draft.because})"
    if alone:
        yield f"{len(alone):,} pictures whose names tell nothing become a draft each: {_some([d.id for d in alone])}"


def _skipped_lines(plan: "Plan", *, whole: bool) -> Iterator[str]:
    from site_builder.text.wording import count_of

    if plan.skipped:
        yield f"\nSkipped, as they are there already ({count_of(len(plan.skipped), 'picture')}):"
        shown = plan.skipped if whole else plan.skipped[:LISTED_AT_MOST]
        yield from (f"  {each.name}: {each.because}" for each in shown)
        if len(shown) < len(plan.skipped):
            yield f"  and {len(plan.skipped) - len(shown):,} more; --dry-run lists all"


def _came_as(record: "Draft | Addition") -> str:
    return ", ".join(photo.came_as for photo in record.photos)


def lines_of_log(plan: "Plan") -> Iterator[str]:
    """The text of the log entry: a line for each record."""
    from site_builder.text.wording import count_of

    for draft in plan.drafts:
        yield f"{draft.title} ({draft.id}): taken in with {count_of(len(draft.photos), 'photo')}."
    for added in plan.additions:
        yield f"{added.title} ({added.quilt}): given {count_of(len(added.photos), 'photo')}."


def _in_short(plan: "Plan") -> str:
    from site_builder.text.wording import count_of

    unnamed = sum(not draft.is_named for draft in plan.drafts)
    said = [count_of(len(plan.drafts), "new draft")] if plan.drafts else []
    if unnamed:
        said[0] += f" ({unnamed:,} without a name yet)"
    if plan.additions:
        said.append(f"photos added to {count_of(len(plan.additions), 'quilt')}")
    return f"{', '.join(said)}."


def _some(names: list[str]) -> str:
    more = len(names) - NAMED_AT_MOST
    return ", ".join(names[:NAMED_AT_MOST]) + (f" and {more:,} more" if more > 0 else "")
