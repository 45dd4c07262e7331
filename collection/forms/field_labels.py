"""Words fields and remedies as the forms do, for pages: they do not show the names that fields have in files."""

import re
from collections.abc import Iterable, Iterator, Mapping
from functools import cache
from types import MappingProxyType

from collection.forms.form import Kind
from collection.forms.labels import ROWS
from collection.forms.schema import Part, Question, questions

_KEY = "[a-z]+(?:_[a-z]+)*"
_NAMED = re.compile(
    rf"(?<=[Uu]nder ){_KEY}(?![\w-])|(?<=[Ww]rite ){_KEY}(?=:)|(?<=[Tt]ake ){_KEY}(?= out\b)"
    rf"|(?<=both ){_KEY}(?= and )|(?<= and ){_KEY}(?=\.)|(?<![\w“-])[a-z]+(?:_[a-z]+)+(?![\w”-])"
)
_OF_THE_COLLECTION = re.compile(rf"[Ww]rite (?P<key>{_KEY}): (?P<value>\w+) in collection\.yaml")
_WORD = r"[\w-]*\w"
_RECORD_NAMED = re.compile(
    rf"(?<=mean ){_WORD}(?=\?)|(?<=”: ){_WORD}|^{_WORD}(?= (?:is|has|was) )|(?<=of ){_WORD}(?= asks for )"
)


def field_label(kind: Kind, field: str) -> str:
    """The form's label for a field that a problem names, after the labels of the parts that contain it.

    >>> field_label("quilt", "finished_size"), field_label("request", "lines.2.size"), field_label("quilt", "loans")
    ('Size', 'Line 2: Size', 'Loans')
    """
    words: list[str] = []
    parts = questions(kind)
    listed: Part | None = None
    for step in field.split(".") if field else ():
        if step.isdecimal():
            if listed is not None and listed.is_list:
                words[-1] = f"{ROWS.get(listed.path, listed.label)} {step}"
            continue
        part = parts.get(step)
        if part is None:
            break
        words.append(part.label)
        listed = part if isinstance(part, Part) else None
        parts = {each.key: each for each in part.parts} if isinstance(part, Part) else {}
    return ": ".join(words)


def in_form_words(kind: Kind, field: str, remedy: str, names: Mapping[str, str] = MappingProxyType({})) -> str:
    """A remedy for a field, with the names of fields replaced by their labels in the form.

    `names` are the names of records by ID, for the IDs in a remedy.

    >>> in_form_words("partner", "acts_for", "Write kind: go-between, or take acts_for out.")
    'Choose “Kind”: go-between, or empty “Receives for”.'
    >>> in_form_words("quilt", "number", "Ebb (quilts/ebb.yaml) has this number too.")
    'Ebb has this number too.'
    >>> in_form_words("quilt", "destination.to", "Did you mean nell?", {"nell": "Nell"})
    'Did you mean Nell?'
    """
    remedy = _OF_THE_COLLECTION.sub(_of_the_collection, remedy)
    labels = _labels_near(kind, field)
    words = _NAMED.sub(lambda found: f"“{labels[found[0]]}”" if found[0] in labels else found[0], remedy)
    words = _FILE_OF_A_NAME.sub("", words)
    words = re.sub(r"\bTake (“[^”]*”) out\b", r"Empty \1", words)
    words = re.sub(r"\btake (“[^”]*”) out\b", r"empty \1", words)
    words = re.sub(r"\bWrite (?=“[^”]*”:)", "Choose ", words)
    return _RECORD_NAMED.sub(lambda found: names.get(found[0], found[0]), words)


_FILE_OF_A_NAME = re.compile(r" \((?:quilts|partners|requests)/[^()]+\.yaml\)")
"""The file after the name of a record, which form users do not need."""


def _of_the_collection(found: re.Match[str]) -> str:
    label = _labels("collection").get(found["key"])
    return f"Choose {found['value']} under “{label}” in the form of the collection itself" if label else found[0]


def _labels_near(kind: Kind, field: str) -> Mapping[str, str]:
    """The labels of all fields by name; of several with one name, that of the field nearest to `field`."""
    above = re.sub(r"\.\d+", "", field).rpartition(".")[0]
    by_path = _labels(kind)
    found: dict[str, str] = {}
    # Fields in the same part come first, then those at the top of the record.
    for path in sorted(by_path, key=lambda path: (path.rpartition(".")[0] != above, path.count("."))):
        found.setdefault(path.rpartition(".")[2], by_path[path])
    return found


@cache
def _labels(kind: Kind) -> Mapping[str, str]:
    return {part.path: part.label for part in _each(questions(kind).values())}


def _each(parts: Iterable[Question | Part]) -> Iterator[Question | Part]:
    for part in parts:
        yield part
        if isinstance(part, Part):
            yield from _each(part.parts)
