"""Reads what `--sweep` asks for: "chicken-heart=1.00..4.00/lb", "taurine-powder@Mail order=5..20"."""

import re
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from catalog.mistakes import Mistake, did_you_mean
from catalog.units.quantities import QuantityError, read_quantity, with_number
from optimizer.errors import InputErrors
from optimizer.market.offers import Offer
from optimizer.market.sweep import PriceRange
from optimizer.scenario.records import NoSuchMeasure, grams_of

ALLOWED = 'FOOD=LOW..HIGH/UNIT, such as "chicken-heart=1.00..4.00/lb"; FOOD@STORE=… for one store\'s price'
_SWEEP = re.compile(
    r"([^=@]+)(?:@([^=]+))?=\s*([0-9]+(?:\.[0-9]+)?)\s*\.\.\s*([0-9]+(?:\.[0-9]+)?)(?:\s*(?:/|per )\s*(.+))?"
)


def read_price_range(text: str, offers: Sequence[Offer]) -> PriceRange:
    """The price that is varied. Without a unit it is that of a package, or of what the store's price is for.

    Raises InputErrors.
    """
    match = _SWEEP.fullmatch(" ".join(text.split()))
    if match is None:
        raise _wrong(repr(text), ALLOWED)
    food, store, low, high, unit = match.groups()
    sold = [offer for offer in offers if offer.food.id == food.strip()]
    if not sold:
        known = {offer.food.id for offer in offers}
        raise _wrong(repr(food), "a food on sale that may be bought", did_you_mean(food, known))
    if store:
        here = [offer for offer in sold if offer.store.casefold() == store.strip().casefold()]
        if not here:
            raise _wrong(repr(store), "a store that sells it: " + ", ".join(dict.fromkeys(o.store for o in sold)))
        sold = here
    if Fraction(low) >= Fraction(high):
        raise _wrong(f"{low}..{high}", "a lower price and a higher one")
    price_range = PriceRange(
        food.strip() + (f" at {sold[0].store}" if store else ""), "", tuple(sold), Fraction(low), Fraction(high)
    )
    if unit is None or unit.strip() == "package":
        sizes = {offer.priced_grams for offer in sold}
        if len(sizes) > 1:
            raise _wrong(repr(text), f"a unit, such as {text}/kg, since packages of different sizes are sold")
        return replace(price_range, unit=sold[0].line.package.text)
    try:
        grams = grams_of(read_quantity(with_number(unit.strip())), sold[0].food, {})
    except (QuantityError, NoSuchMeasure):
        raise _wrong(repr(unit), "kg, lb, 100 g, package or a measure of this food") from None
    return replace(price_range, unit=unit.strip(), priced_grams=grams)


def _wrong(read: str, allowed: str, hint: str = "") -> InputErrors:
    return InputErrors([Mistake("command line", 0, "--sweep", read, allowed, hint)])
