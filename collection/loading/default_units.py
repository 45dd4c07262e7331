"""The default units and currency for bare numbers in a file: its own, else those of its partner or the settings.

They are read before the file is validated, so that a wrong unit is one problem, not one for each length.
"""

from collections.abc import Mapping
from typing import NotRequired, TypedDict

from collection.records.partner import Partner
from collection.values.currencies import DECIMALS


class Defaults(TypedDict):
    """What validation needs besides a file's data; `id` for a record whose ID is its file's name."""

    units: str
    currency: str | None
    id: NotRequired[str]


def units_of(data: object, otherwise: str) -> str:
    """The units that a file names, else `otherwise`."""
    units = _field(data, "units")
    own = units.strip().lower() if isinstance(units, str) else None
    return own if own in ("in", "cm") else otherwise


def units_of_partner(data: object, partners: Mapping[str, Partner], otherwise: str) -> str:
    """The units of the partner that a request names, else `otherwise`."""
    name = _field(data, "partner")
    partner = partners.get(name) if isinstance(name, str) else None
    return (partner.units if partner else None) or otherwise


def currency_of(data: object) -> str | None:
    """The currency that the settings name, for their own prices; None if they name none."""
    currency = _field(data, "currency")
    code = currency.strip().upper() if isinstance(currency, str) else None
    return code if code in DECIMALS else None


def _field(data: object, name: str) -> object:
    return data.get(name) if isinstance(data, dict) else None
