"""Forms: what they ask, and what they show of a file."""

import re
from collections.abc import Iterator
from dataclasses import replace
from typing import get_args

import pytest
from pydantic import BaseModel

from collection.forms.anchors import desk_mark, field_anchor
from collection.forms.field_labels import in_form_words
from collection.forms.form import KINDS, FieldKind, Group, text_digest
from collection.forms.labels import EXAMPLES, EXPLANATIONS, LABELS, LONG_TEXTS, MEANINGS, ROWS
from collection.forms.load import form_for
from collection.forms.save import fill_in
from collection.forms.schema import MODELS, Part, Question, questions
from collection.forms.sections import SHEETS
from collection.giving.gaps import find_gaps
from collection.records.destinations import TAGS
from collection.records.fields import fields_of
from tests.collection.forms.demo_forms import READING, RECORDS, SMALL, answered, as_shown, by_name, demo_form, demo_text
from tests.support.made_records import a_charity

# What is asked ----------------------------------------------------------------------------------

LEFT_OUT = {
    "quilt:destination.until": "How a destination ended is said of a former one.",
    "quilt:destination.returned": "How a destination ended is said of a former one.",
}


def _asked(parts) -> Iterator[str]:
    for part in parts:
        yield part.path
        if isinstance(part, Part):
            yield from _asked(part.parts)


def _in_models(model: type[BaseModel], above: str = "") -> Iterator[str]:
    for name, field in fields_of(model).items():
        yield above + name
        for inner in _records_in(field.annotation):
            yield from _in_models(inner, f"{above}{name}.")


