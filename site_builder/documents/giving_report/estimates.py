"""How estimates of materials are made, in words, with the prices that they are made from."""

from collections.abc import Iterator

from collection.giving.cost_estimates import TOP_WASTE
from collection.records.settings import Prices, Settings
from site_builder.text.wording import length_in


def estimate_words(settings: Settings) -> tuple[str, ...]:
    """The sentences next to an estimate; none where there is no price list."""
    if settings.prices is None:
        return ()
    prices = "; ".join(f"{term.lower()}: {words}" for term, words in price_words(settings.prices, settings.units))
    words = (
        f"Where no cost was recorded, it is estimated from the quilt's size and from the maker's price list: {prices}. "
        f"For a top, {float(TOP_WASTE):.0%} more cloth is counted than its area. An estimate is no record of what was "
        "paid, and is added to no recorded cost."
    )
    return (words,)


def price_words(prices: Prices, units: str) -> Iterator[tuple[str, str]]:
    """The entries of a price list, each with its price or width."""
    measure = "yard" if units == "in" else "metre"
    for part in ("top", "backing", "batting", "binding"):
        price = getattr(prices, part)
        if price is not None:
            yield part.title(), f"{price.say()} a {measure}"
    for package in prices.batting_packages:
        yield f"Batting, {package.size} package", package.price.say()
    for part in ("cloth", "backing", "batting"):
        width = getattr(prices, f"{part}_width")
        if width is not None:
            yield f"Width of {part}", length_in(width, units)
    if prices.noted:
        yield "Noted down", prices.noted.say()
