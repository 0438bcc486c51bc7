"""The cheapest basket, break-even prices and sweeps, against every basket that can be bought, one by one.

The baskets are counted out and mixed without the market's arrays (see market_help): each number of packages of each
offer is a plain scenario that has them on hand, solved by scipy.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

import numpy as np
import pytest

from catalog.records import Catalog
from optimizer.market.breakeven import ALWAYS, ENTERS, IMPOSSIBLE, NEVER, STAYS, break_even
from optimizer.market.buyer import Buyer, NoPurchase, Purchase, PurchaseQuery
from optimizer.market.sweep import PriceRange, sweep
from tests.optimizer.market.market_help import (
    MANGANESE,
    SUPPLEMENTS,
    SmallMarket,
    cost_of,
    every_basket,
    offer,
    small_market,
)

RULES = '[market]\nmeat = "2 kg"\nvisit_cost = "1.00"\n'
LIVER = '[[market.shares]]\nof = "liver"\nat_least = "2 %"\nat_most = "6 %"\n'

# All the meat is bought, from three stores; two packages of one food.
ALL_BOUGHT = (
    RULES
    + LIVER
    + offer("Butcher", "turkey-neck-bone-in", "400 g", "1.90", 2)
    + offer("Butcher", "chicken-heart", "500 g", "3.10", 3)
    + offer("Grocery", "turkey-ground", "545 g", "5.49", 3)
    + offer("Grocery", "beef-liver", "250 g", "1.70", 1)
    + offer("Grocery", "beef-spleen", "300 g", "1.40", 1)
    + offer("Farm", "chicken-heart", "300 g", "1.75", 2)
    + MANGANESE
    + SUPPLEMENTS
)
# Some is on hand and goes first: a cut in whole, an organ and a supplement that run out; a supplement to be bought.
TOPPED_UP = (
    RULES
    + '[[on_hand]]\nfood = "turkey-neck-bone-in"\namount = "1 lb 3 oz"\n'
    + '[[on_hand]]\nfood = "chicken-heart"\nup_to = "350 g"\n'
    + '[[on_hand]]\nfood = "beef-liver"\nup_to = "80 g"\n'
    + '[[supplements]]\nsupplement = "iron-bisglycinate"\nleft = "1 capsule"\nprice = "6.00 for 90 capsules"\n'
    + offer("Butcher", "chicken-heart", "500 g", "3.10", 2)
    + offer("Grocery", "turkey-ground", "19.2 oz", "5.49", 2)
    + offer("Grocery", "beef-heart", "1 lb", "3.29", 2)
    + offer("Grocery", "beef-spleen", "300 g", "1.40", 1)
    + offer("Online", "manganese-bisglycinate", "30 capsules", "3.40", 1)
    + offer("Online", "manganese-bisglycinate", "120 capsules", "8.40", 1)
    + offer("Online", "iron-bisglycinate", "20 capsules", "2.00", 1)
    + SUPPLEMENTS
)


@dataclass(frozen=True)
class Counted:
    """A market with every basket that makes a batch: packages of each offer, and the cost of what is on hand."""

    of: SmallMarket
    buyer: Buyer
    baskets: list[tuple[tuple[int, ...], float]]

    def prices(self) -> dict[str, float]:
        return {o.id: float(o.price) for o in self.of.offers}

    def least(self, prices: dict[str, float], keep: Callable[[tuple[int, ...]], bool] = lambda _: True) -> float:
        found = (cost_of(self.of, counts, mix, prices) for counts, mix in self.baskets if keep(counts))
        return min(found, default=np.inf)


@pytest.fixture(scope="module", params=[ALL_BOUGHT, TOPPED_UP], ids=["all bought", "topped up"])
def counted(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory, catalog: Catalog) -> Counted:
    of = small_market(request.param, tmp_path_factory.mktemp("market"), catalog)
    baskets = [(counts, mix) for counts, mix in every_basket(of) if np.isfinite(mix)]
    assert 20 <= len(baskets) < math.prod((o.line.most or 0) + 1 for o in of.offers)
    return Counted(of, of.buyer(), baskets)


def test_the_cheapest_basket_is_the_cheapest_of_all(counted: Counted) -> None:
    random = np.random.default_rng(1939)
    costs = set()
    for _ in range(25):
        cents = [round(float(o.price) * 100 * 2.0 ** random.uniform(-1.5, 1.5)) for o in counted.of.offers]
        prices = {o.id: Fraction(c, 100) for o, c in zip(counted.of.offers, cents, strict=True)}
        found = counted.buyer.cheapest(PurchaseQuery(prices=prices))
        assert isinstance(found, Purchase)
        assert found.proven
        least = counted.least({id_: float(price) for id_, price in prices.items()})
        assert float(found.cost) == pytest.approx(least, abs=1e-6)
        costs.add(tuple(found.counts.items()))
    assert len(costs) > 5  # not the same basket over and over


def test_without_an_offer_or_with_some_of_it(counted: Counted) -> None:
    for number, o in enumerate(counted.of.offers):
        for asked, keep in (
            (PurchaseQuery(without=frozenset((o.id,))), lambda counts, n=number: counts[n] == 0),
            (PurchaseQuery(some_of=frozenset((o.id,))), lambda counts, n=number: counts[n] > 0),
        ):
            found = counted.buyer.cheapest(asked)
            least = counted.least(counted.prices(), keep)
            if isinstance(found, NoPurchase):
                assert found.ruled_out
                assert least == np.inf
            else:
                assert float(found.cost) == pytest.approx(least, abs=1e-6)


def test_each_store_alone(counted: Counted) -> None:
    for store in dict.fromkeys(o.store for o in counted.of.offers):
        others = [n for n, o in enumerate(counted.of.offers) if o.store != store]
        found = counted.buyer.cheapest(PurchaseQuery(without=frozenset(counted.of.offers[n].id for n in others)))
        least = counted.least(counted.prices(), lambda counts, o=others: not any(counts[n] for n in o))  # type: ignore[misc]
        assert (np.inf if isinstance(found, NoPurchase) else float(found.cost)) == pytest.approx(least, abs=1e-6)


def brute_break_even(counted: Counted, number: int) -> tuple[str, Decimal | None]:
    """The highest price in cents at which the best basket has some of an offer, from all baskets."""
    prices = counted.prices()
    id_ = counted.of.offers[number].id
    without = counted.least(prices, lambda counts: counts[number] == 0)
    free = {**prices, id_: 0.0}
    ratios = [
        (without - cost_of(counted.of, counts, mix, free)) / counts[number]
        for counts, mix in counted.baskets
        if counts[number]
    ]
    bought = counted.least(prices) < without - 1e-9
    if not ratios:
        return IMPOSSIBLE, None
    if without == np.inf:
        return ALWAYS, None
    highest = math.ceil(round(max(ratios) * 100, 6)) - 1  # strictly below the ratio
    if highest < 0:
        return NEVER, None
    return (STAYS if bought else ENTERS), Decimal(highest) / 100


def test_break_even_prices_are_those_of_all_baskets(counted: Counted) -> None:
    best = counted.buyer.cheapest()
    assert isinstance(best, Purchase)
    standings = set()
    for number, o in enumerate(counted.of.offers):
        found = break_even(counted.buyer, best, o, seconds=60)
        assert (found.standing, found.price) == brute_break_even(counted, number)
        assert found.bought is (best.count(o.id) > 0)
        standings.add(found.standing)
    assert {ENTERS, STAYS} <= standings


def test_just_below_its_break_even_an_offer_is_bought_and_just_above_it_is_not(counted: Counted) -> None:
    best = counted.buyer.cheapest()
    assert isinstance(best, Purchase)
    verified = 0
    for o in counted.of.offers:
        found = break_even(counted.buyer, best, o, seconds=60)
        if found.price is None:
            continue
        below = counted.buyer.cheapest(PurchaseQuery(prices={o.id: Fraction(found.price)}))
        above = counted.buyer.cheapest(PurchaseQuery(prices={o.id: Fraction(found.price) + Fraction(1, 100)}))
        without = counted.buyer.cheapest(PurchaseQuery(without=frozenset((o.id,))))
        assert isinstance(below, Purchase)
        assert isinstance(above, Purchase)
        assert isinstance(without, Purchase)
        assert below.count(o.id) > 0
        assert below.cost < without.cost
        assert above.cost == pytest.approx(without.cost, abs=1e-6)
        verified += 1
    assert verified >= 4


def test_a_sweep_is_the_least_cost_at_every_price(counted: Counted) -> None:
    for number, o in enumerate(counted.of.offers[:4]):
        price_range = PriceRange(o.food.id, "package", (o,), Fraction(1, 4), Fraction(9))
        found = sweep(counted.buyer, price_range, seconds=60)
        assert found.complete
        assert found.proven
        assert found.segments[0].low == price_range.low
        assert found.segments[-1].high == price_range.high
        assert all(a.high == b.low for a, b in zip(found.segments, found.segments[1:], strict=False))
        for price in price_range.points(300):
            line = found.at(price)
            assert line is not None
            least = counted.least({**counted.prices(), o.id: float(price)})
            assert least - 1e-6 <= float(line.at(price)) <= least + 0.005  # half a cent, as it says
        assert found.solves < 30, number
