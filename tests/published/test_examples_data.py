"""The programs in examples.py reach their published optima with a solver that is not ours.

The source of each stands beside it in examples.py.
"""

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, OptimizeResult, milp

from tests.published.examples import EXAMPLES, Example

SOLVABLE = [example for example in EXAMPLES if example.optimum is not None]


def solved(example: Example) -> OptimizeResult:
    return milp(
        np.array(example.costs),
        constraints=LinearConstraint(np.array(example.rows), example.row_lower, example.row_upper),
        bounds=Bounds(example.lower, example.upper),
        integrality=np.array(example.integer, dtype=int),
        options={"mip_rel_gap": 0.0},
    )


@pytest.mark.parametrize("example", SOLVABLE, ids=lambda example: example.name)
def test_the_published_optimum_is_reached(example: Example) -> None:
    assert example.optimum is not None
    result = solved(example)
    assert result.status == 0
    assert result.fun == pytest.approx(example.optimum, abs=0.5 * 10.0**-example.digits)


@pytest.mark.parametrize("example", [e for e in EXAMPLES if e.optimum is None], ids=lambda example: example.name)
def test_what_is_published_as_infeasible_is_infeasible(example: Example) -> None:
    assert solved(example).status == 2


@pytest.mark.parametrize("example", [e for e in SOLVABLE if e.solution], ids=lambda example: example.name)
def test_the_published_solution_is_found(example: Example) -> None:
    assert solved(example).x == pytest.approx(np.array(example.solution), abs=1e-5)


def test_whole_packages_cost_more_than_parts_of_them() -> None:
    cost = {example.name: solved(example).fun for example in SOLVABLE}
    assert cost["dinners"] < cost["dinners, varied"] < cost["dinners, whole packages"]
