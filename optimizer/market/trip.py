"""The pipeline of `weighout market`: offers -> buying problem -> purchase -> basket; and from each store alone."""

import time
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from catalog.mistakes import Mistake
from catalog.records import Catalog
from optimizer.errors import InputErrors, OutOfTime
from optimizer.market.basket import Basket, make_basket
from optimizer.market.buyer import (
    Buyer,
    NoPurchase,
    Purchase,
    PurchaseQuery,
    buy_exactly,
    counts_of,
    exact_cost,
    weigh_out,
)
from optimizer.market.buying_problem import BuyingProblem, build_buying_problem
from optimizer.market.offers import Offer, with_items
from optimizer.market.rules import size_of
from optimizer.model.kinds import PASSED, Kind
from optimizer.model.objectives import passed
from optimizer.model.problem import INFEASIBLE
from optimizer.model.ratios import held
from optimizer.model.solve import nearest
from optimizer.model.solver import solve
from optimizer.scenario.market import Market
from optimizer.scenario.records import Scenario
from optimizer.sheet.sheet import OUT_OF_REACH, OUT_OF_TIME, PLANNED, SheetStatus

DEFAULT_SECONDS = 10.0
GIVING_WAY = (*PASSED, Kind.GIVEN, Kind.GIVEN_TOXIC, Kind.BY_FOOD)
WEIGHED = 1e-3  # of a guard: what whole steps of a scale may make of it
LEAST_TO_WEIGH_OUT = 5.0  # seconds; with the packages settled, amounts are found in a fraction of this


@dataclass(frozen=True)
class Trip:
    """A market that was gone over: the live model, the best purchase where one was found, and its basket, or the
    nearest basket where nothing is in reach."""

    buyer: Buyer
    catalog: Catalog
    status: SheetStatus
    best: Purchase | None
    basket: Basket
    seconds: float


def go(
    scenario: Scenario,
    market: Market,
    offers: Sequence[Offer],
    catalog: Catalog,
    seconds: float = DEFAULT_SECONDS,
    gap: float | None = None,
) -> Trip:
    """The cheapest basket that keeps every limit, within a time limit; else the nearest that can be bought."""
    start = time.perf_counter()
    whole = with_items(scenario, offers, catalog)
    buying = build_buying_problem(whole, market, offers, catalog)
    buyer = Buyer(_guarded(buying), seconds, gap)
    found = buyer.first_of_cheapest()
    if isinstance(found, NoPurchase) and found.ruled_out:  # perhaps only by guards, which may be passed by food
        passing = _passing_least(buying, seconds)
        if passing is not None:
            buyer = Buyer(passing, seconds, gap)
            found = buyer.first_of_cheapest()
    if isinstance(found, Purchase):
        basket = basket_of(buyer.buying, found, catalog, seconds)
        if isinstance(basket, Basket):
            return Trip(buyer, catalog, PLANNED, found, basket, time.perf_counter() - start)
        found = basket
    status = OUT_OF_REACH if found.ruled_out else OUT_OF_TIME
    near = build_buying_problem(whole, market, offers, catalog, soft_ceilings=True)
    nearest_basket = _nearest(near, catalog, seconds, status)
    return Trip(buyer, catalog, status, None, nearest_basket, time.perf_counter() - start)


def _guarded(buying: BuyingProblem) -> BuyingProblem:
    """The problem where no guard and no common share is passed."""
    slack = [j for j, column in enumerate(buying.problem.columns) if column.kind in GIVING_WAY]
    return replace(buying, problem=buying.problem.closed(slack))


def _passing_least(buying: BuyingProblem, seconds: float) -> BuyingProblem | None:
    """The problem where guards and common shares are passed by as little as can be; None where that helps nothing."""
    objectives = passed(buying.problem)
    if not objectives:
        return None
    solution = solve(buying.relaxed(), objectives, seconds)
    if not solution.found:
        return None
    return replace(buying, problem=held(buying.problem, objectives, solution.values, WEIGHED))


def basket_of(
    buying: BuyingProblem,
    purchase: Purchase,
    catalog: Catalog,
    seconds: float,
    takes: Mapping[str, Fraction] | None = None,
) -> Basket | NoPurchase:
    """The basket of a purchase, with so many grams of some foods. Where scales cannot weigh out what it needs, the
    best that they can."""
    _, solution = weigh_out(buying, purchase, max(seconds, LEAST_TO_WEIGH_OUT), takes)
    if not solution.found and not takes:
        solution = buy_exactly(buying, max(seconds, LEAST_TO_WEIGH_OUT))
    if not solution.found:
        return NoPurchase(ruled_out=solution.status == INFEASIBLE and not takes)
    counts = counts_of(buying, buying.problem, solution.values)
    cost = exact_cost(buying, counts, solution.values)
    least = float(purchase.cost) * (1 - purchase.gap)  # nothing costs less
    gap = max(0.0, 1 - least / float(cost)) if cost else 0.0
    weighed = Purchase(counts, cost, gap, purchase.seconds + solution.seconds, solution.values)
    told = replace(solution, gap=gap, seconds=weighed.seconds)
    return make_basket(buying, weighed, solution.values, catalog, PLANNED, told)


def _nearest(buying: BuyingProblem, catalog: Catalog, seconds: float, status: SheetStatus) -> Basket:
    """The basket that misses least."""
    _, solution = nearest(buying.problem, "cost", max(seconds, LEAST_TO_WEIGH_OUT))
    if solution.status == INFEASIBLE:
        measure, least = size_of(buying.scenario, buying.market)
        read = f"a batch of {float(least):.0f} {'g of meat' if measure == 'meat' else 'kcal'}"
        allowed = "what is on sale and on hand together makes, within the rules of [market] that never give way"
        raise InputErrors([Mistake(buying.scenario.file, buying.market.lines.get(measure, 0), "market", read, allowed)])
    if not solution.found:
        file = buying.scenario.file
        raise OutOfTime(f"{file}: time ran out before any purchase was found; allow more with --seconds")
    counts = counts_of(buying, buying.problem, solution.values)
    cost = exact_cost(buying, counts, solution.values)
    purchase = Purchase(counts, cost, float("inf"), solution.seconds, solution.values)
    return make_basket(buying, purchase, solution.values, catalog, status, solution)


@dataclass(frozen=True, slots=True)
class StoreAlone:
    """The cheapest purchase from one store; None where there is none (`ruled_out`), or none was found in time."""

    store: str
    purchase: Purchase | None
    ruled_out: bool


def each_store(trip: Trip, seconds: float = DEFAULT_SECONDS) -> Iterator[StoreAlone]:
    """The same batch from each store alone, one after the other."""
    offers = trip.buyer.buying.offers
    for store in dict.fromkeys(offer.store for offer in offers):
        others = frozenset(offer.id for offer in offers if offer.store != store)
        answer = trip.buyer.cheapest(PurchaseQuery(without=others), seconds)
        if isinstance(answer, Purchase):
            yield StoreAlone(store, answer, ruled_out=False)
        else:
            yield StoreAlone(store, None, answer.ruled_out)
