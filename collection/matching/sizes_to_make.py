"""The sizes that several lines of requests all accept, and the best one of them to make."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import product

from collection.matching.rules import Requirements
from collection.matching.size_rules import Liked, SizeRule, sides_of
from collection.values.lengths import CM_PER_INCH, SHOWN_STEP, Length, Size, Unit

STEPS: dict[Unit, tuple[Fraction, ...]] = {
    "in": (Fraction(1), Fraction(1, 2), Fraction(1, 4), Fraction(1, 8)),
    "cm": (1 / CM_PER_INCH, 1 / CM_PER_INCH / 2),
}
"""Steps that a size to make is rounded to if possible, in inches, coarsest first; the last is a ruler's finest mark."""

SHOWN_STEPS: dict[Unit, tuple[Fraction, ...]] = {
    "in": (SHOWN_STEP["in"], *(Fraction(1, parts) for parts in (16, 32, 64))),
    "cm": (SHOWN_STEP["cm"], *(1 / CM_PER_INCH / parts for parts in (10, 100, 1000))),
}
"""Steps that a size to make is shown in, in inches: the usual one, and finer ones for a narrow range."""

Bound = Fraction | None


@dataclass(frozen=True, slots=True)
class Span:
    """A range for one side, in inches; None: no bound."""

    least: Bound = None
    most: Bound = None

    def within(self, least: Bound, most: Bound) -> "Span":
        bounds = [each for each in (self.least, least) if each is not None]
        caps = [each for each in (self.most, most) if each is not None]
        return Span(max(bounds, default=None), min(caps, default=None))

    @property
    def is_empty(self) -> bool:
        return self.least is not None and self.most is not None and self.least > self.most

    def nearest(self, length: Fraction) -> Fraction:
        if self.least is not None and length < self.least:
            return self.least
        return self.most if self.most is not None and length > self.most else length


@dataclass(frozen=True, slots=True)
class Room:
    """A set of accepted sizes: a span for each side, for quilts no wider than long, or (`wide`) no longer than wide."""

    wide: bool
    shorter: Span
    longer: Span

    @property
    def is_empty(self) -> bool:
        narrowest, longest = self.shorter.least, self.longer.most
        too_narrow = narrowest is not None and longest is not None and narrowest > longest
        return self.shorter.is_empty or self.longer.is_empty or too_narrow

    def shared(self, other: "Room") -> "Room":
        return Room(
            self.wide,
            self.shorter.within(other.shorter.least, other.shorter.most),
            self.longer.within(other.longer.least, other.longer.most),
        )

    def nearest(self, liked: Liked) -> tuple[Fraction, Fraction] | None:
        """The shorter and longer side nearest to the preferred size; a side without any rule takes the other's
        length."""
        across, along = (liked.length, liked.width) if self.wide else (liked.width, liked.length)
        shorter = _wanted(across or liked.shorter, self.shorter)
        longer = _wanted(along or liked.longer, self.longer)
        one = longer if shorter is None else shorter
        if one is None:
            return None
        shorter = self.shorter.nearest(one)
        longer = self.longer.nearest(shorter if longer is None else longer)
        if shorter > longer:
            shorter = self.shorter.nearest(longer)
            longer = max(longer, shorter)
        return shorter, longer

    def size(self, shorter: Fraction, longer: Fraction) -> Size:
        sides = Length(shorter), Length(longer)
        return Size(*(reversed(sides) if self.wide else sides))


def _wanted(liked: Length | None, span: Span) -> Fraction | None:
    if liked is not None:
        return span.nearest(liked.inches)
    if span.least is not None and span.most is not None:
        return (span.least + span.most) / 2
    return span.most if span.least is None else span.least


def rooms_of(rules: Sequence[SizeRule]) -> tuple[Room, ...]:
    """All sizes that meet every rule without tolerance; if there are none, with tolerance."""
    return _rooms(rules, tolerant=False) or _rooms(rules, tolerant=True)


