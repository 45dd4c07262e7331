"""Tables of the usual sizes of quilts and mattresses, with a source for each row.

There is no standard for either. Makers, pattern books and shops differ, the ranges of quilts overlap and leave gaps, and
the same word means different beds in different countries. So each source says how it was checked: `seen` in the named
place, `derived` from what was seen, or `from memory`.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TypeVar

from collection.values.lengths import Length, LengthRange, Size

OWN_SOURCE = "the maker's own table"

Row = TypeVar("Row", "SizeBox", "Mattress")


def key_of(name: str) -> str:
    """The key of a size in files and addresses.

    >>> key_of("Cot quilt (UK)")
    'cot-quilt-uk'
    """
    return "-".join(re.findall(r"\w+", name.casefold()))


@dataclass(frozen=True, slots=True)
class SizeBox:
    """The usual size of a quilt of this name, either way round.

    `by_use` marks a name for a use rather than a size: a quilt that also fits the name of a size gets that name.
    `never_wider` marks a size that is never published wider than long; turned round, it would fit another name.
    """

    key: str
    name: str
    shorter: LengthRange
    longer: LengthRange
    source: str
    other_names: tuple[str, ...] = ()
    by_use: bool = False
    never_wider: bool = False

    @classmethod
    def of_the_maker(cls, name: str, shorter: LengthRange, longer: LengthRange) -> "SizeBox":
        """A row of the maker's own table."""
        return cls(key_of(name), name, shorter, longer, OWN_SOURCE)


@dataclass(frozen=True, slots=True)
class Mattress:
    """The top of a bed. `for_infants`: no quilt is shown on it as bedding."""

    key: str
    name: str
    width: Length
    length: Length
    region: str
    source: str
    for_infants: bool = False

    @classmethod
    def of_the_maker(cls, name: str, size: Size) -> "Mattress":
        """A row of the maker's own table."""
        return cls(key_of(name), name, size.width, size.length, "", OWN_SOURCE)

    @property
    def size(self) -> Size:
        return Size(self.width, self.length)


def size_table(extra: Iterable[SizeBox] = (), *, replace: bool = False) -> tuple[SizeBox, ...]:
    """The usual sizes and the maker's own: hers replace a row with the same key, or follow the usual ones.

    With `replace`, hers alone. Raises ValueError if hers name one size twice.
    """
    return _together(SIZE_BOXES, extra, replace)


def mattress_table(extra: Iterable[Mattress] = (), *, replace: bool = False) -> tuple[Mattress, ...]:
    """The usual mattresses and the maker's own, by the same rules as `size_table`."""
    return _together(MATTRESSES, extra, replace)


def find_box(word: str, boxes: Iterable[SizeBox]) -> SizeBox | None:
    """The size that a maker or a charity means by a word: its key, its name, or another name; None if there is none.

    >>> find_box("Throw", SIZE_BOXES).key, find_box("wheelchair lap", SIZE_BOXES).key
    ('lap', 'wheelchair-lap')
    """
    key = key_of(word)
    boxes = tuple(boxes)
    named = [box for box in boxes if key in (box.key, key_of(box.name))]
    return next(iter(named or [box for box in boxes if key in map(key_of, box.other_names)]), None)


def _together(usual: tuple[Row, ...], extra: Iterable[Row], replace: bool) -> tuple[Row, ...]:
    own: dict[str, Row] = {}
    for row in extra:
        if row.key in own:
            raise ValueError(f"The size {row.name} is there twice. Keep one of the two.")
        own[row.key] = row
    if replace:
        return tuple(own.values())
    kept: list[Row] = [own.pop(row.key, row) for row in usual]
    return tuple(kept + list(own.values()))


def _box(
    key: str,
    name: str,
    shorter: str,
    longer: str,
    source: str,
    *other_names: str,
    by_use: bool = False,
    never_wider: bool = False,
) -> SizeBox:
    ranges = LengthRange.parse(shorter), LengthRange.parse(longer)
    return SizeBox(key, name, *ranges, source, other_names, by_use, never_wider)


_GUILD_PAGE = "bcquilter.wordpress.com, Common Quilt Sizes"
_GARDEN_PAGE = "thequiltinggarden.blogspot.com, Quilt Size Reference Chart (2010)"
_PANTRY_PAGE = "quilterspantrytn.blogspot.com"
_DROP_CHART = "teacherscollegesj.org"

