"""YAML as the files of a collection use it: the 1.2 sense, with a line for every value.

Scalars stay the text that was written (`60 1/2`, `84.50`, `0143`, `12:30`, `no`), so that each field
reads its own kind of value exactly; only `true`, `false` and nothing-at-all have a meaning here.
Aliases, tags and second documents have no use in a record and are refused, which also closes the
door to files that unfold without end.
"""

import re
from dataclasses import dataclass, field

import yaml

from collection.as_written import as_written, in_short
from collection.problems import Problem

Path = tuple[str | int, ...]

# A record is a page of text. What is larger was not written as a record.
LARGEST_FILE = 1_000_000
DEEPEST_NESTING = 20
MOST_VALUES = 20_000

_Loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)

# The parser is of YAML 1.1, for which these end a line; in 1.2, and for an editor that counts lines, they don't.
_LINE_ENDS_OF_YAML_1_1 = dict.fromkeys((0x85, 0x2028, 0x2029), " ")


@dataclass(frozen=True)
class YamlText:
    """The values of one file and the line of each.

    `data` holds dicts, lists, text, True, False and None; an item of a list with nothing in it is left
    out. `lines` maps a path such as `("photos", 1, "file")` to the line on which it stands, counted
    from 1. `lost` are the paths whose values could not be read, which was told; `()` is the whole file.
    """

    file: str
    data: object
    lines: dict[Path, int] = field(default_factory=dict)
    lost: frozenset[Path] = frozenset()

    def line(self, path: Path) -> int:
        """The line of a value; for one that is not there, the line of its nearest parent."""
        path = self._written_path(path)
        while path and path not in self.lines:
            path = path[:-1]
        return self.lines.get(path, 1)

    def value(self, path: Path) -> object:
        """What is written at a path, or stands for it in a short form; None when nothing is."""
        here = self.data
        for step in self._written_path(path):
            if isinstance(here, str | bool):
                return here
            try:
                here = here[step]
            except (KeyError, IndexError, TypeError):
                return None
        return here

    def _written_path(self, path: Path) -> Path:
        """The path without the steps to the first item of a list that is written as its only item."""
        written: Path = ()
        here = self.data
        for step in path:
            if step == 0 and not isinstance(here, list):
                continue
            written = (*written, step)
            inside = isinstance(here, dict) or (isinstance(here, list) and step < len(here))
            here = (here.get(step) if isinstance(here, dict) else here[step]) if inside else None
        return written

    def problem(self, path: Path, found: object, remedy: str, **more) -> Problem:
        """A problem at a path of this file."""
        return Problem(self.file, self.line(path), say_path(path), say_found(found), remedy, **more)


def unread(file: str) -> YamlText:
    """The text of a file of which nothing can be read."""
    return YamlText(file, {}, lost=frozenset({()}))


def say_path(path: Path) -> str:
    """A path as a maker reads it, items counted from 1.

    >>> say_path(("photos", 1, "file"))
    'photos.2.file'
    """
    return ".".join(str(part + 1) if isinstance(part, int) else in_short(part) for part in path)


def say_found(found: object) -> str:
    """What was found, in a few words on one line; lists and fields as they would stand on one.

    >>> say_found({"is": "donated", "to": ["nell", True]})
    '{is: donated, to: [nell, true]}'
    """
    return "" if found is None else in_short(_on_one_line(found))


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
    """Read one file's bytes. What can't be read is told as problems; what can is in the result."""
    if len(raw) > LARGEST_FILE:
        remedy = (
            f"This file is longer than {LARGEST_FILE:,} bytes, and a record is a page of text. "
            "Is it the right file?"
        )
        return unread(file), [Problem(file, 1, "", "", remedy)]
    text, problem = read_text(raw, file)
    if problem is not None:
        return unread(file), [problem]
    if not text.strip():
        return YamlText(file, {}), []
    text = text.translate(_LINE_ENDS_OF_YAML_1_1)
    reader = None
    try:
        reader = _Reader(file, text)
        data = reader.document()
    except _TooMany as too_many:
        remedy = (
            f"This file holds more than {MOST_VALUES:,} values, and a record is a page of text. "
            "Is it the right file?"
        )
        return unread(file), [Problem(file, too_many.line, "", "", remedy)]
    except yaml.YAMLError as error:
        # Hardly a file has slips, and their patterns take a while to make.
        from collection.yaml_slips import explain_slip

        line, found, remedy = explain_slip(error, split_lines(text))
        # A slip that stops the parser may look like another one before that on its line.
        told = [problem for problem in (reader.problems if reader else []) if problem.line != line]
        return unread(file), [*told, Problem(file, line, "", found, remedy)]
    finally:
        if reader:
            reader.loader.dispose()
    return YamlText(file, data, reader.lines, frozenset(reader.lost)), reader.problems


