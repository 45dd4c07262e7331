"""A file that was changed while its form was open: nothing of either side is lost in silence."""

from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st

from collection.forms.load import form_for
from collection.forms.save import fill_in
from collection.records.collection import Collection
from site_builder.desk.records.conflicts import differences, merged

NOBODY = Collection(Path("nowhere"))


def form(text: str):
    return form_for("quilt", "low-tide", text, NOBODY)


def answers_of(text: str) -> dict[str, str]:
    return {field.name: field.value for field in form(text).fields() if not field.read_only}


BEFORE = "title: Low Tide\nkept_at: Attic\nmade: 1990s\n"


def test_a_field_that_only_the_file_changed_is_taken_from_the_file():
    now = BEFORE.replace("Attic", "Cellar")
    together = merged(answers_of(BEFORE), form(BEFORE), form(now))
    assert together["kept_at"] == "Cellar"
    assert differences(together, form(BEFORE), form(now)) == []


def test_a_field_that_only_the_person_changed_keeps_what_she_wrote():
    written = answers_of(BEFORE) | {"title": "Ebb"}
    now = BEFORE.replace("Attic", "Cellar")
    together = merged(written, form(BEFORE), form(now))
    assert (together["title"], together["kept_at"]) == ("Ebb", "Cellar")
    assert [(each.name, each.both_changed) for each in differences(together, form(BEFORE), form(now))] == [
        ("title", False)
    ]


def test_a_field_that_both_changed_keeps_what_she_wrote_and_is_told():
    written = answers_of(BEFORE) | {"kept_at": "Car"}
    now = BEFORE.replace("Attic", "Cellar")
    together = merged(written, form(BEFORE), form(now))
    (only,) = differences(together, form(BEFORE), form(now))
    assert (only.name, only.written, only.in_file, only.both_changed) == ("kept_at", "Car", "Cellar", True)


def test_without_the_former_text_every_difference_is_told():
    now = BEFORE.replace("Attic", "Cellar")
    together = merged(answers_of(BEFORE), None, form(now))
    assert [each.name for each in differences(together, None, form(now))] == ["kept_at"]


def test_a_list_that_the_file_made_longer_is_taken_whole():
    before = "title: Low Tide\nphotos: [a.jpg]\n"
    now = "title: Low Tide\nphotos:\n  - b.jpg\n  - {file: a.jpg, caption: The front}\n"
    written = answers_of(before) | {"title": "Ebb"}
    together = merged(written, form(before), form(now))
    filled = fill_in("quilt", "low-tide", now, together, NOBODY)
    assert filled.text == now.replace("Low Tide", "Ebb")


def test_ends_of_lines_that_a_browser_changes_are_no_difference():
    text = "title: Low Tide\nstory: |\n  One.\n\n  Two.\n"
    written = answers_of(text) | {"story": "One.\r\n\r\nTwo."}
    assert differences(merged(written, form(text), form(text)), form(text), form(text)) == []


WORDS = st.sampled_from(["", "Attic", "Cellar", "Car"])


@given(before=WORDS, written=WORDS, now=WORDS)
def test_each_side_has_its_say(before, written, now):
    def text(place: str) -> str:
        return "title: Low Tide\n" + (f"kept_at: {place}\n" if place else "")

    together = merged(answers_of(text(before)) | {"kept_at": written}, form(text(before)), form(text(now)))
    expected = now if written == before else written
    assert together["kept_at"] == expected
    told = differences(together, form(text(before)), form(text(now)))
    assert [each.name for each in told] == (["kept_at"] if expected != now else [])
