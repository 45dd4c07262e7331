"""In which units and currency the bare numbers of a file are: as it says itself, else as what it belongs to says.

They are looked up in the data as read, before the record is known to be sound: what a wrong unit means is told
where it stands, and not with every length as well.
"""

from collections.abc import Mapping

from collection.currencies import DECIMALS
from collection.records.partner import Partner


def units_of(data: object, otherwise: str) -> str:
    """The units that a file gives for itself."""
    units = _field(data, "units")
    own = units.strip().lower() if isinstance(units, str) else None
    return own if own in ("in", "cm") else otherwise


def units_of_partner(data: object, partners: Mapping[str, Partner], otherwise: str) -> str:
    """The units of the partner that a request names: it writes sizes as it is used to."""
    name = _field(data, "partner")
    partner = partners.get(name) if isinstance(name, str) else None
    return (partner.units if partner else None) or otherwise


def currency_of(data: object) -> str | None:
    """The currency that the settings name, in which their own prices are; None where they name none."""
    currency = _field(data, "currency")
    code = currency.strip().upper() if isinstance(currency, str) else None
    return code if code in DECIMALS else None


def _field(data: object, name: str) -> object:
    return data.get(name) if isinstance(data, dict) else None
