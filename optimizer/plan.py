"""The pipeline: scenario -> problem -> solver -> assessment -> sheet. Read it from top to bottom."""

from fractions import Fraction

from catalog.ceilings import guard_ceilings
from catalog.records import Catalog
from optimizer.aims import AIMS
from optimizer.arrays import INFEASIBLE, Problem, Solution
from optimizer.assessment import Amount, assess
from optimizer.errors import UnverifiedPlan
from optimizer.ingredients import steps_of
from optimizer.nearest import nearest
from optimizer.problem import build
from optimizer.scenario import Scenario
from optimizer.sheet import OUT_OF_REACH, OUT_OF_TIME, PLANNED, Sheet, make_sheet
from optimizer.solver import DEFAULT_SECONDS, solve


def plan(scenario: Scenario, catalog: Catalog, seconds: float = DEFAULT_SECONDS) -> Sheet:
    """The sheet of the best mix that meets every limit, or of the nearest mix when none does.

    The sheet's amounts are whole steps of real measures, and its figures are assessed from those amounts.
    Raises UnverifiedPlan if they do not keep what the plan claims.
    """
    aim = AIMS[scenario.aim]
    problem = guarded = build(scenario, catalog, guards=guard_ceilings(catalog, scenario.standard))
    solution = solve(guarded, aim(guarded), seconds)
    if solution.status == INFEASIBLE:  # perhaps only by ceilings that are no part of the standard
        problem = build(scenario, catalog)
        solution = solve(problem, aim(problem), seconds)
    status = PLANNED
    if not solution.found:
        status = OUT_OF_REACH if solution.status == INFEASIBLE else OUT_OF_TIME
        problem, solution = nearest(guarded, aim(guarded), seconds)
    amounts = amounts_of(scenario, problem, solution)
    assessment = assess(scenario, catalog, amounts)
    if status == PLANNED and not assessment.all_met:
        raise UnverifiedPlan(f"{scenario.file}: the amounts found do not keep every limit after rounding")
    return make_sheet(scenario, catalog, amounts, assessment, status, solution)


def amounts_of(scenario: Scenario, problem: Problem, solution: Solution) -> list[Amount]:
    """The solver's steps as exact counts of each item's measure."""
    steps = {c.id: solution.values[j] for j, c in enumerate(problem.columns) if c.kind == "amount"}
    settled = {c.id for j, c in enumerate(problem.columns) if c.kind == "amount" and not problem.integer[j]}
    amounts = []
    for item in scenario.items:
        if item.fixed is not None:
            count = item.fixed
        elif item.id in settled:
            count = Fraction(steps[item.id]).limit_denominator(10**6) * steps_of(item) / item.grams_per_unit
        else:
            count = round(steps[item.id]) * steps_of(item) / item.grams_per_unit
        amounts.append(Amount(item, count))
    return amounts
