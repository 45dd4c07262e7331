"""Edits of YAML text: each function takes the text of a valid file and returns it with one change.

The caller reads the result back and compares it (see `field_edits`), because no edit can handle every layout.
"""

import dataclasses
from collections.abc import Callable, Iterator, Sequence

import yaml

from collection.yaml_files.parser import Path, Plain, read_yaml
from collection.yaml_files.positions import (
    Pair,
    Positions,
    Span,
    is_block_collection,
    is_block_text,
    is_empty,
    is_flow_collection,
)
from collection.yaml_files.writer import Layout, Written, write_field, write_flow, write_item, write_key, write_value


def set_at(body: str, path: Path, key: str, value: Plain, after: str | None) -> str:
    """Set a field of the mapping at `path` with the smallest edit. Raises ValueError or YAMLError if it can't."""
    positions = Positions(body)
    if positions.root is None or is_empty(positions.root):
        return _begin(positions, key, value)
    if not path and not isinstance(positions.root, yaml.MappingNode):
        raise ValueError("the file holds a word and no fields")
    mapping = positions.mapping(path)
    pair = positions.pair(mapping, key)
    if pair is None:
        return _insert(positions, mapping, key, value, after)
    old = read_yaml(body.encode(), "")[0].value((*path, key))
    if isinstance(old, dict) and isinstance(value, dict) and old.keys() & value.keys():
        edited = _merge(body, (*path, key), old, value)
    elif isinstance(old, list) and isinstance(value, list) and old and len(value) >= len(old):
        edited = _change_items(body, (*path, key), old, value)
    else:
        return _replace(positions, mapping, pair, value)
    if _is_too_long(positions, mapping, pair[1], edited):
        return _replace(positions, mapping, pair, value, one_line=False)
    return edited


def _change_items(body: str, path: Path, old: list[Plain], value: list[Plain]) -> str:
    """Replace the items that differ, then append the new ones."""
    for index, (before, item) in enumerate(zip(old, value, strict=False)):
        if before != item:
            body = _set_item(body, path, index, before, item)
    for item in value[len(old) :]:
        body = _append(body, path, item)
    return body


def _set_item(body: str, path: Path, index: int, old: Plain, value: Plain) -> str:
    positions = Positions(body)
    items = positions.sequence(path)
    item = positions.items(items)[index]
    if not (isinstance(old, dict) and isinstance(value, dict) and old.keys() & value.keys()):
        return _replace_item(positions, items, item, value)
    edited = _merge(body, (*path, index), old, value)
    if _is_too_long(positions, items, item, edited):
        return _replace_item(positions, items, item, value, one_line=False)
    return edited


def _merge(body: str, path: Path, old: dict[str, Plain], value: dict[str, Plain]) -> str:
    """Remove, change and add only the fields that differ."""
    for key in old:
        if key not in value:
            body = remove_at(body, path, key)
    before = None
    for key, item in value.items():
        if key not in old or old[key] != item:
            body = set_at(body, path, key, item, before)
        before = key
    return body


def _is_too_long(positions: Positions, holder: yaml.CollectionNode, value: yaml.Node, edited: str) -> bool:
    """Is a value in brackets now too long for its line?"""
    if holder.flow_style or not is_flow_collection(value) or value.start_mark.line != value.end_mark.line:
        return False
    grown = len(edited) - len(positions.text)
    length = positions.value_end(value) - positions.line_start(positions.start(value)) + grown
    return grown > 0 and length >= Layout().width


def _begin(positions: Positions, key: str, value: Plain) -> str:
    """Add the first field to a text that has none, below its comments."""
    lines = write_field(key, value, column=0, layout=Layout())
    text = positions.text
    if not text or text.endswith(("\n", "\r")):
        return text + _joined(positions, lines) + positions.line_break
    return text + positions.line_break + _joined(positions, lines)


def _insert(positions: Positions, mapping: yaml.MappingNode, key: str, value: Plain, after: str | None) -> str:
    """Insert a field after the one called `after`, else after the last one."""
    text = positions.text
    anchor = (positions.pair(mapping, after) if after is not None else None) or next(reversed(mapping.value), None)
    field = f"{write_key(key)}: {write_flow(value)}"
    if anchor is None:  # only brackets can be empty
        place = positions.start(mapping) + 1
        return text[:place] + field + text[place:]
    if mapping.flow_style:
        place = positions.end(anchor)
        return f"{text[:place]}, {field}{text[place:]}"
    column = mapping.start_mark.column
    lines = write_field(key, value, column=column, layout=_layout(positions))
    if positions.ends_in_open_text(anchor[1]):
        # A line break after that text would become part of it: insert the field above.
        return _with_lines(positions, positions.line_start(positions.start(anchor[0])), lines)
    return _with_lines(positions, positions.after(positions.end(anchor), column), lines)


