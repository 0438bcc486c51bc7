"""Small markets written inline, and every basket that can be bought in them, one by one."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import product
from pathlib import Path

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp

from catalog.records import Catalog, Food
from optimizer.market.buyer import Buyer
from optimizer.market.buying_problem import BuyingProblem, build_buying_problem
from optimizer.market.offers import Offer, is_weighed, with_items
from optimizer.market.prepare import prepare
from optimizer.model.build import build
from optimizer.model.problem import Floats, Problem
from optimizer.scenario.market import Market
from optimizer.scenario.read import load_scenario
from optimizer.scenario.records import Item, Scenario

SUPPLEMENTS = """
[[supplements]]
supplement = "taurine-powder"
price = "14.00 for 200 g"
[[supplements]]
supplement = "vitamin-e-softgel-200"
price = "9.50 for 100 softgels"
[[supplements]]
supplement = "kelp-tablet-225"
price = "6.80 for 200 tablets"
[[supplements]]
supplement = "salt-table"
step = "1/8 tsp"
price = "1.10 for 737 g"
[[supplements]]
supplement = "potassium-chloride"
price = "4.90 for 311 g"
[[supplements]]
supplement = "zinc-gluconate"
price = "5.20 for 100 tablets"
[[supplements]]
supplement = "copper-bisglycinate"
step = "1/2 capsule"
price = "7.90 for 120 capsules"
[[supplements]]
supplement = "b-complex-50"
step = "1/2 capsule"
price = "8.90 for 100 capsules"
[[supplements]]
supplement = "choline-bitartrate"
price = "18.00 for 250 g"
[[supplements]]
supplement = "eggshell-powder"
price = "9.00 for 450 g"
"""
MANGANESE = """
[[supplements]]
supplement = "manganese-bisglycinate"
step = "1/2 capsule"
price = "8.40 for 120 capsules"
"""

# shares that leave other rules room to be tested: wider than common practice
WIDE_SHARES = "".join(
    f'[[market.shares]]\nof = "{of}"\nat_most = "70 %"\n' for of in ("bone", "liver", "secreting-organ")
)


def offer(store: str, food: str, package: str, price: str, most: int) -> str:
    return f'[[offers]]\nstore = "{store}"\nfood = "{food}"\npackage = "{package}"\nprice = "{price}"\nmost = {most}\n'


TWO_STORES = (
    'title = "Two stores"\ncurrency = "USD"\n[market]\nmeat = "2 kg"\nvisit_cost = "1.00"\n'
    + '[[cats]]\nname = "Ash"\nweight = "4 kg"\nkcal_per_day = 200\n'
    + '[[market.shares]]\nof = "liver"\nat_least = "2 %"\nat_most = "6 %"\n'
    + WIDE_SHARES
    + offer("Butcher", "turkey-neck-bone-in", "400 g", "1.90", 2)
    + offer("Butcher", "chicken-heart", "500 g", "3.10", 3)
    + offer("Butcher", "turkey-liver", "250 g", "2.10", 1)
    + offer("Grocery", "turkey-ground", "545 g", "5.49", 4)
    + offer("Grocery", "beef-liver", "250 g", "1.70", 1)
    + offer("Grocery", "beef-spleen", "300 g", "1.40", 1)
    + '[[offers]]\nstore = "Grocery"\nfood = "beef-heart"\nprice = "8.40/kg"\n'
    + MANGANESE
    + SUPPLEMENTS
)


@dataclass(frozen=True)
class SmallMarket:
    """A scenario with its market and offers, ready to be asked."""

    scenario: Scenario
    market: Market
    offers: list[Offer]
    catalog: Catalog

    def buying(self) -> BuyingProblem:
        whole = with_items(self.scenario, self.offers, self.catalog)
        buying = build_buying_problem(whole, self.market, self.offers, self.catalog)
        return replace(buying, problem=guarded(buying.problem))

    def buyer(self) -> Buyer:
        return Buyer(self.buying(), seconds=60)


def small_market(text: str, folder: Path, catalog: Catalog, price_lists: Sequence[Path] = ()) -> SmallMarket:
    path = folder / "market.toml"
    path.write_text('standard = "aafco"\ncurrency = "USD"\n' + text, encoding="utf-8")
    scenario = load_scenario(path, catalog, shopping=True)
    read, market, offers = prepare(scenario, catalog, price_lists, {})
    return SmallMarket(read, market, offers, catalog)


def guarded(problem: Problem, own_shares: Sequence[str] = ()) -> Problem:
    """The problem in which no guard is passed, and no common share but those that the person says something of."""
    free = {f"common:{of}" for of in own_shares}
    closed = [c.kind in ("passed", "passed_toxic") and c.row not in free for c in problem.columns]
    return replace(problem, upper=np.where(closed, 0.0, problem.upper))


def by_scipy(problem: Problem, weights: Floats, more: Sequence[LinearConstraint] = ()) -> float:
    """The least of an objective, infinite where nothing keeps every row."""
    found = milp(
        weights,
        constraints=[LinearConstraint(problem.matrix, problem.row_lower, problem.row_upper), *more],
        bounds=Bounds(problem.lower, problem.upper),
        integrality=problem.integer.astype(int),
        options={"mip_rel_gap": 1e-9},
    )
    assert found.status in (0, 2)
    return float(found.fun) if found.status == 0 else np.inf


def every_basket(of: SmallMarket) -> Iterator[tuple[tuple[int, ...], float]]:
    """Each number of packages of each offer, and what is used of supplements on hand at the least (infinite where
    no batch comes of it): found without the arrays of the market, from a plain scenario that has it all on hand."""
    for counts in product(*(range((o.line.most or 0) + 1) for o in of.offers)):
        yield counts, _cheapest_mix(of, counts)


def _cheapest_mix(of: SmallMarket, counts: Sequence[int]) -> float:
    bought: dict[str, Fraction] = {}
    for o, count in zip(of.offers, counts, strict=True):
        bought[o.food.id] = bought.get(o.food.id, Fraction()) + count * o.grams
    items: list[Item] = []
    used_up: list[tuple[str, float]] = []
    spent = Fraction()
    for item in with_items(of.scenario, of.offers, of.catalog).items:
        grams = bought.get(item.id, Fraction())
        there = item.fixed if item.fixed is not None else item.available
        if grams and there:
            used_up.append((item.id, float(there * item.grams_per_unit)))
            spent += there * item.grams_per_unit * (item.price_per_gram or 0) if item.is_supplement else 0
            item = replace(item, fixed=None, available=there, price_per_gram=None)
        if item.available is not None:
            item = replace(item, available=item.available + grams / item.grams_per_unit)
        if is_weighed(item) and item.fixed is None:
            item = replace(item, unit="g", grams_per_unit=Fraction(1), available=_grams(item), step=None)
        if item.available != 0 or item.fixed:
            items.append(item)
    if not any(item.is_meat for item in items):
        return np.inf
    own_shares = [rule.of for rule in of.market.shares]
    problem = guarded(build(replace(of.scenario, items=tuple(items)), of.catalog), own_shares)
    columns = {c.id: j for j, c in enumerate(problem.columns) if c.kind == "amount"}
    # what is on hand goes first: where a food is bought, at least as much of it goes in as there is on hand
    lower = problem.lower.copy()
    for id_, hand in used_up:
        lower[columns[id_]] = hand / problem.mass[columns[id_]]
    problem = replace(problem, lower=lower)
    meat = np.zeros(len(problem.columns))
    share = np.zeros((len(of.market.shares), len(problem.columns)))
    low, high = [], []
    for item in items:
        if item.is_meat:
            meat[columns[item.id]] = problem.mass[columns[item.id]]
    for number, rule in enumerate(of.market.shares):
        for item in items:
            if item.is_meat:
                share[number, columns[item.id]] = problem.mass[columns[item.id]] * _part(item.food, rule.of, of.catalog)
        low.append(share[number] - float(rule.at_least or 0) * meat)
        high.append(share[number] - float(1 if rule.at_most is None else rule.at_most) * meat)
    more = [LinearConstraint(meat[np.newaxis, :], float(of.market.meat_grams or 0), np.inf)]
    if low:
        more += [LinearConstraint(np.array(low), 0, np.inf), LinearConstraint(np.array(high), -np.inf, 0)]
    open_ = problem.lower < problem.upper
    weights = problem.price * open_ * [_is_supplement(c.id, of) for c in problem.columns]
    return float(spent) + by_scipy(problem, weights, more)


def _part(food: Food, of: str, catalog: Catalog) -> float:
    """How much of a food a share rule means: all of it, or those of its parts that have the tag."""
    if of in (food.species, food.role, food.id, *food.tags):
        return 1.0
    return sum(float(part.share) for part in food.parts if of in catalog.foods[part.food].tags)


def _grams(item: Item) -> Fraction | None:
    return None if item.available is None else item.available * item.grams_per_unit


def _is_supplement(id_: str, of: SmallMarket) -> bool:
    return any(item.id == id_ and item.is_supplement for item in of.scenario.items)


def cost_of(of: SmallMarket, counts: Sequence[int], mix: float, prices: Mapping[str, float]) -> float:
    """What a basket costs at these prices, with visits."""
    stores = {o.store for o, count in zip(of.offers, counts, strict=True) if count}
    visits = sum(float(of.market.visit(store)) for store in stores)
    return mix + visits + sum(count * prices[o.id] for o, count in zip(of.offers, counts, strict=True))
