"""Explains YAML syntax errors: what the maker most likely wrote, and what to write instead."""

import re
from collections.abc import Callable
from typing import NamedTuple

import yaml

from collection.quotes import printable, shortened


class _SyntaxError(NamedTuple):
    """The parser's message, the line that most likely caused the error, and the text around it."""

    message: str
    line: str
    above: str
    mark: str
    """The character where the parser stopped."""
    within: str
    """The lines from the opening bracket or quote to where the parser stopped."""


def explain_syntax_error(raised: yaml.YAMLError, lines: list[str]) -> tuple[int, str, str]:
    """The line number, counted from 1, the text of the line, and what to write instead."""
    at, error = _locate(raised, lines)
    for number, remedy in ((at, _first(_REMEDIES, error)), (_line_above(lines, at), _first(_OF_LINE_ABOVE, error))):
        if remedy:
            return number + 1, shortened(lines[number]), remedy
    return at + 1, shortened(lines[at]), _OTHERWISE


def _first(remedies: "_Remedies", error: _SyntaxError) -> str | None:
    for message, remedy in remedies:
        if re.search(message, error.message) and (words := remedy(error)):
            return words
    return None


def _locate(raised: yaml.YAMLError, lines: list[str]) -> tuple[int, _SyntaxError]:
    """The line to show, counted from 0, and the error; for a bracket or quote left open, the line that opens it."""
    if isinstance(raised, yaml.reader.ReaderError):
        found = ((at, match[0]) for at, line in enumerate(lines) if (match := _NO_TEXT.search(line)))
        at, mark = next(found, (0, ""))
        return at, _SyntaxError("no text", lines[at], "", mark, "")
    if not isinstance(raised, yaml.MarkedYAMLError):
        return 0, _SyntaxError("", lines[0], "", "", "")
    context, message = raised.context or "", raised.problem or ""
    stop = raised.problem_mark or raised.context_mark
    start = raised.context_mark or stop
    if stop is None or start is None:
        return 0, _SyntaxError(message, lines[0], "", "", "")
    opened = any(word in context for word in ("flow", "quoted scalar", "simple key"))
    last = _line_above(lines, len(lines))
    at = min(start.line if opened else stop.line, last)
    line = lines[stop.line] if stop.line < len(lines) else ""
    within = "\n".join(lines[start.line : min(start.line + _LONGEST, stop.line + 1)])
    return at, _SyntaxError(
        f"{context}: {message}",
        lines[at][:_LONGEST],
        lines[_line_above(lines, at)][:_LONGEST] if at else "",
        line[stop.column : stop.column + 1],
        within[:_LONGEST],
    )


def _line_above(lines: list[str], at: int) -> int:
    """The nearest line above that is not blank."""
    return next((above for above in range(at - 1, -1, -1) if lines[above].strip()), 0)


# What to write ----------------------------------------------------------------------------------

# Only so many characters of a line are searched: an error is near its beginning.
_LONGEST = 300
_NO_TEXT = re.compile("[^\\t\\x20-\\x7e\\xa0-\\ud7ff\\ue000-\\ufffd\\U00010000-\\U0010ffff]")
_FIELD = re.compile(r"""\s*(?:-\s+)*(?P<name>[^\s:#"'\[\]{},][^:#"'\[\]{},]*):(?:\s+(?P<value>.*\S))?\s*""")
_DASH = re.compile(r"\s*-(\s|$)")
_OTHERWISE = (
    "From here on the file can't be read. Look at this line and the one above it: the indentation, and whether "
    "each quote and bracket that opens is closed."
)


def _quoted(error: _SyntaxError, example: str = '"60 x 72, about"') -> str:
    """The line's field with its value in quotes."""
    field = _FIELD.fullmatch(error.line)
    if field is None or field["value"] is None:
        return example
    value = field["value"]
    quote = "'" if '"' in value else '"'
    if quote in value:
        return example
    return f"{field['name']}: {quote}{shortened(value)}{quote}"


