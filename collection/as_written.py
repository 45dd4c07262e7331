"""How a message quotes what somebody wrote."""

LONGEST_QUOTE = 40


def as_written(text: str) -> str:
    """Quote `text` inside a message: on one line, shortened, with nothing in it that a terminal would obey.

    >>> print(as_written("60 by"))
    “60 by”
    """
    return f"“{in_short(text)}”"


def in_short(text: str) -> str:
    """What stands between the quotes."""
    one_line = " ".join(text.split())
    if len(one_line) > LONGEST_QUOTE:
        one_line = one_line[: LONGEST_QUOTE - 1].rstrip() + "…"
    return printable(one_line)


def printable(text: str) -> str:
    """`text` with a mark in place of every character that moves a cursor, turns writing round or shows nothing."""
    return text if text.isprintable() else "".join(c if c.isprintable() else "�" for c in text)
