"""The people whom a quilt is for: by its own record, and by the request, the charity and the person who get it.

This serves cautions only; `rules` has what matching judges by.
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
"""A request and one of its lines, None where nobody says which."""


@dataclass(frozen=True, slots=True)
class Statement:
    """What one record says: people, sizes by name, and words that only name a place or an occasion."""

    people: tuple[str, ...] = ()
    sizes: tuple[str, ...] = ()
    words: tuple[str, ...] = ()
    refused: tuple[str, ...] = ()

    def small_children(self) -> Said | None:
        """Whether it speaks of babies or toddlers. A word for a size or a place does not outweigh people of another
        age."""
        if self.names_small_children():
            return "yes"
        found = self._ages()
        if any(ages & SMALL for ages in found):
            return "yes" if self._names(self.sizes, _OF_SMALL_CHILDREN) else "perhaps"
        if found:
            return "no"
        return "yes" if self._names((*self.sizes, *self.words), _OF_SMALL_CHILDREN) else None

    def names_small_children(self) -> bool:
        """Whether it names babies or toddlers themselves, beside others or not."""
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
    """Whom a quilt is for: each chain runs from the nearest statement to the farthest, such as line, charity, and the
    charity of which that is a part."""

    chains: tuple[tuple[Statement, ...], ...]

    def small_children(self, size: Size | None) -> Said:
        """Whether babies or toddlers may get it. `yes` from any chain; what the nearest says comes before the farther,
        which leaves it open where it names small children and the nearer does not.

        Where people of other ages are named, its size says nothing. Where nobody is named, it may go to a baby if it is
        of a size that babies get.
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
        """What the recipients refuse."""
        return tuple(word for chain in self.chains for statement in chain for word in statement.refused)


def _nearest_of(chain: Iterable[Statement]) -> Said | None:
    """A nearer statement that names other people counts before a farther one; one that leaves babies open does not."""
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
    for infant loss; put together here.
    """
    short, long = size.shorter, size.longer
    return Length(18) <= short and (long <= Length(52) or (short <= Length(46) and long <= Length(60)))


# Where it is said ----------------------------------------------------------------------------------


def whom_by_its_own_record(quilt: Quilt) -> Whom:
    """By what may be public: the quilt's own word."""
    return Whom(((Statement(people=quilt.suits),),))


def whom(collection: Collection, quilt: Quilt, *, place: Place | None = None) -> Whom:
    """By all that the household knows: `place` is where a plan would send it, if it has no destination yet."""
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
    """What a charity says, and then those of which it is a part."""
    partner = collection.partners.get(partner_id)
    for each in (partner_id, *charities_above(partner, collection.partners)):
        known = collection.partners.get(each)
        if known is not None:
            rules: Rules = known.rules
            words = tuple(filter(None, (known.name, known.about)))
            yield Statement(rules.suits, rules.size, words, rules.no)
