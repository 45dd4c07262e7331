"""A plan as a YAML file that a person can edit, and that is checked again before it is recorded."""

from collections.abc import Mapping, Sequence
from datetime import date

from pydantic import Field

from collection.loading.validation import validate
from collection.matching.judgement import Judgement
from collection.matching.open_places import requirements_of
from collection.matching.plan import Plan
from collection.problems import Problem
from collection.records.collection import Collection
from collection.records.fields import DateField, Record, Text
from collection.transfers.transfers import Assignment
from collection.values.dates import EdtfDate
from collection.yaml_files.parser import YamlText, read_yaml


class PlannedPromise(Record):
    """One line of a plan: a quilt for a place."""

    quilt: Text = Field(description="The quilt's ID: its file name in quilts/.")
    request: Text = Field(description="The request's ID: its file name in requests/.")
    line: Text = Field(description="The line of that request.")


class PlanFile(Record):
    """A plan: its day, and the promises that it makes."""

    on: DateField | None = Field(None, description="The day of the promises.")
    promises: tuple[PlannedPromise, ...] = Field((), description="Each quilt with its place.")


def plan_text(plan: Plan, collection: Collection, *, on: date) -> str:
    """A plan as YAML, with a comment on each promise."""
    lines = [
        f"# A plan made on {EdtfDate.parse(on.isoformat()).say()}. Change it as you like: take a promise out, or put",
        "# another quilt's ID in its place. Then: counterpane promise COLLECTION THIS-FILE",
        f"on: {on.isoformat()}",
    ]
    lines += [f"# {each.request} {each.say()}." for each in plan.day_passed]
    lines.append("promises:" if plan.assigned else "promises: []")
    for each in plan.assigned:
        quilt = collection.quilts[each.quilt]
        partner = collection.partners.get(collection.requests[each.request].partner)
        lines.append(
            f"  # {_one_line(quilt.title)}, for {_one_line(partner.name if partner else each.request)}: {_one_line(each.fit)}"
        )
        if each.check_first:
            lines.append(f"  # Check first: {_one_line('; '.join(dict.fromkeys(check.why for check in each.checks)))}")
        lines.append(f"  - {{quilt: {each.quilt}, request: {each.request}, line: {each.line}}}")
    lines += [f"# Still open: {opened.places} of {opened.request}, line {opened.line}" for opened in plan.open]
    if plan.undecided:
        lines.append(f"# {plan.say_undecided()}")
    return "\n".join(lines) + "\n"


def _one_line(words: str) -> str:
    return " ".join(words.split())


def read_plan(raw: bytes, file: str) -> tuple[PlanFile | None, YamlText, list[Problem]]:
    """The plan in a file; None, with all problems, if the file is invalid."""
    text, problems = read_yaml(raw, file)
    if problems:
        return None, text, problems
    plan, problems = validate(PlanFile, text, units="in", currency="USD")
    return plan, text, problems


def check_plan(
    collection: Collection, plan: PlanFile, text: YamlText, *, on: date
) -> tuple[list[Problem], Mapping[str, Judgement]]:
    """The problems of quilts that do not fit their places, and the judgements of those that fit, by quilt ID.

    Quilts, requests and lines that do not exist are passed over: recording the promises reports them.
    """
    problems, judgements = [], {}
    for index, promise in enumerate(plan.promises):
        quilt, request = collection.quilts.get(promise.quilt), collection.requests.get(promise.request)
        line = request.line(promise.line) if request else None
        if quilt is None or request is None or line is None:
            continue
        judgement = requirements_of(collection, request, line).judge(quilt, on)
        if judgement.misses:
            remedy = (
                f"{quilt.title} does not fit the line {line.id} of {request.id}: {judgement.because}. "
                "Take it out, or put another quilt in its place."
            )
            problems.append(text.problem(("promises", index, "quilt"), promise.quilt, remedy))
        else:
            judgements[promise.quilt] = judgement
    return problems, judgements


def assignments(plan: PlanFile) -> Sequence[Assignment]:
    return [Assignment(promise.quilt, promise.request, promise.line) for promise in plan.promises]
