"""The programs in examples.py reach their published optima through our own arrays and our own solver room.

The source of each stands beside it in examples.py; test_examples_data.py solves the same with a solver not ours.
"""

import numpy as np
import pytest

from optimizer.model.objectives import Objective
from optimizer.model.problem import INFEASIBLE, OPTIMAL, Column, Draft, Problem, Row, Solution
from optimizer.model.solver import solve
from tests.published.examples import EXAMPLES, Example

SOLVABLE = [example for example in EXAMPLES if example.optimum is not None]


def problem_of(example: Example, scale: float = 1.0) -> Problem:
    """The example as a problem of ours; `scale` divides every row, as a batch's own limits do."""
    draft = Draft()
    for j, (low, high, whole) in enumerate(zip(example.lower, example.upper, example.integer, strict=True)):
        draft.column(Column(f"x{j}", "amount", 1.0), low, high, whole, price=example.costs[j])
    for i, (row, low, high) in enumerate(zip(example.rows, example.row_lower, example.row_upper, strict=True)):
        draft.row(Row(f"row-{i}", "target", "", scale), dict(enumerate(row)), low, high)
    return draft.problem()


def solved(example: Example, scale: float = 1.0) -> Solution:
    problem = problem_of(example, scale)
    return solve(problem, [Objective("cost", problem.price)])


@pytest.mark.parametrize("example", SOLVABLE, ids=lambda example: example.name)
@pytest.mark.parametrize("scale", [1.0, 250.0])
def test_the_published_optimum_is_reached_and_proven(example: Example, scale: float) -> None:
    answer = solved(example, scale)
    assert example.optimum is not None
    assert (answer.status, answer.proven) == (OPTIMAL, True)
    assert answer.objectives[0] == pytest.approx(example.optimum, abs=0.5 * 10.0**-example.digits)


@pytest.mark.parametrize("example", [e for e in EXAMPLES if e.optimum is None], ids=lambda example: example.name)
def test_what_is_published_as_infeasible_is_infeasible(example: Example) -> None:
    assert solved(example).status == INFEASIBLE


@pytest.mark.parametrize("example", [e for e in SOLVABLE if e.solution], ids=lambda example: example.name)
def test_the_published_solution_is_found(example: Example) -> None:
    assert solved(example).values == pytest.approx(np.array(example.solution), abs=1e-5)


@pytest.mark.parametrize("example", SOLVABLE, ids=lambda example: example.name)
def test_what_is_found_keeps_every_row_and_bound(example: Example) -> None:
    amounts = solved(example).values
    sums = np.array(example.rows) @ amounts
    slack = 1e-6 * np.maximum(1.0, np.abs(sums))
    assert (sums >= np.array(example.row_lower) - slack).all()
    assert (sums <= np.array(example.row_upper) + slack).all()
    assert (amounts >= np.array(example.lower) - 1e-9).all()
    assert (amounts <= np.array(example.upper) + 1e-9).all()
    whole = np.array(example.integer)
    assert (amounts[whole] == np.round(amounts[whole])).all()
