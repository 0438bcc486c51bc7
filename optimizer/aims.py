"""What a plan is to be best at: AIMS names the aims, each a list of objectives in order of importance.

Every list ends in the same ties: fewer supplements, then less of each, then what stands first in the
scenario. So the same scenario always gives the same plan.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np

from optimizer.arrays import Floats, Problem


@dataclass(frozen=True, slots=True)
class Objective:
    """Something to make as small as possible: a weight for each column of the problem."""

    name: str
    weights: Floats


def money(problem: Problem) -> Objective:
    """What the ingredients cost, in the scenario's currency; what has no price costs nothing here."""
    return Objective("cost", problem.price * _open(problem))


def items(problem: Problem) -> Objective:
    """How many supplements are used."""
    return Objective("items", _of_kind(problem, "used"))


# A gram from a jar weighs as much as this many grams from the butcher when less of each is wanted.
JAR_WEIGHT = 50.0


def mass(problem: Problem) -> Objective:
    """The grams of everything whose amount is open, those from jars counting for more."""
    jars = np.array([JAR_WEIGHT if column.jar else 1.0 for column in problem.columns])
    return Objective("mass", problem.mass * jars * _open(problem))


def order(problem: Problem) -> Objective:
    """Among equals: what stands first in the scenario is used first."""
    return Objective("order", problem.mass * problem.listed * _open(problem))


def change(problem: Problem) -> Objective:
    """How far the doses are from the usual recipe: the sum of relative changes, a new supplement counting 1."""
    usual = {c.id for c in problem.columns if c.kind == "change"}
    new = np.array([1.0 if c.kind == "used" and c.id not in usual else 0.0 for c in problem.columns])
    return Objective("change", _of_kind(problem, "change") + new)


def ties(problem: Problem) -> tuple[Objective, ...]:
    """What decides between plans that are equally good."""
    return items(problem), mass(problem), order(problem)


Aim = Callable[[Problem], tuple[Objective, ...]]

AIMS: Mapping[str, Aim] = {
    "cost": lambda problem: (money(problem), *ties(problem)),
    "fewest": lambda problem: (items(problem), money(problem), mass(problem), order(problem)),
    "usual": lambda problem: (change(problem), *ties(problem)),
}


def _of_kind(problem: Problem, kind: str) -> Floats:
    return np.array([1.0 if column.kind == kind else 0.0 for column in problem.columns])


def _open(problem: Problem) -> Floats:
    """1 for columns that can move: settled amounts would only blur the comparison."""
    return np.where(problem.lower < problem.upper, 1.0, 0.0)
