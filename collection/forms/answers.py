"""One answer: what is shown of what a file holds, and what a file holds of what was answered. The two undo each other."""

import re
import unicodedata
from collections.abc import Iterable, Sequence

from collection.forms.form import TICKED
from collection.forms.questions import Question
from collection.yaml_text import Plain
from collection.yaml_writing import write_flow

Answer = str | Sequence[str]

UNTICKED = "false"
NONE = "none"
"""Stands for an empty list where that says more than nothing at all: this quilt has no features."""

_YES = {"true", "yes", "on", "y", "t", "1"}
_NO = {"false", "no", "off", "n", "f", "0"}
_LINE_ENDS = re.compile("\r\n|[\r\u2028\u2029]")


def shown(question: Question, data: Plain) -> str:
    """What a form shows of the data of a field; None shows what holds where nothing is said."""
    if data is None:
        data = question.usual
    match question.takes:
        case "words" | "words of a table":
            return NONE if data == [] and question.key == "features" else ", ".join(_words(data))
        case "lines":
            return "\n".join(filter(None, (_one_line(_text(item)) for item in _items(data))))
        case "several words":
            return "\n".join(_in_order(question, (_text(item) for item in _items(data))))
        case "tick" | "yes or no":
            return _yes_or_no(question, data)
        case "yes or a date" if isinstance(data, bool):
            return "yes" if data else "no"
        case "one word":
            return _of_options(question, _text(data))
    text = _text(data)
    return _several_lines(text) if is_long(question, data) else _one_line(text)


def cleaned(question: Question, answer: Answer, data: Plain) -> str:
    """An answer as the form would show it, whatever its line ends and the blanks around it.

    `data` is what the file holds so far.
    """
    if question.takes == "several words":
        values = answer.split("\n") if isinstance(answer, str) else answer
        return "\n".join(_in_order(question, (_one_line(value) for value in values)))
    if question.takes == "tick" and not isinstance(answer, str):
        # A box that is not ticked is not sent, so a field without a box goes before it.
        answer = TICKED if TICKED in answer else "".join(answer[-1:])
    text = answer if isinstance(answer, str) else "\n".join(answer)
    match question.takes:
        case "words":
            return ", ".join(_words(_one_line(text)))
        case "words of a table":
            return ", ".join(_as_there(_words(text.replace("\n", ",")), _words(data)))
        case "lines":
            return "\n".join(line for line in map(_one_line, _several_lines(text).split("\n")) if line)
        case "tick" | "yes or no":
            return _yes_or_no(question, _one_line(text) or None)
        case "yes or a date":
            word = _one_line(text)
            return "yes" if word.lower() == "true" else "no" if word.lower() == "false" else word
        case "one word":
            return _of_options(question, _one_line(text))
    return _several_lines(text) if is_long(question, data) else _one_line(text)


def held(question: Question, answer: str, data: Plain) -> Plain:
    """What the file is to hold for a cleaned answer, in the form that `data` has; None for nothing at all."""
    match question.takes:
        case "words" | "words of a table":
            if answer.lower() == NONE and question.key == "features":
                return []
            words = _words(answer)
            return answer if isinstance(data, str) and words else words or None
        case "lines":
            lines = answer.split("\n") if answer else []
            return lines[0] if isinstance(data, str) and len(lines) == 1 else lines or None
        case "several words":
            return answer.split("\n") if answer else [] if question.usual else None
        case "tick":
            return {"": False, TICKED: True}.get(answer, answer)
        case "yes or no":
            return {"": None, TICKED: True, UNTICKED: False}.get(answer, answer)
        case "yes or a date":
            return {"": None, "yes": True, "no": False}.get(answer, answer)
    if "\n" in answer or (answer and isinstance(data, str) and data.endswith("\n")):
        return answer + "\n"
    return answer or None


def is_long(question: Question, data: Plain) -> bool:
    """Does it take several lines, or has it some already?"""
    several = isinstance(data, str) and "\n" in data.strip()
    return question.takes == "long text" or (question.takes == "text" and several)


def odd_character(answer: str) -> str | None:
    """What to say of a character that no file should hold, if one is there."""
    for character in answer:
        category = unicodedata.category(character)
        if category == "Cs":
            return "Here is a piece of a character that was cut apart. Write it anew."
        if category == "Cc" and character not in "\n\t":
            return f"Here is a character that can't be seen (number {ord(character)}). Write it anew without it."
    return None


# Pieces -----------------------------------------------------------------------------------------


def _text(data: Plain) -> str:
    match data:
        case None:
            return ""
        case str():
            return data
        case _:
            return write_flow(data)


def _items(data: Plain) -> list[Plain]:
    return data if isinstance(data, list) else [] if data is None else [data]


def _words(data: Plain) -> list[str]:
    """The words of a row, which commas part."""
    row = ",".join(map(_text, data)) if isinstance(data, list) else _text(data)
    return [word for word in (_one_line(word) for word in row.split(",")) if word]


def _as_there(words: Sequence[str], there: Sequence[str]) -> list[str]:
    """Words of which the order says nothing, each once: those that are there as and where they are, then the others."""
    given = {word.casefold(): word for word in words}
    return [*(word for word in there if given.pop(word.casefold(), None)), *given.values()]


def _one_line(text: str) -> str:
    return _LINE_ENDS.sub("\n", text).replace("\n", " ").strip()


def _several_lines(text: str) -> str:
    lines = _LINE_ENDS.sub("\n", text).split("\n")
    return "\n".join(line if line.strip() else "" for line in lines).strip()


def _in_order(question: Question, values: Iterable[str]) -> list[str]:
    """The chosen options in their order, then what is none of them; each once."""
    given = dict.fromkeys(_of_options(question, value) for value in values if value)
    return [*(each for each in question.options if each in given), *(each for each in given if each not in question.options)]


def _of_options(question: Question, word: str) -> str:
    """The option that is meant, also by other capitals; else the word as it is."""
    word = _one_line(word)
    return next((option for option in question.options if option.lower() == word.lower()), word)


def _yes_or_no(question: Question, data: Plain) -> str:
    if data is None:
        return ""
    word = _one_line(_text(data))
    if word.lower() in _YES:
        return TICKED
    if word.lower() in _NO:
        return "" if question.takes == "tick" else UNTICKED
    return word
