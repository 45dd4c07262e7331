"""Collections to match: many quilts of every usual size, and the requests of many charities, drawn by chance."""

import random
from datetime import date
from fractions import Fraction
from pathlib import Path

from collection.records.collection import Collection
from collection.records.partner import Partner, Rules
from collection.records.quilt import Quilt
from collection.records.request import Request
from collection.values.dates import EdtfDate
from collection.values.lengths import Length, LengthRange, Size

TODAY = date(2026, 3, 1)

# Width and length about which quilts are made and asked for: the middles of the usual sizes.
USUAL = [
    (30, 34),
    (38, 46),
    (44, 44),
    (36, 50),
    (42, 54),
    (52, 64),
    (60, 72),
    (66, 88),
    (72, 90),
    (80, 92),
    (90, 100),
]
PEOPLE = ["babies", "children", "teens", "adults", "men", "women", "elders", "anyone"]
REFUSED = [
    "buttons",
    "minky",
    "tied",
    "rag edges",
    "beads",
    "flannel",
    "weighted",
    "smoke",
    "polyester",
    "fleece",
]


def a_large_collection(*, quilts: int, places: int, seed: int = 0) -> Collection:
    """So many quilts that look for a home, and requests of one to four lines until there are so many places."""
    chance = random.Random(seed)
    partners = [_partner(chance, number) for number in range(max(2, places // 40))]
    requests: list[Request] = []
    asked = 0
    while asked < places:
        request = _request(chance, len(requests), chance.choice(partners).id, places - asked)
        asked += sum(line.count for line in request.lines)
        requests.append(request)
    return Collection(
        folder=Path("nowhere"),
        quilts={quilt.id: quilt for quilt in (_quilt(chance, number) for number in range(quilts))},
        partners={partner.id: partner for partner in partners},
        requests={request.id: request for request in requests},
    )


def _eighths(chance: random.Random, middle: int, spread: float) -> Length:
    return Length(Fraction(max(40, round(8 * chance.gauss(middle, spread))), 8))


def _quilt(chance: random.Random, number: int) -> Quilt:
    width, length = chance.choice(USUAL)
    how = chance.choices(["domestic machine", "longarm", "hand", "tied", None], [50, 30, 8, 5, 7])[0]
    recorded = {
        "id": f"quilt-{number:05}",
        "title": f"Quilt {number}",
        "made": EdtfDate.parse(chance.choice([str(chance.randint(1985, 2026)), "201X", "199X"])),
        "finished_size": Size(_eighths(chance, width, 3), _eighths(chance, length, 3))
        if chance.random() < 0.97
        else None,
        "techniques": [chance.choice(["pieced", "strip pieced", "appliqué", "foundation pieced"])],
        "quilting": {"how": how} if how else None,
        "fibre": {
            "top": "cotton",
            "backing": chance.choices(["cotton", "flannel", "minky"], [85, 10, 5])[0],
            "batting": chance.choices(["cotton", "polyester", "wool", "80/20 cotton and polyester"], [70, 10, 5, 15])[
                0
            ],
        }
        if chance.random() < 0.9
        else None,
        "condition": chance.choice(["new", "good", "good", "fair", None]),
        "suits": chance.sample(PEOPLE, chance.randint(0, 2)),
        "care": {
            "washed": chance.choice([True, False, None]),
            "label": chance.choice([True, True, True, False, None]),
        },
        "destination": "free",
    }
    if chance.random() < 0.3:
        recorded["features"] = chance.sample(REFUSED, chance.randint(0, 2))
    return Quilt.model_validate({key: value for key, value in recorded.items() if value is not None})


def _partner(chance: random.Random, number: int) -> Partner:
    rules = Rules.model_validate(
        {
            "no": chance.sample(REFUSED, chance.randint(0, 3)),
            "needs": chance.choice([["label"], ["label", "washed"], ["label", "unwashed"], []]),
            "fibre": {"top": "cotton"},
        }
    )
    return Partner(id=f"charity-{number:03}", name=f"Charity {number}", rules=rules)


def _request(chance: random.Random, number: int, partner: str, most: int) -> Request:
    lines = []
    for line in range(chance.randint(1, 4)):
        width, length = chance.choice(USUAL)
        room = chance.choice([3, 5, 8])
        count = min(most, chance.randint(1, 12))
        if count < 1:
            break
        most -= count
        wanted = {
            "id": f"line-{line}",
            "count": count,
            "priority": chance.choice(["must", "wish"]),
            "shorter_side": LengthRange(Length(width - room), Length(width + room)),
            "longer_side": LengthRange(Length(length - room), Length(length + room)),
        }
        if chance.random() < 0.3:
            wanted["ideal"] = Size(Length(width), Length(length))
        if chance.random() < 0.4:
            wanted["suits"] = chance.sample(PEOPLE, 2)
        lines.append(wanted)
    needed = EdtfDate.parse(f"2026-{chance.randint(4, 12):02}-01")
    return Request.model_validate(
        {"id": f"request-{number:04}", "partner": partner, "needed_by": needed, "lines": lines}
    )
