"""Forms: what they ask, what they show of a file, and that an answer touches nothing else in it."""

import re
from collections.abc import Iterator
from difflib import SequenceMatcher
from pathlib import Path
from typing import get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import BaseModel

from collection.forms.addresses import desk_address, desk_mark, field_anchor
from collection.forms.answers import cleaned, odd_character, shown
from collection.forms.filling import fill_in
from collection.forms.form import KINDS, Field, FieldKind, Form, Group, digest_of, file_of
from collection.forms.questions import MODELS, Part, Question, questions
from collection.forms.sheets import SHEETS
from collection.forms.showing import form_for
from collection.forms.wording import EXAMPLES, EXPLANATIONS, LABELS, LONG_TEXTS, MEANINGS, ROWS
from collection.gaps import find_gaps
from collection.reading import read_collection
from collection.records.destinations import TAGS
from collection.records.fields import fields_of
from collection.yaml_text import read_yaml, split_lines
from tests.collection.made_records import a_collection, a_quilt, a_request, donated

DEMO = Path(__file__).parents[2] / "demo_collection"
READING = read_collection(DEMO)
RECORDS = [
    ("collection", ""),
    *(
        (kind, record_id)
        for kind, records in (
            ("quilt", READING.collection.quilts),
            ("partner", READING.collection.partners),
            ("request", READING.collection.requests),
        )
        for record_id in records
    ),
]
SMALL = a_collection(a_request())


def demo_text(kind: str, record_id: str) -> str:
    return (DEMO / file_of(kind, record_id)).read_bytes().decode()


def demo_form(kind: str, record_id: str, text: str) -> Form:
    return form_for(kind, record_id, text, READING.collection, files=READING.texts)


def by_name(form: Form) -> dict[str, Field]:
    return {field.name: field for field in form.fields()}


def as_shown(form: Form) -> dict[str, str | list[str]]:
    """What a browser sends of a form in which nothing was changed."""
    return {
        field.name: list(field.chosen) if field.kind == "several" else field.value.replace("\n", "\r\n")
        for field in form.fields()
    }


def answered(text: str, kind: str = "quilt", record_id: str = "low-tide", collection=SMALL, **answers):
    """A small record filled in; two underlines stand for a dot."""
    named = {name.replace("__", "."): answer for name, answer in answers.items()}
    return fill_in(kind, record_id, text, named, collection)


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
def test_every_question_is_explained(kind):
    unexplained = [part.path for part in _parts(questions(kind).values()) if not part.explanation or not part.label]
    assert unexplained == []


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
    assert form.digest == digest_of(text)
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


# What is written --------------------------------------------------------------------------------

RECORD = """\
# Begun in the spring
title:  'Low Tide'   # the first
photos:
  - front.jpg  # by Ann
  # the label
  - {file: label.jpg, shows: label}
  - file: back.jpg
    caption: On the line
pattern: Low Tide
suits: children, men
destination: free
story: |
  It rained.
"""


