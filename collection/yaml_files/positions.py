"""Finds the offsets of the values in a YAML text, so that one can be changed in place."""

import re
from bisect import bisect_right
from collections.abc import Iterator
from functools import cached_property
from typing import TypeGuard

import yaml

from collection.yaml_files.parser import LINE_ENDS_OF_YAML_1_1, Loader, Path

# A byte order mark within the text counts as a column in the C parser, but not in the Python parser.
_PARSED_ALIKE = {**LINE_ENDS_OF_YAML_1_1, 0xFEFF: "x"}
_BREAK = re.compile("\r\n|[\n\r]")
_COMMENT = re.compile("#[^\n\r]*")
_BLOCK_HEADER = re.compile(r"[|>][-+0-9]*(?:[ \t]+(#.*))?")

# Tokens between a dash and the start of its item.
_BEHIND_A_DASH = (yaml.BlockMappingStartToken, yaml.KeyToken)

Pair = tuple[yaml.ScalarNode, yaml.Node]
Span = tuple[int, int]


def is_empty(node: yaml.Node) -> bool:
    """Is the value missing?"""
    return isinstance(node, yaml.ScalarNode) and not node.value and not node.style


def is_empty_item(node: yaml.Node) -> bool:
    """Is it an empty item, which `read_yaml` omits from its list?"""
    return isinstance(node, yaml.ScalarNode) and not node.style and node.value in ("", "~", "null", "Null", "NULL")


def is_block_text(node: yaml.Node) -> bool:
    """Is it text on several lines after `|` or `>`?"""
    return isinstance(node, yaml.ScalarNode) and node.style in ("|", ">")


def is_block_collection(node: yaml.Node) -> TypeGuard[yaml.CollectionNode]:
    """Is it a list or fields without brackets?"""
    return isinstance(node, yaml.CollectionNode) and not node.flow_style


def is_flow_collection(node: yaml.Node) -> bool:
    """Is it a list or fields in brackets?"""
    return isinstance(node, yaml.CollectionNode) and bool(node.flow_style)