def _records_in(annotation) -> list[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return [annotation] if annotation.__name__ != "Grid" else []
    return [record for inner in get_args(annotation) for record in _records_in(inner)]


@pytest.mark.parametrize("kind", KINDS)
def test_every_field_of_a_record_is_asked_or_left_out_with_a_reason(kind):
    asked = set(_asked(questions(kind).values()))
    known = set(_in_models(MODELS[kind]))
    assert {f"{kind}:{path}" for path in known - asked} == {name for name in LEFT_OUT if name.startswith(f"{kind}:")}
    assert asked <= known


@pytest.mark.parametrize("kind", KINDS)
def test_every_field_stands_once_in_a_section_of_its_form(kind):
    placed = [name for section in SHEETS[kind] for name in section.fields]
    assert sorted(placed) == sorted(questions(kind))
    assert all("-" in section.name for section in SHEETS[kind])


@pytest.mark.parametrize("kind", KINDS)
def test_every_question_is_explained_unless_its_label_or_its_choices_say_it_all(kind):
    for part in _parts(questions(kind).values()):
        says_it_all = EXPLANATIONS.get(f"{kind}:{part.path}", EXPLANATIONS.get(part.path)) == ""
        assert part.label and bool(part.explanation) != says_it_all
        assert part.explanation.rstrip(".?").casefold() != part.label.casefold()


def _parts(parts) -> Iterator[Question | Part]:
    for part in parts:
        yield part
        if isinstance(part, Part):
            yield from _parts(part.parts)


def test_no_wording_is_for_a_field_that_is_not_there():
    known = {path for kind in KINDS for path in _asked(questions(kind).values())}
    known |= {f"{kind}:{path}" for kind in KINDS for path in _asked(questions(kind).values())}
    # A former destination has the words of a present one.
    known |= {path.replace("history.", "destination.", 1) for path in known}
    for table in (LABELS, EXPLANATIONS, EXAMPLES, MEANINGS, ROWS, LONG_TEXTS):
        assert set(table) - known == set()


def test_each_word_to_choose_that_has_a_meaning_is_an_option():
    for path, meanings in MEANINGS.items():
        kind, _, name = path.rpartition(":")
        options = next(
            part.options
            for each in ([kind] if kind else KINDS)
            for part in _parts(questions(each).values())
            if part.path == name
        )
        assert set(options) == set(meanings)


def test_the_way_of_a_destination_says_which_states_have_a_field():
    fields = by_name(form_for("quilt", "low-tide", "", SMALL))
    for tag, model in TAGS.items():
        for name in set(fields_of(model)) - {"is", "until", "returned"}:
            assert tag.strip("()") in fields[f"destination.{name}"].states
    assert fields["title"].states == ()


def test_what_never_goes_out_is_private():
    fields = by_name(demo_form("quilt", "low-tide", demo_text("quilt", "low-tide")))
    private = {re.sub(r"\.\d+", "", name) for name, field in fields.items() if field.private}
    assert {"notes", "kept_at", "materials_cost.amount", "appraisal.value", "loans.to", "destination.to"} <= private
    assert not {"title", "story", "photos.file", "photos.public", "finished_size", "destination.is"} & private


def test_every_gap_of_the_demo_has_a_place_in_the_form():
    names: dict[str, set[str]] = {}
    for gap in find_gaps(READING.collection):
        form = demo_form("quilt", gap.quilt, demo_text("quilt", gap.quilt))
        known = names.setdefault(gap.quilt, set(by_name(form)) | set(_group_names(form.groups)))
        assert gap.field in known


def _group_names(groups) -> Iterator[str]:
    for group in groups:
        if isinstance(group, Group):
            yield group.name
            yield from _group_names(group.parts)


# What is shown ----------------------------------------------------------------------------------


@pytest.mark.parametrize(("kind", "record_id"), RECORDS)
def test_each_record_of_the_demo_is_shown_and_unchanged_answers_leave_it_as_it_is(kind, record_id):
    text = demo_text(kind, record_id)
    form = demo_form(kind, record_id, text)
    assert form.digest == text_digest(text)
    assert len(by_name(form)) == len(list(form.fields()))
    for field in form.fields():
        assert field.kind in get_args(FieldKind)
        if field.kind == "choice":
            assert field.value in {choice.value for choice in field.choices}
        if field.kind == "several":
            assert set(field.chosen) <= {choice.value for choice in field.choices}
    filled = fill_in(kind, record_id, text, as_shown(form), READING.collection, files=READING.texts)
    assert filled.text == text
    assert filled.form == form


def test_a_form_shows_what_is_written_and_what_holds_otherwise():
    text = "title: Low Tide\nmade: 2016~\nfinished_size: 60 1/2 x 72 in\ncare: {washed: true, label: false}\nblocks: a, b\n"
    fields = by_name(form_for("quilt", "low-tide", text, SMALL))
    shown_now = {name: fields[name].value for name in ("title", "made", "finished_size", "blocks", "stage", "public")}
    assert shown_now == {
        "title": "Low Tide",
        "made": "2016~",
        "finished_size": "60 1/2 x 72 in",
        "blocks": "a, b",
        "stage": "finished",
        "public": "true",
    }
    assert [fields[f"care.{name}"].value for name in ("washed", "label", "sleeve")] == ["yes", "false", ""]


def test_a_file_with_mistakes_has_a_form_that_shows_them_each_beside_its_field():
    text = (
        "title: Low Tide\nfinished_size: 60 by\nstage: finisht\ndestination: fre\nnumber: [1, 2]\npattern: {nmae: x}\n"
        "photos:\n  - a.jpg\n  - {file: ../b.jpg}\ncolour: green\n"
    )
    form = form_for("quilt", "low-tide", text, SMALL)
    told = {field.name: field.problem for field in form.fields() if field.problem}
    assert set(told) == {"finished_size", "stage", "destination.is", "number", "photos.1.file"}
    assert by_name(form)["finished_size"].value == "60 by"
    assert by_name(form)["number"].value == "[1, 2]"
    assert "finisht" in {choice.value for choice in by_name(form)["stage"].choices}
    assert "nmae" in next(group.problem for group in _groups(form.groups) if group.name == "pattern")
    assert [problem.field for problem in form.problems] == ["colour"]


def _groups(parts) -> Iterator[Group]:
    for part in parts:
        if isinstance(part, Group):
            yield part
            yield from _groups(part.parts)


def test_a_file_that_is_no_yaml_has_a_form_without_fields_and_is_left_alone():
    form = form_for("quilt", "low-tide", 'title: "Low Tide\n', SMALL)
    assert form.groups == () and form.problems
    filled = answered('title: "Low Tide\n', title="Ebb")
    assert filled.text == 'title: "Low Tide\n' and filled.errors


def test_a_new_record_is_asked_for_without_complaint():
    form = form_for("quilt", "", "", SMALL)
    assert form.title == "A new quilt"
    assert not any(field.problem for field in form.fields()) and form.problems == ()


def test_partners_and_requests_are_chosen_by_their_names():
    fields = by_name(form_for("quilt", "low-tide", "title: x\n", SMALL))
    assert ("nell", "Nell") in [choice[:2] for choice in fields["destination.through"].choices]
    assert ("river-street", "River Street") in [choice[:2] for choice in fields["destination.to"].choices]
    assert "spring-cots" in [choice.value for choice in fields["destination.request"].choices]
    partner = by_name(form_for("request", "new", "", SMALL))["partner"]
    assert partner.kind == "choice" and partner.required


def test_a_charity_is_offered_neither_itself_nor_its_own_parts_to_be_a_part_of():
    partners = {
        each.id: each
        for each in (
            a_charity("ward"),
            a_charity("cots", part_of="ward"),
            a_charity("teens", part_of="cots"),
            a_charity("hill"),
        )
    }
    collection = replace(SMALL, partners=partners)

    def offered(record_id: str, name: str) -> list[str]:
        field = by_name(form_for("partner", record_id, "name: Any\n", collection))[name]
        return [choice.value for choice in field.choices if choice.value]

    assert offered("ward", "part_of") == ["hill"]
    assert offered("cots", "part_of") == ["hill", "ward"]
    assert offered("", "part_of") == ["cots", "hill", "teens", "ward"]
    assert offered("ward", "acts_for") == ["cots", "hill", "teens"]


def test_a_ring_of_charities_is_told_beside_the_field_that_closes_it():
    partners = {each.id: each for each in (a_charity("ward"), a_charity("cots", part_of="ward"))}
    filled = fill_in("partner", "ward", "name: Ward\n", {"part_of": "cots"}, replace(SMALL, partners=partners))
    assert filled.errors
    assert "part of itself" in by_name(filled.form)["part_of"].problem


# Addresses --------------------------------------------------------------------------------------


def test_a_page_names_a_record_and_its_field_in_one_mark():
    assert desk_mark("quilt", "low-tide") == "quilts/low-tide"
    assert desk_mark("partner", "nell", "rules.no") == "partners/nell#rules.no"
    assert desk_mark("collection", "", "units") == "collection#units"
    assert field_anchor("rules.no") == "field-rules.no"


# Problems in the words of a form ----------------------------------------------------------------


@pytest.mark.parametrize(
    ("kind", "field", "remedy", "words"),
    [
        (
            "partner",
            "acts_for",
            "Write kind: go-between, or take acts_for out.",
            "Choose “Kind”: go-between, or empty “Receives for”.",
        ),
        ("quilt", "destination.acknowledged", "Write under delivered when.", "Write under “Delivered on” when."),
        ("quilt", "history.2.acknowledged", "Write under delivered when.", "Write under “Delivered on” when."),
        ("quilt", "destination.request", "write meant_for: nell.", "write “Meant for”: Nell."),
        ("quilt", "destination.to", "Did you mean nell?", "Did you mean Nell?"),
        (
            "partner",
            "rules.needs",
            "“label” stands under both no and needs.",
            "“label” stands under both “Refused” and “Required”.",
        ),
        (
            "quilt",
            "finished_size",
            "“made_up” is not a size. Write width x length.",
            "“made_up” is not a size. Write width x length.",
        ),
    ],
)
def test_a_remedy_names_fields_and_records_as_the_form_does(kind, field, remedy, words):
    assert in_form_words(kind, field, remedy, {"nell": "Nell"}) == words


def test_a_warning_stands_beside_its_field_and_is_no_fault():
    text = "partner: river-street\nlines:\n  - {id: a, count: 1, size: small}\n"
    form = form_for("request", "new", text, SMALL)
    size = by_name(form)["lines.0.size"]
    assert "No quilt is of the size “small”." in size.warning and not size.problem


def test_sizes_are_chosen_from_the_collections_own_table_or_written():
    size = by_name(form_for("request", "new", "lines: {id: a, count: 1, size: [Baby, throw]}\n", SMALL))["lines.0.size"]
    assert size.kind == "several or written"
    assert {choice.value for choice in size.choices} == {box.key for box in SMALL.size_boxes}
    assert (size.chosen, size.written) == (("baby",), "throw")


def test_no_field_gives_two_examples():
    for kind in KINDS:
        for question in _parts(questions(kind).values()):
            if isinstance(question, Question) and question.example:
                assert "such as" not in question.explanation.casefold(), question.path
