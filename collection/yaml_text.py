"""YAML as the files of a collection use it: the 1.2 sense, with a line for every value.

Scalars stay the text that was written (`60 1/2`, `84.50`, `0143`, `12:30`, `no`), so that each field
reads its own kind of value exactly; only `true`, `false` and nothing-at-all have a meaning here.
Aliases, tags and second documents have no use in a record and are refused, which also closes the
door to files that unfold without end.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field

import yaml

from collection.problems import Problem

Path = tuple[str | int, ...]

# A record is a page of text. What is larger was not written as a record.
LARGEST_FILE = 1_000_000
DEEPEST_NESTING = 20

_Loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


@dataclass(frozen=True)
class YamlText:
    """The values of one file and the line of each.

    `data` holds dicts, lists, text, True, False and None. `lines` maps a path such as
    `("photos", 1, "file")` to the line on which it stands, counted from 1.
    """

    file: str
    data: object
    lines: dict[Path, int] = field(default_factory=dict)

    def line(self, path: Path) -> int:
        """The line of a value; for one that is not there, the line of its nearest parent."""
        while path:
            if path in self.lines:
                return self.lines[path]
            path = path[:-1]
        return 1

    def problem(self, path: Path, found: object, remedy: str, **more) -> Problem:
        """A problem at a path of this file."""
        return Problem(self.file, self.line(path), say_path(path), say_found(found), remedy, **more)


def say_path(path: Path) -> str:
    """A path as a maker reads it, items counted from 1.

    >>> say_path(("photos", 1, "file"))
    'photos.2.file'
    """
    return ".".join(str(part + 1) if isinstance(part, int) else part for part in path)


def say_found(found: object) -> str:
    """What was found, in a few words on one line."""
    if found is None:
        return ""
    if isinstance(found, bool):
        return "true" if found else "false"
    if isinstance(found, dict):
        return "fields (" + ", ".join(str(key) for key in list(found)[:4]) + ")"
    if isinstance(found, list | tuple):
        return "a list"
    text = " ".join(str(found).split())
    return text if len(text) <= 60 else text[:57] + "..."


def read_yaml(raw: bytes, file: str) -> tuple[YamlText, list[Problem]]:
    """Read one file's bytes. What can't be read is told as problems; what can is in the result."""
    if len(raw) > LARGEST_FILE:
        remedy = f"The file is {len(raw):,} bytes; a record is a page of text, at most {LARGEST_FILE:,}."
        return YamlText(file, {}), [Problem(file, 1, "", "", remedy)]
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        remedy = "This line has a character that is not UTF-8. Save the file as UTF-8."
        return YamlText(file, {}), [Problem(file, line, "", "", remedy)]
    if not text.strip():
        return YamlText(file, {}), []
    try:
        refused = _find_refused(text, file)
        if refused:
            return YamlText(file, {}), [refused]
        loader = _Loader(text)
        try:
            root = loader.get_single_node()
        finally:
            loader.dispose()
    except (yaml.YAMLError, RecursionError) as error:
        return YamlText(file, {}), [_syntax_problem(error, text, file)]
    if root is None:
        return YamlText(file, {}), []
    walk = _Walk(file, text)
    data = walk.value(root, ())
    return YamlText(file, data, walk.lines), walk.problems


def _find_refused(text: str, file: str) -> Problem | None:
    """The first thing in a file that records do not use: alias, anchor, tag, depth, second document."""
    depth = documents = 0
    for event in _events(text):
        line = event.start_mark.line + 1
        if isinstance(event, yaml.AliasEvent) or getattr(event, "anchor", None):
            found, remedy = f"&{event.anchor}", "Anchors and aliases (& and *) are not used here. Put quotes around the value."
        elif getattr(event, "tag", None) and event.tag != "!":
            found, remedy = str(event.tag), "Tags (!) are not used here. Put quotes around the value."
        elif isinstance(event, yaml.DocumentStartEvent) and (documents := documents + 1) > 1:
            found, remedy = "---", "One file holds one record. Move what follows to a file of its own."
        elif isinstance(event, yaml.CollectionStartEvent) and (depth := depth + 1) > DEEPEST_NESTING:
            found, remedy = "", "Lists and fields lie too deep within each other here."
        else:
            depth -= isinstance(event, yaml.CollectionEndEvent)
            continue
        return Problem(file, line, "", found, remedy)
    return None


def _events(text: str) -> Iterator[yaml.Event]:
    loader = _Loader(text)
    try:
        while loader.check_event():
            yield loader.get_event()
    finally:
        loader.dispose()


def _syntax_problem(error: Exception, text: str, file: str) -> Problem:
    mark = getattr(error, "problem_mark", None) or getattr(error, "context_mark", None)
    line = mark.line + 1 if mark else 1
    lines = text.splitlines()
    found = lines[line - 1].strip() if line <= len(lines) else ""
    if "\t" in (lines[line - 1] if line <= len(lines) else ""):
        remedy = "A tab stands here; indent with spaces."
    elif found.count(": ") > 1:
        remedy = 'A value with a colon in it needs quotes, such as title: "Mother\'s: the blue one".'
    elif ": @" in found or ": `" in found or ": %" in found:
        remedy = "A value that begins with @, ` or % needs quotes."
    elif mark is None:
        remedy = "The file holds a character that text files do not have. Write it anew in a text editor."
    else:
        why = (getattr(error, "problem", None) or "the text is not complete").removeprefix("did not find ")
        remedy = (
            "The file can't be read as YAML from here on: look at the indentation, "
            f"quotes and brackets of this line and the one before ({why})."
        )
    return Problem(file, line, "", say_found(found), remedy)


class _Walk:
    """One pass over the nodes: values, lines, and keys that stand twice."""

    def __init__(self, file: str, text: str):
        self.file = file
        self.text_lines = text.splitlines()
        self.lines: dict[Path, int] = {}
        self.problems: list[Problem] = []

    def value(self, node: yaml.Node, path: Path) -> object:
        if isinstance(node, yaml.MappingNode):
            return self._mapping(node, path)
        if isinstance(node, yaml.SequenceNode):
            items = []
            for index, item in enumerate(node.value):
                self.lines[(*path, index)] = item.start_mark.line + 1
                items.append(self.value(item, (*path, index)))
            return items
        return self._scalar(node, path)

    def _mapping(self, node: yaml.MappingNode, path: Path) -> dict[str, object]:
        fields: dict[str, object] = {}
        for key_node, value_node in node.value:
            line = key_node.start_mark.line + 1
            if not isinstance(key_node, yaml.ScalarNode):
                remedy = "A field's name is a plain word followed by a colon."
                self.problems.append(Problem(self.file, line, say_path(path), "", remedy))
                continue
            key = key_node.value
            here = (*path, key)
            if key in fields:
                remedy = f"This field stands twice, first on line {self.lines[here]}. Keep one."
                self.problems.append(Problem(self.file, line, say_path(here), key, remedy))
                continue
            self.lines[here] = line
            fields[key] = self.value(value_node, here)
        return fields

    def _scalar(self, node: yaml.ScalarNode, path: Path) -> str | bool | None:
        # The C parser gives a plain scalar the style "", the Python one None.
        if node.style:
            return node.value
        if node.value in ("", "~", "null", "Null", "NULL"):
            self._notice_comment(node, path)
            return None
        if node.value in ("true", "True", "TRUE"):
            return True
        if node.value in ("false", "False", "FALSE"):
            return False
        return node.value

    def _notice_comment(self, node: yaml.ScalarNode, path: Path) -> None:
        """A value that begins with # is read as a comment, and so would be lost in silence."""
        line = self.text_lines[node.start_mark.line] if node.start_mark.line < len(self.text_lines) else ""
        rest = line[node.start_mark.column :].lstrip()
        if node.value == "" and rest.startswith("#") and rest[1:2].strip():
            remedy = f'Text after # is a comment. If it is the value, put quotes around it: "{say_found(rest)}".'
            self.problems.append(
                Problem(self.file, node.start_mark.line + 1, say_path(path), say_found(rest), remedy)
            )
