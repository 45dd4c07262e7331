"""Groups handovers into batches: the quilts that one taker received on one day."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from collection.records.collection import Collection, inventory_order
from collection.records.destinations import Donated
from collection.records.quilt import Quilt
from collection.values.dates import EdtfDate


@dataclass(frozen=True, slots=True)
class Handed:
    """One quilt of a batch, and the donation in which it left; it may have come back since."""

    quilt: Quilt
    donation: Donated

    @property
    def meant_for(self) -> str | None:
        """The ID of the charity that it was meant for when it left, or None."""
        return self.donation.meant_for or self.donation.to


@dataclass(frozen=True, slots=True)
class Batch:
    """The quilts that one go-between, or a charity directly, received on one day; by number, then by title."""

    taker: str
    on: EdtfDate
    handed: tuple[Handed, ...]

    @property
    def number(self) -> str:
        """The number of this batch's sheet; the same on each printing."""
        return f"{self.taker}-{self.on.edtf.replace('/', '-')}"

    def holds(self, quilt_id: str) -> bool:
        return any(each.quilt.id == quilt_id for each in self.handed)


def find_batches(collection: Collection) -> tuple[Batch, ...]:
    """All batches, the earliest first. A quilt that left more than once is in a batch for each time."""
    gathered: dict[tuple[str, EdtfDate], dict[str, Handed]] = {}
    for quilt in collection.quilts.values():
        for donation in _donations(quilt):
            taker = donation.through or donation.to
            if taker is not None and donation.handed_over is not None:
                gathered.setdefault((taker, donation.handed_over), {})[quilt.id] = Handed(quilt, donation)
    found = (Batch(taker, on, _by_number(handed.values())) for (taker, on), handed in gathered.items())
    return tuple(sorted(found, key=lambda batch: (batch.on.sort_key, batch.taker)))


def _donations(quilt: Quilt) -> Iterator[Donated]:
    """A quilt's donations, former ones first, so that the current one replaces a former one of the same day."""
    return (each for each in (*quilt.history, quilt.destination) if isinstance(each, Donated))


def _by_number(handed: Iterable[Handed]) -> tuple[Handed, ...]:
    return tuple(sorted(handed, key=lambda each: inventory_order(each.quilt)))