def read_text(raw: bytes, file: str) -> tuple[str, Problem | None]:
    """The text of a file in UTF-8, with or without a mark at its head; or a problem."""
    if raw.startswith((b"\xff\xfe", b"\xfe\xff")):
        remedy = "This file is saved as UTF-16. Save it anew, with UTF-8 as its encoding."
        return "", Problem(file, 1, "", "", remedy)
    try:
        return raw.decode("utf-8-sig"), None
    except UnicodeDecodeError as error:
        line = len(split_lines(raw[: error.start].decode("utf-8", "replace")))
        found = in_short(split_lines(raw.decode("utf-8-sig", "replace"))[line - 1])
        remedy = (
            "This line has a character, often an accented letter, that is not stored as UTF-8. "
            "Save the file anew, with UTF-8 as its encoding."
        )
        return "", Problem(file, line, "", found, remedy)


def split_lines(text: str) -> list[str]:
    """The lines of a text, as editors and the parser count them."""
    return re.split(r"\r\n|\r|\n", text)


class _TooMany(Exception):
    """More values than a record has; at this line."""

    def __init__(self, event: yaml.Event):
        super().__init__()
        self.line = event.start_mark.line + 1


class _Reader:
    """One pass over what the parser finds: values, lines, and all that records do not use."""

    def __init__(self, file: str, text: str):
        self.file = file
        self.text_lines = split_lines(text)
        self.may_lose_to_comments = re.search(r"\s#[^#\s]", text) is not None
        self.loader = _Loader(text)
        self.lines: dict[Path, int] = {}
        self.lost: set[Path] = set()
        self.problems: list[Problem] = []
        self.values = 0

    def document(self) -> object:
        """The value of the first document; that there is another is told."""
        next_event = self.loader.get_event
        next_event()
        if isinstance(next_event(), yaml.StreamEndEvent):
            return {}
        data = self._value(next_event(), ())
        next_event()
        after = next_event()
        if not isinstance(after, yaml.StreamEndEvent):
            remedy = (
                "Three dashes begin a second record, and one file holds one. "
                "Move what follows to a file of its own."
            )
            self._tell(after, (), "---", remedy)
        # A file of comments, or with three dashes alone, says nothing yet.
        return {} if data is None else data

    def _value(self, event: yaml.Event, path: Path) -> object:
        self._refuse_marks(event, path)
        match event:
            case yaml.ScalarEvent():
                return self._scalar(event, path)
            case yaml.AliasEvent():
                self.lost.add(path)
                return None
        if len(path) >= DEEPEST_NESTING:
            self._tell(event, path, "", "The lists and fields lie too deep within each other here.")
            self.lost.add(path)
            self._skip()
            return None
        return self._list(path) if isinstance(event, yaml.SequenceStartEvent) else self._fields(event, path)

    def _count(self, event: yaml.Event) -> None:
        self.values += 1
        if self.values > MOST_VALUES:
            raise _TooMany(event)

    def _refuse_marks(self, event: yaml.NodeEvent, path: Path) -> None:
        """Anchors, aliases and tags: one that stands in a record was meant as text."""
        if event.anchor is not None:
            sign = "*" if isinstance(event, yaml.AliasEvent) else "&"
            remedy = f"A value that begins with {sign} needs quotes around it."
            self._tell(event, path, f"{sign}{event.anchor}", remedy)
        tag = getattr(event, "tag", None)
        if tag is not None and tag != "!":
            found = tag.replace("tag:yaml.org,2002:", "!!")
            self._tell(event, path, found, "A value that begins with ! needs quotes around it.")

    def _list(self, path: Path) -> list[object]:
        items: list[object] = []
        while not isinstance(event := self.loader.get_event(), yaml.SequenceEndEvent):
            self._count(event)
            here = (*path, len(items))
            self.lines[here] = event.start_mark.line + 1
            item = self._value(event, here)
            if item is None:
                del self.lines[here]
            else:
                items.append(item)
        return items

    def _fields(self, start: yaml.MappingStartEvent, path: Path) -> dict[str, object]:
        fields: dict[str, object] = {}
        key, last = "", None
        while not isinstance(event := self.loader.get_event(), yaml.MappingEndEvent):
            self._count(event)
            if not isinstance(event, yaml.ScalarEvent):
                self._tell(event, path, "", "A field's name is a plain word, followed by a colon.")
                if not isinstance(event, yaml.AliasEvent):
                    self._skip()
                self._skip_value()
                continue
            value = self.loader.get_event()
            if start.flow_style and value.start_mark.index == event.end_mark.index:
                last = self._tell_bare_word(event, path, key, last)
                continue
            key = event.value
            here = (*path, key)
            if key in fields:
                remedy = f"The field {as_written(key)} stands twice, first on line {self.lines[here]}. Keep one."
                self._tell(event, here, key, remedy)
                self._skip_value(value)
                continue
            self.lines[here] = event.start_mark.line + 1
            last = fields[key] = self._value(value, here)
        return fields

    def _tell_bare_word(self, word: yaml.ScalarEvent, path: Path, key: str, before: object) -> object:
        """A word without a colon among fields in brackets: most often the rest of a value with a comma in it.

        Returns what the value before it was most likely meant to be.
        """
        whole = f"{before}, {word.value}" if isinstance(before, str) else before
        if ":" in word.value:
            name, _, value = word.value.partition(":")
            remedy = f"A space is missing behind the colon. Write {name}: {value}."
        elif isinstance(whole, str):
            remedy = (
                f"Within {{ }} a comma ends a value. If {as_written(word.value)} is part of it, put quotes around the "
                f'whole: {key}: "{in_short(whole)}". If it is a field, give it a value: {in_short(word.value)}: true.'
            )
        else:
            remedy = f"Within {{ }} each field has a colon and a value, such as {in_short(word.value)}: true."
        self._tell(word, (*path, word.value), word.value, remedy)
        return whole

    def _scalar(self, event: yaml.ScalarEvent, path: Path) -> str | bool | None:
        if self.may_lose_to_comments and event.style not in ("|", ">"):
            self._notice_comment(event, path)
        # The C parser gives a plain scalar the style "", the Python one None.
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
        """`#2` is no comment to the maker; who means one writes a space behind the #."""
        end = event.end_mark
        rest = self.text_lines[end.line][end.column :] if end.line < len(self.text_lines) else ""
        comment = rest.lstrip()
        if re.match(r"#[^#\s]", comment):
            whole = f"{event.value} {comment.rstrip()}".strip()
            name = f"{path[-1]}: " if path and isinstance(path[-1], str) else ""
            remedy = (
                f"{as_written(comment)} is left out, because a # begins a comment. If it belongs to the value, "
                f'put quotes around the whole: {name}"{in_short(whole)}". If it is a comment, put a space behind the #.'
            )
            self._tell(event, path, whole, remedy)
            if not event.value:
                self.lost.add(path)

    def _skip_value(self, event: yaml.Event | None = None) -> None:
        event = event or self.loader.get_event()
        if isinstance(event, yaml.CollectionStartEvent):
            self._skip()

    def _skip(self) -> None:
        """Pass over the rest of a list or of fields whose start was read."""
        depth = 1
        while depth:
            event = self.loader.get_event()
            depth += isinstance(event, yaml.CollectionStartEvent) - isinstance(event, yaml.CollectionEndEvent)

    def _tell(self, event: yaml.Event, path: Path, found: str, remedy: str) -> None:
        line = event.start_mark.line + 1
        self.problems.append(Problem(self.file, line, say_path(path), in_short(found), remedy))
