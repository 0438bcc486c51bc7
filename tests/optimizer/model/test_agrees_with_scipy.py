"""Our optimum is the optimum: scipy.optimize.milp finds the same on the same arrays, or finds none as well.

scipy calls a HiGHS of its own build, on arrays handed over directly: what is checked is the way through PuLP, the
options, the holding of objectives and the reading of the status.
"""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp

from catalog.catalog import load_catalog
from optimizer.model.build import build
from optimizer.model.objectives import SMALL_COIN, Objective, objectives, of_aim
from optimizer.model.problem import FEASIBLE, INFEASIBLE, OPTIMAL, Floats, Problem
from optimizer.model.solver import HELD, solve
from optimizer.scenario.aims import AIMS
from optimizer.scenario.read import load_scenario
from tests.altered import changed, demo, entry, scenario_of
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
    objective = of_aim(aim, problem)[0]
    status, value = by_us(problem, objective)
    assert (status, value) == (by_scipy(problem, objective.weights)[0], value)
    assert value == pytest.approx(by_scipy(problem, objective.weights)[1], rel=1e-6, abs=1e-9)


@pytest.mark.parametrize(("name", "aim"), CASES)
def test_later_objectives_are_served_without_giving_up_earlier_ones(name: str, aim: str) -> None:
    problem, _ = problem_of(name)
    wanted = objectives(aim, problem)
    answer = solve(problem, wanted)
    if not answer.found:
        assert by_scipy(problem, wanted[0].weights)[0] == INFEASIBLE
        return
    held: list[tuple[Floats, float]] = []
    for objective, reached in zip(wanted, answer.objectives, strict=True):
        if objective.shares:
            # of each what scipy finds, by halving; no demo scenario has to pass two
            over = [j for j in np.flatnonzero(objective.weights) if answer.values[j] > 1e-6]
            held += [
                (np.eye(len(problem.columns))[j], 1e-9) for j in np.flatnonzero(objective.weights) if j not in over
            ]
            assert len(over) <= 1
            if over:
                assert reached == pytest.approx(least_share(problem, over[0], held), abs=1e-5)
                held.append(in_share(problem, over[0], reached + 1e-6))
            continue
        status, least = by_scipy(problem, objective.weights, held)
        assert status == OPTIMAL
        assert reached == pytest.approx(least, rel=1e-6, abs=1e-6)
        most = reached + max(objective.allowance, slip(reached))
        assert float(objective.weights @ answer.values) <= most + 1e-9
        held.append((objective.weights, most))


def in_share(problem: Problem, column: int, share: float) -> tuple[Floats, float]:
    """A slack of at most this share of the whole of its row, as an objective to hold."""
    row = [row.id for row in problem.rows].index(problem.columns[column].row)
    weights = -share * problem.needs[row]
    weights[column] += 1.0
    return weights, share * float(problem.need_constant[row])


def least_share(problem: Problem, column: int, held: list[tuple[Floats, float]]) -> float:
    """The least share of the whole of its row that a slack can come to, by scipy, an interval being halved."""
    low, high = 0.0, 10.0
    nothing = np.zeros(len(problem.columns))
    while high - low > 1e-7:
        middle = (low + high) / 2
        status, _ = by_scipy(problem, nothing, [*held, in_share(problem, column, middle)])
        low, high = (low, middle) if status == OPTIMAL else (middle, high)
    return high


@pytest.mark.parametrize(
    ("name", "food", "grams", "passed"),
    [
        ("turkey-week", "turkey-liver", 500, "common:liver"),
        ("turkey-week", "turkey-neck-bone-in", 1300, "common:bone"),
        ("turkey-week", "beef-spleen", 800, "common:secreting-organ"),
        ("rabbit-few-jars", "chicken-liver", 600, "common:liver"),
    ],
)
def test_what_has_to_be_passed_is_passed_by_the_least_share_that_scipy_finds(
    name: str, food: str, grams: int, passed: str
) -> None:
    """Some meat may be more or less, so the share's whole moves."""
    data = demo(name)
    entry(data, food).pop("up_to", None)
    entry(data, food)["amount"] = f"{grams} g"
    for cut in data["on_hand"][:3]:
        if cut["food"] != food and "amount" in cut:
            cut["up_to"] = cut.pop("amount")
    problem = build(scenario_of(changed(data, meat_at_least="1 kg"), load_catalog()[0]), load_catalog()[0])
    answer = solve(problem, objectives("cost", problem))
    [column] = [j for j, c in enumerate(problem.columns) if c.kind == "passed" and answer.values[j] > 1e-6]
    assert problem.columns[column].row == passed
    others = [j for j, c in enumerate(problem.columns) if c.kind.startswith("passed") and j != column]
    kept = [(np.eye(len(problem.columns))[j], 1e-9) for j in others]
    reached = dict(zip((o.name for o in objectives("cost", problem)), answer.objectives, strict=True))["passed"]
    assert reached > 0.05
    assert reached == pytest.approx(least_share(problem, column, kept), abs=1e-5)  # scipy keeps rows to 1e-6
    # and the cost is the least of all mixes that pass it by no more
    held = [*kept, in_share(problem, column, reached + 1e-7)]
    [cost] = [o for o in objectives("cost", problem) if o.name == "cost"]
    place = [o.name for o in objectives("cost", problem)].index("cost")
    assert answer.objectives[place] == pytest.approx(by_scipy(problem, cost.weights, held)[1], abs=SMALL_COIN)


def slip(value: float) -> float:
    """How far a held objective may give, as the solver room states it; of a cost, a small coin more."""
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
        objective = of_aim(("cost", "fewest")[number % 2], problem)[0]
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
