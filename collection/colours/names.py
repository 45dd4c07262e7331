"""Names a fabric's colour with the eleven basic colour terms.

A colour gets the term of the nearest of many named colours. A colour between two terms, such as teal, has both: it is
named by the first, and found under either.

Source of the terms: B. Berlin, P. Kay, Basic Color Terms, 1969; the list as confirmed in N. Al-Rasheed, Psychology 5,
2014.
"""

import math
from bisect import bisect_left, bisect_right
from collections.abc import Iterable
from functools import lru_cache
from typing import Literal, NamedTuple

from collection.colours.spaces import (
    MOST_LIGHTNESS_WEIGHT,
    RGB,
    Lab,
    ciede2000,
    lab_from_srgb,
    least_ciede2000,
    parse_hex,
)

Term = Literal["red", "orange", "yellow", "green", "blue", "purple", "pink", "brown", "black", "grey", "white"]
TERMS: tuple[Term, ...] = (
    "red",
    "orange",
    "yellow",
    "green",
    "blue",
    "purple",
    "pink",
    "brown",
    "black",
    "grey",
    "white",
)
Shares = tuple[tuple[str, float], ...]

# The weights of the two terms of a colour between them.
FIRST, SECOND = 2 / 3, 1 / 3
LEAST_SHARE = 0.03


class Named(NamedTuple):
    """A colour with its name in a survey, on the web or in fabric, and its one or two terms."""

    hex: str
    name: str
    terms: tuple[Term, ...]
    source: str


def _rows(source: str, *rows: str) -> tuple[Named, ...]:
    """Parse rows such as `#rrggbb name: term` or `#rrggbb name: term, term`."""
    named = []
    for row in rows:
        colour, _, rest = row.partition(" ")
        name, _, terms = rest.partition(": ")
        named.append(Named(colour, name, tuple(terms.split(", ")), source))  # type: ignore[arg-type]
    return tuple(named)


# Source: the colour survey of the XKCD web comic, 2010, its colours for the eleven terms (seen, in the table
# of a plotting library).
_SURVEY = _rows(
    "colour survey",
    "#000000 black: black",
    "#ffffff white: white",
    "#e50000 red: red",
    "#15b01a green: green",
    "#ffff14 yellow: yellow",
    "#0343df blue: blue",
    "#653700 brown: brown",
    "#7e1e9c purple: purple",
    "#ff81c0 pink: pink",
    "#f97306 orange: orange",
    "#929591 grey: grey",
)

