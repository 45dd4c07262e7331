"""Parses the YAML of a collection's files and keeps the line of every value.

Scalars keep their text (`60 1/2`, `84.50`, `0143`, `12:30`, `no`), so that each field parses its own type of value
exactly. Only `true`, `false` and an empty value are converted, as in YAML 1.2. Aliases, tags and second documents are
errors: a record needs none of them, and so no file can expand without limit.
"""

import re
from dataclasses import dataclass, field

import yaml

from collection.problems import Problem, Severity
from collection.quotes import quoted, shortened

Path = tuple[str | int, ...]
Plain = dict[str, "Plain"] | list["Plain"] | str | bool | None
"""The types of a file's values: fields, lists, text, true, false, or nothing."""

# A record is a page of text: a larger file is not a record.
LARGEST_FILE = 1_000_000
DEEPEST_NESTING = 20
MOST_VALUES = 20_000

Loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)

# These end a line in YAML 1.1, which PyYAML reads, but not in YAML 1.2 or in an editor.
LINE_ENDS_OF_YAML_1_1 = dict.fromkeys((0x85, 0x2028, 0x2029), " ")


@dataclass(frozen=True)
class YamlText:
    """The values of one file and the line of each.

    `data` omits the empty items of lists. `lines` maps a path such as `("photos", 1, "file")` to its line, counted
    from 1. `lost` holds the paths of values that can't be read, each reported as a problem; `()` is the whole file.
    """

    file: str
    data: Plain
    lines: dict[Path, int] = field(default_factory=dict)
    lost: frozenset[Path] = frozenset()

    def line(self, path: Path) -> int:
        """The line of a value; for a missing value, the line of its nearest parent."""
        path = self._written_path(path)
        while path and path not in self.lines:
            path = path[:-1]
        return self.lines.get(path, 1)

    def value(self, path: Path) -> Plain:
        """The value at a path, or the short form that is written in its place; None if there is none."""
        here = self.data
        for step in self._written_path(path):
            if isinstance(here, str | bool):
                return here
            here = _child(here, step)
        return here

    def _written_path(self, path: Path) -> Path:
        """The path without the index into a list that is written as its only item."""
        written: Path = ()
        here = self.data
        for step in path:
            if step == 0 and not isinstance(here, list):
                continue
            written = (*written, step)
            here = _child(here, step)
        return written

    def problem(self, path: Path, found: object, remedy: str, *, severity: Severity = "error") -> Problem:
        """A problem with the value at a path of this file."""
        return Problem(self.file, self.line(path), format_path(path), format_found(found), remedy, severity)


def _child(data: Plain, step: str | int) -> Plain:
    """The value of a field or an item; None if there is none."""
    if isinstance(data, dict):
        return data.get(step) if isinstance(step, str) else None
    return data[step] if isinstance(data, list) and isinstance(step, int) and step < len(data) else None


def unread(file: str) -> YamlText:
    """An empty text for a file that can't be read at all."""
    return YamlText(file, {}, lost=frozenset({()}))


def format_path(path: Path) -> str:
    """Format a path for a message; items are counted from 1.

    >>> format_path(("photos", 1, "file"))
    'photos.2.file'
    """
    return ".".join(str(part + 1) if isinstance(part, int) else shortened(part) for part in path)


def format_found(found: object) -> str:
    """Format a value for a message, on one line and shortened.

    >>> format_found({"is": "donated", "to": ["nell", True]})
    '{is: donated, to: [nell, true]}'
    """
    return "" if found is None else shortened(_on_one_line(found))


def _on_one_line(value: object) -> str:
    match value:
        case bool():
            return "true" if value else "false"
        case dict():
            return "{" + ", ".join(f"{key}: {_on_one_line(item)}" for key, item in value.items()) + "}"
        case list() | tuple():
            return "[" + ", ".join(map(_on_one_line, value)) + "]"
        case None:
            return ""
        case _:
            return str(value)


