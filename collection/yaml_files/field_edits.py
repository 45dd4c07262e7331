"""Edits one field of a maker's YAML file in place; everything else stays the same, byte for byte.

Comments, the order of fields, blank lines, quotes, brackets, line breaks, a byte order mark and a missing last line
break all stay. A comment within a replaced value is kept next to the new one. Each edit is read back, and refused if
anything but the requested value differs.
"""

from collections import Counter
from collections.abc import Callable, Sequence

import yaml

from collection.problems import Problem
from collection.yaml_files.edits import remove_at, remove_item_at, set_at
from collection.yaml_files.parser import Path, Plain, YamlText, format_found, read_yaml
from collection.yaml_files.positions import Positions
from collection.yaml_files.writer import write_flow

_BYTE_ORDER_MARK = "\ufeff"
# A message does not repeat a longer value.
_SHOWN = 500


class EditProblem(Exception):
    """A file can't be edited in place; nothing was changed. The remedy says what to do by hand."""

    def __init__(self, field: str, remedy: str, *, found: str = "", line: int = 1):
        self.field, self.remedy, self.found, self.line = field, remedy, found, line
        super().__init__(remedy)

    def in_file(self, file: str) -> Problem:
        return Problem(file, self.line, self.field, self.found, self.remedy)


def set_field(text: str, key: str, value: Plain, *, after: Sequence[str] = ()) -> str:
    """The text with a field set to plain data (see `writer`).

    In a field that holds fields, or a list that does not get shorter, only the parts that differ change; an item of a
    list replaces the item at its index. A new field follows the first name in `after` that exists, else the last
    field. An equal value leaves the text unchanged. Raises EditProblem.

    >>> set_field("title: Low Tide\\ndestination: free  # at last\\n", "destination", "kept")
    'title: Low Tide\\ndestination: kept  # at last\\n'
    """
    before = _fields(text, key)
    if before.get(key) == value and key in before:
        return text
    anchor = next((name for name in after if name in before), None)
    return _edited(text, key, {key: value}, lambda body: set_at(body, (), key, value, anchor))


def set_value(text: str, path: Path, value: Plain) -> str:
    """The text with the value at a path of field names and indices from 0 set; see `set_field`.

    The fields or the list above it must exist already. Raises EditProblem.

    >>> set_value("photos:\\n  - {file: front.jpg}\\n", ("photos", 0, "caption"), "On the line")
    'photos:\\n  - {file: front.jpg, caption: On the line}\\n'
    """
    key = str(path[0])
    try:
        whole = _with(_fields(text, key).get(key), path[1:], value)
    except LookupError:
        raise EditProblem(key, "There is nothing yet that this could be a part of.", line=_line(text, key)) from None
    return set_field(text, key, whole)


def append_to_list(text: str, key: str, value: Plain, *, after: Sequence[str] = ()) -> str:
    """The text with an item appended to a list; see `set_field`. Raises EditProblem."""
    items = _fields(text, key).get(key)
    if items is None:
        items = []
    if not isinstance(items, list):
        remedy = "A list is needed here: one item to a line, each after a dash."
        raise EditProblem(key, remedy, found=format_found(items), line=_line(text, key))
    return set_field(text, key, [*items, value], after=after)


def remove_field(text: str, key: str) -> str:
    """The text without a field; unchanged if it has no such field. Raises EditProblem."""
    if key not in _fields(text, key):
        return text
    return _edited(text, key, {}, lambda body: remove_at(body, (), key))


def remove_value(text: str, path: Path) -> str:
    """The text without the value at a path of field names and indices from 0; unchanged if there is no such value.

    The fields or the list above it stay, even if they become empty. Raises EditProblem.

    >>> remove_value("photos:\\n  - front.jpg\\n  - back.jpg\\n", ("photos", 1))
    'photos:\\n  - front.jpg\\n'
    """
    key, holder, last = str(path[0]), path[:-1], path[-1]
    if not holder:
        return remove_field(text, key)
    try:
        left = _without(_fields(text, key)[key], path[1:])
    except LookupError:
        return text

    def remove(body: str) -> str:
        return remove_item_at(body, holder, last) if isinstance(last, int) else remove_at(body, holder, last)

    return _edited(text, key, {key: left}, remove)


def _with(data: Plain, path: Path, value: Plain) -> Plain:
    """The data with another value at a path. LookupError if its parent can't hold it."""
    if not path:
        return value
    step, inner = path[0], path[1:]
    if isinstance(data, list) and isinstance(step, int):
        return [*data[:step], _with(data[step], inner, value), *data[step + 1 :]]
    if isinstance(data, dict) and isinstance(step, str):
        return {**data, step: _with(data.get(step), inner, value)}
    raise LookupError(step)


def _without(data: Plain, path: Path) -> Plain:
    """The data without the value at a path. LookupError if there is none."""
    step, inner = path[0], path[1:]
    if isinstance(data, list) and isinstance(step, int):
        item = data[step]
        return [*data[:step], *([_without(item, inner)] if inner else []), *data[step + 1 :]]
    if isinstance(data, dict) and isinstance(step, str):
        value = data[step]
        others = {name: item for name, item in data.items() if name != step}
        return {**data, step: _without(value, inner)} if inner else others
    raise LookupError(step)


# Reading and comparing --------------------------------------------------------------------------


def _edited(text: str, key: str, now: dict[str, Plain], edit: Callable[[str], str]) -> str:
    """The text after an edit of one field, whose new value is in `now`. Raises EditProblem if anything else differs."""
    body = text.removeprefix(_BYTE_ORDER_MARK)
    try:
        edited = edit(body)
    except (ValueError, yaml.YAMLError) as error:
        raise _by_hand(body, key, now.get(key)) from error
    _compare(body, edited, key, now)
    return text[: len(text) - len(body)] + edited


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


def _fields(text: str, key: str) -> dict[str, Plain]:
    data = _read(text.removeprefix(_BYTE_ORDER_MARK), key).data
    if data is None:
        return {}
    if not isinstance(data, dict):
        raise EditProblem("", "Write fields, one to a line, such as title: Low Tide.", found=format_found(data))
    return data


def _line(text: str, key: str) -> int:
    return _read(text.removeprefix(_BYTE_ORDER_MARK), key).line((key,))


def _by_hand(body: str, key: str, value: Plain) -> EditProblem:
    line = _read(body, key).line((key,))
    try:
        whole = f"{key}: {write_flow(value)}"
        written = f": {whole}" if len(whole) < _SHOWN else "."
        todo = "take it out by hand" if value is None else f"write it by hand{written}"
    except (TypeError, ValueError) as error:
        return EditProblem(key, str(error), line=line)
    return EditProblem(key, f"This file is laid out so that the field can't be changed in place; {todo}", line=line)


def _compare(body: str, edited: str, key: str, now: dict[str, Plain]) -> None:
    """Check that the edit sets the requested value and keeps all other values and all comments."""
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
    return Counter(body[start:end].rstrip() for start, end in Positions(body).comments)
