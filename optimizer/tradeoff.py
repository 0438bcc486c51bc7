"""The whole front between cost and number of supplements: for each number, the cheapest mix."""

from dataclasses import dataclass
from decimal import Decimal

from catalog.records import Catalog
from catalog.units.money import cents as exact_cents
from optimizer.assess.assessment import assess
from optimizer.explain.probe import cents, cost_of, count_of
from optimizer.model.deadline import Deadline
from optimizer.model.levels import Surely
from optimizer.model.objectives import items, mass, money, order, passed
from optimizer.model.ratios import held
from optimizer.model.solve import amounts_of, choose
from optimizer.model.solver import DEFAULT_SECONDS, Changes, Model
from optimizer.model.sure import surely, surest
from optimizer.scenario.records import Scenario
from optimizer.sureness.chances import sureness_of
from optimizer.sureness.told import unsure_of

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


@dataclass(frozen=True, slots=True)
class Front:
    """The points that were found; not `complete` where time ran out before every number was looked at."""

    points: tuple[FrontPoint, ...] = ()
    complete: bool = True


def trade_off(scenario: Scenario, catalog: Catalog, seconds: float = DEFAULT_SECONDS) -> Front:
    """From the fewest supplements that do to the number after which more save nothing; empty when no mix meets
    every limit. What `seconds` leave no time for is left out."""
    deadline = Deadline.within(seconds)
    choice = choose(scenario, catalog, deadline.left)
    if not choice.in_reach:
        return Front(complete=choice.ruled_out)
    # no number of supplements is paid for with a guard that is passed by more
    problem = held(choice.problem, passed(choice.problem), choice.solution.values, NOTHING)
    # supplements that the scenario prescribes are in every mix
    always = sum(1 for a, least in zip(choice.amounts, problem.lower, strict=False) if a.item.is_supplement and least)
    model = Model(problem)
    objectives = (money(problem), items(problem), mass(problem), order(problem))
    fewest = model.solve((items(problem), money(problem)), deadline.at_most(SECONDS_EACH))
    cheapest = model.solve(objectives, deadline.at_most(SECONDS_EACH))
    if not fewest.found or not cheapest.found:
        return Front(complete=False)
    front: list[FrontPoint] = []
    for count in range(count_of(problem, fewest.values), count_of(problem, cheapest.values) + 1):
        if deadline.is_over:
            return Front(tuple(front), complete=False)
        at_most = Changes(held=((items(problem), float(count)),))
        solution = model.solve(objectives, deadline.at_most(SECONDS_EACH), at_most)
        if not solution.found:
            continue
        cost = cents(cost_of(problem, solution.values))
        if front and cost >= front[-1].cost:
            continue
        amounts = amounts_of(scenario, problem, solution)
        used = tuple((a.item.id, a.item.food.name) for a in amounts if a.item.is_supplement and a.count > 0)
        front.append(FrontPoint(count_of(problem, solution.values) + always, cost, used, solution.proven))
    return Front(tuple(front))


@dataclass(frozen=True, slots=True)
class SurePoint:
    """The plan for a chance of each limit: None as it is without one, 1 as sure as can be. `together` is the chance of
    all limits at once, `cost` that of the batch (None: nothing has a price), `unsure` names what cannot be held so."""

    asked: float | None
    together: float
    cost: Decimal | None
    supplements: int
    used: tuple[tuple[str, str], ...]
    unsure: tuple[str, ...]


SURE_LEVELS = (0.6, 0.7, 0.8, 0.9, 0.95, 0.99)


def trade_off_sureness(scenario: Scenario, catalog: Catalog, seconds: float = DEFAULT_SECONDS) -> tuple[SurePoint, ...]:
    """What sureness costs: the plan as it is, then for rising chances of each limit, then the surest found; empty when
    no mix meets every limit. A level that costs more and holds all limits less often than another is left out."""
    deadline = Deadline.within(seconds)
    plain = choose(scenario, catalog, deadline.left)
    if not plain.in_reach:
        return ()
    found = [_sure_point(None, Surely(plain, ()), catalog)]
    for level in SURE_LEVELS:
        more = None if deadline.is_over else surely(plain, catalog, level, False, deadline)
        if more is not None:
            found.append(_sure_point(level, more, catalog))
    if not deadline.is_over:
        found.append(_sure_point(1.0, surest(plain, catalog, None, deadline), catalog))
    best = -1.0
    kept = []
    for point in sorted(found, key=lambda point: (point.cost or Decimal(), -point.together)):
        if point.asked is None or point.together > best + LEAST_SURER:
            kept.append(point)
            best = max(best, point.together)
    return tuple(kept)


LEAST_SURER = 0.005  # of a chance: less is no point of its own


def _sure_point(asked: float | None, found: Surely, catalog: Catalog) -> SurePoint:
    scenario, amounts = found.choice.scenario, found.choice.amounts
    sureness = sureness_of(scenario, catalog, amounts)
    cost = assess(scenario, catalog, amounts).cost
    used = tuple((a.item.id, a.item.food.name) for a in amounts if a.item.is_supplement and a.count > 0)
    unsure = tuple(dict.fromkeys(one.name for one in unsure_of(sureness, found.unsure)))
    return SurePoint(asked, sureness.together, None if cost is None else exact_cents(cost), len(used), used, unsure)
