"""When nothing meets every rule: the mix that misses least, and never by way of a stronger dose.

Ceilings come first, then what the person set, then targets. Supplements are no cure for a ceiling that the
meat itself breaks (thinning it out takes absurd amounts), so a ceiling may be passed by what it is passed
without them, no more; they are then spent on the targets.
"""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from optimizer.aims import Objective
from optimizer.arrays import Column, Flags, Problem, Row, Solution
from optimizer.solver import DEFAULT_SECONDS, solve

# A supplement has to be worth its mass: one percent of the mix weighs as much as 15 % of one target.
MASS_WEIGHT = 15.0
# Where the meat passes a ceiling that is none of safety, what supplements bring along may add this much of it.
ALLOWANCE = 0.05


def nearest(problem: Problem, ties: Sequence[Objective], seconds: float = DEFAULT_SECONDS) -> Solution:
    """The amounts of least total relative shortfall; `ties` are objectives of `problem` that decide among
    equals. The solution's first columns are the problem's own."""
    slack = with_slack(problem)
    bare = replace(slack, upper=np.where(_optional(slack), slack.lower, slack.upper))
    room = solve(bare, [_shortfall(slack, "ceiling"), _shortfall(slack, "wish")], seconds)
    if room.found:
        allowed = np.where(_unsafe(slack) | (room.values < 1e-6), 1e-9, ALLOWANCE)
        slack = replace(slack, upper=np.where(_slack_of(slack, "ceiling"), room.values + allowed, slack.upper))
    added = np.zeros(len(slack.columns) - len(problem.columns))
    later = [Objective(o.name, np.concatenate([o.weights, added])) for o in ties]
    return solve(slack, [_shortfall(slack, "wish"), _targets(slack), *later], seconds)


def with_slack(problem: Problem) -> Problem:
    """The problem with a slack column for each side of each row that may give way; 1.0 is the whole limit.

    A slack's id says what gives way: "ceiling:", "wish:" (what the person set) or "target:", and the row's id.
    """
    columns: list[Column] = []
    sides: list[tuple[int, float]] = []
    for i, row in enumerate(problem.rows):
        for sign, bound in ((1.0, problem.row_lower[i]), (-1.0, problem.row_upper[i])):
            if row.tier and np.isfinite(bound):
                columns.append(Column(f"{_kind(row, sign)}:{row.id}", "slack"))
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


def _kind(row: Row, sign: float) -> str:
    """What a side of a row is. A ratio can be mended from both sides, so neither of its ends is a ceiling."""
    if row.tier == "wish":
        return "wish"
    ratio = row.limit is not None and row.limit.basis == "ratio"
    return "ceiling" if sign < 0 and not ratio else "target"


def _slack_of(problem: Problem, kind: str) -> Flags:
    return np.array([c.kind == "slack" and c.id.startswith(kind + ":") for c in problem.columns])


def _unsafe(problem: Problem) -> Flags:
    """The slacks of ceilings that guard against poisoning."""
    safety = {f"ceiling:{row.id}" for row in problem.rows if row.tier == "safety"}
    return np.array([c.kind == "slack" and c.id in safety for c in problem.columns])


def _shortfall(problem: Problem, kind: str) -> Objective:
    """Total relative shortfall, or excess, of one kind."""
    return Objective(f"{kind} shortfall", _slack_of(problem, kind).astype(float))


def _targets(problem: Problem) -> Objective:
    """Total relative shortfall of targets, with the mass of supplements that is spent on them."""
    optional = _optional(problem)
    rest = np.array([c.kind == "amount" for c in problem.columns]) & ~optional
    batch = float(problem.mass[rest] @ problem.upper[rest])
    weights = _slack_of(problem, "target") + MASS_WEIGHT * problem.mass * optional / batch
    return Objective("target shortfall", weights.astype(float))


def _optional(problem: Problem) -> Flags:
    """The amounts of supplements that may be left out."""
    used = {c.id for c in problem.columns if c.kind == "used"}
    return np.array([c.kind == "amount" and c.id in used for c in problem.columns])
