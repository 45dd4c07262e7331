"""Converts the data of a field to the text in a form, and an answer to data; each is the inverse of the other."""

import re
import unicodedata
from collections.abc import Iterable, Mapping, Sequence
from typing import assert_never

from collection.forms.form import TICKED
from collection.forms.schema import Question, Takes
from collection.yaml_files.parser import Plain
from collection.yaml_files.writer import write_flow

Answer = str | Sequence[str]

UNTICKED = "false"
NONE = "none"
"""The answer for an empty list, where it differs from no answer: this quilt has no features."""

_VALUES: Mapping[Takes, Mapping[str, bool | None]] = {
    "tick": {"": False, TICKED: True},
    "yes or no": {"": None, TICKED: True, UNTICKED: False},
    "yes or a date": {"": None, "yes": True, "no": False},
}
"""The data for the answers yes, no and empty."""

_YES = {"true", "yes", "on", "y", "t", "1"}
_NO = {"false", "no", "off", "n", "f", "0"}
_LINE_ENDS = re.compile("\r\n|[\r\u2028\u2029]")


def shown(question: Question, data: Plain) -> str:
    """The text that a form shows for the data of a field; for None, the default."""
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
        case "one word":
            return _of_options(question, _text(data))
        case "yes or a date" | "text" | "long text":
            if isinstance(data, bool) and question.takes == "yes or a date":
                return "yes" if data else "no"
            return _shown_text(question, _text(data), data)
        case _:
            assert_never(question.takes)


def cleaned(question: Question, answer: Answer, data: Plain) -> str:
    """An answer as the form would show it, with normalised line ends and outer spaces stripped.

    `data` is the current data of the field.
    """
    text = _as_text(question, answer)
    match question.takes:
        case "several words":
            values = answer.split("\n") if isinstance(answer, str) else answer
            return "\n".join(_in_order(question, map(_one_line, values)))
        case "words":
            return ", ".join(_words(_one_line(text)))
        case "words of a table":
            return ", ".join(_as_there(_words(text.replace("\n", ",")), _words(data)))
        case "lines":
            return "\n".join(filter(None, map(_one_line, _several_lines(text).split("\n"))))
        case "tick" | "yes or no":
            return _yes_or_no(question, _one_line(text) or None)
        case "yes or a date":
            word = _one_line(text)
            return {"true": "yes", "false": "no"}.get(word.lower(), word)
        case "one word":
            return _of_options(question, _one_line(text))
        case "text" | "long text":
            return _shown_text(question, text, data)
        case _:
            assert_never(question.takes)


def held(question: Question, answer: str, data: Plain) -> Plain:
    """The data for a cleaned answer, in the same form as `data`; None removes the field."""
    match question.takes:
        case "words" | "words of a table":
            return _held_words(question, answer, data)
        case "lines":
            return _held_lines(answer, data)
        case "several words":
            return _held_lines(answer, None) or ([] if question.usual else None)
        case "tick" | "yes or no" | "yes or a date":
            return _VALUES[question.takes].get(answer, answer)
        case "one word" | "text" | "long text":
            ends_line = "\n" in answer or (answer and isinstance(data, str) and data.endswith("\n"))
            return f"{answer}\n" if ends_line else answer or None
        case _:
            assert_never(question.takes)


def _held_lines(answer: str, data: Plain) -> Plain:
    if not answer:
        return None
    return answer if isinstance(data, str) and "\n" not in answer else [*answer.split("\n")]


def _held_words(question: Question, answer: str, data: Plain) -> Plain:
    if answer.lower() == NONE and question.key == "features":
        return []
    words = _words(answer)
    return answer if words and isinstance(data, str) else [*words] or None


def is_long(question: Question, data: Plain) -> bool:
    """Whether a field takes several lines, or has them already."""
    several = isinstance(data, str) and "\n" in data.strip()
    return question.takes == "long text" or (question.takes == "text" and several)


def odd_character(answer: str) -> str | None:
    """The message for a character that no file should hold; None if there is none."""
    for character in answer:
        category = unicodedata.category(character)
        if category == "Cs":
            return "Here is a piece of a character that was cut apart. Write it anew."
        if category == "Cc" and character not in "\n\t":
            return f"Here is a character that can't be seen (number {ord(character)}). Write it anew without it."
    return None


# Pieces -----------------------------------------------------------------------------------------


def _as_text(question: Question, answer: Answer) -> str:
    if isinstance(answer, str):
        return answer
    if question.takes == "tick":
        # Browsers do not send an unticked checkbox, so the form has a hidden field before each.
        return TICKED if TICKED in answer else "".join(answer[-1:])
    return "\n".join(answer)


def _shown_text(question: Question, text: str, data: Plain) -> str:
    return _several_lines(text) if is_long(question, data) else _one_line(text)


def _text(data: Plain) -> str:
    return "" if data is None else data if isinstance(data, str) else write_flow(data)


def _items(data: Plain) -> list[Plain]:
    return data if isinstance(data, list) else [] if data is None else [data]


def _words(data: Plain) -> list[str]:
    """The words in a comma-separated row."""
    row = ",".join(map(_text, data)) if isinstance(data, list) else _text(data)
    return [word for word in (_one_line(word) for word in row.split(",")) if word]


def _as_there(words: Sequence[str], there: Sequence[str]) -> list[str]:
    """Words without duplicates: those in `there` with their spelling and order, then the others."""
    given = {word.casefold(): word for word in words}
    return [*(word for word in there if given.pop(word.casefold(), None)), *given.values()]


def _one_line(text: str) -> str:
    return _LINE_ENDS.sub("\n", text).replace("\n", " ").strip()


def _several_lines(text: str) -> str:
    lines = _LINE_ENDS.sub("\n", text).split("\n")
    return "\n".join(line if line.strip() else "" for line in lines).strip()


def _in_order(question: Question, values: Iterable[str]) -> list[str]:
    """The chosen options in their order, then other values; each once."""
    given = dict.fromkeys(_of_options(question, value) for value in values if value)
    return list(dict.fromkeys((*(option for option in question.options if option in given), *given)))


def _of_options(question: Question, word: str) -> str:
    """The option that equals a word regardless of case; else the word itself."""
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