def _tab(error: _SyntaxError) -> str | None:
    if re.match(r" *\t", error.line):
        return "A tab stands at the beginning of this line. Write spaces in its place."
    return None


def _first_sign(error: _SyntaxError) -> str:
    sign = printable(error.mark)
    return f"A value that begins with {sign} needs quotes around it: {_quoted(error)}."


def _sign_of_value(error: _SyntaxError) -> str | None:
    field = _FIELD.fullmatch(error.line)
    return _first_sign(error._replace(mark=field["value"][0])) if field and field["value"] else None


def _behind_quotes(error: _SyntaxError) -> str | None:
    if re.search(r"(?:: |- |[\[{,] *)'[^']*'\w", error.line):
        return f"An apostrophe ends a value in single quotes. Put double quotes around it: {_requoted(error)}."
    if re.search(r"""(?:: |- )(?:"[^"]*"|'[^']*')\s*[^\s,\]}#]""", error.line):
        return f"The value goes on behind its closing quote. Put quotes around the whole: {_quoted(error)}."
    return None


def _requoted(error: _SyntaxError) -> str:
    field = _FIELD.fullmatch(error.line)
    value = (field["value"] or "") if field else ""
    inner = value[1:-1] if value.endswith("'") else value[1:]
    return f'{field["name"]}: "{shortened(inner)}"' if field and inner and '"' not in inner else '"Mother\'s quilt"'


def _behind_brackets(error: _SyntaxError) -> str | None:
    if re.search(r"[\]}]\s*[\]}]\s*$", error.line) or re.match(r"\s*[\]}]", error.line):
        return "There is a closing bracket too many on this line. Take one out."
    if re.search(r"(?:: |- )(?:\[[^\]]*\]|\{[^}]*\})\s*[^\s#]", error.line):
        sign = re.search(r"(?:: |- )([\[{])", error.line)
        return f"A value that begins with {sign[1] if sign else '['} needs quotes around it: {_quoted(error)}."
    return None


def _list_beside_fields(error: _SyntaxError) -> str | None:
    if _DASH.match(error.line):
        return (
            "This dash begins an item of a list, but fits no list above it. Put it exactly below the other dashes "
            "of its list; a list begins below its field's name, such as photos:"
        )
    if "'-' indicator" in error.message:
        return "A list and fields stand side by side here. Begin the list below the name of its field, such as photos:"
    return None


def _indentation(error: _SyntaxError) -> str:
    if re.match(r"\s*:", error.line):
        return "A field's name is missing before the colon."
    return (
        "The indentation of this line fits none above it. Begin it exactly below the field, the dash or the text "
        "it belongs to."
    )


def _second_colon(error: _SyntaxError) -> str | None:
    if re.search(r":\s.*:(\s|$)", error.line):
        return f"A value with a colon in it needs quotes around it: {_quoted(error)}."
    return None


def _further_in(error: _SyntaxError) -> str | None:
    if _indent(error.line) > _indent(error.above) and (_FIELD.match(error.above) or _DASH.match(error.above)):
        return (
            "This line begins further in than the one above it, and so it reads as part of that value. "
            "Begin it exactly below; or, if it does belong to the value, put quotes around the whole value."
        )
    return None


def _indent(line: str) -> int:
    return len(line) - len(line.lstrip())


def _no_colon(error: _SyntaxError, line: str | None = None) -> str | None:
    line = error.line if line is None else line
    if close := re.match(r"\s*(?:-\s+)*(\w[\w ]*):(\S.*)", line):
        return f"A space is missing behind the colon. Write {shortened(close[1])}: {shortened(close[2])}."
    if not re.search(r":(\s|$)", line):
        return (
            "A colon is missing on this line. Write the field's name, a colon, a space and the value: title: Low Tide."
        )
    return None


def _no_colon_above(error: _SyntaxError) -> str | None:
    return _no_colon(error, error.above) if error.above else None