def _append(body: str, path: Path, item: Plain) -> str:
    """Append an item to a list that is not empty."""
    positions = Positions(body)
    items = positions.sequence(path)
    last = items.value[-1]
    if items.flow_style:
        place = positions.value_end(last)
        return f"{body[:place]}, {write_flow(item)}{body[place:]}"
    column = items.start_mark.column
    in_brackets = last.flow_style if isinstance(last, yaml.CollectionNode) else None
    lines = write_item(item, column=column, layout=_layout(positions), one_line=in_brackets)
    if positions.ends_in_open_text(last):
        raise ValueError("the end of the text would become a part of its last item")
    return _with_lines(positions, positions.after(positions.value_end(last), column), lines)


def _replace(
    positions: Positions, mapping: yaml.MappingNode, pair: Pair, value: Plain, *, one_line: bool | None = None
) -> str:
    """Replace the value of a field."""
    text, old = positions.text, pair[1]
    colon, end = positions.colon_end(pair), positions.end(pair)
    if colon is None:
        raise ValueError("the field has no colon")
    start = colon if is_empty(old) else positions.start(old)
    if mapping.flow_style:
        space = "" if text[start - 1].isspace() else " "
        return text[:start] + space + write_flow(value) + text[end:]
    column = mapping.start_mark.column
    layout = _layout(positions)
    if positions.after(end, column) != positions.next_line(end):
        # Text after a bar would absorb the comments below that are indented deeper.
        layout = dataclasses.replace(layout, literal=False)
    if is_block_collection(old) and isinstance(value, dict | list):
        one_line = False
    begins = colon + 1 if _is_block(old) or start == colon else start
    room = layout.width - 1 - (begins - positions.line_start(begins))
    written = write_value(value, column=column, room=room, layout=layout, one_line=one_line)
    if not written.below and not positions.comments_within(start, end) and not _is_block(old):
        space = " " if start == colon else ""
        return text[:start] + space + written.first + text[end:]
    return _rebuild(positions, (colon, start, end), written, column=column, step=layout.step)


def _replace_item(
    positions: Positions, items: yaml.SequenceNode, item: yaml.Node, value: Plain, *, one_line: bool | None = None
) -> str:
    """Replace an item of a list."""
    text = positions.text
    start, end = positions.start(item), positions.value_end(item)
    if items.flow_style:
        kept = "".join(f"  {text[a:b]}{positions.line_break}" for a, b in positions.comments_within(start, end))
        pad = " " * (start - positions.line_start(start)) if kept else ""
        return text[:start] + write_flow(value) + kept + pad + text[end:]
    dash = positions.dash(item)
    if dash is None:
        raise ValueError("the item has no dash")
    column = dash - positions.line_start(dash)
    layout = dataclasses.replace(_layout(positions), literal=False)
    if _is_block_of(item, yaml.MappingNode):
        one_line = False
    first, *below = write_item(value, column=column, layout=layout, one_line=one_line)
    written = first[column + layout.dash_step :]
    if not below and not _is_block(item) and not positions.comments_within(start, end):
        return text[:start] + written + text[end:]
    end = positions.line_end(end)
    comments = positions.comments_within(dash, end)
    lines = [f"-{' ' * (layout.dash_step - 1)}{written}"]
    if comments and positions.line(comments[0][0]) == positions.line(dash):
        begin, stop = comments.pop(0)
        lines[0] += " " * 2 + text[begin:stop]
    pad = " " * (column + layout.dash_step)
    return text[:dash] + _joined(positions, [*lines, *below, *(pad + text[a:b] for a, b in comments)]) + text[end:]


def _is_block(node: yaml.Node) -> bool:
    return is_block_text(node) or is_block_collection(node)


def _rebuild(positions: Positions, place: tuple[int, int, int], written: Written, *, column: int, step: int) -> str:
    """Rewrite a field's value and keep its comments. `place`: the colon's end, then the value's start and end."""
    text, (colon, start, end) = positions.text, place
    end = positions.line_end(end)
    comments = positions.comments_within(colon, end)
    space = text[colon:start] if positions.line(start) == positions.line(colon) and start > colon else " "
    head = text[:colon] + (space + written.first if written.first else "")
    if comments and positions.line(comments[0][0]) == positions.line(colon):
        first, last = comments.pop(0)
        head += " " * 2 + text[first:last]
    # After fields, items or text on several lines, a comment that is indented deeper could become part of them.
    pad = " " * (column if written.below else column + step)
    lines = [head, *written.below, *(pad + text[first:last] for first, last in comments)]
    return _joined(positions, lines) + text[end:]


def remove_at(body: str, path: Path, key: str) -> str:
    """Remove a field of the mapping at `path`; its comments stay. ValueError if there is no such field."""
    positions = Positions(body)
    mapping = positions.mapping(path)
    pair = positions.pair(mapping, key)
    if pair is None:
        raise ValueError("there is no such field")
    index = mapping.value.index(pair)
    if mapping.flow_style:
        spans = [(positions.start(name), positions.end((name, value))) for name, value in mapping.value]
        return _cut_in_brackets(positions, spans, index)
    start, end = positions.start(pair[0]), positions.end(pair)
    column = mapping.start_mark.column
    is_behind_a_dash = bool(body[positions.line_start(start) : start].strip())
    if is_behind_a_dash and len(mapping.value) > 1:
        return _cut_behind_a_dash(positions, start, positions.start(mapping.value[index + 1][0]), column)
    return _cut_lines(positions, start, end, column)


