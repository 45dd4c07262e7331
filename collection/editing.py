"""Changing one field of a maker's YAML file in place: everything else stays byte for byte.

Comments, the order of fields, blank lines, quotes, brackets, the ends of lines, a byte order mark and
a missing last line end all stay; a comment within what is replaced is kept beside what replaces it.
Each edit is read back, and refused where anything but the asked value would differ.
"""

import dataclasses
from collections import Counter
from collections.abc import Sequence

import yaml

from collection.problems import Problem
from collection.yaml_places import Pair, Path, Places, is_block_text, is_nothing
from collection.yaml_text import YamlText, read_yaml, say_found
from collection.yaml_writing import Layout, Plain, Written, write_field, write_flow, write_item, write_key, write_value

_BYTE_ORDER_MARK = "\ufeff"


class EditProblem(Exception):
    """A file that can't be edited in place; nothing was changed. Says what to do by hand."""

    def __init__(self, field: str, remedy: str, *, found: str = "", line: int = 1):
        self.field, self.remedy, self.found, self.line = field, remedy, found, line
        super().__init__(remedy)

    def in_file(self, file: str) -> Problem:
        return Problem(file, self.line, self.field, self.found, self.remedy)


def set_field(text: str, key: str, value: Plain, *, after: Sequence[str] = ()) -> str:
    """The text with one of its fields set to plain data (see `yaml_writing`).

    Where the field holds fields, or a list that only grows, just what differs is touched. A field that
    is not there yet comes behind the first of `after` that is, else behind the last field. Setting what
    stands there already gives the text as it is. Raises EditProblem.

    >>> set_field("title: Low Tide\\ndestination: free  # at last\\n", "destination", "kept")
    'title: Low Tide\\ndestination: kept  # at last\\n'
    """
    mark, body = _without_mark(text)
    before = _fields(body, key)
    if before.get(key) == value and key in before:
        return text
    anchor = next((name for name in after if name in before), None)
    try:
        edited = _set(body, (), key, value, anchor)
    except (ValueError, yaml.YAMLError) as error:
        raise _by_hand(body, key, value) from error
    _compare(body, edited, key, {key: value})
    return mark + edited


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
    edited = _remove(body, (), key)
    _compare(body, edited, key, {})
    return mark + edited


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
        todo = f"write it by hand: {key}: {write_flow(value)}" if value is not None else "take it out by hand"
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


# Edits: each takes a text and gives the text with one thing changed ----------------------------------


def _set(body: str, path: Path, key: str, value: Plain, after: str | None) -> str:
    """Set a field of the mapping at a path, as gently as may be."""
    places = Places(body)
    if places.root is None or is_nothing(places.root):
        return _begin(places, key, value)
    mapping = places.mapping(path)
    pair = places.pair(mapping, key)
    if pair is None:
        return _insert(places, mapping, key, value, after)
    old = _data_at(body, (*path, key))
    if isinstance(old, dict) and isinstance(value, dict) and old.keys() & value.keys():
        edited = _merge(body, (*path, key), old, value)
    elif isinstance(old, list) and isinstance(value, list) and old and value[: len(old)] == old:
        edited = body
        for item in value[len(old) :]:
            edited = _append(edited, (*path, key), item)
    else:
        return _replace(places, mapping, pair, value)
    if _is_too_long(places, mapping, pair, edited):
        return _replace(places, mapping, pair, value, one_line=False)
    return edited


def _data_at(body: str, path: Path) -> Plain:
    data = read_yaml(body.encode(), "")[0].data
    for key in path:
        data = data[key]
    return data


def _merge(body: str, path: Path, old: dict, value: dict) -> str:
    """Take out, change and add just the fields that differ."""
    for key in old:
        if key not in value:
            body = _remove(body, path, key)
    before = None
    for key, item in value.items():
        if key not in old or old[key] != item:
            body = _set(body, path, key, item, before)
        before = key
    return body


