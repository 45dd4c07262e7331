"""How estimates of materials are made, in words, with the prices that they are made from."""

from collections.abc import Iterator

from collection.material_estimates import TOP_WASTE
from collection.records.settings import Prices, Settings
from site_builder.words import listed


def estimate_words(settings: Settings) -> tuple[str, ...]:
    """What is said wherever an estimate stands; nothing where there is no price list."""
    if settings.prices is None:
        return ()
    noted = f", noted down {settings.prices.noted.say()}" if settings.prices.noted else ""
    return (
        "Where no cost was recorded, it is estimated from the quilt's size and from the maker's price list"
        f"{noted}: {listed(list(_prices(settings.prices, settings.units)))}. "
        f"A top is reckoned with {float(TOP_WASTE):.0%} more than its area. An estimate is no record of what was paid, and is "
        "added to no recorded cost.",
    )


def _prices(prices: Prices, units: str) -> Iterator[str]:
    measure = "yard" if units == "in" else "metre"
    for part in ("top", "backing", "batting", "binding"):
        price = getattr(prices, part)
        if price is not None:
            yield f"{part} {price.say()} a {measure}"
    for package in prices.batting_packages:
        yield f"a {package.size} package of batting {package.price.say()}"
