"""Markets in which there is nothing to be had, enough of everything, or something that scales cannot weigh out."""

import numpy as np
import pytest

from optimizer.errors import InputErrors
from optimizer.market import trip as shopping
from optimizer.market.buyer import Purchase
from optimizer.market.buying_problem import BuyingProblem
from optimizer.model.problem import INFEASIBLE, Problem, Solution
from optimizer.sheet.sheet import OUT_OF_REACH, PLANNED
from tests.optimizer.market.market_help import MANGANESE, SUPPLEMENTS, WIDE_SHARES, offer
from tests.optimizer.market.market_stores import HEAD, Shopping, market, meat

# Nothing to be had.


def test_where_nothing_keeps_every_limit_the_nearest_basket_is_told_as_such(shop: Shopping) -> None:
    only = HEAD + '[market]\nmeat = "1 kg"\n' + offer("Butcher", "beef-heart", "500 g", "4.20", 9) + SUPPLEMENTS
    found = shop(only)
    assert found.status == OUT_OF_REACH
    assert found.best is None
    assert "vitamin-a" in {miss.id for miss in found.basket.assessment.misses}
    assert meat(found.basket) >= 1000


def test_more_than_is_on_sale_cannot_be_asked_for(shop: Shopping) -> None:
    text = HEAD + '[market]\nmeat = "5 kg"\n' + offer("Butcher", "beef-heart", "500 g", "4.20", 3) + SUPPLEMENTS
    with pytest.raises(InputErrors) as caught:
        shop(text)
    assert "read a batch of 5000 g of meat" in str(caught.value)
    assert ":3: market" in str(caught.value)


def test_where_there_is_enough_of_everything_nothing_is_bought(shop: Shopping) -> None:
    hand = '[[on_hand]]\nfood = "{}"\namount = "{}"\n'
    foods = (("turkey-neck-bone-in", "400 g"), ("chicken-heart", "1 kg"), ("turkey-ground", "800 g"))
    more = "".join(hand.format(*one) for one in (*foods, ("beef-liver", "80 g"), ("beef-spleen", "100 g")))
    basket = shop(market("", more)).basket
    assert basket.bought == ()
    assert [str(amount) for amount in (basket.paid, basket.visits, basket.spent)] == ["0.00", "0.00", "0.00"]


def test_of_baskets_that_cost_the_same_the_lighter_is_bought_and_then_the_one_that_stands_first(shop: Shopping) -> None:
    """Which of equals a solver meets first depends on its version."""
    same = offer("Market", "chicken-heart", "500 g", "3.10", 6) + offer("Cart", "chicken-heart", "600 g", "3.10", 6)
    text = HEAD + '[market]\nmeat = "1.2 kg"\n' + WIDE_SHARES
    for food, grams_ in (("beef-liver", 250), ("turkey-neck-bone-in", 200), ("turkey-ground", 400)):
        text += offer("Butcher", food, f"{grams_} g", "0.00", 1) + 'note = "free"\n'
    for offers in (same, offer("Cart", "chicken-heart", "500 g", "3.10", 6) + same):
        bought = shop(text + offers + MANGANESE + SUPPLEMENTS).basket.bought
        [heart] = [line for line in bought if line.offer.food.id == "chicken-heart"]
        assert (float(heart.offer.grams), int(heart.count)) == (500, 1)
        assert heart.offer.store == ("Market" if offers is same else "Cart")


# Steps of a scale.


def test_where_scales_cannot_weigh_out_the_cheapest_packages_others_are_found(
    shop: Shopping, monkeypatch: pytest.MonkeyPatch
) -> None:
    plain = shop(market('meat = "2.4 kg"'))
    tried = []

    def never(buying: BuyingProblem, purchase: Purchase, *_: object) -> tuple[Problem, Solution]:
        tried.append(purchase)
        return buying.problem, Solution(INFEASIBLE, np.array([]), (), 0.0, 0.0, "", "")

    monkeypatch.setattr(shopping, "weigh_out", never)
    found = shop(market('meat = "2.4 kg"'))
    assert tried
    assert found.status == PLANNED
    assert found.basket.purchase.cost == pytest.approx(plain.basket.purchase.cost, abs=1e-6)
