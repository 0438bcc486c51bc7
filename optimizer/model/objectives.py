"""The goals of aims as weights of a problem's columns.

Before any aim comes what guards are passed by, first of what is toxic in excess. Every aim ends in the same ties: fewer
supplements, then less from jars, then less of each, then what stands first in the scenario (`scenario/aims.py`). So the
same scenario always gives the same plan.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from optimizer.model.kinds import PASSED, Kind
from optimizer.model.problem import Floats, Problem
from optimizer.scenario.aims import AIMS, Goal

# Two costs that differ by no more than this, in the scenario's currency, are the same: nothing is done for a cent.
SMALL_COIN = 0.01


MeatShare = tuple[int, tuple[tuple[int, float], ...]]  # a column, and its rows with their factors


@dataclass(frozen=True, slots=True)
class Objective:
    """Something to make as small as possible: a weight for each column of the problem.

    `allowance` is how far it may slip while later ones are served. With `shares` the sum of shares is meant: what each
    column holds as a share of the whole of its row (`Problem.limit_size`), which moves with the batch; where there are
    several rows, of the one with the largest whole. A factor turns the column's units into the row's.
    `settles` marks the one whose proven gap is that of the plan.
    """

    name: str
    weights: Floats
    allowance: float = 0.0
    shares: tuple[MeatShare, ...] = ()
    settles: bool = False


def shares_of(name: str, problem: Problem, columns: Sequence[int]) -> Objective:
    """The sum of what these slack columns hold, each as a share of the whole of its row."""
    rows = {row.id: i for i, row in enumerate(problem.rows)}
    weights = np.zeros(len(problem.columns))
    weights[list(columns)] = 1.0
    shares = []
    for j in columns:
        own = problem.columns[j]
        scale = problem.rows[rows[own.row]].scale
        of = [rows[id_] for id_ in own.rows or (own.row,)]
        shares.append((j, tuple((i, scale / problem.rows[i].scale) for i in of)))
    return Objective(name, weights, shares=tuple(shares))


def passed(problem: Problem) -> tuple[Objective, ...]:
    """What guards are passed by: first the guards of what is toxic in excess, then the others and common shares; of
    each how many are passed that could be kept, then by how much."""
    found = []
    for kind in PASSED:
        columns = [j for j, column in enumerate(problem.columns) if column.kind == kind]
        if columns:
            given = _of_kind(problem, PASSED[kind])
            found += [Objective(f"{kind} at all", given)] if given.any() else []
            found.append(shares_of(kind, problem, columns))
    return tuple(found)


def money(problem: Problem) -> Objective:
    """What the open ingredients cost, in the scenario's currency. A jar without a price counts what such jars usually
    cost; food without one costs nothing."""
    return Objective("cost", problem.worth * _open(problem), SMALL_COIN, settles=True)


def items(problem: Problem) -> Objective:
    """How many supplements are used."""
    return Objective("items", _of_kind(problem, Kind.USED))


def from_jars(problem: Problem) -> Objective:
    """The grams that come from jars."""
    return Objective("from jars", problem.mass * [column.jar for column in problem.columns] * _open(problem))


def mass(problem: Problem) -> Objective:
    """The grams of everything whose amount is open."""
    return Objective("mass", problem.mass * _open(problem))


def order(problem: Problem) -> Objective:
    """Among equals: what stands first in the scenario is used first."""
    return Objective("order", problem.mass * problem.listed * _open(problem))


def change(problem: Problem) -> Objective:
    """How far the doses are from the usual recipe: the sum of relative changes, a new supplement counting 1."""
    usual = {c.id for c in problem.columns if c.kind == Kind.CHANGE}
    new = np.array([1.0 if c.kind == Kind.USED and c.id not in usual else 0.0 for c in problem.columns])
    return Objective("change", _of_kind(problem, Kind.CHANGE) + new, settles=True)


GOALS: Mapping[Goal, Callable[[Problem], Objective]] = {
    Goal.COST: money,
    Goal.ITEMS: items,
    Goal.CHANGE: change,
    Goal.FROM_JARS: from_jars,
    Goal.MASS: mass,
    Goal.ORDER: order,
}


def of_aim(aim: str, problem: Problem) -> tuple[Objective, ...]:
    """An aim's objectives in order; the first one settles how much is proven."""
    first, *later = (GOALS[goal](problem) for goal in AIMS[aim].all_goals)
    return replace(first, settles=True), *later


def objectives(aim: str, problem: Problem) -> tuple[Objective, ...]:
    """All that a plan is to be best at, in order: few guards passed, then the aim."""
    return (*passed(problem), *of_aim(aim, problem))


def _of_kind(problem: Problem, kind: Kind) -> Floats:
    return np.array([1.0 if column.kind == kind else 0.0 for column in problem.columns])


def _open(problem: Problem) -> Floats:
    """1 for columns that can move: settled amounts would only blur the comparison."""
    return np.where(problem.lower < problem.upper, 1.0, 0.0)
