"""Larger markets: scipy.optimize.milp finds the same least cost on the same arrays, and baskets are what they claim."""

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from functools import cache

import numpy as np
import pytest

from catalog.catalog import load_catalog
from optimizer.market.buyer import Purchase, PurchaseQuery
from optimizer.market.prepare import prepare
from optimizer.market.trip import Trip, each_store, go
from optimizer.market.verify import broken_rules
from optimizer.model.objectives import money
from optimizer.scenario.read import load_scenario
from optimizer.sheet.sheet import PLANNED
from tests.conftest import SCENARIOS
from tests.optimizer.market.market_help import by_scipy

DEMOS = {"store-week-of-turkey": "prices-four-stores", "store-freezer-top-up": "prices-euro"}


@cache
def trip(name: str, stores: tuple[str, ...] = ()) -> Trip:
    catalog, _ = load_catalog()
    scenario = load_scenario(SCENARIOS / f"{name}.toml", catalog, shopping=True)
    read, market, offers = prepare(scenario, catalog, [SCENARIOS / f"{DEMOS[name]}.csv"], {}, stores)
    return go(read, market, offers, catalog, seconds=60)


CASES = [
    ("store-week-of-turkey", ("Butcher", "Farm shop")),
    ("store-week-of-turkey", ("Grocery", "Mail order")),
    ("store-freezer-top-up", ()),
]


@pytest.mark.parametrize(("name", "stores"), CASES)
def test_scipy_finds_the_same_least_cost_at_random_prices(name: str, stores: tuple[str, ...]) -> None:
    buyer = trip(name, stores).buyer
    random = np.random.default_rng([1865, len(stores)])
    assert len(buyer.buying.offers) >= 20
    for _ in range(3):
        prices = {
            o.id: o.price * Fraction(round(1000 * 2.0 ** random.uniform(-1, 1)), 1000)
            for o in buyer.buying.offers
            if o.id in buyer.buying.packages
        }
        found = buyer.cheapest(PurchaseQuery(prices=prices))
        assert isinstance(found, Purchase)
        assert found.proven
        weights = buyer.objective(prices).weights
        assert float(found.cost) == pytest.approx(by_scipy(buyer.problem, weights), rel=1e-6)


@pytest.mark.parametrize("name", DEMOS)
def test_to_weigh_out_in_a_scales_steps_costs_next_to_nothing_more(name: str) -> None:
    found = trip(name)
    assert found.best is not None
    assert found.best.cost <= found.basket.purchase.cost <= found.best.cost + Fraction(5, 100)
    assert found.basket.purchase.gap < 0.002


@pytest.mark.parametrize(("name", "stores"), CASES)
def test_a_basket_is_assessed_and_keeps_every_rule_of_the_market(name: str, stores: tuple[str, ...]) -> None:
    found = trip(name, stores)
    basket = found.basket
    assert found.status == PLANNED
    assert basket.assessment.all_met
    assert basket.broken == ()
    amounts = [use.amount for use in basket.uses if use.amount.count > 0]
    buying, count = basket.buying, len(basket.stores)
    assert broken_rules(buying.scenario, buying.market, amounts, basket.assessment, found.catalog, count) == []
    for use in basket.uses:
        assert use.left_over >= 0
        steps = use.from_hand / (use.item.grams_per_unit * (use.item.step or 1))
        assert use.item.fixed is not None or steps.denominator == 1


@pytest.mark.parametrize("name", DEMOS)
def test_the_sums_on_the_list_add_up_to_the_cent(name: str) -> None:
    basket = trip(name).basket
    assert basket.paid == sum((line.cost for line in basket.bought), Decimal())
    assert basket.spent == basket.paid + basket.visits
    assert basket.batch_cost == basket.spent + basket.on_hand_worth - basket.left_worth
    for line in basket.bought:
        assert line.count > 0
        assert line.offer.line.most is None or line.count <= line.offer.line.most
        assert line.offer.loose or line.count.denominator == 1
        assert not line.offer.loose or line.grams >= line.offer.least_grams
    priced = float(sum((use.paid + use.left_worth for use in basket.uses), Fraction()))
    assert priced == pytest.approx(float(basket.paid), abs=0.005 * len(basket.bought))


@pytest.mark.parametrize("name", DEMOS)
def test_one_store_alone_is_never_cheaper_than_the_best_of_all(name: str) -> None:
    found = trip(name)
    assert found.best is not None
    alone = [store.purchase for store in each_store(found) if store.purchase]
    assert alone
    assert all(purchase.cost >= found.best.cost - Fraction(1, 10**6) for purchase in alone)


def test_sixty_offers_from_four_stores_are_settled_to_half_a_percent_in_ten_seconds() -> None:
    catalog, _ = load_catalog()
    scenario = load_scenario(SCENARIOS / "store-week-of-turkey.toml", catalog, shopping=True)
    scenario = replace(scenario, market=replace(scenario.market, leave_out=()))
    read, market, offers = prepare(scenario, catalog, [SCENARIOS / "prices-four-stores.csv"], {})
    assert (len(offers), len({o.store for o in offers})) == (60, 4)
    found = go(read, market, offers, catalog, seconds=10)
    assert found.status == PLANNED
    assert found.basket.purchase.gap <= 0.005


def test_what_is_spent_is_the_objective() -> None:
    buyer = trip("store-freezer-top-up").buyer
    best = buyer.cheapest()
    assert isinstance(best, Purchase)
    assert float(money(buyer.problem).weights @ best.values) == pytest.approx(float(best.cost), rel=1e-9)