def read_yaml(raw: bytes, file: str) -> tuple[YamlText, list[Problem]]:
    """Read one file's bytes: the values that can be read, and a problem for each that can't."""
    if len(raw) > LARGEST_FILE:
        return unread(file), [_too_large(file, 1, f"is longer than {LARGEST_FILE:,} bytes")]
    text, problem = read_text(raw, file)
    if problem is not None:
        return unread(file), [problem]
    if not text.strip():
        return YamlText(file, {}), []
    text = text.translate(LINE_ENDS_OF_YAML_1_1)
    reader = None
    try:
        reader = _Reader(file, text)
        data = reader.document()
    except _TooMany as too_many:
        return unread(file), [_too_large(file, too_many.line, f"holds more than {MOST_VALUES:,} values")]
    except yaml.YAMLError as error:
        # Imported here: few files have syntax errors, and the patterns take time to compile.
        from collection.yaml_files.parse_errors import explain_syntax_error

        line, found, remedy = explain_syntax_error(error, split_lines(text))
        # A problem found earlier on that line may be the same error.
        others = [problem for problem in (reader.problems if reader else []) if problem.line != line]
        return unread(file), [*others, Problem(file, line, "", found, remedy)]
    finally:
        if reader:
            reader.loader.dispose()
    return YamlText(file, data, reader.lines, frozenset(reader.lost)), reader.problems


def _too_large(file: str, line: int, why: str) -> Problem:
    return Problem(file, line, "", "", f"This file {why}, and a record is a page of text. Is it the right file?")


def read_text(raw: bytes, file: str) -> tuple[str, Problem | None]:
    """Decode UTF-8, with or without a byte order mark; the problem says why it can't be decoded."""
    if raw.startswith((b"\xff\xfe", b"\xfe\xff")):
        remedy = "This file is saved as UTF-16. Save it anew, with UTF-8 as its encoding."
        return "", Problem(file, 1, "", "", remedy)
    try:
        return raw.decode("utf-8-sig"), None
    except UnicodeDecodeError as error:
        line = len(split_lines(raw[: error.start].decode("utf-8", "replace")))
        found = shortened(split_lines(raw.decode("utf-8-sig", "replace"))[line - 1])
        remedy = (
            "This line has a character, often an accented letter, that is not stored as UTF-8. "
            "Save the file anew, with UTF-8 as its encoding."
        )
        return "", Problem(file, line, "", found, remedy)


def split_lines(text: str) -> list[str]:
    """Split a text into lines as editors and the parser do."""
    return re.split(r"\r\n|\r|\n", text)


class _TooMany(Exception):
    """The file has more than `MOST_VALUES` values; `line` is where they exceed it."""

    def __init__(self, line: int):
        super().__init__()
        self.line = line


def _line(event: yaml.Event) -> int:
    """The line of an event, counted from 1."""
    return event.start_mark.line + 1 if event.start_mark else 1


def _ends_at(event: yaml.Event) -> int:
    return event.end_mark.index if event.end_mark else 0