class Positions:
    """The positions of the values in one text, which is valid YAML without a byte order mark.

    They are computed from lines and columns: the C parser's index is wrong after a byte order mark.
    """

    def __init__(self, text: str):
        self.text = text
        self._breaks = [match.span() for match in _BREAK.finditer(text)]
        self._starts = [0, *(end for _, end in self._breaks)]
        self._read = text.translate(_PARSED_ALIKE)
        loader = Loader(self._read)
        try:
            self.root: yaml.Node | None = loader.get_single_node()
        finally:
            loader.dispose()

    @cached_property
    def line_break(self) -> str:
        """The line break of the first line, for new lines too."""
        found = re.search("\r\n|\n|\r", self.text)
        return found[0] if found else "\n"

    # Nodes ------------------------------------------------------------------------------------

    def node(self, path: Path) -> yaml.Node:
        """The value at a path of field names and indices from 0. ValueError if there is none."""
        node = self.root
        for step in path:
            if isinstance(node, yaml.SequenceNode) and isinstance(step, int):
                node = self.items(node)[step]
            elif isinstance(node, yaml.MappingNode) and isinstance(step, str) and (pair := self.pair(node, step)):
                node = pair[1]
            else:
                node = None
        if node is None:
            raise ValueError("there is no value at this path")
        return node

    def mapping(self, path: Path) -> yaml.MappingNode:
        """The fields at a path. ValueError if there are none."""
        node = self.node(path)
        if isinstance(node, yaml.MappingNode):
            return node
        raise ValueError("there are no fields at this path")

    def sequence(self, path: Path) -> yaml.SequenceNode:
        """The list at a path. ValueError if there is none."""
        node = self.node(path)
        if isinstance(node, yaml.SequenceNode):
            return node
        raise ValueError("there is no list at this path")

    @staticmethod
    def items(sequence: yaml.SequenceNode) -> list[yaml.Node]:
        """The items of a list without the empty ones, as in `read_yaml`."""
        return [item for item in sequence.value if not is_empty_item(item)]

    @staticmethod
    def pair(mapping: yaml.MappingNode, key: str) -> Pair | None:
        """The field of that name; None if there is none."""
        return next((pair for pair in mapping.value if pair[0].value == key), None)

    @property
    def nested(self) -> Iterator[tuple[yaml.CollectionNode, yaml.Node]]:
        """Each value below the root, with the node that holds it."""
        waiting = [self.root] if isinstance(self.root, yaml.CollectionNode) else []
        while waiting:
            node = waiting.pop(0)
            for part in node.value:
                child = part[1] if isinstance(part, tuple) else part
                yield node, child
                if isinstance(child, yaml.CollectionNode):
                    waiting.append(child)

    # Lines ------------------------------------------------------------------------------------

    def offset(self, mark: yaml.Mark) -> int:
        if mark.line >= len(self._starts):
            return len(self.text)
        return min(self._starts[mark.line] + mark.column, len(self.text))

    def line(self, offset: int) -> int:
        """The line number of an offset, counted from 0."""
        return bisect_right(self._starts, offset) - 1

    def line_start(self, offset: int) -> int:
        return self._starts[self.line(offset)]

    def line_end(self, offset: int) -> int:
        """The end of an offset's line, without the line break."""
        line = self.line(offset)
        return self._breaks[line][0] if line < len(self._breaks) else len(self.text)

    def next_line(self, offset: int) -> int:
        """The start of the next line; on the last line, the end of the text."""
        line = self.line(offset) + 1
        return self._starts[line] if line < len(self._starts) else len(self.text)

    # Ends -------------------------------------------------------------------------------------

    def start(self, node: yaml.Node) -> int:
        return self.offset(node.start_mark)

    def end(self, pair: Pair) -> int:
        """The end of a field, before any comment that follows."""
        key, value = pair
        if is_empty(value):
            return max(self.offset(key.end_mark), self.colon_end(pair) or 0)
        return self.value_end(value)

    def value_end(self, node: yaml.Node) -> int:
        """The end of a value. The parser's end mark of a block comes after the comments and blank lines below it."""
        if is_block_text(node):
            return self._block_text_end(node)
        if not is_block_collection(node):
            return self.offset(node.end_mark)
        last = node.value[-1]
        return self.end(last) if isinstance(last, tuple) else self.value_end(last)

    def _block_text_end(self, node: yaml.Node) -> int:
        end, header = self.offset(node.end_mark), self.line(self.start(node))
        if end == len(self.text) and self.line_start(end) < end:
            return end
        line = self.line(end) - 1
        bar = _BLOCK_HEADER.match(self.text, self.start(node))
        keeps_empty_lines = bar is not None and "+" in bar[0].split("#")[0]
        while not keeps_empty_lines and line > header and self._starts[line] == self._breaks[line][0]:
            line -= 1
        return self._breaks[line][0]

    def ends_in_open_text(self, node: yaml.Node) -> bool:
        """Does it end in text after `|` or `>` that ends with the file, without a line break?"""
        while is_block_collection(node):
            last = node.value[-1]
            node = last[1] if isinstance(last, tuple) else last
        return is_block_text(node) and self.value_end(node) == len(self.text)

    def after(self, end: int, column: int) -> int:
        """Where a line can be inserted after a value's end: the start of a line, or the end of the text.

        Comments that follow and are indented deeper than `column` belong to that value.
        """
        place = look = self.next_line(end)
        while look < len(self.text):
            line = self.text[look : self.line_end(look)]
            if line.strip(" \t"):
                if not line.lstrip(" \t").startswith("#") or len(line) - len(line.lstrip(" ")) <= column:
                    break
                place = self.next_line(look)
            look = self.next_line(look)
        return place

    # Dashes, colons and comments ----------------------------------------------------------------------

    @cached_property
    def _tokens(self) -> tuple[tuple[type[yaml.Token], int, int], ...]:
        loader = Loader(self._read)
        tokens = []
        try:
            while loader.check_token():
                token = loader.get_token()
                tokens.append((type(token), self.offset(token.start_mark), self.offset(token.end_mark)))
        finally:
            loader.dispose()
        return tuple(tokens)

    def colon_end(self, pair: Pair) -> int | None:
        """The offset just after the colon of a field; None if it has none."""
        return self._end_of_next(yaml.ValueToken, self.offset(pair[0].end_mark))

    def dash(self, item: yaml.Node) -> int | None:
        """The offset of the dash of an item; None in brackets."""
        before = [token for token in self._tokens if token[1] < self.start(item) and token[0] not in _BEHIND_A_DASH]
        return before[-1][1] if before and before[-1][0] is yaml.BlockEntryToken else None

    def comma_end(self, end: int) -> int | None:
        """The offset just after the next comma in brackets; None if there is none."""
        return self._end_of_next(yaml.FlowEntryToken, end)

    def _end_of_next(self, kind: type[yaml.Token], offset: int) -> int | None:
        following = (token for token in self._tokens if token[1] >= offset and token[0] is not yaml.KeyToken)
        found, _, end = next(following, (None, 0, 0))
        return end if found is kind else None

    @cached_property
    def comments(self) -> tuple[Span, ...]:
        """All comments, each from its # to the end of the line."""
        found, before = [], 0
        for kind, start, end in (*self._tokens, (None, len(self.text), len(self.text))):
            found += [match.span() for match in _COMMENT.finditer(self.text, before, max(before, start))]
            if kind is yaml.ScalarToken and self.text[start : start + 1] in ("|", ">"):
                header = _BLOCK_HEADER.match(self.text, start, self.line_end(start))
                found += [header.span(1)] if header and header[1] else []
            before = max(before, end)
        return tuple(found)

    def comments_within(self, start: int, end: int) -> list[Span]:
        return [span for span in self.comments if start <= span[0] < end]
