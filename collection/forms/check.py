"""Finds the problems of one record that reading the whole collection would find."""

from collections.abc import Container, Iterable
from dataclasses import replace
from typing import Any

from collection.forms.form import Kind, file_of
from collection.forms.schema import MODELS
from collection.loading.cross_checks import cross_check, plain_name
from collection.loading.default_units import currency_of, units_of, units_of_partner
from collection.loading.validation import validate, validate_the_rest
from collection.problems import Problem
from collection.records.collection import Collection
from collection.records.destinations import Donated, Lost, Promised
from collection.records.partner import Partner
from collection.records.quilt import Quilt
from collection.yaml_files.parser import YamlText, read_yaml


def problems_of(
    kind: Kind, record_id: str, text: str, collection: Collection, files: Container[str] = ()
) -> tuple[Problem, ...]:
    """All problems of a file with this text, by line; then the problems that it would cause in other files.

    `files` are the names of all existing record files, valid or not; a record with a file is not reported as missing.
    """
    file = file_of(kind, record_id)
    read, problems = read_yaml(text.encode("utf-8", "surrogatepass"), file)
    model = MODELS[kind]
    known = _known(kind, record_id, read.data, collection)
    record, invalid = validate(model, read, **known)
    problems = [*problems, *invalid]
    valid = record or validate_the_rest(model, read, **known)
    elsewhere: list[Problem] = []
    if valid is not None and kind != "collection":
        texts = _Texts(read, files)
        after = cross_check(_around(kind, valid, collection), texts)
        problems += [problem for problem in after if problem.file == file]
        elsewhere = _caused_elsewhere(kind, valid, collection, after, texts) if record is not None else []
    return (*sorted(set(problems), key=lambda each: (each.line, each)), *elsewhere)


def _known(kind: Kind, record_id: str, data: object, collection: Collection) -> dict[str, Any]:
    """The context in which a record is validated: its ID, and the units and currency of bare numbers."""
    settings = collection.settings
    if kind == "collection":
        return {"units": units_of(data, "in"), "currency": currency_of(data)}
    otherwise: str = settings.units
    if kind == "request":
        otherwise = units_of_partner(data, collection.partners, otherwise)
    return {"units": units_of(data, otherwise), "currency": settings.currency, "id": record_id or "new"}


class _Texts(dict[str, YamlText]):
    """The text of one file. Other files are known by name only, without line positions."""

    def __init__(self, text: YamlText, files: Container[str]):
        super().__init__({text.file: text})
        self._files = files

    def __contains__(self, name: object) -> bool:
        return super().__contains__(name) or name in self._files

    def __missing__(self, name: str) -> YamlText:
        return YamlText(name, {})


# Related records --------------------------------------------------------------------------------


def _around(kind: Kind, record: Any, collection: Collection) -> Collection:
    """The record with those that it may conflict with; it comes last, so that problems are reported for it."""
    if isinstance(record, Quilt):
        sharing = _others((each for each in collection.quilts.values() if _share(each, record)), record)
        return replace(collection, quilts=_by_id(*sharing, record))
    quilts = _by_id(*(each for each in collection.quilts.values() if _names(each, kind, record.id)))
    if isinstance(record, Partner):
        partners = _by_id(*_others(collection.partners.values(), record), record)
        return replace(collection, quilts=quilts, partners=partners)
    return replace(collection, quilts=quilts, requests=_by_id(*_others(collection.requests.values(), record), record))


def _by_id(*records: Any) -> dict[str, Any]:
    return {each.id: each for each in records}


def _others(records: Iterable[Any], record: Any) -> list[Any]:
    return [each for each in records if each.id != record.id]


def _share(one: Quilt, other: Quilt) -> bool:
    """Whether two quilts share a number, a name, or a line of a request."""
    if one.number is not None and one.number == other.number:
        return True
    if not _called(one).isdisjoint(_called(other)):
        return True
    places = [
        (quilt.destination.request, quilt.destination.line)
        for quilt in (one, other)
        if isinstance(quilt.destination, Promised | Donated)
    ]
    return len(places) == 2 and places[0] == places[1] and None not in places[0]


def _called(quilt: Quilt) -> set[str]:
    return {plain_name(name) for name in (quilt.title, *quilt.also_called)}


def _names(quilt: Quilt, kind: Kind, record_id: str) -> bool:
    """Whether a quilt names a partner or a request, now or in its history."""
    ways = (quilt.destination, *quilt.history)
    if kind == "request":
        return any(isinstance(way, Promised | Donated) and way.request == record_id for way in ways)
    return any(
        isinstance(way, Promised | Donated | Lost)
        and record_id in (way.through, getattr(way, "to", None), getattr(way, "meant_for", None))
        for way in ways
    )


def _caused_elsewhere(
    kind: Kind, record: Any, collection: Collection, after: Iterable[Problem], texts: _Texts
) -> list[Problem]:
    """The problems in other files that this record causes, and its current version does not."""
    former = {"quilt": collection.quilts, "partner": collection.partners, "request": collection.requests}[kind]
    before = former.get(record.id)
    if before is None or before == record:
        return []
    known = set(cross_check(_around(kind, before, collection), texts))
    own = file_of(kind, record.id)
    return sorted(problem for problem in set(after) - known if problem.file != own)