def _open_brackets(error: _SyntaxError) -> str | None:
    if comment := re.search(r"[^\s,\[{][^,\[{\n]*\s#[^,\]}\n]*", error.within):
        value = shortened(comment[0].rpartition(": ")[2])
        return (
            f'A # begins a comment, so that the rest of its line is left out. Put quotes around the value: "{value}".'
        )
    if error.mark == ":" and "\n" not in error.within:
        return "A value with a colon in it needs quotes around it."
    if "expected ','" in error.message or "end of stream" in error.message:
        opening = "{" if "mapping" in error.message else "["
        closing = {"{": "}", "[": "]"}[opening]
        return (
            f"The bracket {opening} that opens on this line is not closed, or a comma is missing behind it. "
            f"Put commas between the items, and {closing} at the end."
        )
    return None


def _empty_item(error: _SyntaxError) -> str | None:
    if error.mark == ",":
        if re.search(r":\s+,", error.line):
            return _first_sign(error)
        return "Nothing stands before this comma. Write something, or take the comma out."
    return None


def _open_quote(error: _SyntaxError) -> str | None:
    return (
        _behind_quotes(error) or "The quote that opens on this line is never closed. Put one at the end of the value."
    )


def _always(words: str) -> Callable[[_SyntaxError], str]:
    return lambda error: words


_Remedies = tuple[tuple[str, Callable[[_SyntaxError], str | None]], ...]

_LIST_ON_NEXT_LINE = (
    "A list begins on the line below its field's name. If the dash belongs to the value, put quotes around it."
)
_BACKSLASH = (
    "Within double quotes a backslash \\ has a meaning of its own. "
    "Use single quotes around this value, or write / instead."
)
_SECOND_RECORD = (
    "What ends above this line is a whole record, and one file holds one. "
    "Take the three dots out, or move the rest to a file of its own."
)
_PERCENT = "A line that begins with % has no place here. Take it out, or put quotes around the value."


def _no_text(error: _SyntaxError) -> str:
    code = ord(error.mark or " ")
    return f"A character stands here that is no text (U+{code:04X}). Take it out, or write the line anew."


def _no_character(error: _SyntaxError) -> str:
    """JSON writes a character beyond U+FFFF as two halves; YAML writes it as itself, or with \\U and eight digits."""
    pair = re.search(r"\\u(d[89ab][0-9a-f]{2})\\u(d[c-f][0-9a-f]{2})", error.within, re.IGNORECASE)
    if pair is None:
        return "A \\u or \\U in this value names no character. Write the character itself, or take it out."
    written, meant = pair[0], bytes.fromhex(pair[1] + pair[2]).decode("utf-16-be")
    return f"{written} is how JSON writes a character in two halves. Write the character itself: {printable(meant)}."


# By the parser's message, the most likely first. A remedy that does not apply returns None, and the next is tried.
_REMEDIES: _Remedies = (
    (r"^no text", _no_text),
    (r"", _tab),
    (r"cannot start any token", _first_sign),
    (r"scanning an (alias|anchor)|scanning a tag|block scalar", _sign_of_value),
    (r"block sequence entries", _always(_LIST_ON_NEXT_LINE)),
    (r"mapping keys are not allowed", _sign_of_value),
    (r"Unicode character escape", _no_character),
    (r"escape character", _always(_BACKSLASH)),
    (r"quoted scalar", _open_quote),
    (r"expected key|'-' indicator", _behind_quotes),
    (r"expected key|'-' indicator", _behind_brackets),
    (r"expected key|'-' indicator", _list_beside_fields),
    (r"flow node|block node", _empty_item),
    (r"flow (sequence|mapping|node)|found unexpected ':'", _open_brackets),
    (r"mapping values", _second_colon),
    (r"mapping values", _further_in),
    (r"expected ':'", _no_colon),
    (r"document start", _always(_SECOND_RECORD)),
    (r"directive|incompatible YAML", _always(_PERCENT)),
    (r"expected key", _indentation),
)

_OF_LINE_ABOVE: _Remedies = ((r"mapping values", _no_colon_above),)