def remove_item_at(body: str, path: Path, index: int) -> str:
    """Remove an item of the list at `path`; its comments stay. A list that becomes empty is written as `[]`."""
    positions = Positions(body)
    items = positions.sequence(path)
    item = positions.items(items)[index]
    if len(items.value) == 1 and path and isinstance(path[-1], str):
        mapping = positions.mapping(path[:-1])
        if pair := positions.pair(mapping, path[-1]):
            return _replace(positions, mapping, pair, [])
    if items.flow_style:
        spans = [(positions.start(each), positions.value_end(each)) for each in items.value]
        return _cut_in_brackets(positions, spans, items.value.index(item))
    dash = positions.dash(item)
    if dash is None or body[positions.line_start(dash) : dash].strip():
        raise ValueError("the item does not begin a line")
    return _cut_lines(positions, dash, positions.value_end(item), items.start_mark.column)


def _cut_lines(positions: Positions, start: int, end: int, column: int) -> str:
    """Remove whole lines and keep their comments."""
    text, start, after = positions.text, positions.line_start(start), positions.next_line(end)
    kept = [" " * column + text[first:last] for first, last in positions.comments_within(start, after)]
    if kept:
        return text[:start] + _joined(positions, kept) + text[positions.line_end(end) :]
    return text[:start] + text[after:]


def _cut_behind_a_dash(positions: Positions, start: int, next_start: int, column: int) -> str:
    """Remove the first field of an item, so that the next field follows the dash."""
    text = positions.text
    comments = [text[first:last] for first, last in positions.comments_within(start, next_start)]
    if not comments:
        return text[:start] + text[next_start:]
    pad = " " * column
    head = text[:start].rstrip(" ") + " " * 2 + comments[0]
    return _joined(positions, [head, *(pad + comment for comment in comments[1:]), pad]) + text[next_start:]


def _cut_in_brackets(positions: Positions, spans: Sequence[Span], index: int) -> str:
    """Remove one of several parts in brackets, with its comma; comments stay."""
    text = positions.text
    start, end = spans[index]
    if index + 1 < len(spans):
        end = spans[index + 1][0]
    elif index and positions.line(spans[index - 1][1]) == positions.line(start):
        start = spans[index - 1][1]
    else:
        end = positions.comma_end(end) or end
    kept = "".join(text[first:last] + positions.line_break for first, last in positions.comments_within(start, end))
    pad = " " * (start - positions.line_start(start)) if kept else ""
    return text[:start] + kept + pad + text[end:]


# Lines ------------------------------------------------------------------------------------------


def _joined(positions: Positions, lines: Sequence[str]) -> str:
    return positions.line_break.join(lines)


def _with_lines(positions: Positions, place: int, lines: Sequence[str]) -> str:
    """Insert lines at the start of a line, or after a last line without a line break."""
    text, new = positions.text, _joined(positions, lines)
    if positions.line_start(place) == place:
        return text[:place] + new + positions.line_break + text[place:]
    return text[:place] + positions.line_break + new + text[place:]


def _layout(positions: Positions) -> Layout:
    """The layout of this file; the default layout where the file shows none."""
    usual = Layout()
    steps = _depths(positions, yaml.MappingNode, lambda _, held: _is_block_of(held, yaml.MappingNode))
    list_steps = _depths(positions, yaml.MappingNode, lambda _, held: _is_block_of(held, yaml.SequenceNode))
    dash_steps = _depths(positions, yaml.SequenceNode, lambda dash, held: held.start_mark.line == dash.start_mark.line)
    in_brackets = {is_flow_collection(held) for _, held in positions.nested if isinstance(held, yaml.MappingNode)}
    return Layout(
        step=next(filter(None, steps), usual.step),
        list_step=next(list_steps, usual.list_step),
        dash_step=next(dash_steps, 0) or usual.dash_step,
        one_line=in_brackets != {False},
        literal=positions.text.endswith(("\n", "\r")),
    )


def _depths(
    positions: Positions, kind: type[yaml.CollectionNode], is_counted: Callable[[yaml.Node, yaml.Node], bool]
) -> Iterator[int]:
    """The indentation, in columns, of each counted value in a block of this kind."""
    for holder, held in positions.nested:
        if _is_block_of(holder, kind) and is_counted(holder, held):
            yield held.start_mark.column - holder.start_mark.column


def _is_block_of(node: yaml.Node, kind: type[yaml.CollectionNode]) -> bool:
    return isinstance(node, kind) and is_block_collection(node)
