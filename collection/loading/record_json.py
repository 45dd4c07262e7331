"""Converts records to plain data for JSON and back; a part that several records share is written once.

A part is a record, a value such as a date, or a tuple: the number of its shape, plain values, and the places among
these of other parts, which come before it. A shape is the type of a part, for a record with the names of the fields
that were given.
"""

from collections.abc import Callable
from decimal import Decimal
from fractions import Fraction
from functools import cache
from typing import Any

from collection.records import partner, quilt, request, settings  # noqa: F401  defines all types of records
from collection.records.fields import Record
from collection.values.dates import EdtfDate
from collection.values.lengths import Length, LengthRange, Size
from collection.values.money import Money

_ROOM = f"{Record.__module__.rpartition('.')[0]}."
_PLAIN = (str, int, bool, type(None))


def _money(amount: str, currency: str | None) -> Money:
    return Money(Decimal(amount), currency)


# For each type of value, functions that split it into parts and make it from them.
_VALUES: dict[type, tuple[Callable[[Any], tuple[Any, ...]], Callable[..., Any]]] = {
    tuple: (lambda row: row, lambda *row: row),
    Length: (lambda length: length.inches.as_integer_ratio(), lambda over, under: Length(Fraction(over, under))),
    Size: (lambda size: (size.width, size.length), Size),
    LengthRange: (lambda between: (between.least, between.most), LengthRange),
    EdtfDate: (lambda date: (date.edtf,), EdtfDate),
    Money: (lambda money: (str(money.amount), money.currency), _money),
    Fraction: (lambda number: (number.numerator, number.denominator), Fraction),
}
_NAMES = {kind.__name__: kind for kind in _VALUES}


@cache
def _records() -> dict[str, type[Record]]:
    """All types of records, nested ones too, by name."""
    found: dict[str, type[Record]] = {}

    def walk(kind: type[Record]) -> None:
        if kind.__module__.startswith(_ROOM):  # subclasses elsewhere are computed, never read from a file
            found[_name_of(kind)] = kind
        for narrower in kind.__subclasses__():
            walk(narrower)

    walk(Record)
    return found


@cache
def _name_of(kind: type[Record]) -> str:
    return f"{kind.__module__.rpartition('.')[2]}.{kind.__qualname__}"


class PartsOfRecords:
    """Splits records into parts. `data` has what `records_of` needs to restore them."""

    def __init__(self) -> None:
        self._shapes: dict[tuple[str, ...], int] = {}
        self._parts: dict[tuple[Any, ...], int] = {}

    def number_of(self, record: Record) -> int:
        """The record's index in the result of `records_of`."""
        return self._number(record)

    def data(self) -> list[Any]:
        return [list(self._shapes), [part[:3] for part in self._parts]]

    def _number(self, value: Any) -> int:
        shape, parts = _apart(value)
        values, places = list[Any](), list[int]()
        for place, part in enumerate(parts):
            if isinstance(part, _PLAIN):
                values.append(part)
            else:
                values.append(None)
                places += (place, self._number(part))
        numbered = self._shapes.setdefault(shape, len(self._shapes)), tuple(values), tuple(places)
        # True equals 1 in Python, but is another value in a record.
        return self._parts.setdefault((*numbered, tuple(map(type, values))), len(self._parts))


def _apart(value: Any) -> tuple[tuple[str, ...], tuple[Any, ...]]:
    """The shape and the parts of a value. TypeError for a type that no record contains."""
    kind = type(value)
    if kind in _VALUES:
        return (kind.__name__,), _VALUES[kind][0](value)
    if isinstance(value, Record) and _records().get(_name_of(type(value))) is kind:
        given = [name for name in kind.model_fields if name in value.model_fields_set]
        return (_name_of(kind), *given), tuple(map(value.__dict__.__getitem__, given))
    raise TypeError(f"{kind.__name__} has no place in a record")


def records_of(data: list[Any]) -> list[Any]:
    """Restore all parts, in order. Raises KeyError, ValueError, TypeError or IndexError for invalid data."""
    shapes, parts = data
    makers = [_maker(*shape) for shape in shapes]
    made: list[Any] = []
    for shape, values, places in parts:
        for at in range(0, len(places), 2):
            values[places[at]] = made[places[at + 1]]
        made.append(makers[shape](values))
    return made


def _maker(name: str, *given: str) -> Callable[[list[Any]], Any]:
    if name in _NAMES:
        make = _VALUES[_NAMES[name]][1]
        return lambda values: make(*values)
    kind = _records()[name]

    def restored(values: list[Any]) -> Record:
        record = kind.__new__(kind)
        record.__setstate__(dict(zip(given, values, strict=True)))
        return record

    return restored
