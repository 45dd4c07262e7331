"""Writes plain data as YAML in the layout of the surrounding file; `read_yaml` reads the same data back.

Plain data is what `read_yaml` returns: dicts, lists, text, True, False and None.
"""

import re
from dataclasses import dataclass

from collection.yaml_files.parser import Plain

# Words that some YAML parsers don't read as text.
_NOT_TEXT_EVERYWHERE = {"null", "true", "false", "yes", "no", "on", "off", "y", "n"}
# Characters that need no escape between quotes in YAML: no line breaks, no byte order mark.
_UNESCAPED = re.compile("[ -~\xa0-\u2027\u202a-\ud7ff\ue000-\ufefe\uff00-\ufffd\U00010000-\U0010ffff]")
_ESCAPES = {'"': '\\"', "\\": "\\\\", "\n": "\\n", "\t": "\\t", "\r": "\\r"}


@dataclass(frozen=True, slots=True)
class Layout:
    """The layout of a file, in columns.

    A line is shorter than `width`. Fields within a field are indented by `step`, the dashes of a list by `list_step`,
    and an item by `dash_step` from its dash. `one_line`: write short fields on one line in brackets. `literal`: write
    text of several lines after a bar, line by line.
    """

    width: int = 100
    step: int = 2
    list_step: int = 2
    dash_step: int = 2
    one_line: bool = True
    literal: bool = True


@dataclass(frozen=True, slots=True)
class Written:
    """A value as YAML: the text after its colon or dash, and the lines below."""

    first: str
    below: tuple[str, ...] = ()


def write_flow(value: Plain) -> str:
    """Write a value on one line, valid anywhere in a file.

    >>> write_flow({"is": "gifted", "to": "A cousin", "note": "blue, green"})
    '{is: gifted, to: A cousin, note: "blue, green"}'
    """
    if isinstance(value, dict):
        return "{" + ", ".join(f"{write_key(key)}: {write_flow(item)}" for key, item in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(write_flow(item) for item in value) + "]"
    return _write_scalar(value, in_brackets=True)


def write_key(key: str) -> str:
    """Write the name of a field, valid anywhere in a file; `on` is a name here and needs no quotes."""
    plain = key.lower() in _NOT_TEXT_EVERYWHERE - {"null", "true", "false"}
    return key if plain else _write_scalar(key, in_brackets=True)


def write_value(value: Plain, *, column: int, room: int, layout: Layout, one_line: bool | None = None) -> Written:
    """Write the value of a field or item that begins in `column`, with `room` columns left on its line.

    `one_line` overrides the layout for this value, not for the values in it.
    """
    if isinstance(value, dict | list):
        if one_line is None:
            one_line = layout.one_line if isinstance(value, dict) else _is_words(value)
        whole = write_flow(value)
        if not value or (len(whole) <= room and one_line):
            return Written(whole)
        step = layout.step if isinstance(value, dict) else layout.list_step
        return Written("", tuple(_write_parts(value, column=column + step, layout=layout)))
    if layout.literal and isinstance(value, str) and _reads_line_by_line(value):
        pad = " " * (column + layout.step)
        below = (pad + line if line else "" for line in value.removesuffix("\n").split("\n"))
        return Written("|" if value.endswith("\n") else "|-", tuple(below))
    return Written(_write_scalar(value, in_brackets=False))


def write_field(key: str, value: Plain, *, column: int, layout: Layout, one_line: bool | None = None) -> list[str]:
    """The lines of a field that begins in `column`."""
    head = f"{' ' * column}{write_key(key)}:"
    room = layout.width - len(head) - 2
    written = write_value(value, column=column, room=room, layout=layout, one_line=one_line)
    return [f"{head} {written.first}".rstrip(), *written.below]


def write_fields(fields: dict[str, Plain], *, column: int, layout: Layout) -> list[str]:
    """The lines of several fields that begin in `column`."""
    return [line for key, item in fields.items() for line in write_field(key, item, column=column, layout=layout)]


def write_item(value: Plain, *, column: int, layout: Layout, one_line: bool | None = None) -> list[str]:
    """The lines of an item of a list whose dashes are in `column`."""
    dash = " " * column + "-".ljust(layout.dash_step)
    inner = column + layout.dash_step
    room = layout.width - inner - 1
    written = write_value(value, column=column, room=room, layout=layout, one_line=one_line)
    if written.first:
        return [dash + written.first, *written.below]
    lines = _write_parts(value, column=inner, layout=layout) if isinstance(value, dict | list) else [""]
    return [dash + lines[0][inner:], *lines[1:]]


def _write_parts(value: dict[str, Plain] | list[Plain], *, column: int, layout: Layout) -> list[str]:
    """The lines of fields or of a list's items."""
    if isinstance(value, dict):
        return write_fields(value, column=column, layout=layout)
    return [line for item in value for line in write_item(item, column=column, layout=layout)]


def _is_words(items: list[Plain]) -> bool:
    """Is it a list of words? If short, it is written in brackets."""
    return not any(isinstance(item, dict | list) for item in items)


def _reads_line_by_line(text: str) -> bool:
    """Can it be written after a bar? Not if its first or last line is empty or indented, or a character needs an escape."""
    lines = text.removesuffix("\n").split("\n")
    return (
        "\n" in text
        and all(lines[end] and not lines[end].startswith((" ", "\t")) for end in (0, -1))
        and all(
            all(c == "\t" or _UNESCAPED.match(c) for c in line) and (not line or line.strip(" \t")) for line in lines
        )
    )


def _write_scalar(value: str | bool | None, *, in_brackets: bool) -> str:
    if value is None:
        return "null"
    if isinstance(value, bool):
        return "true" if value else "false"
    if not isinstance(value, str):
        raise TypeError(f"{value!r} is not plain data")
    if any("\ud800" <= character <= "\udfff" for character in value):
        raise ValueError("This text holds bytes that are no characters. Write it anew.")
    if _is_plain(value) and not (in_brackets and set(value) & set(",[]{}:?")):
        return value
    if ('"' in value or "\\" in value) and all(map(_UNESCAPED.match, value)):
        return "'" + value.replace("'", "''") + "'"
    return '"' + "".join(map(_escaped, value)) + '"'


def _is_plain(text: str) -> bool:
    """Does every parser read it as text without quotes?"""
    return (
        text[:1].isalnum()
        and text.isprintable()
        and text == text.strip()
        and text.lower() not in _NOT_TEXT_EVERYWHERE
        and not re.search(r": |:$| #", text)
    )


def _escaped(character: str) -> str:
    if character in _ESCAPES:
        return _ESCAPES[character]
    if _UNESCAPED.match(character):
        return character
    code = ord(character)
    return f"\\x{code:02x}" if code < 0x100 else f"\\u{code:04x}" if code < 0x10000 else f"\\U{code:08x}"