@pytest.mark.parametrize(
    ("answers", "before", "after"),
    [
        ({"title": "Ebb: again"}, "'Low Tide'", '"Ebb: again"'),
        ({"photos.0.caption": "In the sun"}, "front.jpg  #", "{file: front.jpg, caption: In the sun}  #"),
        ({"photos.0.file": "face.jpg"}, "front.jpg", "face.jpg"),
        ({"photos.1.shows": ""}, ", shows: label", ""),
        ({"photos.2.public": [""]}, "On the line\n", "On the line\n    public: false\n"),
        ({"photos.2.public": ["", "true"]}, "x", "x"),
        ({"photos.1.file": "", "photos.1.shows": ""}, "  - {file: label.jpg, shows: label}\n", ""),
        ({"photos.1.file": ""}, "  - {file: label.jpg, shows: label}\n", ""),
        ({"photos.3.file": "new.jpg"}, "On the line\n", "On the line\n  - new.jpg\n"),
        ({"photos.9.file": "b.jpg", "photos.3.file": "a.jpg"}, "On the line\n", "On the line\n  - a.jpg\n  - b.jpg\n"),
        ({"pattern.source": "class"}, "pattern: Low Tide", "pattern: {name: Low Tide, source: class}"),
        ({"pattern.name": ""}, "pattern: Low Tide\n", ""),
        ({"suits": "children"}, "children, men", "children"),
        ({"suits": "children, elders ,"}, "children, men", "children, elders"),
        ({"destination.is": "kept"}, "destination: free", "destination: kept"),
        (
            {"destination.is": "gifted", "destination.to": "A cousin"},
            "destination: free",
            "destination: {is: gifted, to: A cousin}",
        ),
        ({"story": "It rained.\r\n\r\n- all day\r\n"}, "  It rained.\n", "  It rained.\n\n  - all day\n"),
        ({"story": "Then sun."}, "It rained.", "Then sun."),
        ({"made": "about 2016"}, "destination: free", "destination: free"),
        ({"no_such_field": "x", "photos": "x", "title.x": "y"}, "x", "x"),
    ],
    ids=str,
)
def test_an_answer_is_written_in_the_manner_of_the_file(answers, before, after):
    filled = fill_in("quilt", "low-tide", RECORD, answers, SMALL)
    if "made" in answers:
        expected = RECORD.replace("# the first\n", "# the first\nmade: about 2016\n")
    else:
        expected = RECORD.replace(before, after)
    assert filled.text == expected
    assert filled.errors == ()


def test_a_new_record_is_written_in_the_order_of_the_files_with_its_short_forms():
    filled = answered(
        "",
        story="One\r\nTwo",
        title="Ebb",
        photos__0__file="a.jpg",
        pattern__name="Tide",
        care__washed="yes",
        care__label="false",
        destination__is="free",
        features="none",
        also_called="The Harbour One\r\nThe Other",
    )
    assert filled.text == (
        "title: Ebb\nalso_called: [The Harbour One, The Other]\nphotos: [a.jpg]\npattern: Tide\nfeatures: []\n"
        "story: |\n  One\n  Two\ncare: {washed: true, label: false}\ndestination: free\n"
    )
    assert filled.errors == ()


def test_fields_that_no_form_shows_stay():
    text = "title: x\npattern: {name: y, nmae: z}\nphotos: [{file: a.jpg, by: Ann}]\n"
    filled = answered(text, pattern__name="", photos__0__file="")
    assert filled.text == "title: x\npattern: {nmae: z}\nphotos: [{by: Ann}]\n"


def test_the_last_row_that_goes_takes_its_list_along():
    assert answered("title: x\nphotos: [a.jpg]\n", photos__0__file="").text == "title: x\n"
    assert answered("title: x\nphotos: a.jpg\n", photos__0__file="").text == "title: x\n"


def test_a_row_with_only_a_choice_in_it_says_what_it_lacks():
    filled = answered("title: x\n", photos__0__shows="label", photos__1__public="true")
    assert by_name(filled.form)["photos.0.file"].problem.startswith("The field file is missing")


def test_rows_go_come_and_change_at_once_and_the_others_keep_their_comments():
    text = "title: x\nphotos:\n  - a.jpg  # the A\n  - b.jpg  # the B\n  - c.jpg  # the C\n"
    filled = answered(text, photos__0__file="", photos__2__caption="See", photos__3__file="d.jpg")
    assert filled.text == (
        "title: x\nphotos:\n  # the A\n  - b.jpg  # the B\n  - {file: c.jpg, caption: See}  # the C\n  - d.jpg\n"
    )


def test_a_bad_size_is_mended():
    text = "title: x\nfinished_size: 60 by  # tape\n"
    assert answered(text, finished_size="60 x 72").text == "title: x\nfinished_size: 60 x 72  # tape\n"


