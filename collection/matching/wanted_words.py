"""Formats what rules require of a quilt and what they refuse, in a quilter's words."""

from collections.abc import Iterable, Iterator

from collection.matching.rule_vocabulary import Wanted, meaning_of, named_by_a_rule
from collection.quotes import listed

_HOMES = {"smoking home": "smoke-free", "pets": "pet-free"}


def wanted_words(needs: Iterable[str], no: Iterable[str]) -> Iterator[str]:
    """The words under `needs` and `no` as a few phrases.

    >>> list(wanted_words(["label", "washed"], ["buttons", "tied", "beads", "pets"]))
    ['must be washed and have a label', 'no buttons or beads', 'not tied', 'from a pet-free home']
    """
    wanted = [each for word in needs for each in Wanted.each_of(word, under="needs")]
    wanted += [each for word in no for each in Wanted.each_of(word, under="no")]
    to_be: list[str] = []
    to_have: list[str] = []
    others: list[str] = []
    things: list[str] = []
    qualities: list[str] = []
    homes: list[str] = []
    for each in dict.fromkeys(wanted):
        row = meaning_of(each.word)
        if row.decided_by == "anything":
            others.append("washed or unwashed")
        elif each.refused and each.word in _HOMES:
            homes.append(_HOMES[each.word])
        elif each.refused:
            (qualities if row.is_quality else things).append(row.in_a_list or row.word)
        elif row.is_quality:
            to_be.append(row.word)
        elif named_by_a_rule(each.word) and row.having.startswith("it has "):
            to_have.append(row.having.removeprefix("it has "))
        else:
            others.append(f"needs {row.word}")
    if to_be or to_have:
        both = ", and " if len(to_be) > 1 else " and "
        yield "must " + both.join(
            f"{verb} {listed(words)}" for verb, words in (("be", to_be), ("have", to_have)) if words
        )
    yield from others
    if things:
        yield f"no {listed(things, 'or')}"
    if qualities:
        yield f"not {listed(qualities, 'or')}"
    if homes:
        yield f"from a {listed(homes)} home"
