"""Cautions before a quilt is given to a baby, a small child, a wheelchair user or somebody sensitive to scent.

Notes for the giver and the go-between, not rules: each defers to local guidance, which differs between countries. Which
cautions apply depends on whom the quilt is for (`whom`) and what is on it.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Literal, assert_never

from collection.care.who_for import Place, Whom, whom, whom_by_its_own_record
from collection.records.collection import Collection
from collection.records.quilt import Quilt
from collection.vocabulary.word_forms import phrase


@dataclass(frozen=True, slots=True)
class Caution:
    """One caution, and when it applies.

    `if_so` is the sentence used if the quilt may be for such people, but no record says so. The words of `features` are
    singular, in lower case, and unambiguous on a quilt: not `charm`, a precut square, nor `lavender`, a colour. With
    empty `features` the caution applies whatever is on the quilt.
    """

    key: str
    sentence: str
    source: str
    whom: Literal["small children", "wheelchairs", "refusers", "anybody"]
    features: frozenset[str] = frozenset()
    if_so: str | None = None


_SLEEP = (
    "a quilt does not belong in the place where a baby under 12 months sleeps: it is for floor play, the "
    "pram or a cuddle while someone watches, and the local safe-sleep guidance has the last word."
)
_SMALL_PARTS = (
    "Buttons, beads and other hard pieces can come off and be swallowed, so leave them off anything that "
    "may reach a child under three, and ask the charity, as many refuse them for any child."
)

CAUTIONS = (
    Caution(
        "infant sleep",
        f"A{_SLEEP[1:]}",
        "seen: abstract of the AAP statement on sleep-related infant deaths, Pediatrics 150(1) e2022057990, and "
        "safesleep.mo.gov (US); the Lullaby Trust's Product Guide, copied (UK: no quilts, though a thin blanket that is "
        "tucked in is accepted, healthysandwell.co.uk); thesleepstore.co.nz (NZ: no quilts up to one year)",
        "small children",
        if_so=f"If it goes to a baby: {_SLEEP}",
    ),
    Caution(
        "small parts",
        _SMALL_PARTS,
        "seen: cpsc.gov, small parts (16 CFR 1501), which excepts parts of cloth, yarn or string",
        "small children",
        features=frozenset(
            {"button", "bead", "beaded", "beading", "beadwork", "sequin", "sequined", "bell", "snap", "popper", "stud"}
            | {
                "rhinestone",
                "pompom",
                "pom",
                "zip",
                "zipper",
                "toggle",
                "buckle",
                "magnet",
                "rivet",
                "grommet",
                "jewel",
            }
        ),
        if_so=_SMALL_PARTS,
    ),
    Caution(
        "wheels",
        "On a wheelchair a quilt must stay clear of the wheels; ask the person or the care staff how long it may hang.",
        "seen: sheboyganquiltersguild.org (32-36 wide, 36-42 long); posts at quiltingboard.com",
        "wheelchairs",
    ),
    Caution(
        "restraint",
        "Ties or straps round the waist may count as a restraint in a care home; ask the care staff before "
        "the quilt goes there.",
        "seen: posts at quiltingboard.com (t134577)",
        "anybody",
        features=frozenset({"waist", "strap"}),
    ),
    Caution(
        "weighted",
        "A weighted quilt is never for a baby, nor for a child under three without a therapist's advice, and whoever "
        "lies under it must be able to take it off alone; ask those who care for the person what weight is right.",
        "seen: summaries of the AAP statement of 2022 and a CPSC commissioner's statement of 15 April 2024 for infants; "
        "pages of sellers and clinicians for the rest (ages from 2 to 4; three of them say 3), not a standard",
        "anybody",
        features=frozenset({"weighted"}),
    ),
    Caution(
        "scent and allergy",
        "Scent, smoke and pet hair trouble some people and make many charities refuse a quilt; say so when you "
        "offer it, and if you wash it, use neither scent nor softener.",
        "seen: projectlinusnky.org, projectlinusfl.org, touchinglittlelives.org",
        "refusers",
        features=frozenset(
            {"scent", "scented", "perfume", "perfumed", "fragrance", "fragranced", "sachet"}
            | {"softener", "smoke", "smoky", "smoking", "hair"}
        ),
    ),
)


def cautions(
    collection: Collection, quilt: Quilt, *, publicly: bool = False, place: Place | None = None
) -> tuple[Caution, ...]:
    """The cautions that apply to a quilt; `publicly`: from its public facts only; `place`: its place in a plan."""
    for_whom = whom_by_its_own_record(quilt) if publicly else whom(collection, quilt, place=place)
    has = _words(_said_of(quilt))
    found = (_applied(caution, collection, quilt, has, for_whom) for caution in CAUTIONS)
    return tuple(caution for caution in found if caution)


def _applied(
    caution: Caution, collection: Collection, quilt: Quilt, has: frozenset[str], for_whom: Whom
) -> Caution | None:
    """The caution, with the sentence for what is known; None if it does not apply."""
    on_it = not caution.features or bool(caution.features & has)
    match caution.whom:
        case "anybody":
            applies = on_it
        case "refusers":
            applies = on_it or bool(caution.features & _words(for_whom.refused))
        case "wheelchairs":
            named = for_whom.wheelchairs() or "wheelchair" in has
            applies = named or _is_of_a_wheelchairs_size(collection, quilt, for_whom)
        case "small children":
            said = for_whom.small_children(quilt.finished_size) if on_it else "no"
            if said == "perhaps" and caution.if_so:
                return replace(caution, sentence=caution.if_so)
            applies = said != "no"
        case _:
            assert_never(caution.whom)
    return caution if applies else None


def _is_of_a_wheelchairs_size(collection: Collection, quilt: Quilt, for_whom: Whom) -> bool:
    """Whether its size is that of wheelchair quilts. Baby quilts may have that size too: if it may be one, only the
    main category counts."""
    category = collection.category(quilt)
    if category is None:
        return False
    called = {"no": (category.box, *category.also), "perhaps": (category.box,), "yes": ()}
    return "wheelchair-lap" in {box.key for box in called[for_whom.small_children(quilt.finished_size)]}


def _said_of(quilt: Quilt) -> Iterable[str]:
    """All fields of the record that may name what is on the quilt."""
    fibre = quilt.fibre
    layers = (fibre.top, fibre.backing, fibre.batting) if fibre else ()
    return filter(None, (*quilt.features, *quilt.techniques, *layers))


def _words(phrases: Iterable[str]) -> frozenset[str]:
    """The words of all phrases, without those that are denied (`no buttons`)."""
    return frozenset().union(*(phrase(each).says for each in phrases))


@dataclass(frozen=True, slots=True)
class Reminder:
    """A caution's sentence, and the quilts that it concerns: their titles and, for programs, their IDs."""

    sentence: str
    quilts: tuple[str, ...]
    ids: tuple[str, ...]

    def say(self) -> str:
        return f"Mind: {self.sentence} ({'; '.join(self.quilts)})"


def minds(collection: Collection, quilts: Iterable[tuple[Quilt, Place | None]]) -> tuple[Reminder, ...]:
    """The cautions on several quilts as reminders, each once. A quilt comes with its place in a plan, if any."""
    found: dict[str, list[Quilt]] = {}
    for quilt, place in quilts:
        for caution in cautions(collection, quilt, place=place):
            found.setdefault(caution.sentence, []).append(quilt)
    return tuple(
        Reminder(sentence, tuple(quilt.title for quilt in about), tuple(quilt.id for quilt in about))
        for sentence, about in found.items()
    )