def _is_too_long(places: Places, mapping: yaml.MappingNode, pair: Pair, edited: str) -> bool:
    """Has a field that stood on one line in brackets outgrown that line?"""
    value = pair[1]
    in_brackets = isinstance(value, yaml.CollectionNode) and value.flow_style
    if mapping.flow_style or not in_brackets or value.start_mark.line != value.end_mark.line:
        return False
    grown = len(edited) - len(places.text)
    length = places.value_end(value) - places.line_start(places.start(value)) + grown
    return grown > 0 and length >= Layout().width


def _begin(places: Places, key: str, value: Plain) -> str:
    """The first field of a text that holds none: below its comments."""
    lines = write_field(key, value, column=0, layout=Layout())
    text = places.text
    if not text or text.endswith(("\n", "\r")):
        return text + _joined(places, lines) + places.line_break
    return text + places.line_break + _joined(places, lines)


def _insert(places: Places, mapping: yaml.MappingNode, key: str, value: Plain, after: str | None) -> str:
    """A new field behind the one called `after`, else behind the last one."""
    text = places.text
    anchor = (places.pair(mapping, after) if after is not None else None) or (mapping.value or [None])[-1]
    if mapping.flow_style:
        field = f"{write_key(key)}: {write_flow(value)}"
        if anchor is None:
            place = places.start(mapping) + 1
            return text[:place] + field + text[place:]
        place = places.end(anchor)
        return f"{text[:place]}, {field}{text[place:]}"
    column = mapping.start_mark.column
    lines = write_field(key, value, column=column, layout=_layout(places))
    if places.ends_in_open_text(anchor[1]):
        # A line end behind that text would become a part of it.
        return _with_lines(places, places.line_start(places.start(anchor[0])), lines)
    return _with_lines(places, places.after(places.end(anchor), column), lines)


def _append(body: str, path: Path, item: Plain) -> str:
    """A new item at the end of a list that has some."""
    places = Places(body)
    items = places.mapping(path)
    last = items.value[-1]
    if items.flow_style:
        place = places.value_end(last)
        return f"{body[:place]}, {write_flow(item)}{body[place:]}"
    column = items.start_mark.column
    in_brackets = last.flow_style if isinstance(last, yaml.CollectionNode) else None
    lines = write_item(item, column=column, layout=_layout(places), one_line=in_brackets)
    if places.ends_in_open_text(last):
        raise ValueError("the end of the text would become a part of its last item")
    return _with_lines(places, places.after(places.value_end(last), column), lines)


def _replace(
    places: Places, mapping: yaml.MappingNode, pair: Pair, value: Plain, *, one_line: bool | None = None
) -> str:
    """Another value in the place of the one that is there."""
    text, old = places.text, pair[1]
    colon, end = places.colon_end(pair), places.end(pair)
    if colon is None:
        raise ValueError("the field has no colon")
    start = colon if is_nothing(old) else places.start(old)
    if mapping.flow_style:
        space = "" if text[start - 1].isspace() else " "
        return text[:start] + space + write_flow(value) + text[end:]
    column = mapping.start_mark.column
    layout = _layout(places)
    if places.after(end, column) != places.next_line(end):
        # Text behind a bar would swallow the deeper comments that follow.
        layout = dataclasses.replace(layout, literal=False)
    if isinstance(old, yaml.MappingNode) and not old.flow_style and isinstance(value, dict):
        one_line = False
    begins = colon + 1 if _is_block(old) or start == colon else start
    room = layout.width - 1 - (begins - places.line_start(begins))
    written = write_value(value, column=column, room=room, layout=layout, one_line=one_line)
    if not written.below and not places.comments_within(start, end) and not _is_block(old):
        space = " " if start == colon else ""
        return text[:start] + space + written.first + text[end:]
    return _rebuild(places, pair, written, column=column, step=layout.step)


