"""When nothing meets every rule: the mix that misses least, and never by way of a stronger dose.

Rules give way in this order, the last first: ceilings that guard against poisoning, then what the person
set, then all other limits. Supplements are no cure for a ceiling that the meat itself breaks (thinning it
out would take absurd amounts), so such a ceiling may be missed by what it is missed without them, no more.
"""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from optimizer.aims import Objective
from optimizer.arrays import Column, Flags, Problem, Solution
from optimizer.solver import DEFAULT_SECONDS, solve

# A supplement has to be worth its mass: one percent of the mix weighs as much as five percent of one limit.
MASS_WEIGHT = 5.0


def nearest(problem: Problem, ties: Sequence[Objective], seconds: float = DEFAULT_SECONDS) -> Solution:
    """The amounts of least total relative shortfall; `ties` are objectives of `problem` that decide among
    equals. The solution's first columns are the problem's own."""
    slack = with_slack(problem)
    bare = replace(slack, upper=np.where(_optional(slack), slack.lower, slack.upper))
    room = solve(bare, [_shortfall(slack, "safety")], seconds)
    if room.found:
        most = np.where(_slack_of(slack, "safety"), room.values + 1e-9, slack.upper)
        slack = replace(slack, upper=most)
    added = np.zeros(len(slack.columns) - len(problem.columns))
    later = [Objective(o.name, np.concatenate([o.weights, added])) for o in ties]
    return solve(slack, [_shortfall(slack, "wish"), _targets(slack), *later], seconds)


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
    zeros = np.zeros(len(columns))
    return replace(
        problem,
        columns=(*problem.columns, *columns),
        matrix=np.hstack([problem.matrix, added]),
        spread=np.hstack([problem.spread, np.zeros_like(added)]),
        needs=np.hstack([problem.needs, np.zeros_like(added)]),
        lower=np.concatenate([problem.lower, zeros]),
        upper=np.concatenate([problem.upper, zeros + np.inf]),
        integer=np.concatenate([problem.integer, zeros.astype(bool)]),
        price=np.concatenate([problem.price, zeros]),
        mass=np.concatenate([problem.mass, zeros]),
        listed=np.concatenate([problem.listed, zeros]),
    )


def _slack_of(problem: Problem, tier: str) -> Flags:
    return np.array([c.kind == "slack" and c.id.startswith(tier + ":") for c in problem.columns])


def _shortfall(problem: Problem, tier: str) -> Objective:
    """Total relative shortfall of one tier."""
    return Objective(f"{tier} shortfall", _slack_of(problem, tier).astype(float))


def _targets(problem: Problem) -> Objective:
    """Total relative shortfall of all other limits, with the mass of supplements that is spent on it."""
    optional = _optional(problem)
    rest = np.array([c.kind == "amount" for c in problem.columns]) & ~optional
    batch = float(problem.mass[rest] @ problem.upper[rest])
    weights = _slack_of(problem, "target") + MASS_WEIGHT * problem.mass * optional / batch
    return Objective("target shortfall", weights.astype(float))


def _optional(problem: Problem) -> Flags:
    """The amounts of supplements that may be left out."""
    used = {c.id for c in problem.columns if c.kind == "used"}
    return np.array([c.kind == "amount" and c.id in used for c in problem.columns])