def test_a_mistake_is_told_beside_its_field_and_the_answer_still_shown():
    filled = answered("title: x\n", finished_size="60 by", number="12a", title="")
    fields = by_name(filled.form)
    assert fields["finished_size"].value == "60 by" and "width x length" in fields["finished_size"].problem
    assert fields["number"].problem and fields["title"].problem
    assert len(filled.errors) == 3
    assert filled.form.digest == digest_of("title: x\n")


@pytest.mark.parametrize("odd", ["a\x00b", "a\x1bb", "a\x85b", "caf\udce9"])
def test_a_character_that_no_file_should_hold_is_told_and_nothing_is_written(odd):
    filled = answered("title: x\nphotos: [a.jpg]\n", photos__0__caption=odd, title="z")
    assert filled.text == "title: z\nphotos: [a.jpg]\n"
    field = by_name(filled.form)["photos.0.caption"]
    assert field.value == odd and "character" in field.problem
    assert filled.errors[0].field == "photos.1.caption"


def test_a_file_that_has_to_be_mended_by_hand_first_keeps_the_answers_on_the_form():
    text = "title: x\ntitle: y\n"
    filled = answered(text, made="2016")
    assert filled.text == text and filled.errors
    assert by_name(filled.form)["made"].value == "2016"


# Across records ---------------------------------------------------------------------------------


def test_a_number_that_another_quilt_has_is_told():
    collection = a_collection(a_quilt("zinnia", number=7))
    assert "this number too" in by_name(answered("title: x\n", collection=collection, number="7").form)["number"].problem


def test_a_partner_that_is_not_there_is_told_unless_it_has_a_file_with_mistakes():
    text = "title: x\ndestination: {is: donated, to: hill-house}\n"
    assert by_name(form_for("quilt", "low-tide", text, SMALL))["destination.to"].problem
    files = {"partners/hill-house.yaml"}
    assert not by_name(form_for("quilt", "low-tide", text, SMALL, files=files))["destination.to"].problem


def test_what_a_change_upsets_in_other_files_is_told():
    promised = {"is": "promised", "to": "river-street", "request": "spring-cots", "line": "cots"}
    collection = a_collection(a_request(), a_quilt("ebb", destination=promised), a_quilt("far", destination=donated()))
    text = "partner: river-street\nlines:\n  - {id: cots, count: 3}\n"
    assert fill_in("request", "spring-cots", text, {"lines.0.count": "2"}, collection).problems == ()
    upset = fill_in("request", "spring-cots", text, {"lines.0.id": "laps"}, collection)
    assert [(problem.file, problem.field) for problem in upset.problems] == [("quilts/ebb.yaml", "destination.line")]
    assert upset.form.problems == upset.problems
    text = "name: River Street\n"
    upset = fill_in("partner", "river-street", text, {"kind": "go-between"}, collection)
    assert {problem.file for problem in upset.problems} == {
        "quilts/ebb.yaml", "quilts/far.yaml", "requests/spring-cots.yaml",
    }  # fmt: skip


def test_the_demo_has_the_problems_in_its_forms_that_reading_tells():
    told = {problem for problem in READING.problems}
    shown_problems = set()
    for kind, record_id in RECORDS:
        form = demo_form(kind, record_id, demo_text(kind, record_id))
        shown_problems |= {(file_of(kind, record_id), field.problem) for field in form.fields() if field.problem}
    assert {(problem.file, problem.remedy) for problem in told} == shown_problems


# Whatever is answered ---------------------------------------------------------------------------

NASTY = st.one_of(
    st.sampled_from(
        ["", "x: y", "a #b", "#2 pencil", "- x", "? y", "'mother's'", 'say "so"', "{a", "[b]", "null", "true", "~", "1e3",
         "שלום עולם", "\u200fעברית\u200e", "½ yard", "🧵🪡", "a\tb", "  padded  ", "back\\slash", "%x", "@y", "`z`", "|", ">",
         "&a", "*b", "!c", "2016-05-01", "12:30", "...", "---", "a\u2028b", "\ufeffx", "A" * 150]
    ),
    st.text(max_size=20),
)  # fmt: skip
SEVERAL_LINES = st.lists(NASTY, max_size=4).map("\r\n".join)


