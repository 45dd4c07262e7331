"""What a layer is made of: finds the cloths in the words of a record, and the usual fibre of each."""

import re
from dataclasses import dataclass
from functools import lru_cache

from collection.vocabulary.word_forms import words_of

COMMON_PRACTICE = "common practice, no source"


@dataclass(frozen=True, slots=True)
class Cloth:
    """A kind of cloth, and the fibre that its name alone usually means."""

    name: str
    fibre: str
    other_names: tuple[str, ...] = ()
    source: str = COMMON_PRACTICE


FIBRES = (
    "cotton",
    "linen",
    "wool",
    "silk",
    "polyester",
    "bamboo",
    "hemp",
    "rayon",
    "acrylic",
    "nylon",
    "soy",
    "alpaca",
)
OTHER_NAMES = {
    "poly": "polyester",
    "polycotton": "polyester",
    "flax": "linen",
    "viscose": "rayon",
    "lyocell": "rayon",
    "tencel": "rayon",
    "cupro": "rayon",
    "lambswool": "wool",
    "merino": "wool",
    "polyamide": "nylon",
}

CLOTHS = (
    Cloth("flannel", "cotton", ("flannelette",)),
    Cloth("muslin", "cotton"),
    Cloth("calico", "cotton"),
    Cloth("batik", "cotton"),
    Cloth("homespun", "cotton"),
    Cloth("gingham", "cotton"),
    Cloth("chambray", "cotton"),
    Cloth("denim", "cotton"),
    Cloth("corduroy", "cotton"),
    Cloth("lawn", "cotton"),
    Cloth("voile", "cotton"),
    Cloth("gauze", "cotton"),
    Cloth("sateen", "cotton"),
    Cloth("percale", "cotton"),
    Cloth("minky", "polyester", ("minkee", "cuddle", "plush")),
    Cloth("fleece", "polyester"),
    Cloth("poplin", "cotton"),
    Cloth("broadcloth", "cotton"),
    Cloth("seersucker", "cotton"),
    Cloth("ticking", "cotton"),
    Cloth("chintz", "cotton"),
    Cloth("cheesecloth", "cotton"),
    Cloth("osnaburg", "cotton"),
    Cloth("madras", "cotton"),
    Cloth("dimity", "cotton"),
    Cloth("cambric", "cotton"),
    Cloth("cretonne", "cotton"),
    Cloth("shirting", "cotton"),
    Cloth("terry", "cotton", ("terrycloth", "towelling", "toweling")),
    Cloth("tweed", "wool"),
    Cloth("worsted", "wool"),
    Cloth("sherpa", "polyester"),
    Cloth("microfibre", "polyester", ("microfiber",)),
)

_NONE = frozenset({"none", "no", "nothing"})
_MIXED = frozenset({"blend", "mix", "mixed", "mixture", "polycotton"})
"""Words for a mixture: the record does not say what else it contains."""


@dataclass(frozen=True, slots=True)
class Material:
    """A material of a layer. `fibres` are those that are certain.

    `sure`: it contains no other fibres.
    """

    words: frozenset[str]
    fibres: frozenset[str]
    sure: bool


def is_none(text: str) -> bool:
    """Does a record say that there is no such layer, as in `batting: none`?"""
    words = words_of(text)
    return bool(words) and words <= _NONE


@lru_cache(maxsize=10_000)
def materials(text: str) -> tuple[Material, ...]:
    """The materials of a layer; empty for `none`.

    >>> [sorted(each.fibres) for each in materials("80/20 cotton and polyester")]
    [['cotton'], ['polyester']]
    """
    if is_none(text):
        return ()
    parts = re.split(r"\band\b|\bwith\b|\bor\b|\bplus\b|[,;+&]|/(?![0-9])", text)
    return tuple(_material(words) for words in map(words_of, parts) if words)


def is_made_of(text: str, allowed: str) -> bool | None:
    """Is a layer made only of what is allowed (`any` allows all)? None if its words do not say.

    >>> is_made_of("muslin", "cotton"), is_made_of("80/20 cotton and polyester", "cotton"), is_made_of("velvet", "cotton")
    (True, False, None)
    """
    wanted = _canonical(words_of(allowed)) - _NUMBERS_AND_PURE
    if is_none(text):
        return is_none(allowed)
    if not wanted:
        return True
    answers = [_is_only(material, wanted) for material in materials(text)]
    return False if False in answers else None if None in answers else True


def holds(text: str, word: str) -> bool | None:
    """Does a layer contain a cloth or a fibre? None if its words do not say.

    >>> holds("minky", "polyester"), holds("cotton", "flannel"), holds("cotton blend", "polyester")
    (True, False, None)
    """
    wanted = _canonical(words_of(word))
    answers = [_holds(material, wanted) for material in materials(text)]
    return True if True in answers else None if None in answers else False


_NUMBERS_AND_PURE = frozenset({"pure", "all", "only", "new", "quality", "organic", "percent"} | {"100", "100%"})
_FIBRE_OF = {name: cloth.fibre for cloth in CLOTHS for name in (cloth.name, *cloth.other_names)}
_CLOTH_NAMES = {name: cloth.name for cloth in CLOTHS for name in cloth.other_names}


def _canonical(words: frozenset[str]) -> frozenset[str]:
    return frozenset(OTHER_NAMES.get(word) or _CLOTH_NAMES.get(word, word) for word in words)


def _material(words: frozenset[str]) -> Material:
    canonical = _canonical(words)
    named = canonical & frozenset(FIBRES)
    # A named fibre takes precedence over the usual fibre of a cloth: `cotton sateen`, `wool flannel`.
    fibres = named or frozenset(_FIBRE_OF[word] for word in canonical if word in _FIBRE_OF)
    return Material(canonical, fibres, bool(fibres) and not words & _MIXED)


def _is_only(material: Material, wanted: frozenset[str]) -> bool | None:
    cloths = wanted - frozenset(FIBRES)
    if material.fibres - wanted and not material.words & cloths:
        return False
    if material.words & _MIXED:
        return False
    if material.fibres and material.fibres <= wanted or material.words & cloths:
        return True
    return None


def _holds(material: Material, wanted: frozenset[str]) -> bool | None:
    if wanted <= material.words | material.fibres:
        return True
    if wanted <= frozenset(FIBRES):
        return False if material.sure else None
    return False