# Source: the colours are from CSS Color Module Level 4, section 6.1 (a test compares them with coloraide); the terms
# are our own judgement, for fabric: what CSS calls brown is barn red to a quilter.
_SCREEN = _rows(
    "CSS, terms our own",
    "#fffafa snow: white",
    "#fffff0 ivory: white",
    "#faf0e6 linen: white",
    "#fff5ee seashell: white",
    "#fdf5e6 oldlace: white",
    "#faebd7 antiquewhite: white",
    "#f5f5f5 whitesmoke: white",
    "#f8f8ff ghostwhite: white",
    "#f5fffa mintcream: white",
    "#f0f8ff aliceblue: white",
    "#fffaf0 floralwhite: white",
    "#f5f5dc beige: white",
    "#fff8dc cornsilk: white",
    "#f0fff0 honeydew: white",
    "#f0ffff azure: white",
    "#fff0f5 lavenderblush: white",
    "#ffefd5 papayawhip: white",
    "#ffebcd blanchedalmond: white",
    "#dcdcdc gainsboro: white",
    "#d3d3d3 lightgrey: white, grey",
    "#c0c0c0 silver: grey",
    "#a9a9a9 darkgrey: grey",
    "#808080 grey: grey",
    "#696969 dimgrey: grey",
    "#708090 slategrey: grey, blue",
    "#778899 lightslategrey: grey, blue",
    "#2f4f4f darkslategrey: grey, green",
    "#0000ff blue: blue",
    "#0000cd mediumblue: blue",
    "#00008b darkblue: blue",
    "#000080 navy: blue",
    "#191970 midnightblue: blue",
    "#4169e1 royalblue: blue",
    "#4682b4 steelblue: blue",
    "#6495ed cornflowerblue: blue",
    "#1e90ff dodgerblue: blue",
    "#00bfff deepskyblue: blue",
    "#87cefa lightskyblue: blue",
    "#87ceeb skyblue: blue",
    "#add8e6 lightblue: blue",
    "#b0e0e6 powderblue: blue",
    "#b0c4de lightsteelblue: blue",
    "#5f9ea0 cadetblue: blue, green",
    "#008080 teal: blue, green",
    "#008b8b darkcyan: blue, green",
    "#00ffff cyan: blue",
    "#40e0d0 turquoise: blue, green",
    "#48d1cc mediumturquoise: blue, green",
    "#00ced1 darkturquoise: blue, green",
    "#afeeee paleturquoise: blue, green",
    "#e0ffff lightcyan: blue, white",
    "#008000 green: green",
    "#00ff00 lime: green",
    "#228b22 forestgreen: green",
    "#006400 darkgreen: green",
    "#2e8b57 seagreen: green",
    "#3cb371 mediumseagreen: green",
    "#00ff7f springgreen: green",
    "#98fb98 palegreen: green",
    "#90ee90 lightgreen: green",
    "#8fbc8f darkseagreen: green",
    "#6b8e23 olivedrab: green",
    "#808000 olive: green",
    "#556b2f darkolivegreen: green",
    "#9acd32 yellowgreen: green",
    "#7fff00 chartreuse: green",
    "#adff2f greenyellow: green, yellow",
    "#32cd32 limegreen: green",
    "#00fa9a mediumspringgreen: green",
    "#7fffd4 aquamarine: green, blue",
    "#66cdaa mediumaquamarine: green",
    "#20b2aa lightseagreen: green, blue",
    "#bdb76b darkkhaki: green, yellow",
    "#ffff00 yellow: yellow",
    "#ffd700 gold: yellow",
    "#f0e68c khaki: yellow",
    "#eee8aa palegoldenrod: yellow",
    "#fffacd lemonchiffon: yellow, white",
    "#fafad2 lightgoldenrodyellow: white, yellow",
    "#ffffe0 lightyellow: white, yellow",
    "#daa520 goldenrod: yellow, brown",
    "#b8860b darkgoldenrod: brown, yellow",
    "#8b4513 saddlebrown: brown",
    "#a0522d sienna: brown",
    "#cd853f peru: brown",
    "#d2691e chocolate: brown, orange",
    "#d2b48c tan: brown",
    "#deb887 burlywood: brown",
    "#f5deb3 wheat: brown, yellow",
    "#bc8f8f rosybrown: pink, brown",
    "#a52a2a brown: red",
    "#ffa500 orange: orange",
    "#ff8c00 darkorange: orange",
    "#ff7f50 coral: orange, pink",
    "#ffa07a lightsalmon: orange, pink",
    "#e9967a darksalmon: orange, pink",
    "#f4a460 sandybrown: orange, brown",
    "#ffdab9 peachpuff: orange, pink",
    "#ffdead navajowhite: orange, yellow",
    "#ff4500 orangered: orange, red",
    "#ff0000 red: red",
    "#dc143c crimson: red",
    "#b22222 firebrick: red",
    "#8b0000 darkred: red",
    "#800000 maroon: red",
    "#cd5c5c indianred: red, pink",
    "#ff6347 tomato: red, orange",
    "#ffc0cb pink: pink",
    "#ffb6c1 lightpink: pink",
    "#ff69b4 hotpink: pink",
    "#ff1493 deeppink: pink",
    "#db7093 palevioletred: pink",
    "#c71585 mediumvioletred: pink, purple",
    "#ffe4e1 mistyrose: pink",
    "#fa8072 salmon: pink, orange",
    "#ff00ff fuchsia: pink, purple",
    "#800080 purple: purple",
    "#4b0082 indigo: purple, blue",
    "#8a2be2 blueviolet: purple",
    "#9400d3 darkviolet: purple",
    "#9932cc darkorchid: purple",
    "#8b008b darkmagenta: purple",
    "#ba55d3 mediumorchid: purple",
    "#9370db mediumpurple: purple",
    "#663399 rebeccapurple: purple",
    "#6a5acd slateblue: purple, blue",
    "#483d8b darkslateblue: blue, purple",
    "#e6e6fa lavender: purple, white",
    "#d8bfd8 thistle: purple",
    "#dda0dd plum: purple, pink",
    "#da70d6 orchid: purple, pink",
    "#ee82ee violet: purple, pink",
)

