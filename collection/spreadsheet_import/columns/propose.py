"""Proposes the meaning of each column of a table: by its heading, else by the cells below it."""

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace

from collection.spreadsheet_import.columns.headings import words_of_heading
from collection.spreadsheet_import.columns.meanings import BY_NAME, NOTE
from collection.spreadsheet_import.columns.tables import Column, Table
from collection.spreadsheet_import.values.dates import Order, looks_like_a_date, order_shown
from collection.spreadsheet_import.values.sizes import looks_like_a_size
from collection.spreadsheet_import.values.words import read_stage, read_yes_or_no
from collection.values.lengths import Unit

_LOOKED_AT = 100


@dataclass(frozen=True, slots=True)
class ColumnMeaning:
    """A column and its meaning: with a unit for bare numbers, and an order for dates (day or month first).

    `why` is the reason, if the heading alone did not decide.
    """

    column: Column
    meaning: str
    unit: Unit | None = None
    length_first: bool = False
    order: Order | None = None
    why: str = ""


def propose(table: Table) -> tuple[ColumnMeaning, ...]:
    """The meaning of each column, as far as it can be recognised; other columns are notes."""
    meant = [
        ColumnMeaning(column, column.match.meaning or NOTE, column.match.unit, column.match.length_first)
        for column in table.columns
    ]
    texts = {
        each.column.number: [text for row in table.rows[:_LOOKED_AT] if (text := row.text(each.column.number))]
        for each in meant
    }
    for decide in (_by_what_stands_below, _title, _one_of_each, _sides_together):
        meant = decide(meant, texts)
    return tuple(
        replace(each, order=order_shown(texts[each.column.number]))
        if each.meaning in ("made", "given on", "appraised on")
        else each
        for each in meant
    )


Texts = dict[int, list[str]]


def _share(texts: Iterable[str], fits: Callable[[str], bool]) -> float:
    texts = list(texts)
    return sum(map(fits, texts)) / len(texts) if texts else 0.0


def _by_what_stands_below(meant: list[ColumnMeaning], texts: Texts) -> list[ColumnMeaning]:
    return [_judged(each, texts[each.column.number]) for each in meant]


def _judged(each: ColumnMeaning, below: list[str]) -> ColumnMeaning:
    def dates() -> float:
        return _share(below, looks_like_a_date)

    match each.meaning:
        case "made" | "length" | "stage" | "given on" if _share(below, looks_like_a_size) > 0.5:
            return replace(each, meaning="size", why="sizes stand below it")
        case "made" if dates() < 0.5 and _share(below, lambda text: bool(read_stage(text).fields)) > 0.6:
            return replace(each, meaning="stage", why="it says how far they are")
        case "number" if _are_counts(below):
            return replace(each, meaning="how many", why="the same small numbers come again and again")
        case "charity" | "given to" if dates() > 0.6:
            return replace(each, meaning="given on", why="dates stand below it")
        case "given to" | "charity" if _share(below, _is_yes_or_no) > 0.6:
            return replace(each, meaning="status", why="it says whether they are given")
        case "quilting" if _share(below, _is_yes_or_no) > 0.6:
            return replace(each, meaning=NOTE, why="yes or no does not say how")
        case "fabric" if _share(below, _is_an_amount) > 0.6:
            return replace(each, meaning="cost", why="amounts stand below it")
        case "kept at" if dates() > 0.6:
            return replace(each, meaning=NOTE, why="dates stand below it")
        case "cost" | "size" if not any(any(c.isdigit() for c in text) for text in below) and below:
            return replace(each, meaning=NOTE, why="no figures stand below it")
    return each


def _is_yes_or_no(text: str) -> bool:
    return bool(read_yes_or_no(text, "x").fields)


def _is_an_amount(text: str) -> bool:
    return bool(re.fullmatch(r"[$£€]? ?[0-9][0-9.,]*", text.strip()))


def _are_counts(below: list[str]) -> bool:
    numbers = [int(text) for text in below if text.isdecimal() and len(text) < 10]
    return len(numbers) > 3 and len(set(numbers)) * 2 < len(numbers) and max(numbers) <= 24


def _title(meant: list[ColumnMeaning], texts: Texts) -> list[ColumnMeaning]:
    """Choose the title among several columns: one whose heading mentions quilts, as a `Name` may be that of a person;
    then the one with the most distinct texts. The others are notes."""
    titled = [each for each in meant if each.meaning == "title"]
    if len(titled) < 2:
        return meant
    best = max(
        titled,
        key=lambda each: (
            bool(texts[each.column.number])
            and bool({"quilt", "title", "project"} & set(words_of_heading(each.column.heading))),
            _distinct(texts[each.column.number]),
            each.column.match.sure,
            -each.column.number,
        ),
    )
    return [
        replace(each, meaning=NOTE, why=f"column {best.column.letters} holds the title")
        if each.meaning == "title" and each is not best
        else each
        for each in meant
    ]


def _distinct(below: list[str]) -> float:
    numbers = _share(below, str.isdigit)
    return (len(set(below)) - numbers * len(below)) if below else 0.0


def _one_of_each(meant: list[ColumnMeaning], texts: Texts) -> list[ColumnMeaning]:
    """A second column with the same meaning becomes a note with its heading."""
    surest: dict[str, ColumnMeaning] = {}
    for each in meant:
        held = surest.get(each.meaning)
        if held is None or _rank(each, texts) > _rank(held, texts):
            surest[each.meaning] = each
    found = []
    for each in meant:
        if surest[each.meaning] is each or BY_NAME[each.meaning].several:
            found.append(each)
        elif (
            each.meaning == "made"
            and not any(other.meaning == "given on" for other in meant)
            and _follows_a_recipient(each, meant)
        ):
            found.append(replace(each, meaning="given on", why="it stands behind to whom they went"))
        else:
            found.append(
                replace(each, meaning=NOTE, why=f"column {surest[each.meaning].column.letters} says that already")
            )
    return found


def _rank(each: ColumnMeaning, texts: Texts) -> tuple[bool, float]:
    return bool(texts[each.column.number]), each.column.match.sure


def _follows_a_recipient(each: ColumnMeaning, meant: list[ColumnMeaning]) -> bool:
    before = [other for other in meant if other.column.number == each.column.number - 1]
    return bool(before) and before[0].meaning in ("given to", "charity", "status")


def _sides_together(meant: list[ColumnMeaning], texts: Texts) -> list[ColumnMeaning]:
    """Width and length give a size only together; beside a whole size they are notes."""
    names = {each.meaning for each in meant}
    if {"width", "length"} <= names and "size" not in names:
        return meant
    why = "the size stands in a column of its own" if "size" in names else "the other side is missing"
    return [replace(each, meaning=NOTE, why=why) if each.meaning in ("width", "length") else each for each in meant]
