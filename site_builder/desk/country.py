"""The country of this machine by its environment, used only to suggest a currency and units."""

import os
from typing import Literal

from collection.values.currency_by_country import country_of

Category = Literal["LC_MONETARY", "LC_MEASUREMENT"]


def country_here(category: Category) -> str | None:
    """The country whose money or measures this machine uses; None if it is not set."""
    named = next(filter(None, (os.environ.get(name) for name in ("LC_ALL", category, "LANG"))), "")
    return country_of(named)


def country_of_reader(accepted: str, category: Category) -> str | None:
    """The same; if the machine has none, the country of the first language that a browser accepts.

    >>> country_of_reader("en-NZ,en;q=0.9", "LC_MONETARY") in ("NZ", country_here("LC_MONETARY"))
    True
    """
    languages = (part.partition(";")[0] for part in accepted.split(","))
    return country_here(category) or next(filter(None, map(country_of, languages)), None)
