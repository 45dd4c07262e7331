"""Reduces many samples of colour to a few typical ones, to draw with a quilt's own colours."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache

from collection.colours.names import Shares
from collection.colours.spaces import RGB, OKLab, oklab_from_srgb, parse_hex, write_hex

MOST_COLOURS = 6
# Distances in OKLab, by our own judgement: shades of one cloth are closer than the first.
ONE_CLOTH = 0.07
LEAST_SHARE = 0.02
ROUNDS = 16


@dataclass(frozen=True, slots=True)
class _Sample:
    colour: RGB
    place: OKLab
    weight: float


_Group = list[_Sample]


def palette(samples: Iterable[tuple[RGB, float]], *, most: int = MOST_COLOURS) -> Shares:
    """At most `most` colours of the samples as `#rrggbb`, most frequent first, with shares that add up to 1.

    Each represents the similar samples. Weights are in any unit, zero or more (else ValueError); no weight
    at all gives no colours. The same samples in another order give the same palette.

    >>> palette([((31, 42, 68), 3), ((30, 40, 70), 1), ((243, 234, 211), 4)])
    (('#1f2a44', 0.5), ('#f3ead3', 0.5))
    """
    weighed = _weighed(samples)
    if not weighed:
        return ()
    groups = _settled(_far_apart(weighed, most), weighed)
    groups = _without_doubles(groups)
    total = sum(_weight(group) for group in groups)
    groups = [group for group in groups if _weight(group) >= LEAST_SHARE * total] or groups
    kept = sum(_weight(group) for group in groups)
    shares = ((write_hex(_most_typical(group).colour), round(_weight(group) / kept, 4)) for group in groups)
    return tuple(sorted(shares, key=lambda entry: (-entry[1], entry[0])))


def _weighed(samples: Iterable[tuple[RGB, float]]) -> _Group:
    """One sample for each colour, heaviest first."""
    weights: dict[RGB, list[float]] = {}
    for colour, weight in samples:
        if weight < 0:
            raise ValueError("a sample cannot weigh less than nothing")
        weights.setdefault(colour, []).append(weight)
    merged = (_Sample(colour, oklab_from_srgb(colour), math.fsum(each)) for colour, each in weights.items())
    return sorted((one for one in merged if one.weight), key=lambda one: (-one.weight, one.colour))


def _far_apart(samples: _Group, most: int) -> list[OKLab]:
    """The initial centres of groups: the heaviest sample, then each time the one that counts most by weight and distance."""
    places = [samples[0].place]
    while len(places) < most:
        distances = [min(math.dist(one.place, place) for place in places) for one in samples]
        at = max(range(len(samples)), key=lambda n: samples[n].weight * distances[n] ** 2)
        if max(distances) < ONE_CLOTH or not distances[at]:
            break
        places.append(samples[at].place)
    return places


def _settled(places: Sequence[OKLab], samples: _Group) -> list[_Group]:
    """Assign each sample to its nearest centre, and move each centre to the mean of its samples, until nothing changes."""
    groups: list[_Group] = []
    for _ in range(ROUNDS):
        groups = [[] for _ in places]
        for one in samples:
            groups[min(range(len(places)), key=lambda n: math.dist(one.place, places[n]))].append(one)
        groups = [group for group in groups if group]
        middles = [_middle(group) for group in groups]
        if middles == list(places):
            break
        places = middles
    return groups


def _without_doubles(groups: list[_Group]) -> list[_Group]:
    """Merge groups that are shades of one cloth."""
    groups = list(groups)
    while len(groups) > 1:
        middles = [_middle(group) for group in groups]
        pairs = ((a, b) for a in range(len(groups)) for b in range(a + 1, len(groups)))
        first, second = min(pairs, key=lambda pair: math.dist(middles[pair[0]], middles[pair[1]]))
        if math.dist(middles[first], middles[second]) >= ONE_CLOTH:
            break
        groups[first] = groups[first] + groups.pop(second)
    return groups


def _most_typical(group: _Group) -> _Sample:
    middle = _middle(group)
    return min(group, key=lambda one: (math.dist(one.place, middle), one.colour))


def _middle(group: _Group) -> OKLab:
    weight = _weight(group)
    return OKLab(*(math.fsum(one.weight * one.place[axis] for one in group) / weight for axis in range(3)))


def _weight(group: _Group) -> float:
    return math.fsum(one.weight for one in group)


def liveliest(colours: Sequence[str]) -> tuple[str, ...]:
    """Sort colours (`#rrggbb`) by chroma in OKLab, the most colourful first.

    >>> liveliest(["#dddddd", "#1f2a44", "#e0b040"])
    ('#e0b040', '#1f2a44', '#dddddd')
    """
    return tuple(sorted(colours, key=lambda colour: (-_chroma(colour), colour)))


# A quilt's few colours are needed wherever it is drawn.
@lru_cache(maxsize=4096)
def _chroma(colour: str) -> float:
    place = oklab_from_srgb(parse_hex(colour))
    return round(math.hypot(place.a, place.b), 6)
