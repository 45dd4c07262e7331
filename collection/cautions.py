"""What to mind before a quilt goes to a baby, a small child, a wheelchair user or a sensitive nose.

Notes for the giver and the go-between, not rules: each defers to the guidance that holds where the
quilt goes. A caution applies through the quilt's size category or a word among what it suits, and
where it names features, only if the quilt has one of those.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass

_BABIES = frozenset(
    {"baby", "babies", "infant", "infants", "newborn", "newborns", "preemie", "preemies", "nicu", "premature"}
)
_CHILDREN = _BABIES | {"child", "children", "kid", "kids", "toddler", "toddlers"}
_BABY_SIZES = frozenset({"preemie", "baby", "crib"})


@dataclass(frozen=True, slots=True)
class Caution:
    """One thing to mind, with when it applies: words are matched one by one, in small letters.

    The words are ones that mean nothing else on a quilt: not `charm`, a precut square, nor `lavender`, a
    colour. Empty `features` ask for none. Empty `categories` and `suits` together ask nothing of whom the quilt
    is for.
    """

    key: str
    sentence: str
    source: str
    categories: frozenset[str] = frozenset()
    suits: frozenset[str] = frozenset()
    features: frozenset[str] = frozenset()


CAUTIONS = (
    Caution(
        "infant sleep",
        "A quilt does not belong in the place where a baby under 12 months sleeps: it is for floor play, the "
        "pram or a cuddle while someone watches, and the local safe-sleep guidance has the last word.",
        "seen: abstract of the AAP statement on sleep-related infant deaths, Pediatrics 150(1) e2022057990; "
        "safesleep.mo.gov",
        categories=_BABY_SIZES,
        suits=_BABIES,
    ),
    Caution(
        "small parts",
        "Buttons, beads and other hard pieces can come off and be swallowed, so leave them off anything that "
        "may reach a child under three, and ask the charity, as many refuse them for any child.",
        "seen: cpsc.gov, small parts (16 CFR 1501), which excepts parts of cloth, yarn or string",
        categories=_BABY_SIZES,
        suits=_CHILDREN,
        features=frozenset(
            {"button", "buttons", "bead", "beads", "sequin", "sequins", "bell", "bells"}
            | {"snap", "snaps", "rhinestone", "rhinestones", "pompom", "pompoms", "zip", "zips", "zipper", "zippers"}
        ),
    ),
    Caution(
        "wheels",
        "On a wheelchair a quilt must stay clear of the wheels; ask the person or the care staff how long it "
        "may hang.",
        "seen: sheboyganquiltersguild.org (32-36 wide, 36-42 long); posts at quiltingboard.com",
        categories=frozenset({"wheelchair-lap"}),
        suits=frozenset({"wheelchair", "wheelchairs"}),
    ),
    Caution(
        "restraint",
        "Ties or straps round the waist may count as a restraint in a care home; ask the care staff before "
        "the quilt goes there.",
        "seen: posts at quiltingboard.com (t134577)",
        features=frozenset({"waist", "strap", "straps"}),
    ),
    Caution(
        "weighted",
        "A weighted quilt is not for babies or toddlers, and whoever lies under it must be able to take it off "
        "alone; ask those who care for the person what weight is right.",
        "seen: summaries of the AAP statement of 2022 for infants; pages of sellers and clinicians for the "
        "rest, not a standard",
        features=frozenset({"weighted"}),
    ),
    Caution(
        "scent and allergy",
        "Scent, smoke and pet hair trouble some people and make many charities refuse a quilt; say so when you "
        "offer it, and wash it without scent or softener.",
        "seen: projectlinusnky.org, projectlinusfl.org, touchinglittlelives.org",
        features=frozenset(
            {"scent", "scented", "perfume", "perfumed", "fragrance", "fragranced", "sachet", "sachets"}
            | {"softener", "smoke", "smoky", "smoking", "hair"}
        ),
    ),
)

_FREE_OF = frozenset({"no", "not", "non", "free", "without", "never"})


def cautions(
    category: str | None, *, features: Iterable[str] = (), suits: Iterable[str] = ()
) -> tuple[Caution, ...]:
    """The cautions that apply to a quilt of this size category with these features, for these people.

    `category` is the key of its box, None where the size is not known.
    """
    has, for_whom = _words(features), _words(suits)
    return tuple(
        caution
        for caution in CAUTIONS
        if (not caution.features or caution.features & has)
        and (
            not (caution.categories or caution.suits)
            or category in caution.categories
            or caution.suits & for_whom
        )
    )


def _words(phrases: Iterable[str]) -> frozenset[str]:
    """The single words of all phrases, without those that say what the quilt is free of."""
    split = (frozenset(re.findall(r"\w+", phrase.casefold())) for phrase in phrases)
    return frozenset().union(*(words for words in split if not words & _FREE_OF))