# The width and length in the sources are converted to shorter and longer side [derived]. Two names have no row: a wall
# hanging can have any size, and a table topper is published only as 36 x 36, which is the size of a baby quilt.
SIZE_BOXES = (
    _box("placemat", "placemat", "11 to 12", "15 to 18", f"seen: {_GUILD_PAGE}"),
    _box("miniature", "miniature", "at most 36", "at most 36", f"seen: {_GUILD_PAGE}", "mini"),
    _box("table-runner", "table runner", "12 to 18", "40 to 72", f"seen: {_GUILD_PAGE}"),
    _box(
        "bed-runner",
        "bed runner",
        "18 to 30",
        "72 to 100",
        f"derived: {_PANTRY_PAGE} (88 to 90 long, 18 to 24 deep), a request at allpeoplequilt.com (24 x 72) and "
        "engineerfix.com (20 to 30 deep, 6 to 12 over each side of the bed, 72 to 84 for a queen), taken together",
        by_use=True,
    ),
    _box("preemie", "preemie", "24 to 36", "24 to 40", f"seen: {_GARDEN_PAGE}", by_use=True),
    _box("baby", "baby", "36 to 52", "36 to 52", f"seen: {_GARDEN_PAGE}"),
    _box(
        "crib",
        "crib",
        "30 to 36",
        "46 to 60",
        f"derived: {_GARDEN_PAGE} (36 x 46 to 36 x 60) and runawayquilting.com (30 x 46 to 36 x 50), taken together",
        "cot",
    ),
    _box(
        "wheelchair-lap",
        "wheelchair lap",
        "32 to 38",
        "36 to 52",
        f"derived: {_GARDEN_PAGE} (about 38 x 47) and {_PANTRY_PAGE} (32-36 x 36-52), taken together",
        "wheelchair",
        by_use=True,
    ),
    _box(
        "lap",
        "lap or throw",
        "50 to 68",
        "52 to 78",
        f"derived: {_GARDEN_PAGE} (52-68 x 52-78) and quiltersresources.com (50 x 60), taken together",
        "throw",
        "lap/throw",
    ),
    _box("twin", "twin", "63 to 72", "86 to 96", f"seen: {_GARDEN_PAGE}", "single"),
    _box("bunk", "bunk", "66 to 74", "89 to 103", f"seen: {_GARDEN_PAGE}", by_use=True),
    _box(
        "full",
        "full or double",
        "70 to 88",
        "86 to 100",
        f"derived: {_GARDEN_PAGE} (70-88 x 88-100), {_DROP_CHART} (78 x 87) and delawarequilts.com (76 x 86), "
        "taken together",
        "double",
        "full/double",
    ),
    _box(
        "queen",
        "queen",
        "84 to 99",
        "92 to 108",
        f"derived: {_GARDEN_PAGE} (88-99 x 94-108) and {_DROP_CHART} (84 x 92), taken together",
        never_wider=True,
    ),
    _box(
        "king",
        "king",
        "92 to 112",
        "100 to 120",
        f"derived: {_PANTRY_PAGE} (100 x 92), honeybegood.com (104 x 93), "
        "stitchingtimes.blogspot.com (106 x 106, 120 x 112), quiltersresources.com (108 x 95), taken together",
    ),
)


def _inches(key: str, name: str, size: str, region: str, source: str, infants: bool = False) -> Mattress:
    read = Size.parse(size, unit="in")
    return Mattress(key, name, read.width, read.length, region, source, infants)


def _cm(key: str, name: str, size: str, region: str, source: str, infants: bool = False) -> Mattress:
    read = Size.parse(size, unit="cm")
    return Mattress(key, name, read.width, read.length, region, source, infants)


_US = "seen: thesprucecrafts.com, Quick Reference Chart for Standard Mattress Sizes"
_US_LESS_COMMON = "seen: tourmalinethymequilts.com, Resizing your quilt"
_UK = "seen: Which? bed size guide (reprint); barkerandstonehouse.co.uk; soakandsleep.com"
_EURO = "seen: published guides to bed sizes, which of them is not noted"

# The region is part of the name: a king is 76 in wide in the US, 150 cm in the UK and 160 cm on the Continent, and
# what some UK shops call a queen is the small double.
MATTRESSES = (
    _inches("us-crib", "crib (US)", "28 x 52", "US", _US, infants=True),
    _inches("us-twin", "twin (US)", "39 x 75", "US", _US),
    _inches("us-twin-xl", "twin XL (US)", "39 x 80", "US", _US),
    _inches("us-full", "full (US)", "54 x 75", "US", _US),
    _inches("us-queen", "queen (US)", "60 x 80", "US", _US),
    _inches("us-king", "king (US)", "76 x 80", "US", _US),
    _inches("us-california-king", "California king (US)", "72 x 84", "US", _US),
    _inches("us-cot", "narrow cot (US)", "30 x 75", "US", _US_LESS_COMMON),
    _inches("us-full-xl", "full XL (US)", "54 x 80", "US", _US_LESS_COMMON),
    _inches("us-olympic-queen", "Olympic queen (US)", "66 x 80", "US", _US_LESS_COMMON),
    _cm("uk-cot-bed", "cot bed (UK)", "70 x 140", "UK", _UK, infants=True),
    _cm("uk-small-single", "small single (UK)", "75 x 190", "UK", _UK),
    _cm("uk-single", "single (UK)", "90 x 190", "UK", _UK),
    _cm("uk-small-double", "small double (UK)", "120 x 190", "UK", _UK),
    _cm("uk-double", "double (UK)", "135 x 190", "UK", _UK),
    _cm("uk-king", "king (UK)", "150 x 200", "UK", _UK),
    _cm("uk-super-king", "super king (UK)", "180 x 200", "UK", _UK),
    _cm("uk-emperor", "emperor (UK)", "200 x 200", "UK", _UK),
    _cm("euro-single", "single (Euro)", "90 x 200", "Euro", _EURO),
    _cm("euro-double", "double (Euro)", "140 x 200", "Euro", _EURO),
    _cm("euro-king", "king (Euro)", "160 x 200", "Euro", _EURO),
)
