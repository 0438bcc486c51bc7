"""Buying problem -> the cheapest packages, asked again and again of one live model."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction

import numpy as np

from optimizer.market.buying_problem import ON_HAND, STEPS, BuyingProblem
from optimizer.model.objectives import Objective, money, of_aim
from optimizer.model.problem import INFEASIBLE, Floats, Problem, Solution
from optimizer.model.solve import exact
from optimizer.model.solver import FOR_PACKAGES, Changes, Model, solve
from optimizer.scenario.aims import COST

PROVEN = 1e-6  # a purchase is called the cheapest only within this relative gap
LATER = 1e-4  # of a gram: what a gram of the next offer weighs more where mass decides
SAME = Fraction(1, 100_000)  # money: costs that differ by less than this are the same


@dataclass(frozen=True, slots=True)
class Purchase:
    """Packages by the id of their offer; of what is sold by weight, steps of the scale. `cost` is what they cost at
    the prices that were asked with, with visits and supplements on hand. `gap` says how much cheaper, as a share of
    it, another purchase may still be."""

    counts: Mapping[str, Fraction]
    cost: Fraction
    gap: float
    seconds: float
    values: Floats = field(repr=False, default_factory=lambda: np.array([]))

    @property
    def proven(self) -> bool:
        """Whether nothing cheaper exists."""
        return self.gap <= PROVEN

    def count(self, offer: str) -> Fraction:
        """How many packages of an offer are bought."""
        return self.counts.get(offer, Fraction())


@dataclass(frozen=True, slots=True)
class PurchaseQuery:
    """How the buying problem differs this time: prices of some offers, offers that are not to be had, offers to buy
    some of, foods of which so many grams are bought and go in; and a cost that has to be undercut, where only that is
    of interest."""

    prices: Mapping[str, Fraction] = field(default_factory=dict)
    without: frozenset[str] = frozenset()
    some_of: frozenset[str] = frozenset()
    takes: Mapping[str, Fraction] = field(default_factory=dict)
    cheaper_than: Fraction | None = None


AS_OFFERED = PurchaseQuery()


@dataclass(frozen=True, slots=True)
class NoPurchase:
    """Nothing was found: none exists (`ruled_out`), or time ran out."""

    ruled_out: bool


class Buyer:
    """A buying problem's live model. What scales weigh is any amount here; `weigh_out` brings it to their steps."""

    def __init__(self, buying: BuyingProblem, seconds: float, gap: float | None = None) -> None:
        self.buying = buying
        self.seconds = seconds
        self.problem = buying.relaxed()
        self.model = Model(self.problem, FOR_PACKAGES if gap is None else {**FOR_PACKAGES, "mip_rel_gap": gap})

    def objective(self, prices: Mapping[str, Fraction]) -> Objective:
        """The cost, with some prices replaced."""
        weights = money(self.problem).weights.copy()
        for offer, price in prices.items():
            weights[self.buying.packages[offer]] = float(price)
        return Objective("cost", weights)

    def first_of_cheapest(self) -> Purchase | NoPurchase:
        """Of the cheapest packages as offered those with the least mass, of these those that stand first: the same
        wherever and however often it is asked."""
        return self.cheapest(ties=(self._mass_bought(),))

    def _mass_bought(self) -> Objective:
        """Grams of what is bought; a gram of a later offer weighs a little more."""
        weights = np.zeros(len(self.problem.columns))
        for position, offer in enumerate(self.buying.offers):
            if offer.id in self.buying.packages:
                weights[self.buying.packages[offer.id]] = float(offer.grams) * (1 + LATER * position)
        return Objective("mass bought", weights)

    def cheapest(
        self, asked: PurchaseQuery = AS_OFFERED, seconds: float | None = None, ties: Sequence[Objective] = ()
    ) -> Purchase | NoPurchase:
        """The cheapest packages from which a batch can be mixed that keeps every rule; `ties` decide among equals."""
        buying, objective = self.buying, self.objective(asked.prices)
        held = [] if asked.cheaper_than is None else [(objective, float(asked.cheaper_than - SAME))]
        some = {buying.asked.get(offer, buying.packages[offer]): 1.0 for offer in asked.some_of}
        changes = Changes(
            upper={buying.packages[offer]: 0.0 for offer in asked.without if offer in buying.packages},
            lower={**some, **steps_taken(buying, asked.takes)},
            held=held,
        )
        solution = self.model.solve([objective, *ties], self.seconds if seconds is None else seconds, changes)
        if not solution.found:
            return NoPurchase(solution.status == INFEASIBLE)
        counts = counts_of(buying, self.problem, solution.values)
        cost = exact_cost(buying, counts, solution.values, asked.prices)
        return Purchase(counts, cost, solution.gap, solution.seconds, solution.values)


