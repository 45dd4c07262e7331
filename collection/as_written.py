"""How a complaint quotes what somebody wrote."""

LONGEST_QUOTE = 40


def as_written(text: str) -> str:
    """Quote `text` inside a message: on one line, shortened, with nothing in it that a terminal would obey.

    >>> print(as_written("60 by"))
    “60 by”
    """
    one_line = " ".join(text.split())
    if len(one_line) > LONGEST_QUOTE:
        one_line = one_line[: LONGEST_QUOTE - 1].rstrip() + "…"
    return "“" + "".join(c if c.isprintable() else "�" for c in one_line) + "”"
