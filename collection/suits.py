"""Who would enjoy a quilt: the words that makers and charities use, and which of them overlap."""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from collection.plain_words import words_of

Agreement = Literal["the same", "overlapping", "different", "unknown"]


@dataclass(frozen=True, slots=True)
class Group:
    """Some people by a word of the trade, and the ages and kinds that the word takes in."""

    name: str
    takes_in: frozenset[str]
    other_names: tuple[str, ...] = ()


def _group(name: str, takes_in: str, *other_names: str) -> Group:
    return Group(name, frozenset(takes_in.split()), other_names)


# Common practice, no source: charities set no limits of age in common, so a group takes in what the word
# usually does, and two groups that share anyone overlap.
GROUPS = (
    _group("babies", "baby", "infants", "newborns", "preemies", "premature babies"),
    _group("toddlers", "small-child", "small children"),
    _group("children", "small-child boy girl", "kids", "child"),
    _group("boys", "boy"),
    _group("girls", "girl"),
    _group("teens", "teen", "teenagers", "youth", "youths", "young people", "adolescents"),
    _group("adults", "man woman elder", "grown-ups", "grown ups", "parents", "veterans", "patients"),
    _group("men", "man elder", "gentlemen"),
    _group("women", "woman elder", "ladies", "mothers"),
    _group("elders", "elder", "seniors", "elderly", "older people", "old people", "residents"),
    _group("families", "baby small-child boy girl teen man woman elder"),
)
EVERYONE = (
    "anyone",
    "anybody",
    "everyone",
    "everybody",
    "all",
    "all ages",
    "any age",
    "unisex",
    "gender neutral",
)

_BY_WORDS = {words_of(name): group for group in GROUPS for name in (group.name, *group.other_names)}
_EVERYONE = frozenset(words_of(name) for name in EVERYONE)


def agreement(quilt: Iterable[str], wanted: Iterable[str]) -> Agreement:
    """How those who would enjoy a quilt agree with those whom it is wanted for.

    Words that are no group's agree with themselves only; where nothing but such words stands against others,
    nobody can tell.

    >>> agreement(["teens", "men"], ["adults"]), agreement(["babies"], ["teens"]), agreement(["a gardener"], ["men"])
    ('overlapping', 'different', 'unknown')
    """
    return _agreement(tuple(quilt), tuple(wanted))


@lru_cache(maxsize=10_000)
def _agreement(quilt: tuple[str, ...], wanted: tuple[str, ...]) -> Agreement:
    ours, theirs = (frozenset(_meaning(word) for word in words) for words in (quilt, wanted))
    if theirs & _EVERYONE or ours & theirs:
        return "the same"
    if not ours or not theirs:
        return "unknown"
    if ours & _EVERYONE:
        return "overlapping"
    our_people, their_people = (
        frozenset().union(*(each.takes_in for each in words if isinstance(each, Group)))
        for words in (ours, theirs)
    )
    if our_people & their_people:
        return "overlapping"
    return "different" if our_people and their_people else "unknown"


def _meaning(word: str) -> Group | frozenset[str]:
    words = words_of(word)
    return _BY_WORDS.get(words, words)
