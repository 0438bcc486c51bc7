"""Solving a chosen problem again with one thing changed, and reading what came of it."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

import numpy as np

from catalog.records import Catalog
from optimizer.assess.assessment import assess
from optimizer.assess.batch import Amount
from optimizer.errors import OutOfTime
from optimizer.model.deadline import Deadline
from optimizer.model.objectives import change, from_jars, items
from optimizer.model.problem import Floats, Problem
from optimizer.model.solve import Choice, amounts_of, choose
from optimizer.model.solver import Changes
from optimizer.scenario.records import Scenario
from optimizer.sheet.amount_words import amount_words

SECONDS_EACH = 2.0  # for one question; a plan has some dozens of them
SECONDS_A_PLAN = 4.0  # for one changed scenario, planned anew
NEAR = 1e-7


@dataclass(frozen=True, slots=True)
class Answer:
    """The best mix after a change: None amounts when there is none. `cost` is of what is open, `count` of supplements
    that could have been left out, `distance` from the usual recipe in usual doses, `grams` from jars."""

    amounts: tuple[Amount, ...] | None
    cost: float = 0.0
    count: int = 0
    distance: float = 0.0
    grams: float = 0.0


def replanned(scenario: Scenario, catalog: Catalog, seconds: float) -> Choice | None:
    """What the plan of a changed scenario is to be; None where time runs out before there is any."""
    try:
        return choose(scenario, catalog, seconds)
    except OutOfTime:
        return None


def all_met(choice: Choice, catalog: Catalog) -> bool:
    """Whether a plan really keeps every limit, assessed like any other."""
    return choice.in_reach and assess(choice.scenario, catalog, choice.amounts).all_met


def ask(choice: Choice, deadline: Deadline, changes: Changes) -> Answer:
    """The best mix under `changes`, by all that the plan is to be best at: what `plan` would print then."""
    solution = choice.model.solve(choice.objectives, deadline.at_most(SECONDS_EACH), changes)
    if not solution.found:
        return Answer(None)
    amounts = tuple(amounts_of(choice.scenario, choice.problem, solution))
    return Answer(amounts, *measures(choice.problem, solution.values))


def measures(problem: Problem, values: Floats) -> tuple[float, int, float, float]:
    """Cost, number of supplements, distance and grams from jars of a mix."""
    distance, grams = (float(objective(problem).weights @ values) for objective in (change, from_jars))
    return cost_of(problem, values), count_of(problem, values), distance, grams


def cost_of(problem: Problem, values: Floats) -> float:
    """The money spent on what is open and has a price, in the scenario's currency."""
    open_ = problem.lower < problem.upper
    return float((problem.price * open_) @ values[: len(problem.columns)])


def count_of(problem: Problem, values: Floats) -> int:
    """The number of supplements used that could have been left out."""
    return round(float(items(problem).weights @ np.round(values[: len(problem.columns)])))


def cents(amount: float) -> Decimal:
    """An amount of money to the cent."""
    return Decimal(repr(amount)).quantize(Decimal("0.01"), ROUND_HALF_UP) + Decimal(0)


def broken(problem: Problem, values: Floats) -> list[int]:
    """The rows that give way in their words (those with a tier) and are not kept at these values."""
    activity = problem.matrix @ values
    low, high = activity < problem.row_lower - NEAR, activity > problem.row_upper + NEAR
    return [int(i) for i in np.flatnonzero(low | high) if problem.rows[int(i)].tier]


def differences(before: Sequence[Amount], after: Sequence[Amount]) -> tuple[str, ...]:
    """What changes between two mixes of the same items, in words: "+ 2 capsules of …", "kelp 1 -> 2 tablets"."""
    found = []
    for old, new in zip(before, after, strict=True):
        name = new.item.food.name
        if old.count == new.count:
            continue
        if old.count == 0:
            found.append(f"{amount_words(new)} of {name}")
        elif new.count == 0:
            found.append(f"no {name}")
        else:
            found.append(f"{name} {amount_words(new)} (not {amount_words(old)})")
    return tuple(found)
