"""Packages, weights and what is left over, in the words of a shopping list."""

from fractions import Fraction

from catalog.units.quantities import write_count, write_mass
from optimizer.market.offers import US_UNITS, Offer
from optimizer.scenario.items import MASS_UNITS
from optimizer.scenario.records import Item


def system_of(offer: Offer) -> str:
    """Whether an offer is sold in pounds and ounces or in kilograms."""
    return "us" if offer.line.package.unit in US_UNITS else "metric"


def package_words(offer: Offer) -> str:
    """What one of it is: "19.2 oz", "1 dozen"; "by weight" of what is loose."""
    return "by weight" if offer.loose else offer.line.package.text


def count_words(offer: Offer, count: Fraction) -> str:
    """So many of it: "2 × 19.2 oz"; of what is sold by weight, the weight."""
    if offer.loose:
        return write_mass(count * offer.grams, system_of(offer))
    return f"{count} × {package_words(offer)}"


def price_words(offer: Offer) -> str:
    """Its price as the store puts it, in the scenario's currency: "2.49 for 1 lb", "1.89 per lb"."""
    if not offer.loose:
        return f"{offer.priced_at}"
    return f"{offer.priced_at} per {priced_unit(offer)}"


def priced_unit(offer: Offer) -> str:
    """What the store's price is for: "lb", "100 g", "19.2 oz"."""
    text = offer.line.package.text
    unit = text.removeprefix("1 ")
    return unit if offer.loose and unit.isalpha() else text


def left_words(item: Item, grams: Fraction) -> str:
    """What is left over, in the measure it is taken in where that is counted, else by weight."""
    if item.unit in MASS_UNITS:
        return write_mass(grams, "us" if item.unit in US_UNITS else "metric")
    count = grams / item.grams_per_unit
    if count.denominator in (1, 2, 4, 8) and item.unit not in ("tsp", "tbsp", "cup", "ml"):
        return write_count(count, item.unit)
    return write_mass(grams, "metric")
