"""A market of three stores, written inline with other rules, and what is seen of its basket."""

from collections.abc import Callable
from fractions import Fraction

from optimizer.market.basket import Basket
from optimizer.market.trip import Trip
from tests.optimizer.market.market_help import MANGANESE, SUPPLEMENTS, WIDE_SHARES, offer

MEATS = (
    offer("Butcher", "turkey-neck-bone-in", "400 g", "1.90", 6)
    + offer("Butcher", "chicken-heart", "500 g", "3.10", 6)
    + offer("Grocery", "turkey-ground", "545 g", "5.49", 9)
    + offer("Grocery", "beef-liver", "250 g", "1.70", 2)
    + offer("Grocery", "beef-heart", "500 g", "4.20", 9)
    + offer("Farm", "beef-spleen", "300 g", "1.40", 3)
    + offer("Farm", "chicken-heart", "300 g", "1.75", 3)
)
HEAD = 'currency = "USD"\n'
CATS = '[[cats]]\nname = "Ash"\nweight = "4 kg"\nkcal_per_day = 200\n[[cats]]\nname = "Bo"\nweight = "5 kg"\nkcal_per_day = 250\n'
Shopping = Callable[..., Trip]


def grams(basket: Basket, *names: str) -> float:
    """What goes in of these foods, species or roles."""
    return sum(
        use.amount.grams
        for use in basket.uses
        if {use.item.id, use.item.food.species, use.item.food.role, *use.item.food.tags} & set(names)
    )


def meat(basket: Basket) -> float:
    return sum(use.amount.grams for use in basket.uses if use.item.is_meat)


def count(basket: Basket, store: str, food: str) -> Fraction:
    return sum((b.count for b in basket.bought if (b.offer.store, b.offer.food.id) == (store, food)), Fraction())


def market(rules: str, more: str = "") -> str:
    return HEAD + "[market]\n" + rules + "\n" + more + WIDE_SHARES + MEATS + MANGANESE + SUPPLEMENTS
