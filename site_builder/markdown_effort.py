"""How much work a text would make for Markdown, counted beforehand in one pass.

Python-Markdown looks for the end of every bracket and tag that opens, and begins anew behind it: of
20,000 characters `[` each is followed to the end, which takes a minute. What people write closes soon.
"""

import re

_BRACKETS = re.compile(r"\\.|\]\(|[\[\]()]|\n[ \t]*\n", re.DOTALL)
_TAGS = re.compile(r"<(?=[A-Za-z/!?])|>")
_LINES_THAT_PART_A_BLOCK = re.compile(r"^[ \t]{0,3}(?:#|(?:[-_*][ \t]*){3,}$)", re.MULTILINE)

# The characters that count as one step: tags and lines are looked for by quicker means than brackets.
_TAG_CHARACTERS, _LINE_CHARACTERS = 6, 30


def effort(text: str) -> int:
    """Characters that are looked at again and again; a million take about a third of a second.

    >>> effort("See [the class](https://example.org) and [the other one](two.html).")
    53
    >>> effort("[" * 20_000) > 100_000_000
    True
    """
    return (
        _effort_of_brackets(text)
        + _effort_of_tags(text) // _TAG_CHARACTERS
        + _effort_of_lines(text) // _LINE_CHARACTERS
    )


def _effort_of_brackets(text: str) -> int:
    """From each bracket to the one that closes it, or to the end of its paragraph."""
    total = 0
    opened: dict[str, list[int]] = {"[": [], "(": []}

    def leave_all(end: int) -> int:
        left = sum(end - start for starts in opened.values() for start in starts)
        for starts in opened.values():
            starts.clear()
        return left

    def close(bracket: str, end: int) -> int:
        return end - opened[bracket].pop() if opened[bracket] else 0

    for found in _BRACKETS.finditer(text):
        match found.group():
            case "[" | "(" as bracket:
                opened[bracket].append(found.start())
            case "]":
                total += close("[", found.start())
            case "](":
                total += close("[", found.start())
                opened["("].append(found.start() + 1)
            case ")":
                total += close("(", found.start())
            case ends if ends.startswith("\n"):
                total += leave_all(found.start())
    return total + leave_all(len(text))


def _effort_of_tags(text: str) -> int:
    """From each tag to the next that ends, or to the end of the text."""
    total, opened, starts = 0, 0, 0
    for found in _TAGS.finditer(text):
        if found.group() == "<":
            opened, starts = opened + 1, starts + found.start()
        else:
            total += opened * found.start() - starts
            opened = starts = 0
    return total + opened * len(text) - starts


def _effort_of_lines(text: str) -> int:
    """Each heading and rule makes a new block of all that follows it in its own."""
    blocks = re.split(r"\n[ \t]*\n", text)
    return sum(len(block) * len(_LINES_THAT_PART_A_BLOCK.findall(block)) for block in blocks)
