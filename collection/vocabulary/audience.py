"""Who would enjoy a quilt: the words that makers and charities use for groups of people, and how the groups overlap."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import product
from typing import Literal

from collection.vocabulary.word_forms import phrase, words_of

Agreement = Literal["the same", "among them", "overlapping", "different", "unknown"]

COMMON_PRACTICE = "common practice, no source"

_Person = tuple[str, str]
"""An age and a sex."""


@dataclass(frozen=True, slots=True)
class Group:
    """A group of people, by the word that makers and charities use.

    `ages` are those that the word includes, `perhaps` those that only some charities include; `sexes` holds both if the
    word says nothing. `kind` is what distinguishes them from others of their age, such as having served.
    """

    name: str
    ages: str
    other_names: tuple[str, ...] = ()
    perhaps: str = ""
    sexes: str = "female male"
    kind: str = ""
    source: str = COMMON_PRACTICE

    @property
    def people(self) -> frozenset[_Person]:
        return frozenset(product(self.ages.split(), self.sexes.split()))

    @property
    def at_most(self) -> frozenset[_Person]:
        """The people of the group, including those who are only perhaps in it."""
        return self.people | frozenset(product(self.perhaps.split(), self.sexes.split()))


AGES = ("baby", "toddler", "child", "teen", "adult", "elder")
# Baby is under 1, toddler 1 and 2, child up to 12, teen from 13. Where a source sets a limit, it is named; charities
# set their own, so that a quilt for the wider group always has to be checked.
GROUPS = (
    Group(
        "babies",
        "baby",
        ("infants", "newborns", "neonates", "babes"),
        source="seen: AAP, Pediatrics 150(1), 2022: an infant is under 12 months",
    ),
    Group("preemies", "baby", ("premature babies", "preterm babies", "nicu babies"), kind="born early"),
    Group(
        "toddlers",
        "toddler",
        ("small children", "young children", "tots"),
        source="seen: cpsc.gov on small parts: children under 3 are a group of their own",
    ),
    Group(
        "children",
        "baby toddler child",
        ("kids", "kiddies", "youngsters"),
        perhaps="teen",
        source="seen: jdsupra.com on US law: a children's product is for those of 12 or younger; from memory: UN "
        "Convention on the Rights of the Child, article 1: everyone below 18",
    ),
    Group("little ones", "baby toddler", ("littles", "wee ones", "little children"), perhaps="child"),
    Group("boys", "baby toddler child", ("lads",), perhaps="teen", sexes="male"),
    Group("girls", "baby toddler child", ("lasses",), perhaps="teen", sexes="female"),
    Group("school children", "child", ("schoolchildren", "tweens", "preteens"), perhaps="teen"),
    Group("teens", "teen", ("teenagers", "youth", "young people", "adolescents")),
    Group("young adults", "adult", ("students", "care leavers"), perhaps="teen"),
    Group("adults", "adult elder", ("grown-ups",)),
    Group("men", "adult elder", ("gentlemen",), sexes="male"),
    Group("women", "adult elder", ("ladies",), sexes="female"),
    Group("parents", "adult", ("caregivers", "carers"), perhaps="elder", kind="parent"),
    Group("mothers", "adult", ("mums", "moms"), sexes="female", kind="parent"),
    Group("fathers", "adult", ("dads",), sexes="male", kind="parent"),
    Group("grandparents", "elder", perhaps="adult", kind="grandparent"),
    Group("grandmothers", "elder", ("grandmas", "grannies"), perhaps="adult", sexes="female", kind="grandparent"),
    Group("grandfathers", "elder", ("grandpas", "grandads"), perhaps="adult", sexes="male", kind="grandparent"),
    Group("elders", "elder", ("seniors", "elderly", "aged", "pensioners", "retirees", "senior citizens")),
    Group("residents", "elder", ("nursing home residents", "care home residents"), perhaps="adult", kind="in care"),
    Group(
        "veterans",
        "adult elder",
        kind="served",
        source="from memory: 38 USC 101(2): who served in the armed forces, which takes adults",
    ),
    Group("service members", "adult", ("soldiers", "troops"), kind="serving"),
    Group("patients", "adult elder", perhaps="baby toddler child teen", kind="ill"),
    Group("families", "baby toddler child teen adult elder"),
)
EVERYONE = ("anyone", "anybody", "everyone", "everybody", "all", "all ages", "any age", "unisex", "gender neutral")


# Words before people who may have several ages: `elderly people`, `baby girls`. The ages, then those that may be
# meant. Common practice, no source.
_OF_AGE = {
    "baby infant newborn": ("baby", ""),
    "toddler": ("toddler", ""),
    "little small": ("baby toddler", "child"),
    "teen teenage teenaged adolescent": ("teen", ""),
    "adult grown": ("adult elder", ""),
    "older old elderly aged senior": ("elder", ""),
}
_BOTH = "female male"
_OF_ANY_AGE = {
    "people folk one": _BOTH,
    "boy": "male",
    "girl": "female",
    "man gentleman male": "male",
    "woman lady female": "female",
    "adult resident patient citizen": _BOTH,
}


def _of_an_age() -> Iterator[tuple[frozenset[str], Group]]:
    for (before, (ages, perhaps)), (behind, sexes) in product(_OF_AGE.items(), _OF_ANY_AGE.items()):
        for one, other in product(before.split(), behind.split()):
            if one != other:
                yield frozenset((one, other)), Group(f"{one} {other}", ages, perhaps=perhaps, sexes=sexes)


_BY_WORDS = dict(_of_an_age()) | {
    words_of(name): group for group in GROUPS for name in (group.name, *group.other_names)
}
_EVERYONE = frozenset(words_of(name) for name in EVERYONE)


def agreement(quilt: Iterable[str], wanted: Iterable[str]) -> Agreement:
    """How the people who would enjoy a quilt agree with the people whom a charity wants it for.

    A quilt for babies is also for children, as babies are children; whether one for children suits babies has to be
    checked (`overlapping`). Words for no known group match only themselves; if only such words are compared with
    others, the answer is unknown.

    >>> agreement(["babies"], ["children"]), agreement(["children"], ["babies"]), agreement(["babies"], ["teens"])
    ('among them', 'overlapping', 'different')
    """
    return _agreement(tuple(quilt), tuple(wanted))


@lru_cache(maxsize=10_000)
def _agreement(quilt: tuple[str, ...], wanted: tuple[str, ...]) -> Agreement:
    ours, theirs = (frozenset(map(_meaning, words)) for words in (quilt, wanted))
    if theirs & _EVERYONE or ours & theirs:
        return "the same"
    if not ours or not theirs:
        return "unknown"
    if ours & _EVERYONE:
        return "among them"
    return _agreement_of_groups(_groups(ours), _groups(theirs))


def _groups(meanings: Iterable[Group | frozenset[str]]) -> list[Group]:
    return [each for each in meanings if isinstance(each, Group)]


def _agreement_of_groups(ours: Sequence[Group], theirs: Sequence[Group]) -> Agreement:
    if any(_is_among(group, theirs) for group in ours):
        return "among them"
    if any(mine.at_most & its.at_most for mine in ours for its in theirs):
        return "overlapping"
    return "different" if ours and theirs else "unknown"


def _is_among(group: Group, others: Iterable[Group]) -> bool:
    """Are all people of a group in the others? Those certainly in the group must certainly be in the others."""
    alike = [other for other in others if set(other.kind.split()) <= set(group.kind.split())]
    people = frozenset().union(*(other.people for other in alike))
    at_most = frozenset().union(*(other.at_most for other in alike))
    return group.people <= people and group.at_most <= at_most


def _meaning(word: str) -> Group | frozenset[str]:
    """The group that a word or a phrase names. A longer phrase such as `foster children` gives a group of that age and a
    kind of its own. The words themselves if it names no group or several, or excludes people."""
    words = words_of(word)
    if words in _BY_WORDS or words in _EVERYONE:
        return _BY_WORDS.get(words, words)
    named = _longest_named(words)
    if len(named) != 1 or phrase(word).denies or any(each in _NARROWING or each.isdigit() for each in words):
        return words
    return replace(_BY_WORDS[named[0]], kind=" ".join((_BY_WORDS[named[0]].kind, *sorted(words - named[0]))))


_NARROWING = words_of("over under above below between than but except only from to up age aged year month to no")
"""A phrase with one of these words sets its own limits."""


def _longest_named(words: frozenset[str]) -> tuple[frozenset[str], ...]:
    """The groups named in words; if one name contains another, only the longer counts."""
    named = [each for each in _BY_WORDS if each <= words]
    return tuple(each for each in named if not any(each < other for other in named))


@lru_cache(maxsize=10_000)
def ages_in(words: frozenset[str]) -> tuple[frozenset[str], ...]:
    """The ages that each group named in a phrase may include; empty if it names nobody of a known age.

    If the name of one group contains another, the longer counts: `school children` are not all children.

    >>> [sorted(ages) for ages in ages_in(words_of("mothers with their babies"))]
    [['baby'], ['adult']]
    """
    longest = _longest_named(words)
    if not longest and words in _EVERYONE:
        return (frozenset(AGES),)
    return tuple(frozenset(age for age, _ in _BY_WORDS[named].at_most) for named in longest)