# Our own judgement, no source: colours of cloth in photos, with the names that quilters use.
_FABRIC = _rows(
    "our own judgement",
    "#f3ead3 cream: white",
    "#efe3c8 muslin: white",
    "#e9dfc9 unbleached: white",
    "#e6e0d6 white in shade: white",
    "#dcd6cc off-white in shade: white",
    "#e3e6e8 white in cool light: white",
    "#d8dde4 white in open shade: white",
    "#e2dfe8 white in evening shade: white",
    "#e4d6bb ecru: white, brown",
    "#c9c5bf dove: grey, white",
    "#b0a699 stone: grey, brown",
    "#8f8a85 warm grey: grey",
    "#5b5f63 pewter: grey",
    "#4a4b4d charcoal: grey, black",
    "#36383b dark charcoal: black, grey",
    "#b9c0c4 cool grey: grey",
    "#1a1a1a ink: black",
    "#262528 faded black: black",
    "#1c1715 brown black: black",
    "#14141f blue black: black",
    "#1f2a44 navy cotton: blue",
    "#202f55 dark indigo: blue",
    "#2b3a67 indigo cloth: blue",
    "#2f4f8f delft: blue",
    "#4a6484 denim: blue",
    "#7d93ab faded denim: blue, grey",
    "#a3b6cc chambray: blue",
    "#c3d9ea baby blue: blue",
    "#dbe9f2 ice blue: blue, white",
    "#1d4f5f petrol: blue, green",
    "#10484c dark teal: green, blue",
    "#2f7f86 teal cloth: blue, green",
    "#6fb7b7 aqua: blue, green",
    "#a8d5cf pale aqua: green, blue",
    "#12372a bottle green: green",
    "#2a4d35 hunter green: green",
    "#4b5320 army green: green",
    "#6b7045 moss: green",
    "#9caf88 sage: green",
    "#c5cdb4 pale sage: green, grey",
    "#7f8f74 dusty green: green, grey",
    "#c2e5cf mint: green",
    "#c9d6a0 celery: green",
    "#a5b042 pear: green",
    "#3f6f5a pine: green",
    "#029386 green teal: green, blue",
    "#f6e58d butter: yellow",
    "#f4e9a3 primrose: yellow",
    "#e9c46a maize: yellow",
    "#d4a017 mustard: yellow, brown",
    "#e8c21c sunflower: yellow",
    "#a67c1e dark mustard: brown, yellow",
    "#f2d16b straw: yellow",
    "#3e2a1e chocolate cloth: brown",
    "#4b3621 coffee: brown",
    "#2e211b espresso: brown, black",
    "#5c4433 walnut: brown",
    "#7a5230 chestnut: brown",
    "#9a5b34 cinnamon: brown",
    "#c19a6b camel: brown",
    "#cdb891 sand: brown",
    "#d9c9a8 oat: brown, white",
    "#b7a57a khaki cloth: brown, green",
    "#8b7d6b taupe: brown, grey",
    "#6f6257 dark taupe: brown, grey",
    "#a68a6d mocha: brown",
    "#a8441c rust: orange, brown",
    "#c1531b burnt orange: orange",
    "#d9661f pumpkin: orange",
    "#e39a2d cheddar: orange, yellow",
    "#f28500 tangerine: orange",
    "#f7b27a apricot: orange",
    "#f8c9a3 peach: orange, pink",
    "#d98452 terracotta: orange, brown",
    "#9e1b1e turkey red: red",
    "#b3272d barn red in sun: red",
    "#6d1a2c burgundy: red, purple",
    "#5a1a24 wine: red, purple",
    "#7a2a24 brick: red, brown",
    "#9f1d3a cranberry: red",
    "#c8322f poppy: red",
    "#d64545 washed red: red",
    "#f3d5cf blush: pink",
    "#f9e3e0 shell pink: pink, white",
    "#c78f93 dusty rose: pink",
    "#e7b3b7 rose: pink",
    "#b3245b raspberry: pink, red",
    "#f59bb5 bubble gum: pink",
    "#d9667f double pink: pink",
    "#e8867f watermelon: pink, red",
    "#b38aa0 mauve: purple, pink",
    "#c8a8d8 lilac: purple",
    "#9a86a8 heather: purple",
    "#75607f dusty purple: purple",
    "#3d1f3d aubergine: purple",
    "#3b2360 deep violet: purple",
    "#5f3a6e plum cloth: purple",
    "#8f99d9 periwinkle: blue, purple",
    "#d9d0e6 pale lilac: purple",
    "#8c5c5c dark dusty rose: pink, brown",
    "#7a3f42 marsala: red, brown",
    "#5c3d40 fig: brown, purple",
    "#a5786a clay: brown, pink",
    "#4a1f10 mahogany: brown, red",
    "#2a0d0a dark mahogany: brown, black",
    "#6a5a14 bronze: brown, green",
    "#a85d86 dark mauve: pink, purple",
    "#66104a beetroot: purple, pink",
    "#86386a mulberry: purple, pink",
    "#584a59 dark heather: purple, grey",
    "#7779a6 dusty periwinkle: blue, purple",
    "#8859a6 iris: purple",
    "#3b97b5 lagoon: blue",
    "#10283c night blue: blue",
    "#0e3a16 spruce: green",
    "#22260f black green: green, black",
    "#0c1a0e dark black green: black, green",
    "#7aa85c grass: green",
    "#a8981a old moss: green, yellow",
    "#4a4a3a lichen: grey, green",
    "#d8f5a2 lettuce: green",
    "#b89cf2 soft violet: purple, blue",
    "#c8a898 pale clay: brown, pink",
    "#3f1728 black cherry: red, purple",
)