@st.composite
def some_answers(draw, form: Form):
    """Answers to some fields of a form; rows of lists are not emptied, so that they keep their numbers."""
    answers = {}
    fields = list(form.fields())
    for field in draw(st.lists(st.sampled_from(fields), max_size=6, unique=True)):
        values = [choice.value for choice in field.choices]
        match field.kind:
            case "choice":
                answer = draw(st.sampled_from(values))
            case "several":
                answer = draw(st.lists(st.sampled_from(values), unique=True)) if values else []
            case "tick":
                answer = draw(st.sampled_from(["", "true", ["", "true"]]))
            case "text":
                answer = draw(SEVERAL_LINES)
            case _:
                answer = draw(NASTY | st.sampled_from([field.example or "x"]))
        if not (re.search(r"\.\d+\.", field.name) and not answer):
            answers[field.name] = answer
    return answers


def question_of(kind: str, name: str) -> Question:
    *above, last = [step for step in name.split(".") if not step.isdecimal()]
    parts = questions(kind)
    for step in above:
        parts = {part.key: part for part in parts[step].parts}
    return parts[last]


def lines_of(text: str, names: set[str]) -> set[int]:
    """The lines of some of the record's own fields, each to the one before the next field."""
    read = read_yaml(text.encode(), "")[0]
    starts = sorted((line, path[0]) for path, line in read.lines.items() if len(path) == 1)
    ends = [line for line, _ in starts[1:]] + [len(split_lines(text)) + 1]
    return {
        number - 1 for (line, name), end in zip(starts, ends, strict=True) if name in names for number in range(line, end)
    }


@settings(max_examples=150)
@given(st.data(), st.sampled_from(RECORDS))
def test_whatever_is_answered_is_shown_again_and_nothing_else_is_touched(data, record):
    kind, record_id = record
    text = demo_text(kind, record_id)
    if data.draw(st.booleans()):
        text = text.replace("\n", "\r\n")
    form = demo_form(kind, record_id, text)
    answers = data.draw(some_answers(form))
    filled = fill_in(kind, record_id, text, answers, READING.collection, files=READING.texts)

    before, after = by_name(form), by_name(filled.form)
    for name, answer in answers.items():
        question = question_of(kind, name)
        wanted = cleaned(question, answer, "a\nb" if before[name].kind == "text" else None)
        left_out = "" if question.takes in ("several words", "tick") else shown(question, None)
        assert after[name].value == (wanted or left_out)
        assert not odd_character(wanted) or after[name].problem
    if not answers:
        assert filled.text == text

    tops = {name.split(".")[0] for name in answers}
    old, new = split_lines(text), split_lines(filled.text)
    may_change, are_new = lines_of(text, tops), lines_of(filled.text, tops)
    for tag, first, last, new_first, new_last in SequenceMatcher(None, old, new, autojunk=False).get_opcodes():
        if tag != "equal":
            assert set(range(first, last)) <= may_change
            assert set(range(new_first, new_last)) <= are_new
    assert ("\r\n" in filled.text) == ("\r\n" in text)

    again = fill_in(kind, record_id, filled.text, as_shown(demo_form(kind, record_id, filled.text)), READING.collection)
    assert again.text == filled.text


# Addresses --------------------------------------------------------------------------------------


def test_the_desk_opens_a_record_at_a_field():
    assert desk_address("quilt", "low-tide") == "edit/quilts/low-tide"
    assert desk_address("partner", "nell", "rules.no") == f"edit/partners/nell#{field_anchor('rules.no')}"
    assert desk_mark("collection", "") == "collection"
