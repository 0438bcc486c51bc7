"""Sums of shares as objectives: what they come to, and their slope at a mix, which a linear solver can follow."""

from collections.abc import Sequence

import numpy as np

from optimizer.model.kinds import Tier
from optimizer.model.objectives import Objective
from optimizer.model.problem import Floats, NewRow, Problem, Row


def value_of(problem: Problem, objective: Objective, values: Floats) -> float:
    """What an objective comes to at these values."""
    if not objective.shares:
        return float(objective.weights @ values)
    total = 0.0
    for j, rows in objective.shares:
        _, factor, whole = largest_limit(problem, rows, values)
        total += float(values[j]) * factor / whole
    return total


def largest_limit(problem: Problem, rows: Sequence[tuple[int, float]], values: Floats) -> tuple[int, float, float]:
    """The row whose whole is the largest at these values, its factor and its whole."""
    found = [(i, factor, problem.limit_size(i, values)) for i, factor in rows]
    return max(found, key=lambda one: one[2] / one[1])


def slope(problem: Problem, objective: Objective, values: Floats) -> Floats:
    """How an objective changes with each column at these values: its weights, or of shares s/w the sum of
    d(s/w) = ds/w - s/w * dw/w."""
    if not objective.shares:
        return objective.weights
    weights = np.zeros(len(problem.columns))
    for j, rows in objective.shares:
        i, factor, whole = largest_limit(problem, rows, values)
        weights[j] += factor / whole
        weights -= values[j] * factor / whole / whole * problem.needs[i]
    return weights


def held(problem: Problem, objectives: Sequence[Objective], values: Floats, allowance: float) -> Problem:
    """The problem with rows that keep each objective where these values have it, to within an allowance."""
    rows = []
    for objective in objectives:
        weights = slope(problem, objective, values)
        terms = {int(j): float(weights[j]) for j in np.flatnonzero(weights)}
        row = Row(f"held:{objective.name}", Tier.NEVER, "as little as can be")
        rows.append(NewRow(row, terms, upper=float(weights @ values) + allowance))
    return problem.extended(rows=rows)
