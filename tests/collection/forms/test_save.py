"""Answers written into a file: what they change, what they leave alone, and what is told of them."""

import re
from difflib import SequenceMatcher

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from collection.forms.answers import cleaned, odd_character, shown
from collection.forms.form import KINDS, Form, file_of, text_digest
from collection.forms.load import form_for
from collection.forms.save import fill_in
from collection.forms.schema import Question, questions
from collection.yaml_files.parser import read_yaml, split_lines
from tests.collection.forms.demo_forms import READING, RECORDS, SMALL, answered, as_shown, by_name, demo_form, demo_text
from tests.support.made_records import a_collection, a_quilt, a_request, donated
from tests.support.written_files import capitals, files

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
    assert filled.form.digest == text_digest("title: x\n")


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
    assert (
        "this number too" in by_name(answered("title: x\n", collection=collection, number="7").form)["number"].problem
    )


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
        number - 1
        for (line, name), end in zip(starts, ends, strict=True)
        if name in names
        for number in range(line, end)
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


def test_after_a_mistake_the_rows_stand_as_they_were_sent_and_can_be_sent_again():
    text = (
        "title: x\nphotos:\n  - a.jpg  # the A\n  - {file: b.jpg, caption: On the line}  # the B\n  - c.jpg  # the C\n"
    )
    first = answered(text, photos__0__file="", photos__2__file="../c.jpg", photos__3__file="", photos__4__file="d.jpg")
    fields = by_name(first.form)
    assert [fields[f"photos.{at}.file"].value for at in range(5)] == ["", "b.jpg", "../c.jpg", "d.jpg", ""]
    assert [at for at in range(5) if fields[f"photos.{at}.file"].problem] == [2]
    filled = fill_in("quilt", "low-tide", text, {**as_shown(first.form), "photos.2.file": "e.jpg"}, SMALL)
    assert filled.text == (
        "title: x\nphotos:\n  # the A\n  - {file: b.jpg, caption: On the line}  # the B\n  - e.jpg  # the C\n  - d.jpg\n"
    )


def test_an_odd_character_is_shown_in_its_row_also_where_another_goes():
    text = "title: x\nphotos: [a.jpg, b.jpg]\n"
    fields = by_name(answered(text, photos__0__file="", photos__1__caption="a\x00b").form)
    assert fields["photos.1.caption"].value == "a\x00b" and fields["photos.1.caption"].problem
    assert fields["photos.1.file"].value == "b.jpg"


# Any file ---------------------------------------------------------------------------------------

ODD_VALUES = st.recursive(
    st.none() | st.booleans() | st.sampled_from(["x", "60 by", "2016", "", "a\nb\n", "kept", "front.jpg", " y "]),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(
            st.sampled_from(["is", "file", "name", "to", "items", "what", "odd", "how", "blocks"]), inner, max_size=3
        )
    ),
    max_leaves=6,
)


@st.composite
def odd_files(draw, kind: str) -> str:
    """A record of which any field may hold anything, in one of the layouts of YAML."""
    names = draw(st.lists(st.sampled_from([*questions(kind), "odd"]), unique=True, max_size=5))
    fields = {name: draw(ODD_VALUES) for name in names}
    in_brackets = draw(st.sampled_from([None, False, True]))
    return yaml.safe_dump(fields, default_flow_style=in_brackets, allow_unicode=True, sort_keys=False)


@settings(max_examples=150)
@given(st.data(), st.sampled_from(KINDS))
def test_whatever_a_file_holds_it_has_a_form_and_keeps_what_is_not_answered(data, kind):
    text = data.draw(odd_files(kind))
    form = form_for(kind, "low-tide", text, SMALL)
    assert fill_in(kind, "low-tide", text, as_shown(form), SMALL).text == text
    answers = data.draw(some_answers(form))
    filled = fill_in(kind, "low-tide", text, answers, SMALL)
    before, after = (read_yaml(each.encode(), "")[0].data for each in (text, filled.text))
    tops = {name.split(".")[0] for name in answers}
    assert {name: value for name, value in after.items() if name not in tops} == {
        name: value for name, value in before.items() if name not in tops
    }


@settings(max_examples=75)
@given(files(), st.data())
def test_however_a_file_is_laid_out_an_answer_is_written_or_told(text, data):
    form = form_for("quilt", "low-tide", text, SMALL)
    if not form.groups:
        assert form.problems
        return
    answers = data.draw(some_answers(form))
    filled = fill_in("quilt", "low-tide", text, answers, SMALL)
    # Capital letters stand in comments alone, and in what is answered.
    written = "".join(map(str, answers.values()))
    assert capitals(filled.text) == capitals(text) or capitals(written)
    for name, answer in answers.items():
        question = question_of("quilt", name)
        field = by_name(filled.form).get(name)
        wanted = cleaned(question, answer, "a\nb" if field and field.kind == "text" else None)
        assert field is None or not wanted or field.value == wanted


@given(
    st.text(max_size=60) | st.binary(max_size=40).map(lambda raw: raw.decode("utf-8", "surrogateescape")),
    st.sampled_from(KINDS),
)
def test_what_is_no_record_at_all_has_a_form_too_and_stays(text, kind):
    form = form_for(kind, "low-tide", text, SMALL)
    filled = fill_in(kind, "low-tide", text, {"title": "x", "notes": "y"}, SMALL)
    assert form.groups or filled.text == text
