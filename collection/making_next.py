"""What to make next: the sizes that open requests are still short of."""

from collections.abc import Iterable, Sequence

from collection.dates import EdtfDate
from collection.lengths import Length, Size
from collection.places import OpenLine
from collection.plans import MakeNext
from collection.size_rules import Liked
from collection.sizes import SizeTable

Short = tuple[OpenLine, int]


def make_next(short: Iterable[Short], sizes: SizeTable) -> tuple[MakeNext, ...]:
    """The sizes of lines with open places, those needed first first; without a day last.

    Lines that ask for the same size, or for sizes of one category, are counted together; the size to make is that
    of the line with the most places.
    """
    by_size: dict[str | None, list[Short]] = {}
    for line, places in short:
        by_size.setdefault(_size_key(line, sizes), []).append((line, places))
    found = [_make(size, lines) for size, lines in by_size.items()]
    return tuple(sorted(found, key=lambda each: (_day(each.by), -each.must, -each.count, each.size or "")))


def size_to_make(line: OpenLine) -> Size | None:
    """The size that a line likes best, width by length; None where it says too little."""
    if line.requirements.ideal is not None:
        return line.requirements.ideal
    return _whole(line.requirements.liked) or _bounds(line)


def _size_key(line: OpenLine, sizes: SizeTable) -> str | None:
    size = size_to_make(line)
    category = sizes.category(size) if size else None
    named = line.requirements.named_sizes
    return named[0] if named else category.box.key if category else None


def _make(size: str | None, short: Sequence[Short]) -> MakeNext:
    days = [line.request.needed_by for line, _ in short if line.request.needed_by is not None]
    largest = max(short, key=lambda each: each[1])[0]
    return MakeNext(
        size=size,
        target=size_to_make(largest),
        count=sum(places for _, places in short),
        must=sum(places for line, places in short if line.line.priority == "must"),
        by=min(days, key=_day, default=None),
        lines=tuple((line.request.id, line.line.id) for line, _ in short),
    )


def _day(day: EdtfDate | None) -> tuple:
    return (day is None, day.sort_key if day else ())


def _whole(liked: Liked) -> Size | None:
    width, length = liked.width or liked.shorter, liked.length or liked.longer
    return Size(width, length) if width and length else None


def _bounds(line: OpenLine) -> Size | None:
    """The least size that a line takes, where it sets no middle: `at least 55 by at least 65`."""
    sides: dict[str, Length] = {}
    for rule in line.requirements.sizes:
        for each in rule.alternatives[0]:
            bound = each.range.least or each.range.most
            if bound:
                sides[each.side] = max(bound, sides.get(each.side, bound))
    width, length = (
        sides.get(name) or sides.get(other) for name, other in (("width", "shorter"), ("length", "longer"))
    )
    return Size(width, length) if width and length else None
