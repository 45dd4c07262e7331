"""The demo's records as forms, and a small collection to try answers in."""

from pathlib import Path

from collection.forms.form import Field, Form, file_of
from collection.forms.load import form_for
from collection.forms.save import fill_in
from collection.loading.loader import read_collection
from tests.support.made_records import a_collection, a_request

DEMO = Path(__file__).parents[3] / "demo_collection"
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
