"""Changing one field of a maker's YAML file in place: everything else stays byte for byte.

Comments, the order of fields, blank lines, quotes, brackets, the ends of lines, a byte order mark and
a missing last line end all stay; a comment within what is replaced is kept beside what replaces it.
Each edit is read back, and refused where anything but the asked value would differ.
"""

from collections import Counter
from collections.abc import Sequence

import yaml

from collection.problems import Problem
from collection.yaml_edits import remove_at, remove_item_at, set_at
from collection.yaml_places import Path, Places
from collection.yaml_text import YamlText, read_yaml, say_found
from collection.yaml_writing import Plain, write_flow

_BYTE_ORDER_MARK = "\ufeff"
# What is longer is not repeated in a message.
_SHOWN = 500


class EditProblem(Exception):
    """A file that can't be edited in place; nothing was changed. Says what to do by hand."""

    def __init__(self, field: str, remedy: str, *, found: str = "", line: int = 1):
        self.field, self.remedy, self.found, self.line = field, remedy, found, line
        super().__init__(remedy)

    def in_file(self, file: str) -> Problem:
        return Problem(file, self.line, self.field, self.found, self.remedy)


def set_field(text: str, key: str, value: Plain, *, after: Sequence[str] = ()) -> str:
    """The text with one of its fields set to plain data (see `yaml_writing`).

    Where the field holds fields, or a list that does not get shorter, just what differs is touched; an
    item of a list is another version of the one that stood in its place. A field that is not there yet
    comes behind the first of `after` that is, else behind the last field. Setting what stands there
    already gives the text as it is. Raises EditProblem.

    >>> set_field("title: Low Tide\\ndestination: free  # at last\\n", "destination", "kept")
    'title: Low Tide\\ndestination: kept  # at last\\n'
    """
    mark, body = _without_mark(text)
    before = _fields(body, key)
    if before.get(key) == value and key in before:
        return text
    anchor = next((name for name in after if name in before), None)
    try:
        edited = set_at(body, (), key, value, anchor)
    except (ValueError, yaml.YAMLError) as error:
        raise _by_hand(body, key, value) from error
    _compare(body, edited, key, {key: value})
    return mark + edited


def set_value(text: str, path: Path, value: Plain) -> str:
    """The text with the value at a path of field names, and of numbers of items from 0; see `set_field`.

    What is above it has to stand there already, as fields or as a list. Raises EditProblem.

    >>> set_value("photos:\\n  - {file: front.jpg}\\n", ("photos", 0, "caption"), "On the line")
    'photos:\\n  - {file: front.jpg, caption: On the line}\\n'
    """
    key, *inner = path
    fields = _fields(_without_mark(text)[1], key)
    if inner and not (_stands_there(fields, path[:-1]) and _holds_more(fields, path)):
        raise EditProblem(key, "There is nothing yet that this could be a part of.", line=_line(text, key))
    return set_field(text, key, _with(fields, path, value)[key])


def append_to_list(text: str, key: str, value: Plain, *, after: Sequence[str] = ()) -> str:
    """The text with one more item at the end of a list; see `set_field`. Raises EditProblem."""
    fields = _fields(_without_mark(text)[1], key)
    items = fields.get(key)
    if items is None:
        items = []
    if not isinstance(items, list):
        remedy = "A list is needed here: one item to a line, each after a dash."
        raise EditProblem(key, remedy, found=say_found(items), line=_line(text, key))
    return set_field(text, key, [*items, value], after=after)


def remove_field(text: str, key: str) -> str:
    """The text without one of its fields; as it is where that is not there. Raises EditProblem."""
    mark, body = _without_mark(text)
    if key not in _fields(body, key):
        return text
    edited = remove_at(body, (), key)
    _compare(body, edited, key, {})
    return mark + edited