NAMED_COLOURS: tuple[Named, ...] = _SURVEY + _SCREEN + _FABRIC
_PLACES: tuple[Lab, ...] = tuple(lab_from_srgb(parse_hex(named.hex)) for named in NAMED_COLOURS)
_BY_LIGHTNESS = sorted(range(len(_PLACES)), key=lambda at: _PLACES[at].lightness)
_LIGHTNESSES = [_PLACES[at].lightness for at in _BY_LIGHTNESS]
# The rounding errors of the bound and the formula differ by far less than this.
_ROUNDING = 1e-9


def nearest_named(colour: RGB | str) -> Named:
    """The named colour that is most similar to this one, by CIEDE2000."""
    return _nearest(parse_hex(colour) if isinstance(colour, str) else colour)


@lru_cache(maxsize=4096)
def _nearest(colour: RGB) -> Named:
    """The colour with the least difference, the first of equals. A bound skips most of the slow computations of the
    formula."""
    place = lab_from_srgb(colour)
    at_hand = min(range(len(_PLACES)), key=lambda at: math.dist(_PLACES[at], place))
    nearest = (ciede2000(_PLACES[at_hand], place), at_hand)
    reach = MOST_LIGHTNESS_WEIGHT * nearest[0] + _ROUNDING
    darkest = bisect_left(_LIGHTNESSES, place.lightness - reach)
    lightest = bisect_right(_LIGHTNESSES, place.lightness + reach)
    for at in _BY_LIGHTNESS[darkest:lightest]:
        if least_ciede2000(_PLACES[at], place) <= nearest[0] + _ROUNDING:
            nearest = min(nearest, (ciede2000(_PLACES[at], place), at))
    return NAMED_COLOURS[nearest[1]]


def colour_shares(samples: Iterable[tuple[RGB, float]], *, least: float = LEAST_SHARE) -> Shares:
    """The basic terms in weighted samples of colour, most frequent first, with their shares of the whole.

    A colour between two terms counts towards both. Terms with less than `least` of the whole are left out.
    Weights are in any unit, zero or more (else ValueError). No weight at all gives no shares.

    >>> colour_shares([((0, 0, 128), 3), ((243, 234, 211), 1)])
    (('blue', 0.75), ('white', 0.25))
    """
    sums = dict.fromkeys(TERMS, 0.0)
    for colour, weight in sorted(samples):
        if weight < 0:
            raise ValueError("a sample cannot weigh less than nothing")
        terms = nearest_named(colour).terms
        parts = (1.0,) if len(terms) == 1 else (FIRST, SECOND)
        for term, part in zip(terms, parts, strict=True):
            sums[term] += weight * part
    total = sum(sums.values())
    if not total:
        return ()
    shares = ((term, round(amount / total, 4)) for term, amount in sums.items() if amount / total >= least)
    return tuple(sorted(shares, key=lambda entry: (-entry[1], TERMS.index(entry[0]))))


def terms_of_word(word: str) -> tuple[Term, ...]:
    """The basic terms for a maker's word for a colour; none for an unknown word.

    Of several words, the last known one counts, as in `dark olive green`.

    >>> terms_of_word("Navy"), terms_of_word("teal"), terms_of_word("pale butter"), terms_of_word("gaudy")
    (('blue',), ('blue', 'green'), ('yellow',), ())
    """
    words = word.lower().replace("-", " ").replace("gray", "grey").split()[-_LONGEST_NAME:]
    for start in range(len(words)):
        for known in ("".join(words[start:]), " ".join(words[start:])):
            if known in _TERMS_BY_NAME:
                return _TERMS_BY_NAME[known]
    return ()


# A basic term means itself, whatever a table of named colours says.
_TERMS_BY_NAME: dict[str, tuple[Term, ...]] = {
    **{named.name: named.terms for named in reversed(NAMED_COLOURS)},
    **{term: (term,) for term in TERMS},
}
# A name has no more words than letters.
_LONGEST_NAME = max(map(len, _TERMS_BY_NAME))
