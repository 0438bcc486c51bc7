"""The solver room: what it answers, how it breaks ties, and that its options are real ones."""

import subprocess
import sys
from itertools import product

import highspy
import numpy as np
import pytest

from optimizer.model.objectives import Objective, shares_of
from optimizer.model.problem import Column, Draft, Problem, Row
from optimizer.model.solver import FOR_PACKAGES, OPTIONS, Model, solve


def problem(
    costs: list[float], rows: list[tuple[list[float], float]], upper: float = 50, whole: bool = True
) -> Problem:
    """Least-cost problems of the form: each row's sum is at least its bound."""
    draft = Draft()
    for j, cost in enumerate(costs):
        draft.column(Column(f"food-{j}", "amount", 1.0), 0, upper, whole, price=cost)
    for i, (coefficients, least) in enumerate(rows):
        draft.row(Row(f"row-{i}", "target", f"row {i}"), dict(enumerate(coefficients)), lower=least)
    return draft.problem()


def cost(of: Problem) -> Objective:
    return Objective("cost", of.price)


def test_whole_amounts_come_back_exactly_whole() -> None:
    of = problem([3.0, 2.0], [([1.0, 0.4], 7.3)])
    answer = solve(of, [cost(of)])
    assert answer.status == "optimal"
    assert answer.values.tolist() == [round(v) for v in answer.values]
    assert answer.gap <= 1e-3


def test_later_objectives_decide_only_between_equals() -> None:
    # 4 of the first, 4 of the second or any mixture cost the same; the second objective wants the second food
    of = problem([1.0, 1.0], [([1.0, 1.0], 4.0)])
    answer = solve(of, [cost(of), Objective("first food", np.array([1.0, 0.0]))])
    assert answer.values.tolist() == [0.0, 4.0]
    assert answer.objectives == (4.0, 0.0)


def test_what_nothing_satisfies_is_infeasible_and_has_no_amounts() -> None:
    answer = solve(problem([1.0], [([1.0], 60.0)]), [Objective("cost", np.array([1.0]))])
    assert answer.status == "infeasible"
    assert not answer.found
    assert answer.values.size == 0


@pytest.mark.parametrize("seed", range(12))
def test_the_least_share_of_a_batch_that_may_grow_is_the_least_of_all_mixes(seed: int) -> None:
    """What a guard is passed by is a share of the guard, which grows with the batch; every mix is tried by hand."""
    random = np.random.default_rng(seed)
    holds, allowed = random.uniform(0, 1, 4), random.uniform(0.1, 0.6, 4)
    holds[3] *= 4
    draft = Draft()
    for j in range(3):
        draft.column(Column(f"food-{j}", "amount", 1.0), 0, 9, True)
    draft.column(Column("settled", "amount", 1.0), 6, 6, True)
    slack = draft.column(Column("passed", "passed", row="guard"), 0, np.inf, False)
    over = {j: float(holds[j] - allowed[j]) for j in range(4)}
    draft.row(Row("guard", "guard", ""), {**over, slack: -1.0}, upper=0.0, needs=dict(enumerate(allowed)))
    draft.row(Row("meat", "", ""), dict.fromkeys(range(3), 1.0), lower=float(random.integers(2, 9)))
    of = draft.problem()
    mixes = [np.array([*x, 6]) for x in product(range(10), repeat=3) if sum(x) >= of.row_lower[1]]
    least = min(max(0.0, (holds - allowed) @ mix) / (allowed @ mix) for mix in mixes)
    [reached] = solve(of, [shares_of("passed", of, [slack])]).objectives
    assert reached == pytest.approx(least, abs=1e-6)


def hard_problem() -> Problem:
    """A market-split problem: equalities that take branch and bound long to settle."""
    random = np.random.default_rng(3)
    draft = Draft()
    for j in range(40):
        draft.column(Column(f"x{j}", "amount", 1.0), 0, 1, True, price=1.0)
    for i in range(5):
        weights = random.integers(0, 100, 40).astype(float)
        half = float(weights.sum() // 2)
        draft.row(Row(f"r{i}", "target", ""), dict(enumerate(weights)), lower=half, upper=half)
    return draft.problem()


def test_running_out_of_time_is_said_and_is_not_called_infeasible() -> None:
    answer = solve(hard_problem(), [Objective("cost", np.ones(40))], seconds=0.05)
    assert answer.status in ("out_of_time", "feasible")
    assert not answer.proven


def test_a_limit_is_for_this_run_whatever_the_live_model_has_spent_before() -> None:
    """An integer program's limit once had the time of earlier runs added: the third run here took four times its own."""
    model = Model(hard_problem())
    runs = [model.solve([Objective("cost", np.ones(40))], seconds=0.3) for _ in range(3)]
    assert all(not run.proven for run in runs)
    assert runs[2].seconds < 0.8


def test_amounts_that_need_not_be_whole_are_found_however_long_the_live_model_has_run() -> None:
    random = np.random.default_rng(0)
    draft = Draft()
    for j in range(300):
        draft.column(Column(f"x{j}", "amount", 1.0), 0, 50, integer=False)
    for i in range(300):
        draft.row(Row(f"r{i}", "target", ""), dict(enumerate(random.random(300))), lower=100.0)
    model = Model(draft.problem())
    runs = [model.solve([Objective("cost", random.random(300))], seconds=0.4) for _ in range(200)]
    assert sum(run.seconds for run in runs) > 0.4
    assert {run.status for run in runs} == {"optimal"}


@pytest.mark.parametrize("name", [*OPTIONS, *FOR_PACKAGES])
def test_each_option_is_one_that_the_solver_knows(name: str) -> None:
    # a misspelt option is ignored in silence
    status, _ = highspy.Highs().getOptionValue(name)
    assert status == highspy.HighsStatus.kOk


def test_nothing_is_printed_by_the_solver() -> None:
    # at the level of file descriptors: a solver's banner does not pass through Python
    program = (
        "import sys; sys.path.insert(0, 'tests/optimizer/model')\n"
        "from test_solver import problem, cost\n"
        "from optimizer.model.solver import solve\n"
        "of = problem([1.0, 2.0], [([1.0, 1.0], 3.5)])\n"
        "assert solve(of, [cost(of)]).found"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert done.stdout == ""
    assert done.stderr == ""


def test_the_same_problem_gives_the_same_amounts_every_time() -> None:
    random = np.random.default_rng(11)
    rows = [(random.uniform(0, 1, 12).tolist(), float(random.uniform(5, 40))) for _ in range(15)]
    of = problem(random.uniform(0.5, 2, 12).tolist(), rows)
    objectives = [cost(of), Objective("mass", of.mass), Objective("order", of.mass * of.listed)]
    answers = {tuple(solve(of, objectives).values) for _ in range(3)}
    assert len(answers) == 1