def counts_of(buying: BuyingProblem, problem: Problem, values: Floats) -> dict[str, Fraction]:
    """What is bought at these values, by offer."""
    found = {}
    for offer, column in buying.packages.items():
        count = Fraction(round(values[column])) if problem.integer[column] else exact(float(values[column]))
        if count > Fraction(1, 10**6):
            found[offer] = count
    return found


def exact_cost(
    buying: BuyingProblem, counts: Mapping[str, Fraction], values: Floats, prices: Mapping[str, Fraction] | None = None
) -> Fraction:
    """What packages, visits and supplements on hand cost, without rounding."""
    prices = prices or {}
    bought = sum((counts.get(o.id, 0) * prices.get(o.id, o.price) for o in buying.offers), Fraction())
    return bought + visits_cost(buying, counts) + on_hand_cost(buying, values)


def visits_cost(buying: BuyingProblem, counts: Mapping[str, Fraction]) -> Fraction:
    """What going to the stores costs where something is bought."""
    stores = {offer.store for offer in buying.offers if counts.get(offer.id)}
    return sum((Fraction(buying.market.visit(store)) for store in stores), Fraction())


def on_hand_cost(buying: BuyingProblem, values: Floats) -> Fraction:
    """What the supplements on hand that are used count: the scenario's prices, else what such jars usually cost; those
    set by hand are left out."""
    total = Fraction()
    for item in buying.scenario.items:
        for part in buying.food_columns[item.id]:
            open_ = buying.problem.lower[part.column] < buying.problem.upper[part.column]
            if part.source == ON_HAND and item.is_supplement and open_:
                steps = exact(float(values[part.column]))
                if item.price_per_gram is None:
                    total += Fraction(float(buying.problem.worth[part.column])) * steps
                else:
                    total += item.price_per_gram * part.grams * steps
    return total


def steps_taken(buying: BuyingProblem, takes: Mapping[str, Fraction]) -> dict[int, float]:
    """Bounds of the columns of what is bought of foods that have to go in."""
    return {
        part.column: float(math.ceil(grams / part.grams))
        for food, grams in takes.items()
        for part in buying.food_columns[food]
        if part.source == STEPS
    }


def weigh_out(
    buying: BuyingProblem, purchase: Purchase, seconds: float, takes: Mapping[str, Fraction] | None = None
) -> tuple[Problem, Solution]:
    """What goes in of what was bought and is on hand, in steps of real scales and spoons: at the least cost (of what
    is sold by weight, and of supplements on hand), then of the fewest supplements, then of the least mass."""
    lower, upper = buying.problem.lower.copy(), buying.problem.upper.copy()
    for offer, column in buying.packages.items():
        settled = buying.asked.get(offer, column)
        lower[settled] = upper[settled] = (
            float(purchase.count(offer)) if settled == column else purchase.count(offer) > 0
        )
    for column, least in steps_taken(buying, takes or {}).items():
        lower[column] = least
    problem = replace(buying.problem, lower=lower, upper=upper)
    return problem, solve(problem, of_aim(COST, problem), seconds)


def buy_exactly(buying: BuyingProblem, seconds: float) -> Solution:
    """Packages and amounts together, in steps of scales: where the easier way of `Buyer` finds no such amounts."""
    return solve(buying.problem, (money(buying.problem),), seconds)
