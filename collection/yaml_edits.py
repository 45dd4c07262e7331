"""Edits of a YAML text: each takes the text of a sound file and gives it with one thing changed.

What they give is to be read back and compared (see `editing`): a file may be laid out in ways that
no edit foresees.
"""

import dataclasses
from collections.abc import Sequence

import yaml

from collection.yaml_places import Pair, Path, Places, is_block_text, is_nothing
from collection.yaml_text import read_yaml
from collection.yaml_writing import Layout, Plain, Written, write_field, write_flow, write_item, write_key, write_value


def set_at(body: str, path: Path, key: str, value: Plain, after: str | None) -> str:
    """Set a field of the mapping at a path, as gently as may be."""
    places = Places(body)
    if places.root is None or is_nothing(places.root):
        return _begin(places, key, value)
    if not path and not isinstance(places.root, yaml.MappingNode):
        raise ValueError("the file holds a word that stands for nothing")
    mapping = places.node(path)
    pair = places.pair(mapping, key)
    if pair is None:
        return _insert(places, mapping, key, value, after)
    old = _data_at(body, (*path, key))
    if isinstance(old, dict) and isinstance(value, dict) and old.keys() & value.keys():
        edited = _merge(body, (*path, key), old, value)
    elif isinstance(old, list) and isinstance(value, list) and old and len(value) >= len(old):
        edited = _change_items(body, (*path, key), old, value)
    else:
        return _replace(places, mapping, pair, value)
    if _is_too_long(places, mapping, pair[1], edited):
        return _replace(places, mapping, pair, value, one_line=False)
    return edited


def _change_items(body: str, path: Path, old: list, value: list) -> str:
    """Each item that differs from the one in its place, then those that are new."""
    for index, before in enumerate(old):
        if before != value[index]:
            body = _set_item(body, path, index, before, value[index])
    for item in value[len(old) :]:
        body = _append(body, path, item)
    return body


def _set_item(body: str, path: Path, index: int, old: Plain, value: Plain) -> str:
    places = Places(body)
    items = places.node(path)
    item = places.items(items)[index]
    if not (isinstance(old, dict) and isinstance(value, dict) and old.keys() & value.keys()):
        return _replace_item(places, items, item, value)
    edited = _merge(body, (*path, index), old, value)
    if _is_too_long(places, items, item, edited):
        return _replace_item(places, items, item, value, one_line=False)
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
            body = remove_at(body, path, key)
    before = None
    for key, item in value.items():
        if key not in old or old[key] != item:
            body = set_at(body, path, key, item, before)
        before = key
    return body


def _is_too_long(places: Places, holder: yaml.CollectionNode, value: yaml.Node, edited: str) -> bool:
    """Has a value that stood on one line in brackets outgrown that line?"""
    in_brackets = isinstance(value, yaml.CollectionNode) and value.flow_style
    if holder.flow_style or not in_brackets or value.start_mark.line != value.end_mark.line:
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
    items = places.node(path)
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
    if isinstance(old, yaml.CollectionNode) and not old.flow_style and isinstance(value, dict | list):
        one_line = False
    begins = colon + 1 if _is_block(old) or start == colon else start
    room = layout.width - 1 - (begins - places.line_start(begins))
    written = write_value(value, column=column, room=room, layout=layout, one_line=one_line)
    if not written.below and not places.comments_within(start, end) and not _is_block(old):
        space = " " if start == colon else ""
        return text[:start] + space + written.first + text[end:]
    return _rebuild(places, pair, written, column=column, step=layout.step)


