"""Problem -> amounts: the best mix, or the nearest one, with the live model it came from."""

import time
from dataclasses import dataclass
from fractions import Fraction

from catalog.ceilings import plan_guards
from catalog.records import Catalog
from optimizer.aims import AIMS, Objective
from optimizer.arrays import INFEASIBLE, Problem, Solution
from optimizer.assessment import Amount
from optimizer.errors import OutOfTime
from optimizer.ingredients import steps_of
from optimizer.nearest import nearest
from optimizer.problem import build
from optimizer.scenario import Scenario
from optimizer.solver import DEFAULT_SECONDS, Model

LEAST_FOR_NEAREST = 10.0  # seconds; some mix always exists, and it is found in a fraction of this


@dataclass(frozen=True)
class Choice:
    """What was chosen. `model` is the live model of `problem`, which meets every limit where `in_reach`;
    `solution` is of that model, or of the nearest mix (`nearest_problem`) where nothing is in reach."""

    scenario: Scenario
    problem: Problem
    model: Model
    objectives: tuple[Objective, ...]
    solution: Solution
    in_reach: bool
    ruled_out: bool
    amounts: tuple[Amount, ...]


def choose(scenario: Scenario, catalog: Catalog, seconds: float = DEFAULT_SECONDS) -> Choice:
    """The best amounts that keep every limit and guard; else with fewer guards; else the nearest amounts."""
    start = time.perf_counter()
    aim = AIMS[scenario.aim]
    steps = plan_guards(catalog, scenario.standard)
    problem = guarded = build(scenario, catalog, *next(steps))
    model = Model(problem)
    solution = model.solve(aim(problem), seconds)
    for guards, shares in steps:
        if solution.status == INFEASIBLE:  # perhaps only by what does not bind
            problem = build(scenario, catalog, guards, shares)
            model = Model(problem)
            solution = model.solve(aim(problem), max(0.01, seconds - (time.perf_counter() - start)))
    in_reach, ruled_out = solution.found, solution.status == INFEASIBLE
    if not in_reach:
        # a mix that is off its standard must not drift past ceilings which only other publications set
        solution = nearest(guarded, aim(guarded), max(seconds, LEAST_FOR_NEAREST))
        if not solution.found:
            raise OutOfTime(f"{scenario.file}: time ran out before any mix was found; allow more with --seconds")
    amounts = tuple(amounts_of(scenario, problem, solution))
    return Choice(scenario, problem, model, aim(problem), solution, in_reach, ruled_out, amounts)


def amounts_of(scenario: Scenario, problem: Problem, solution: Solution) -> list[Amount]:
    """The solver's steps as exact counts of each item's measure."""
    steps = {c.id: solution.values[j] for j, c in enumerate(problem.columns) if c.kind == "amount"}
    whole = {c.id for j, c in enumerate(problem.columns) if c.kind == "amount" and problem.integer[j]}
    amounts = []
    for item in scenario.items:
        if item.fixed is not None:
            count = item.fixed
        elif item.id in whole:
            count = round(steps[item.id]) * steps_of(item) / item.grams_per_unit
        else:
            count = Fraction(steps[item.id]).limit_denominator(10**6) * steps_of(item) / item.grams_per_unit
        amounts.append(Amount(item, count))
    return amounts