class _Reader:
    """Collects values and lines from the parser's events, and reports YAML features that records may not use."""

    def __init__(self, file: str, text: str):
        self.file = file
        self.text_lines = split_lines(text)
        self.may_lose_to_comments = re.search(r"\s#[^#\s]", text) is not None
        self.loader = Loader(text)
        self.lines: dict[Path, int] = {}
        self.lost: set[Path] = set()
        self.problems: list[Problem] = []
        self.values = 0

    def document(self) -> Plain:
        """The value of the first document; a second one is a problem."""
        next_event = self.loader.get_event
        next_event()
        if isinstance(next_event(), yaml.StreamEndEvent):
            return {}
        data = self._value(next_event(), ())
        next_event()
        after = next_event()
        if not isinstance(after, yaml.StreamEndEvent):
            remedy = (
                "Three dashes begin a second record, and one file holds one. Move what follows to a file of its own."
            )
            self._report(after, (), "---", remedy)
        # A file with only comments, or only three dashes, is empty.
        return {} if data is None else data

    def _value(self, event: yaml.Event, path: Path) -> Plain:
        if isinstance(event, yaml.NodeEvent):
            self._refuse_marks(event, path)
        if isinstance(event, yaml.ScalarEvent):
            return self._scalar(event, path)
        if isinstance(event, yaml.CollectionStartEvent) and len(path) < DEEPEST_NESTING:
            return self._list(path) if isinstance(event, yaml.SequenceStartEvent) else self._fields(event, path)
        self.lost.add(path)
        if isinstance(event, yaml.CollectionStartEvent):
            self._report(event, path, "", "The lists and fields lie too deep within each other here.")
            self._skip()
        return None

    def _count(self, event: yaml.Event) -> None:
        self.values += 1
        if self.values > MOST_VALUES:
            raise _TooMany(_line(event))

    def _refuse_marks(self, event: yaml.NodeEvent, path: Path) -> None:
        """Report anchors, aliases and tags: in a record, the maker meant them as text."""
        if event.anchor is not None:
            sign = "*" if isinstance(event, yaml.AliasEvent) else "&"
            remedy = f"A value that begins with {sign} needs quotes around it."
            self._report(event, path, f"{sign}{event.anchor}", remedy)
        tag = getattr(event, "tag", None)
        if tag is not None and tag != "!":
            found = tag.replace("tag:yaml.org,2002:", "!!")
            self._report(event, path, found, "A value that begins with ! needs quotes around it.")

    def _list(self, path: Path) -> list[Plain]:
        items: list[Plain] = []
        while not isinstance(event := self.loader.get_event(), yaml.SequenceEndEvent):
            self._count(event)
            here = (*path, len(items))
            self.lines[here] = _line(event)
            item = self._value(event, here)
            if item is None:
                del self.lines[here]
            else:
                items.append(item)
        return items

    def _fields(self, start: yaml.CollectionStartEvent, path: Path) -> dict[str, Plain]:
        fields: dict[str, Plain] = {}
        key, last = "", None
        while not isinstance(event := self.loader.get_event(), yaml.MappingEndEvent):
            self._count(event)
            if not isinstance(event, yaml.ScalarEvent):
                self._report(event, path, "", "A field's name is a plain word, followed by a colon.")
                if not isinstance(event, yaml.AliasEvent):
                    self._skip()
                self._skip_value()
                continue
            value = self.loader.get_event()
            if start.flow_style and value.start_mark.index == _ends_at(event):
                last = self._report_bare_word(event, path, key, last)
                continue
            key = event.value
            here = (*path, key)
            if key in fields:
                remedy = f"The field {quoted(key)} stands twice, first on line {self.lines[here]}. Keep one."
                self._report(event, here, key, remedy)
                self._skip_value(value)
                continue
            self.lines[here] = _line(event)
            last = fields[key] = self._value(value, here)
        return fields

    def _report_bare_word(self, word: yaml.ScalarEvent, path: Path, key: str, before: Plain) -> Plain:
        """Report a word without a colon in `{ }`: usually the rest of a value with a comma in it.

        Returns the most likely value of the previous field.
        """
        whole = f"{before}, {word.value}" if isinstance(before, str) else before
        if ":" in word.value:
            name, _, value = word.value.partition(":")
            remedy = f"A space is missing behind the colon. Write {name}: {value}."
        elif isinstance(whole, str):
            remedy = (
                f"Within {{ }} a comma ends a value. If {quoted(word.value)} is part of it, put quotes around the "
                f'whole: {key}: "{shortened(whole)}". If it is a field, give it a value: {shortened(word.value)}: true.'
            )
        else:
            remedy = f"Within {{ }} each field has a colon and a value, such as {shortened(word.value)}: true."
        self._report(word, (*path, word.value), word.value, remedy)
        return whole

    def _scalar(self, event: yaml.ScalarEvent, path: Path) -> str | bool | None:
        if self.may_lose_to_comments and event.style not in ("|", ">"):
            self._notice_comment(event, path)
        # The style of a plain scalar is "" in the C parser and None in the Python parser.
        if event.style:
            return event.value
        match event.value:
            case "" | "~" | "null" | "Null" | "NULL":
                return None
            case "true" | "True" | "TRUE":
                return True
            case "false" | "False" | "FALSE":
                return False
        return event.value

    def _notice_comment(self, event: yaml.ScalarEvent, path: Path) -> None:
        """Report `#2` after a value: it is hardly a comment, which has a space after the #."""
        end = event.end_mark
        rest = self.text_lines[end.line][end.column :] if end and end.line < len(self.text_lines) else ""
        comment = rest.lstrip()
        if re.match(r"#[^#\s]", comment):
            whole = f"{event.value} {comment.rstrip()}".strip()
            name = f"{path[-1]}: " if path and isinstance(path[-1], str) else ""
            remedy = (
                f"{quoted(comment)} is left out, because a # begins a comment. If it belongs to the value, "
                f'put quotes around the whole: {name}"{shortened(whole)}". If it is a comment, put a space behind the #.'
            )
            self._report(event, path, whole, remedy)
            if not event.value:
                self.lost.add(path)

    def _skip_value(self, event: yaml.Event | None = None) -> None:
        event = event or self.loader.get_event()
        if isinstance(event, yaml.CollectionStartEvent):
            self._skip()

    def _skip(self) -> None:
        """Skip the rest of a list or of fields whose start event was read."""
        depth = 1
        while depth:
            event = self.loader.get_event()
            depth += isinstance(event, yaml.CollectionStartEvent) - isinstance(event, yaml.CollectionEndEvent)

    def _report(self, event: yaml.Event, path: Path, found: str, remedy: str) -> None:
        self.problems.append(Problem(self.file, _line(event), format_path(path), shortened(found), remedy))
