"""The people whom a quilt is for, from its record, and from the request, charity or person that it is meant for.

Only for cautions; matching judges by `collection/matching/rules.py`.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Literal

from collection.records.collection import Collection, charities_above
from collection.records.destinations import Donated, Gifted, Promised
from collection.records.partner import Rules
from collection.records.quilt import Quilt
from collection.records.request import Request
from collection.values.lengths import Length, Size
from collection.vocabulary.audience import ages_in
from collection.vocabulary.word_forms import phrase

Said = Literal["yes", "perhaps", "no"]

SMALL = frozenset({"baby", "toddler"})

# Words by which people name a place or an occasion rather than a child. Common practice, no source. `cot` is not among
# them: in some countries it is a camp bed.
_OF_SMALL_CHILDREN = frozenset(
    {"baby", "infant", "newborn", "toddler", "preemie", "premature", "preterm", "nicu", "neonatal", "neonate"}
    | {"incubator", "isolette", "maternity", "crib", "birth", "christening", "baptism"}
)
_OF_WHEELCHAIRS = frozenset({"wheelchair"})

Place = tuple[str, str | None]
"""A request ID and the ID of one of its lines; None if the line is not known."""


@dataclass(frozen=True, slots=True)
class Statement:
    """What one record says: people, named sizes, words for a place or an occasion, and what it refuses."""

    people: tuple[str, ...] = ()
    sizes: tuple[str, ...] = ()
    words: tuple[str, ...] = ()
    refused: tuple[str, ...] = ()

    def small_children(self) -> Said | None:
        """Whether it mentions babies or toddlers; None if it says nothing. People of another age outweigh words for a
        size or a place."""
        if self.names_small_children():
            return "yes"
        found = self._ages()
        if any(ages & SMALL for ages in found):
            return "yes" if self._names(self.sizes, _OF_SMALL_CHILDREN) else "perhaps"
        if found:
            return "no"
        return "yes" if self._names((*self.sizes, *self.words), _OF_SMALL_CHILDREN) else None

    def names_small_children(self) -> bool:
        """Whether it names babies or toddlers explicitly, alone or among others."""
        return self._names(self.people, _OF_SMALL_CHILDREN) or any(ages <= SMALL for ages in self._ages())

    def _ages(self) -> list[frozenset[str]]:
        return [ages for said in self.people for ages in ages_in(phrase(said).says)]

    def wheelchairs(self) -> bool:
        return self._names((*self.people, *self.sizes, *self.words), _OF_WHEELCHAIRS)

    @staticmethod
    def _names(phrases: Iterable[str], words: frozenset[str]) -> bool:
        return any(phrase(each).says & words for each in phrases)


@dataclass(frozen=True, slots=True)
class Whom:
    """Whom a quilt is for: each chain runs from the most specific statement to the most general, such as line,
    charity, and its parent organisation."""

    chains: tuple[tuple[Statement, ...], ...]

    def small_children(self, size: Size | None) -> Said:
        """Whether babies or toddlers may get it. One chain with `yes` decides. In a chain the more specific statement
        wins; if only a more general one names small children, the answer is `perhaps`.

        If people of other ages are named, the size does not count. If nobody is named, a quilt of a baby's size may be
        for a baby.
        """
        found = [_nearest_of(chain) for chain in self.chains]
        if "yes" in found:
            return "yes"
        if any(statement.names_small_children() for chain in self.chains for statement in chain):
            return "perhaps"
        if "no" in found:
            return "no"
        if size is None:
            return "perhaps" if "perhaps" in found else "no"
        return "perhaps" if is_of_a_babys_size(size) else "no"

    def wheelchairs(self) -> bool:
        return any(statement.wheelchairs() for chain in self.chains for statement in chain)

    @property
    def refused(self) -> tuple[str, ...]:
        """The words that the recipients refuse."""
        return tuple(word for chain in self.chains for statement in chain for word in statement.refused)


def _nearest_of(chain: Iterable[Statement]) -> Said | None:
    """The answer of a chain: the most specific yes or no; after a `perhaps` only a yes counts."""
    answer: Said | None = None
    for statement in chain:
        said = statement.small_children()
        if said == "yes" or (said == "no" and answer is None):
            return said
        if said == "no":
            break
        answer = answer or said
    return answer


def is_of_a_babys_size(size: Size) -> bool:
    """Whether quilts of this size are made for babies.

    Source: seen: baby 36 x 36 to 52 x 52 (thequiltinggarden, 2010), crib to 45 x 60 and 46 x 51 (five pages of sizes;
    wellingtonquilters.org.nz, 2024), at least 20 x 20 (a post at forum.missouriquiltco.com on a charity); 18 squares
    for infant loss; combined here.
    """
    short, long = size.shorter, size.longer
    return Length(18) <= short and (long <= Length(52) or (short <= Length(46) and long <= Length(60)))


# Where it is said ----------------------------------------------------------------------------------


def whom_by_its_own_record(quilt: Quilt) -> Whom:
    """Whom a quilt is for, from its own record: what may be public."""
    return Whom(((Statement(people=quilt.suits),),))


def whom(collection: Collection, quilt: Quilt, *, place: Place | None = None) -> Whom:
    """Whom a quilt is for, from all records; `place` is its place in a plan, if it has no destination yet."""
    chains: list[tuple[Statement, ...]] = [(Statement(people=quilt.suits),)]
    destination = quilt.destination
    partners: dict[str | None, None] = {}
    if isinstance(destination, Promised | Donated):
        place = place or ((destination.request, destination.line) if destination.request else None)
        partners[destination.to] = None
        set_aside_for = None
        if isinstance(destination, Donated):
            partners[destination.meant_for] = None
            set_aside_for = destination.set_aside_for
        if place is None and not any(partners):
            partners[destination.through] = None
        chains.append((Statement(words=tuple(filter(None, (destination.note, set_aside_for)))),))
    elif isinstance(destination, Gifted):
        words = (destination.to, destination.occasion, destination.note)
        chains.append((Statement(people=tuple(filter(None, words))),))
    if place is not None and (request := collection.requests.get(place[0])) is not None:
        chains.append(tuple(_of_request(collection, request, place[1])))
        partners.pop(request.partner, None)  # its line names it already
    chains += [tuple(_of_partner(collection, partner)) for partner in partners if partner]
    return Whom(tuple(chains))


def _of_request(collection: Collection, request: Request, line: str | None) -> Iterator[Statement]:
    asked = request.line(line) if line else None
    lines = [asked] if asked else request.lines
    yield Statement(
        people=tuple(word for line in lines for word in line.suits),
        sizes=tuple(word for line in lines for word in line.size),
        words=tuple(filter(None, (text for line in lines for text in (line.id, line.note)))),
        refused=tuple(word for line in lines for word in line.no),
    )
    yield Statement(words=(request.id,))
    yield from _of_partner(collection, request.partner)


def _of_partner(collection: Collection, partner_id: str) -> Iterator[Statement]:
    """What a charity says, then what its parent organisations say."""
    partner = collection.partners.get(partner_id)
    for each in (partner_id, *charities_above(partner, collection.partners)):
        known = collection.partners.get(each)
        if known is not None:
            rules: Rules = known.rules
            words = tuple(filter(None, (known.name, known.about)))
            yield Statement(rules.suits, rules.size, words, rules.no)
