"""Formats quotations and lists of words for messages."""

from collections.abc import Iterable

LONGEST_QUOTE = 40


def quoted(text: str) -> str:
    """Quote `text` inside a message: on one line, shortened, with nothing in it that a terminal would obey.

    >>> print(quoted("60 by"))
    “60 by”
    """
    return f"“{shortened(text)}”"


def shortened(text: str) -> str:
    """The text on one line and shortened, with nothing in it that a terminal would obey."""
    one_line = " ".join(text.split())
    if len(one_line) > LONGEST_QUOTE:
        one_line = one_line[: LONGEST_QUOTE - 1].rstrip() + "…"
    return printable(one_line)


def printable(text: str) -> str:
    """The text with a mark for each character that moves a cursor, reverses writing or shows nothing."""
    return text if text.isprintable() else "".join(c if c.isprintable() else "�" for c in text)


def listed(words: Iterable[str], last: str = "and") -> str:
    """The words as a sentence lists them: `a`, `a and b`, `a, b and c`."""
    *most, end = [*words] or [""]
    return f"{', '.join(most)} {last} {end}" if most else end
