"""How to wash a quilt, in words for sheets and labels, never in care symbols.

The symbols of ISO 3758 are trade marks that need a licence in most countries, and a gift needs no care label. Source:
seen, ginetex.net, Care labelling; from memory, 16 CFR 423, which covers goods that are sold.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from collection.records.quilt import Quilt
from collection.vocabulary.fibres import Material, is_none, materials
from collection.vocabulary.word_forms import phrase

# From the harshest to the gentlest. A gentler treatment is always allowed, so for several materials each step is the
# gentlest (seen: campbellscleaners1.com).
WASH = ("machine", "hand", "spot")
DRY = ("tumble", "no heat", "air", "flat")
IRON = ("warm", "cool", "none")


@dataclass(frozen=True, slots=True)
class Bears:
    """The harshest care that a material withstands: one step each of `WASH`, `DRY` and `IRON`. Bleach never.

    Words are singular, in lower case, as in `collection.vocabulary.fibres`.
    """

    words: frozenset[str]
    wash: str
    dry: str
    iron: str
    source: str
    dry_clean: bool = True


def _row(words: str, wash: str, dry: str, iron: str, source: str, *, dry_clean: bool = True) -> Bears:
    return Bears(frozenset(words.split()), wash, dry, iron, source, dry_clean)


TABLE = (
    _row(
        "cotton muslin calico batik homespun gingham chambray lawn voile gauze sateen percale", "machine", "tumble", "warm",
        "seen: label advice of qovf.org for cold, mild and low; oama.co; fabricandfibres.com",
    ),
    _row("flannel", "machine", "tumble", "warm", "seen: tallpaulstallmall.com: cold, line or tumble"),
    _row(
        "poplin broadcloth seersucker ticking chintz cheesecloth osnaburg madras dimity cambric cretonne shirting terry",
        "machine", "tumble", "warm", "common practice, no source: cotton, if nothing else is said",
    ),
    _row("denim corduroy canvas duck twill", "machine", "tumble", "warm", "common practice, no source"),
    _row("linen hemp", "machine", "air", "warm", "seen: fabricandfibres.com; shopsohoboutique.com; hemp from memory"),
    _row("polyester", "machine", "tumble", "cool", "seen: fabricandfibres.com: low heat, it melts"),
    _row("acrylic nylon", "machine", "no heat", "none", "from memory: both soften in less heat than polyester"),
    _row("jersey knit tshirt", "machine", "no heat", "cool", "common practice, no source"),
    _row(
        "minky fleece", "machine", "no heat", "none",
        "seen: softminkyblankets.com, magicalminkies.com: cold, no heat, no iron, no dry cleaning", dry_clean=False,
    ),
    _row("metallic lame lurex foil glitter", "hand", "flat", "none", "common practice, no source: heat and rubbing lift it off"),
    _row("sherpa microfibre spandex elastane lycra", "machine", "no heat", "none", "common practice, no source"),
    _row("rayon bamboo modal soy jute ramie burlap hessian", "hand", "flat", "cool", "common practice, no source: weak when wet, and shrinks"),
    _row(
        "wool alpaca cashmere mohair angora tweed worsted", "hand", "flat", "none",
        "seen: quilttrailswnc.org, flamentex.es: cool, by hand, flat; hot water and agitation felt it",
    ),
    _row("felt", "hand", "flat", "none", "common practice, no source: of wool, if nothing else is said"),
    _row("silk", "hand", "flat", "none", "seen: allbrands.com, hamelsthread.com: cool, by hand, no wringing, shade"),
    _row(
        "satin taffeta brocade damask organza organdy chiffon georgette tulle crepe lace eyelet chenille sari", "hand", "flat", "none",
        "common practice, no source: of several fibres, thin, or caught by the drum",
    ),
    _row("sequin sequined bead beaded beading beadwork rhinestone", "hand", "flat", "none", "common practice, no source"),
    _row("acetate triacetate", "hand", "flat", "none", "common practice, no source"),
    _row(
        "velvet velveteen velour", "spot", "flat", "none",
        "seen: rainbowhomefashion.com: by its label, blot rather than rub, away from heat",
    ),
    _row("leather suede vinyl oilcloth fur feather down", "spot", "flat", "none", "common practice, no source"),
    _row("antique vintage", "spot", "flat", "none", "seen: quiltmuseum.org/care: do not wash old quilts at home"),
)  # fmt: skip
ON_A_QUILT = frozenset(
    {
        "minky",
        "fleece",
        "wool",
        "alpaca",
        "cashmere",
        "mohair",
        "silk",
        "velvet",
        "velveteen",
        "velour",
        "lace",
        "leather",
    }
    | {"suede", "vinyl", "fur", "sequin", "sequined", "bead", "beaded", "beading", "beadwork", "rhinestone", "glitter"}
)
"""The words that name a material also among features and techniques. Others are ambiguous there: a feather is a
quilting design, satin a stitch, and vintage a print."""

UNKNOWN = Bears(frozenset(), "hand", "flat", "none", "derived: the gentlest wash with water")

_BY_WORD = {word: row for row in TABLE for word in row.words}
_EIGHTY_TWENTY = frozenset({"80", "20"})
"""Alone it is the usual batting of cotton and polyester. Source: seen: thequiltorchard.blogspot.com (2013)."""
_SAYS_NO_FIBRE = frozenset(
    {"embroidery", "applique", "thread", "scrim", "print", "printed", "solid", "trim", "border", "block", "binding"}
    | {"batting", "backing", "top", "loft", "low", "high", "thin", "thick", "prewashed", "organic", "recycled"}
)
_NOT_SAID = frozenset(
    {"unknown", "not", "known", "sure", "unsure", "recorded", "fabric", "cloth", "material", "mystery"}
)
_SOMETHING_ELSE = frozenset({"blend", "mix", "mixed", "mixture"})


@dataclass(frozen=True, slots=True)
class CareLine:
    """Care instructions in the order of a care label: washing, bleaching, drying, ironing, professional care.

    `full` is for a sheet; `short`, in two lines, for a label the size of a hand. Source of the order: seen,
    ASTM D5489-18, section 4.6.
    """

    full: str
    short: tuple[str, str]


_FULL = {
    "machine": "Machine wash cold, gentle, with a mild unscented detergent.",
    "hand": "Hand wash cold with a mild unscented detergent, without wringing.",
    "spot": "Do not wash it whole: spot clean by blotting with cool water, or ask a professional cleaner.",
    "tumble": "Tumble dry low, or line dry in the shade.",
    "no heat": "Line dry in the shade, or tumble dry without heat.",
    "air": "Line dry in the shade.",
    "flat": "Dry flat in the shade.",
    "warm": "Warm iron if needed.",
    "cool": "Cool iron if needed.",
    "none": "Do not iron.",
}
_SHORT = {
    "machine": "Machine wash cold, gentle.",
    "hand": "Hand wash cold.",
    "spot": "Spot clean only.",
    "tumble": "Tumble dry low or line dry.",
    "no heat": "Dry without heat.",
    "air": "Line dry in the shade.",
    "flat": "Dry flat in the shade.",
    "warm": "",
    "cool": "Cool iron.",
    "none": "Do not iron.",
}
FIRST_WASH = "Not washed yet: a colour catcher in the first wash, and dark colours by themselves."
"""Seen: label advice of qovf.org for the colour catcher; the rest common practice, no source."""


def care_line(quilt: Quilt) -> CareLine:
    """How to wash this quilt: each step as gentle as its most delicate material needs.

    If the fibre of a layer is not recorded or known, the line says so and gives the gentlest care. Cold water preserves
    colours in any cloth, so it is always right.
    """
    unknown = layers_of_unknown_fibre(quilt)
    not_recorded = tuple(layer for layer, text in _layers(quilt) if layer in unknown and _says_nothing(text))
    found = [*_of_layers(quilt), *_of_phrases((*quilt.features, *quilt.techniques)), *([UNKNOWN] if unknown else [])]
    wash, dry, iron = (
        max((getattr(each, step) for each in found), key=order.index)
        for step, order in (("wash", WASH), ("dry", DRY), ("iron", IRON))
    )
    words = [_FULL[wash], "No bleach.", _FULL[dry], _FULL[iron]]
    words += ["Do not dry clean."] if not all(each.dry_clean for each in found) else []
    if unknown:
        words.insert(0, f"{_unknown_words(quilt, unknown, not_recorded)}: ask its maker, or try a corner first.")
    if quilt.care is not None and quilt.care.washed is False and wash != "spot":
        words.append(FIRST_WASH)
    first, second = _SHORT[wash], " ".join(filter(None, (_SHORT[dry], _SHORT[iron])))
    if unknown:
        said = "Fibre not recorded." if not_recorded else "Fibre not known to us."
        return CareLine(" ".join(words), (f"{said} {first}", "No bleach. Dry flat. Do not iron."))
    return CareLine(" ".join(words), (f"{first} No bleach.", second))


def layers_of_unknown_fibre(quilt: Quilt) -> tuple[str, ...]:
    """The layers whose fibre is not recorded, or not known here; a layer recorded as absent counts as known."""
    return tuple(layer for layer, text in _layers(quilt) if text is None or not (is_none(text) or _is_known(text)))


def _layers(quilt: Quilt) -> Iterator[tuple[str, str | None]]:
    for layer in ("top", "backing", "batting"):
        yield layer, getattr(quilt.fibre, layer) if quilt.fibre else None


def _is_known(text: str) -> bool:
    """Whether care is known for everything that a layer is made of."""
    parts = materials(text)
    named = [part for part in parts if _rows(part)]
    others = [part for part in parts if not _rows(part)]
    return bool(named) and all(map(_is_whole, named)) and all(part.words <= _SAYS_NO_FIBRE for part in others)


def _is_whole(material: Material) -> bool:
    """Whether a material names all its fibres: a blend has to name more than one."""
    return not material.words & _SOMETHING_ELSE or len(material.fibres) > 1


def _of_layers(quilt: Quilt) -> Iterator[Bears]:
    for _, text in _layers(quilt):
        for material in materials(text) if text else ():
            yield from _rows(material)


def _rows(material: Material) -> list[Bears]:
    """The care for a material, by the fibres that it names and by the kind of cloth."""
    if _EIGHTY_TWENTY <= material.words and not material.fibres:
        return [_BY_WORD["cotton"], _BY_WORD["polyester"]]
    return [_BY_WORD[word] for word in sorted(material.words) if word in _BY_WORD]


def _of_phrases(phrases: Iterable[str]) -> Iterator[Bears]:
    for each in phrases:
        for material in materials(" ".join(sorted(phrase(each).says))):
            yield from (row for row in _rows(material) if row.words & material.words & ON_A_QUILT)


def _says_nothing(text: str | None) -> bool:
    """Whether a layer, or what its blend is made of, is not recorded."""
    return text is None or all(each.words <= _NOT_SAID or not _is_whole(each) for each in materials(text))


def _unknown_words(quilt: Quilt, unknown: tuple[str, ...], not_recorded: tuple[str, ...]) -> str:
    """`What the top is made of is not recorded, and its backing, glimmer, is not known to us`."""
    words = []
    if len(not_recorded) == 3:
        words.append("What it is made of is not recorded")
    elif not_recorded:
        verb = "is" if len(not_recorded) == 1 else "are"
        words.append(f"What the {' and the '.join(not_recorded)} {verb} made of is not recorded")
    for layer, text in _layers(quilt):
        if layer in unknown and layer not in not_recorded:
            words.append(f"{'its' if words else 'Its'} {layer}, {text}, is not known to us")
    return ", and ".join(words)
