"""A request as a charity printed it: its rules, and quilts just inside and just outside of each; how it is judged."""

from dataclasses import dataclass, field
from datetime import date

from collection.matching.rules import Judgement, judge
from collection.records.partner import Rules
from collection.records.quilt import Quilt

ON = date(2026, 4, 1)


@dataclass(frozen=True)
class Published:
    """A request: its rules, a quilt that they suit (the sizes in `inside` one after the other), and what is outside.

    `outside` has sizes with the words that the miss has to have; `refused` and `unrecorded` change one fact of the
    quilt: the first has to be missed with these words, the second to be checked in this field.
    """

    name: str
    source: str
    rules: dict
    inside: tuple[str, ...]
    outside: tuple[tuple[str, str], ...] = ()
    refused: tuple[tuple[dict, str], ...] = ()
    welcome: tuple[dict, ...] = ()
    unrecorded: tuple[tuple[str, str], ...] = ()
    quilt: dict = field(default_factory=dict)


COTTON = {"top": "cotton", "backing": "cotton", "batting": "cotton"}
SOUND = {
    "techniques": ["pieced"],
    "quilting": "domestic machine",
    "fibre": COTTON,
    "condition": "new",
    "suits": ["anyone"],
    "care": {"washed": True, "label": True},
    "household": {"smoke": False, "pets": False, "scent": False},
}
UNWASHED = {"care": {"washed": False, "label": True}}


def quilt_for(published: Published, size: str, *, without: str = "", **changes) -> Quilt:
    recorded = {"id": "a", "title": "A", "finished_size": size, **SOUND, **published.quilt, **changes}
    return Quilt.model_validate({name: value for name, value in recorded.items() if name != without})


def judged(published: Published, quilt: Quilt) -> Judgement:
    return judge(quilt, Rules.model_validate(published.rules), on=ON)