def _is_block(node: yaml.Node) -> bool:
    return is_block_text(node) or (isinstance(node, yaml.CollectionNode) and not node.flow_style)


def _rebuild(places: Places, pair: Pair, written: Written, *, column: int, step: int) -> str:
    """What follows a field's colon written anew, with the comments that stood there."""
    text, colon = places.text, places.colon_end(pair)
    start, end = places.start(pair[1]), places.line_end(places.end(pair))
    comments = places.comments_within(colon, end)
    space = text[colon:start] if places.line(start) == places.line(colon) and start > colon else " "
    head = text[:colon] + (space + written.first if written.first else "")
    if comments and places.line(comments[0][0]) == places.line(colon):
        first, last = comments.pop(0)
        head += " " * 2 + text[first:last]
    # Behind fields, items and text of several lines a deeper comment could become a part of them.
    pad = " " * (column if written.below else column + step)
    lines = [head, *written.below, *(pad + text[first:last] for first, last in comments)]
    return _joined(places, lines) + text[end:]


def _remove(body: str, path: Path, key: str) -> str:
    """The field of the mapping at a path taken out; comments within it stay."""
    places = Places(body)
    mapping = places.mapping(path)
    pair = places.pair(mapping, key)
    if mapping.flow_style:
        return _remove_in_brackets(places, mapping, pair)
    start, end = places.line_start(places.start(pair[0])), places.next_line(places.end(pair))
    pad = " " * mapping.start_mark.column
    kept = [pad + body[first:last] for first, last in places.comments_within(start, end)]
    if kept:
        return body[:start] + _joined(places, kept) + body[places.line_end(places.end(pair)) :]
    return body[:start] + body[end:]


def _remove_in_brackets(places: Places, mapping: yaml.MappingNode, pair: Pair) -> str:
    text, index = places.text, mapping.value.index(pair)
    start, end = places.start(pair[0]), places.end(pair)
    if index + 1 < len(mapping.value):
        end = places.start(mapping.value[index + 1][0])
    elif index and places.line(places.end(mapping.value[index - 1])) == places.line(start):
        start = places.end(mapping.value[index - 1])
    else:
        end = places.comma_end(end) or end
    kept = "".join(text[first:last] + places.line_break for first, last in places.comments_within(start, end))
    pad = " " * (start - places.line_start(start)) if kept else ""
    return text[:start] + kept + pad + text[end:]


# Lines ------------------------------------------------------------------------------------------


def _joined(places: Places, lines: Sequence[str]) -> str:
    return places.line_break.join(lines)


def _with_lines(places: Places, place: int, lines: Sequence[str]) -> str:
    """The text with lines put in where one begins, or behind a last line that has no end."""
    text, new = places.text, _joined(places, lines)
    if places.line_start(place) == place:
        return text[:place] + new + places.line_break + text[place:]
    return text[:place] + places.line_break + new + text[place:]


def _layout(places: Places) -> Layout:
    """How this file is laid out, as far as it shows; otherwise as we would."""
    step = list_step = dash_step = None
    in_brackets = below = False
    for parent, child in places.nested:
        if isinstance(child, yaml.MappingNode):
            in_brackets |= bool(child.flow_style)
            below |= not child.flow_style
        if parent.flow_style:
            continue
        deeper = child.start_mark.column - parent.start_mark.column
        if isinstance(parent, yaml.SequenceNode):
            if dash_step is None and child.start_mark.line == parent.start_mark.line:
                dash_step = deeper
        elif isinstance(child, yaml.CollectionNode) and not child.flow_style:
            if isinstance(child, yaml.MappingNode):
                step = step or deeper
            elif list_step is None:
                list_step = deeper
    usual = Layout()
    return Layout(
        step=step or usual.step,
        list_step=usual.list_step if list_step is None else list_step,
        dash_step=dash_step or usual.dash_step,
        one_line=in_brackets or not below,
        literal=places.text.endswith(("\n", "\r")),
    )