def _rooms(rules: Sequence[SizeRule], *, tolerant: bool) -> tuple[Room, ...]:
    found: dict[Room, None] = {}
    for wide in (False, True):
        for chosen in product(*(rule.alternatives for rule in rules)):
            room = Room(wide, Span(), Span())
            for rule, alternative in zip(rules, chosen, strict=True):
                give = rule.tolerance.inches if tolerant else Fraction(0)
                for each in alternative:
                    least = each.range.least.inches - give if each.range.least is not None else None
                    most = each.range.most.inches + give if each.range.most is not None else None
                    more = Span(least, most)
                    is_shorter = each.side == "shorter" or each.side == ("length" if wide else "width")
                    room = room.shared(Room(wide, more, Span()) if is_shorter else Room(wide, Span(), more))
            if not room.is_empty:
                found[room] = None
    return tuple(found)


def shared_rooms(some: Iterable[Room], others: Sequence[Room]) -> tuple[Room, ...]:
    """The intersection of two sets of sizes."""
    pairs = (one.shared(other) for one in some for other in others if one.wide == other.wide)
    return tuple(dict.fromkeys(room for room in pairs if not room.is_empty))


def size_to_make(rooms: Sequence[Room], lines: Sequence[Requirements]) -> Size | None:
    """A size that all lines accept, nearest to the preferred size of the first; None if there is none.

    Candidates come from the rooms, and are checked by the rules. Sizes that a ruler shows come first, and among those
    sizes that still fit when rounded to either unit.
    """
    first = lines[0]
    likes_wide = first.ideal is not None and first.ideal.width > first.ideal.length
    found = [(room, point) for room in rooms if (point := room.nearest(first.liked)) is not None]
    found.sort(key=lambda each: (_misfit(first, each[0].size(*each[1])), each[0].wide != likes_wide))
    rules = tuple(dict.fromkeys(rule for line in lines for rule in line.sizes))
    fitting = None
    for size in (size for room, point in found for size in _near(room, point, first.unit)):
        if takes(rules, size):
            fitting = fitting or size
            if all(takes(rules, each) for each in _rounded(size)):
                return size
    return fitting


def _misfit(line: Requirements, size: Size) -> int:
    return int(line.liked.misfit(sides_of(size), 1))


def _near(room: Room, point: tuple[Fraction, Fraction], unit: Unit) -> Iterator[Size]:
    """Candidate sizes: the point if a ruler shows it, then rounded ones next to it, then the exact point."""
    if all(side % STEPS[unit][-1] == 0 for side in point):
        yield room.size(*point)
    for step in STEPS[unit]:
        shorter, longer = _round(point[0], room.shorter, step), _round(point[1], room.longer, step)
        if shorter is not None and longer is not None and 0 < shorter <= longer:
            yield room.size(shorter, longer)
    if min(point) > 0:
        yield room.size(*point)


def _round(side: Fraction, span: Span, step: Fraction) -> Fraction | None:
    """The multiple of `step` nearest to a side, if one next to it is in the span; else None."""
    below = side // step * step
    near = sorted((below, below + step), key=lambda each: abs(each - side))
    return next((each for each in near if span.nearest(each) == each), None)


def _rounded(size: Size) -> tuple[Size, Size]:
    return Size.parse(f"{size.in_inches()} in"), Size.parse(f"{size.in_cm()} cm")


def shown_in(unit: Unit, size: Size, lines: Iterable[Requirements]) -> Size:
    """A size that all lines accept, rounded for a unit to one that they accept as well.

    Each side is rounded to the usual step, to the nearest multiple or else to the other one; if neither will do, to a
    finer step; if none will do, not at all.
    """
    rules = tuple(dict.fromkeys(rule for line in lines for rule in line.sizes))
    ways = product(*(enumerate(_shown(side, SHOWN_STEPS[unit])) for side in (size.width, size.length)))
    coarsest_first = sorted(ways, key=lambda way: way[0][0] + way[1][0])
    rounded = (Size(width, length) for (_, width), (_, length) in coarsest_first)
    return next((each for each in rounded if takes(rules, each)), size)


def _shown(side: Length, steps: Iterable[Fraction]) -> list[Length]:
    """For each step its multiples next to a side, the nearest first, of equals the one above; last the side itself."""
    found = []
    for step in steps:
        below = side.inches // step * step
        found += sorted(map(Length, (below + step, below)), key=lambda each: abs(each - side))
    return [*found, side]


def takes(rules: Iterable[SizeRule], size: Size) -> bool:
    """Whether a size has positive sides and meets all rules."""
    sides = sides_of(size)
    return min(sides.values()) > 0 and not any(rule.beyond(sides, sides, 1) for rule in rules)
