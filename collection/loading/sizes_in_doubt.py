"""Warns of sizes without a unit that are probably not in inches, if the collection doesn't name its units."""

from collections.abc import Callable, Iterator, Mapping
from fractions import Fraction
from typing import NamedTuple, TypeVar

from collection.problems import Problem
from collection.records.collection import Collection
from collection.records.partner import Rules
from collection.storage.folder_layout import SETTINGS_FILE
from collection.values.lengths import Length, LengthRange, Size, Unit
from collection.yaml_files.parser import Path, YamlText

Value = TypeVar("Value", Size, LengthRange)

LONGEST_LIKELY_SIDE = Length(Fraction(132))
"""The longest likely side of a quilt, in inches.

Source: the longest side in published size tables is 120 in, of a king (stitchingtimes.blogspot.com, seen). A tenth
more leaves room for a generous drop: common practice, no source.
"""


def check_units(collection: Collection, texts: Mapping[str, YamlText]) -> Iterator[Problem]:
    """One warning, at the first size that is too long in inches and likely in centimetres.

    None if the collection names its units. Partners and requests with their own units, and sizes with a unit, are not
    in doubt.
    """
    if _names_units(collection, texts):
        return
    doubtful = list(_doubtful(collection, texts))
    if not doubtful:
        return
    first, *others = doubtful
    more = f" {len(others):,} other size{'s are' if len(others) > 1 else ' is'} like it." if others else ""
    remedy = (
        "A number without a unit means inches, as the collection names no units, and few quilts are that large. "
        f"Write units: cm in collection.yaml if such numbers are centimetres. For this one alone write {first.in_cm}, "
        f"or {first.in_inches}.{more}"
    )
    yield first.text.problem(first.path, first.text.value(first.path), remedy, severity="warning")


def _names_units(collection: Collection, texts: Mapping[str, YamlText]) -> bool:
    """Do the settings name units? True also if these are wrong or can't be read: that is reported elsewhere."""
    settings = texts.get(SETTINGS_FILE)
    cant_be_read = settings is not None and bool({(), ("units",)} & settings.lost)
    written = settings is not None and settings.value(("units",)) is not None
    return written or cant_be_read or "units" in collection.settings.model_fields_set


class _Doubtful(NamedTuple):
    """A size in doubt: its place, and its text with either unit."""

    text: YamlText
    path: Path
    in_cm: str
    in_inches: str


def _doubtful(collection: Collection, texts: Mapping[str, YamlText]) -> Iterator[_Doubtful]:
    """Each size in doubt. Only the file of a size that is too long is read."""
    for quilt in collection.quilts.values():
        yield from _in_doubt(f"quilts/{quilt.id}.yaml", ("finished_size",), quilt.finished_size, Size.parse, texts)
    for partner in collection.partners.values():
        if partner.units is None:
            yield from _of_rules(partner.rules, f"partners/{partner.id}.yaml", ("rules",), texts)
    for request in collection.requests.values():
        asking = collection.partners.get(request.partner)
        if request.units is None and (asking is None or asking.units is None):
            for index, line in enumerate(request.lines):
                yield from _of_rules(line, f"requests/{request.id}.yaml", ("lines", index), texts)


def _of_rules(rules: Rules, file: str, path: Path, texts: Mapping[str, YamlText]) -> Iterator[_Doubtful]:
    sides = (rules.shorter_side, rules.longer_side, rules.width, rules.length)
    for name, value in zip(("shorter_side", "longer_side", "width", "length"), sides, strict=True):
        yield from _in_doubt(file, (*path, name), value, LengthRange.parse, texts)
    yield from _in_doubt(file, (*path, "ideal"), rules.ideal, Size.parse, texts)


def _in_doubt(
    file: str, path: Path, value: Value | None, parse: Callable[..., Value], texts: Mapping[str, YamlText]
) -> Iterator[_Doubtful]:
    if value is None or _longest(value) <= LONGEST_LIKELY_SIDE:
        return
    text = texts[file]
    written = text.value(path)
    if not isinstance(written, str):
        return
    # If it has a unit already, `unit` makes no difference.
    in_cm = parse(written, unit="cm")
    if _longest(in_cm) <= LONGEST_LIKELY_SIDE:
        named_cm, named_inches = _with_unit(written, "cm", in_cm, parse), _with_unit(written, "in", value, parse)
        yield _Doubtful(text, path, named_cm, named_inches)


def _with_unit(written: str, unit: Unit, value: Value, parse: Callable[..., Value]) -> str:
    """The maker's text followed by the unit; if that can't be parsed, the formatted value."""
    named = f"{written} {unit}"
    try:
        return named if parse(named) == value else str(value)
    except ValueError:
        return str(value)


def _longest(value: Size | LengthRange) -> Length:
    if isinstance(value, Size):
        return value.longer
    return max((bound for bound in (value.least, value.most) if bound is not None), default=Length(0))
