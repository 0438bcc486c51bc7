"""Our optimum is the optimum: scipy.optimize.milp finds the same on the same arrays, or finds none as well.

scipy calls a HiGHS of its own build, on arrays handed over directly: what is checked is the way through PuLP, the
options, the holding of objectives and the reading of the status.
"""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp

from catalog.library import load_catalog
from optimizer.aims import AIMS, Objective
from optimizer.arrays import FEASIBLE, INFEASIBLE, OPTIMAL, Floats, Problem
from optimizer.problem import build
from optimizer.scenario_file import load_scenario
from optimizer.solver import HELD, solve
from tests.conftest import SCENARIOS

FILES = [path.stem for path in sorted(SCENARIOS.glob("*.toml"))]
SCIPY_STATUS = {0: OPTIMAL, 2: INFEASIBLE}
RANDOM_PROBLEMS = 100
PER_FILE = -(-RANDOM_PROBLEMS // len(FILES))


@cache
def problem_of(name: str) -> tuple[Problem, bool]:
    """The arrays of a demo scenario, and whether it has a usual recipe."""
    catalog, _ = load_catalog()
    scenario = load_scenario(SCENARIOS / f"{name}.toml", catalog)
    return build(scenario, catalog), any(item.usual for item in scenario.items)


def by_scipy(problem: Problem, weights: Floats, held: list[tuple[Floats, float]] | None = None) -> tuple[str, float]:
    """Status and optimum; `held` are objectives that may not pass a value."""
    rules = [LinearConstraint(problem.matrix, problem.row_lower, problem.row_upper)]
    rules += [LinearConstraint(earlier[np.newaxis, :], -np.inf, most) for earlier, most in held or []]
    found = milp(
        weights,
        constraints=rules,
        bounds=Bounds(problem.lower, problem.upper),
        integrality=problem.integer.astype(int),
        options={"mip_rel_gap": 1e-9},
    )
    return SCIPY_STATUS[found.status], float(found.fun) if found.status == 0 else np.inf


def by_us(problem: Problem, objective: Objective) -> tuple[str, float]:
    answer = solve(problem, [objective])
    return answer.status, answer.objectives[0] if answer.found else np.inf


CASES = [(name, aim) for name in FILES for aim in AIMS if aim != "usual" or problem_of(name)[1]]


@pytest.mark.parametrize(("name", "aim"), CASES)
def test_each_demo_scenario_has_the_same_optimum(name: str, aim: str) -> None:
    problem, _ = problem_of(name)
    objective = AIMS[aim](problem)[0]
    status, value = by_us(problem, objective)
    assert (status, value) == (by_scipy(problem, objective.weights)[0], value)
    assert value == pytest.approx(by_scipy(problem, objective.weights)[1], rel=1e-6, abs=1e-9)


@pytest.mark.parametrize(("name", "aim"), CASES)
def test_later_objectives_are_served_without_giving_up_earlier_ones(name: str, aim: str) -> None:
    problem, _ = problem_of(name)
    objectives = AIMS[aim](problem)
    answer = solve(problem, objectives)
    if not answer.found:
        assert by_scipy(problem, objectives[0].weights)[0] == INFEASIBLE
        return
    assert answer.objectives[0] <= by_scipy(problem, objectives[0].weights)[1] + slip(answer.objectives[0])
    held: list[tuple[Floats, float]] = []
    for objective, reached in zip(objectives, answer.objectives, strict=True):
        status, least = by_scipy(problem, objective.weights, held)
        assert status == OPTIMAL
        assert reached == pytest.approx(least, rel=1e-6, abs=1e-6)
        held.append((objective.weights, reached + slip(reached)))


def slip(value: float) -> float:
    """How far a held objective may give, as the solver room states it."""
    return HELD * max(1.0, abs(value))


# Problems made from the arrays of the demo scenarios: other prices, other targets and ceilings, other stocks.


def altered(problem: Problem, random: np.random.Generator) -> Problem:
    """Other prices (also for what had none), all limits eased or tightened more or less, stocks cut or grown."""
    ease = random.uniform(-0.25, 0.15)  # in shares of the whole limit
    limits = np.array([bool(row.tier) for row in problem.rows])
    moved = np.where(limits, random.uniform(ease - 0.10, ease + 0.05, len(limits)), 0.0)
    free = (problem.lower < problem.upper) & (problem.mass > 0)
    stock = np.floor(problem.upper * random.uniform(0.4, 1.5, len(free)))
    price = np.where(problem.price > 0, problem.price, 0.01 * problem.mass)
    return replace(
        problem,
        price=price * np.exp2(random.uniform(-1, 1, len(free))),
        row_lower=problem.row_lower + moved,
        row_upper=problem.row_upper - moved,
        upper=np.where(free, np.maximum(stock, problem.lower), problem.upper),
    )


@cache
def answers(name: str) -> tuple[tuple[str, float, str, float], ...]:
    """Our status and optimum, and scipy's, for each problem made from one scenario."""
    random = np.random.default_rng([1939, FILES.index(name)])
    found = []
    for number in range(PER_FILE):
        problem = altered(problem_of(name)[0], random)
        objective = AIMS[("cost", "fewest")[number % 2]](problem)[0]
        found.append((*by_us(problem, objective), *by_scipy(problem, objective.weights)))
    return tuple(found)


@pytest.mark.parametrize("name", FILES)
def test_random_problems_have_the_same_optimum(name: str) -> None:
    for status, value, their_status, their_value in answers(name):
        assert status == their_status
        assert value == pytest.approx(their_value, rel=1e-6, abs=1e-9)


def test_the_random_problems_are_a_hundred_and_of_both_kinds() -> None:
    statuses = [status for name in FILES for status, *_ in answers(name)]
    assert len(statuses) >= RANDOM_PROBLEMS
    assert statuses.count(OPTIMAL) >= 20
    assert statuses.count(INFEASIBLE) >= 20
    assert FEASIBLE not in statuses
    costs = {round(value, 6) for name in FILES for status, value, *_ in answers(name) if status == OPTIMAL}
    assert len(costs) >= 15  # and not the same problem over and over
