"""The whole front between cost and number of supplements: for each number, the cheapest mix."""

from dataclasses import dataclass
from decimal import Decimal

from catalog.records import Catalog
from optimizer.explain.probe import cents, cost_of, count_of
from optimizer.model.objectives import items, mass, money, order, passed
from optimizer.model.ratios import held
from optimizer.model.solve import amounts_of, choose
from optimizer.model.solver import Changes, Model
from optimizer.scenario.records import Scenario

SECONDS_EACH = 10.0
NOTHING = 1e-6  # of a guard: less than this is nothing


@dataclass(frozen=True, slots=True)
class FrontPoint:
    """The cheapest mix with so many supplements: what its open ingredients cost, and which supplements it uses.

    `proven` tells a cheapest mix from the cheapest found in time.
    """

    supplements: int
    cost: Decimal
    used: tuple[tuple[str, str], ...]
    proven: bool


def trade_off(scenario: Scenario, catalog: Catalog) -> tuple[FrontPoint, ...]:
    """From the fewest supplements that do to the number after which more save nothing; empty when no mix meets
    every limit."""
    choice = choose(scenario, catalog)
    if not choice.in_reach:
        return ()
    # no number of supplements is paid for with a guard that is passed by more
    problem = held(choice.problem, passed(choice.problem), choice.solution.values, NOTHING)
    # supplements that the scenario prescribes are in every mix
    always = sum(1 for a, least in zip(choice.amounts, problem.lower, strict=False) if a.item.is_supplement and least)
    model = Model(problem)
    objectives = (money(problem), items(problem), mass(problem), order(problem))
    fewest = model.solve((items(problem), money(problem)), SECONDS_EACH)
    cheapest = model.solve(objectives, SECONDS_EACH)
    if not fewest.found or not cheapest.found:
        return ()
    front: list[FrontPoint] = []
    for count in range(count_of(problem, fewest.values), count_of(problem, cheapest.values) + 1):
        at_most = Changes(held=((items(problem), float(count)),))
        solution = model.solve(objectives, SECONDS_EACH, at_most)
        if not solution.found:
            continue
        cost = cents(cost_of(problem, solution.values))
        if front and cost >= front[-1].cost:
            continue
        amounts = amounts_of(scenario, problem, solution)
        used = tuple((a.item.id, a.item.food.name) for a in amounts if a.item.is_supplement and a.count > 0)
        front.append(FrontPoint(count_of(problem, solution.values) + always, cost, used, solution.proven))
    return tuple(front)