def remove_value(text: str, path: Path) -> str:
    """The text without what stands at a path of field names, and of numbers of items from 0.

    As it is where nothing stands there. What was around it stays, also where nothing else is left in it.
    Raises EditProblem.

    >>> remove_value("photos:\\n  - front.jpg\\n  - back.jpg\\n", ("photos", 1))
    'photos:\\n  - front.jpg\\n'
    """
    key, *inner = path
    if not inner:
        return remove_field(text, key)
    mark, body = _without_mark(text)
    fields = _fields(body, key)
    if not _stands_there(fields, path):
        return text
    left = _without(fields, path)
    try:
        edit = remove_item_at if isinstance(path[-1], int) else remove_at
        edited = edit(body, path[:-1], path[-1])
    except (ValueError, yaml.YAMLError) as error:
        raise _by_hand(body, key, left[key]) from error
    _compare(body, edited, key, {key: left[key]})
    return mark + edited


def _stands_there(data: Plain, path: Path) -> bool:
    for step in path:
        inside = isinstance(data, dict) and step in data
        if not inside and not (isinstance(data, list) and isinstance(step, int) and step < len(data)):
            return False
        data = data[step]
    return True


def _holds_more(data: Plain, path: Path) -> bool:
    """May what stands above the end of a path hold what the end names?"""
    for step in path[:-1]:
        data = data[step]
    last = path[-1]
    return last < len(data) if isinstance(data, list) and isinstance(last, int) else isinstance(data, dict)


def _with(data: Plain, path: Path, value: Plain) -> Plain:
    step, *inner = path
    new = _with(data[step], inner, value) if inner else value
    if isinstance(data, list):
        return [*data[:step], new, *data[step + 1 :]]
    return {**data, step: new}


def _without(data: Plain, path: Path) -> Plain:
    step, *inner = path
    if isinstance(data, list):
        before, after = data[:step], data[step + 1 :]
        return [*before, _without(data[step], inner), *after] if inner else [*before, *after]
    if inner:
        return {**data, step: _without(data[step], inner)}
    return {name: item for name, item in data.items() if name != step}


# Reading and comparing --------------------------------------------------------------------------


def _without_mark(text: str) -> tuple[str, str]:
    """The byte order mark, if any, and the rest."""
    return text[: text.startswith(_BYTE_ORDER_MARK)], text.removeprefix(_BYTE_ORDER_MARK)


def _read(body: str, key: str) -> YamlText:
    try:
        raw = body.encode()
    except UnicodeEncodeError as error:
        raise EditProblem(key, "This holds bytes that are no characters. Write it anew.") from error
    text, problems = read_yaml(raw, "")
    if problems:
        first = problems[0]
        raise EditProblem(first.field, first.remedy, found=first.found, line=first.line)
    return text


def _fields(body: str, key: str) -> dict[str, Plain]:
    data = _read(body, key).data
    if data is None:
        return {}
    if not isinstance(data, dict):
        raise EditProblem("", "Write fields, one to a line, such as title: Low Tide.", found=say_found(data))
    return data


def _line(text: str, key: str) -> int:
    return _read(_without_mark(text)[1], key).line((key,))


def _by_hand(body: str, key: str, value: Plain) -> EditProblem:
    line = _read(body, key).line((key,))
    try:
        whole = f"{key}: {write_flow(value)}"
        todo = "take it out by hand" if value is None else f"write it by hand{f': {whole}' if len(whole) < _SHOWN else '.'}"
    except (TypeError, ValueError) as error:
        return EditProblem(key, str(error), line=line)
    return EditProblem(key, f"This file is laid out so that the field can't be changed in place; {todo}", line=line)


def _compare(body: str, edited: str, key: str, now: dict[str, Plain]) -> None:
    """Hold the edit against the text: the asked value is there, all others and all comments are as before."""
    try:
        before, after = _fields(body, key), _fields(edited, key)
    except EditProblem as error:
        raise _by_hand(body, key, now.get(key)) from error
    others = [(name, item) for name, item in before.items() if name != key]
    same = [(name, item) for name, item in after.items() if name != key] == others
    asked = {name: item for name, item in after.items() if name == key} == now
    if not (same and asked and _comments(edited) == _comments(body)):
        raise _by_hand(body, key, now.get(key))


def _comments(body: str) -> Counter[str]:
    places = Places(body)
    return Counter(body[start:end].rstrip() for start, end in places.comments)
