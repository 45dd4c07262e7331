"""What looks the same wherever it stands."""

from dataclasses import dataclass, field

from markupsafe import Markup


@dataclass(frozen=True, slots=True)
class DrawnOnce:
    """A part of pages that remembers how it looks on them, so that many can have it (see `rendering`)."""

    drawn: dict[tuple, Markup] = field(default_factory=dict, init=False, repr=False, compare=False)
