"""This for that: what another basket has in place of the best, what it costs more, what it does to the doses."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from catalog.units.money import cents
from optimizer.market.basket import Basket
from optimizer.market.breakeven import BreakEven
from optimizer.market.buyer import NoPurchase, Purchase, PurchaseQuery
from optimizer.market.buying_problem import ON_HAND
from optimizer.market.offers import Offer
from optimizer.market.trip import Trip, basket_of
from optimizer.market.wording import count_words, system_of
from optimizer.sheet.amount_words import amount_words

WORTH_TELLING = Fraction(15)  # grams: less of a difference in what is sold by weight is no substitution
SUBSTITUTED = {"us": Fraction("453.59237"), "metric": Fraction(500)}  # grams of what is sold by weight


@dataclass(frozen=True, slots=True)
class Substitution:
    """The best basket with an offer that is not bought (a pound or half a kilogram of what is sold by weight, where
    that much can be), or without one that is. `out` and `instead` are packages in words, `doses` what changes of the
    supplements that go in."""

    found: BreakEven
    out: tuple[str, ...]
    instead: tuple[str, ...]
    extra: Decimal
    doses: tuple[str, ...]


def substitution_of(trip: Trip, found: BreakEven, seconds: float) -> Substitution | None:
    """The substitution that a break-even search found; None where it has none, or its amounts were not found in time;
    and for what there is enough of on hand: it would have to be used up first, which makes a batch of a size that
    nobody wants."""
    purchase = found.substitute
    if purchase is None or (not found.bought and _enough_there(trip, found.offer)):
        return None
    basket: Basket | NoPurchase | None = None
    if found.offer.loose and not found.bought:
        takes = {found.offer.food.id: SUBSTITUTED[system_of(found.offer)]}
        more = trip.buyer.cheapest(PurchaseQuery(some_of=frozenset((found.offer.id,)), takes=takes), seconds)
        if isinstance(more, Purchase):
            basket = basket_of(trip.buyer.buying, more, trip.catalog, seconds, takes)
    if not isinstance(basket, Basket):
        basket = basket_of(trip.buyer.buying, purchase, trip.catalog, seconds)
    if isinstance(basket, NoPurchase):
        return None
    out, instead = _packages(trip.basket, basket)
    extra = cents(basket.purchase.cost - trip.basket.purchase.cost)
    return Substitution(found, out, instead, extra, _doses(trip.basket, basket))


def _enough_there(trip: Trip, offer: Offer) -> bool:
    """Whether the best basket leaves some of a food on hand."""
    buying, values = trip.buyer.buying, trip.basket.purchase.values
    there = [part.column for part in buying.food_columns[offer.food.id] if part.source == ON_HAND]
    return any(values[column] < buying.problem.upper[column] - 1e-6 for column in there)


def _packages(before: Basket, after: Basket) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """What is bought less of, and more of."""
    out: list[str] = []
    instead: list[str] = []
    for offer in before.buying.offers:
        more = after.purchase.count(offer.id) - before.purchase.count(offer.id)
        if abs(more) * offer.grams >= (WORTH_TELLING if offer.loose else Fraction(1, 10**6)):
            words = f"{count_words(offer, abs(more))} {offer.food.name} ({offer.store})"
            (instead if more > 0 else out).append(words)
    return tuple(out), tuple(instead)


def _doses(before: Basket, after: Basket) -> tuple[str, ...]:
    """Supplements whose dose changes: "taurine powder 1/2 tsp -> 3/4 tsp"."""
    old, new = _supplements(before), _supplements(after)
    return tuple(
        f"{name} {old.get(name, 'none')} -> {new.get(name, 'none')}"
        for name in dict.fromkeys((*old, *new))
        if old.get(name) != new.get(name)
    )


def _supplements(basket: Basket) -> Mapping[str, str]:
    return {
        use.item.food.name: amount_words(use.amount)
        for use in basket.uses
        if use.item.is_supplement and use.amount.count > 0
    }
