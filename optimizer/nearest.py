"""When nothing meets every rule: the same problem with slack, and what to keep first."""

from dataclasses import replace

import numpy as np

from optimizer.aims import Objective
from optimizer.arrays import Column, Problem

# In this order: ceilings that guard against poisoning, then what the person set, then all other limits.
TIERS = ("safety", "wish", "target")


def with_slack(problem: Problem) -> Problem:
    """The problem with a slack column for each side of each row that may give way; 1.0 is the whole limit."""
    columns: list[Column] = []
    sides: list[tuple[int, float]] = []
    for i, row in enumerate(problem.rows):
        for sign, bound in ((1.0, problem.row_lower[i]), (-1.0, problem.row_upper[i])):
            if row.tier and np.isfinite(bound):
                columns.append(Column(f"{row.tier}:{row.id}", "slack"))
                sides.append((i, sign))
    added = np.zeros((len(problem.rows), len(columns)))
    for j, (i, sign) in enumerate(sides):
        added[i, j] = sign
    zeros, count = np.zeros(len(columns)), len(problem.columns)
    return replace(
        problem,
        columns=(*problem.columns, *columns),
        matrix=np.hstack([problem.matrix, added]),
        spread=np.hstack([problem.spread, np.zeros_like(added)]),
        lower=np.concatenate([problem.lower, zeros]),
        upper=np.concatenate([problem.upper, zeros + np.inf]),
        integer=np.concatenate([problem.integer, zeros.astype(bool)]),
        price=np.concatenate([problem.price, zeros]),
        mass=np.concatenate([problem.mass, zeros]),
        listed=np.concatenate([problem.listed[:count], zeros]),
    )


def shortfalls(problem: Problem) -> tuple[Objective, ...]:
    """Total relative shortfall, tier by tier."""
    return tuple(
        Objective(
            f"{tier} shortfall",
            np.array([1.0 if c.kind == "slack" and c.id.startswith(tier + ":") else 0.0 for c in problem.columns]),
        )
        for tier in TIERS
    )