def _replace_item(
    places: Places, items: yaml.SequenceNode, item: yaml.Node, value: Plain, *, one_line: bool | None = None
) -> str:
    """Another item in the place of the one that is there."""
    text = places.text
    start, end = places.start(item), places.value_end(item)
    if items.flow_style:
        kept = "".join(f"  {text[a:b]}{places.line_break}" for a, b in places.comments_within(start, end))
        pad = " " * (start - places.line_start(start)) if kept else ""
        return text[:start] + write_flow(value) + kept + pad + text[end:]
    dash = places.dash(item)
    if dash is None:
        raise ValueError("the item has no dash")
    column = dash - places.line_start(dash)
    layout = dataclasses.replace(_layout(places), literal=False)
    if isinstance(item, yaml.MappingNode) and not item.flow_style:
        one_line = False
    first, *below = write_item(value, column=column, layout=layout, one_line=one_line)
    written = first[column + layout.dash_step :]
    if not below and not _is_block(item) and not places.comments_within(start, end):
        return text[:start] + written + text[end:]
    end = places.line_end(end)
    comments = places.comments_within(dash, end)
    lines = [f"-{' ' * (layout.dash_step - 1)}{written}"]
    if comments and places.line(comments[0][0]) == places.line(dash):
        begin, stop = comments.pop(0)
        lines[0] += " " * 2 + text[begin:stop]
    pad = " " * (column + layout.dash_step)
    return text[:dash] + _joined(places, [*lines, *below, *(pad + text[a:b] for a, b in comments)]) + text[end:]


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


def remove_at(body: str, path: Path, key: str) -> str:
    """The field of the mapping at a path taken out; comments within it stay."""
    places = Places(body)
    mapping = places.node(path)
    pair = places.pair(mapping, key)
    index = mapping.value.index(pair)
    if mapping.flow_style:
        spans = [(places.start(name), places.end((name, value))) for name, value in mapping.value]
        return _cut_in_brackets(places, spans, index)
    start, end = places.start(pair[0]), places.end(pair)
    column = mapping.start_mark.column
    is_behind_a_dash = bool(body[places.line_start(start) : start].strip())
    if is_behind_a_dash and len(mapping.value) > 1:
        return _cut_behind_a_dash(places, start, places.start(mapping.value[index + 1][0]), column)
    return _cut_lines(places, start, end, column)


def remove_item_at(body: str, path: Path, index: int) -> str:
    """The item of the list at a path taken out; comments within it stay. Of the only item, brackets stay."""
    places = Places(body)
    items = places.node(path)
    item = places.items(items)[index]
    if len(items.value) == 1 and path and isinstance(path[-1], str):
        mapping = places.node(path[:-1])
        return _replace(places, mapping, places.pair(mapping, path[-1]), [])
    if items.flow_style:
        spans = [(places.start(each), places.value_end(each)) for each in items.value]
        return _cut_in_brackets(places, spans, items.value.index(item))
    dash = places.dash(item)
    if dash is None or body[places.line_start(dash) : dash].strip():
        raise ValueError("the item does not begin a line")
    return _cut_lines(places, dash, places.value_end(item), items.start_mark.column)


def _cut_lines(places: Places, start: int, end: int, column: int) -> str:
    """Whole lines taken out, but for the comments in them."""
    text, start, after = places.text, places.line_start(start), places.next_line(end)
    kept = [" " * column + text[first:last] for first, last in places.comments_within(start, after)]
    if kept:
        return text[:start] + _joined(places, kept) + text[places.line_end(end) :]
    return text[:start] + text[after:]


def _cut_behind_a_dash(places: Places, start: int, next_start: int, column: int) -> str:
    """The first field of an item taken out: the next one moves up to the dash."""
    text = places.text
    comments = [text[first:last] for first, last in places.comments_within(start, next_start)]
    if not comments:
        return text[:start] + text[next_start:]
    pad = " " * column
    head = text[:start].rstrip(" ") + " " * 2 + comments[0]
    return _joined(places, [head, *(pad + comment for comment in comments[1:]), pad]) + text[next_start:]


def _cut_in_brackets(places: Places, spans: Sequence[tuple[int, int]], index: int) -> str:
    """One of several parts in brackets taken out, with its comma; comments stay."""
    text = places.text
    start, end = spans[index]
    if index + 1 < len(spans):
        end = spans[index + 1][0]
    elif index and places.line(spans[index - 1][1]) == places.line(start):
        start = spans[index - 1][1]
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
