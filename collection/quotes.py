"""Formats quotations and lists of words for messages."""

from collections.abc import Iterable

LONGEST_QUOTE = 40


def quoted(text: str) -> str:
    """Quote `text` in a message: on one line, shortened, without control characters.

    >>> print(quoted("60 by"))
    “60 by”
    """
    return f"“{shortened(text)}”"


def shortened(text: str) -> str:
    """The text on one line, cut to `LONGEST_QUOTE` characters, without control characters."""
    one_line = " ".join(text.split())
    if len(one_line) > LONGEST_QUOTE:
        one_line = one_line[: LONGEST_QUOTE - 1].rstrip() + "…"
    return printable(one_line)


def printable(text: str) -> str:
    """The text with � in place of each control character and each character that is not visible."""
    return text if text.isprintable() else "".join(c if c.isprintable() else "�" for c in text)


def listed(words: Iterable[str], last: str = "and") -> str:
    """The words as a sentence lists them: `a`, `a and b`, `a, b and c`."""
    *most, end = [*words] or [""]
    return f"{', '.join(most)} {last} {end}" if most else end
