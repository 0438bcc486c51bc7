"""Problem -> amounts: the best mix, or the nearest one, with the live model it came from."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from fractions import Fraction

from catalog.records import Catalog
from optimizer.assess.assessment import assess
from optimizer.assess.batch import Amount
from optimizer.errors import OutOfTime
from optimizer.model.build import build
from optimizer.model.deadline import Deadline
from optimizer.model.kinds import PASSED, Kind
from optimizer.model.objectives import Objective, objectives, of_aim
from optimizer.model.problem import FEASIBLE, INFEASIBLE, Problem, Solution
from optimizer.model.relax import nearest_objectives, with_slack
from optimizer.model.solver import DEFAULT_SECONDS, Model, solve
from optimizer.scenario.records import Scenario
from optimizer.scenario.steps import steps_of

FOR_NEAREST = 0.3  # of the time: kept for the nearest mix, where none that meets every limit is found before


@dataclass(frozen=True)
class Choice:
    """What was chosen. `model` is the live model of `problem`, which meets every limit where `in_reach`;
    `solution` is of that model, or of the nearest mix where nothing is in reach; `passing` is what that mix passes
    each guard by, by the id of the slack."""

    scenario: Scenario
    problem: Problem
    model: Model
    objectives: tuple[Objective, ...]
    solution: Solution
    in_reach: bool
    ruled_out: bool
    amounts: tuple[Amount, ...]
    passing: Mapping[str, float] = field(default_factory=dict)

    @property
    def placed(self) -> list[tuple[int, Amount]]:
        """Each amount with the column that it is counted in."""
        places = self.problem.places(Kind.AMOUNT)
        return [(places[amount.item.id], amount) for amount in self.amounts]


def choose(scenario: Scenario, catalog: Catalog, seconds: float = DEFAULT_SECONDS) -> Choice:
    """The best amounts that keep every limit and pass guards as little as can be; else the nearest amounts."""
    deadline = Deadline.within(seconds)
    problem = build(scenario, catalog)
    model = Model(problem)
    wanted = objectives(scenario.aim, problem)
    solution = model.solve(wanted, deadline.left * (1 - FOR_NEAREST), sure=True)
    in_reach, ruled_out = solution.found, solution.status == INFEASIBLE
    if in_reach:
        amounts = tuple(amounts_of(scenario, problem, solution))
        return Choice(scenario, problem, model, wanted, solution, in_reach, ruled_out, amounts)
    near, solution = nearest(build(scenario, catalog, soft_ceilings=True), scenario.aim, deadline.left)
    if not solution.found:
        raise OutOfTime(f"{scenario.file}: time ran out before any mix was found; allow more with --seconds")
    amounts = tuple(amounts_of(scenario, near, solution))
    if not ruled_out and assess(scenario, catalog, amounts).all_met:  # it misses nothing: a mix like any other
        in_reach, solution = True, replace(solution, status=FEASIBLE, gap=float("inf"))
    passing = {c.id: float(v) for c, v in zip(near.columns, solution.values, strict=True) if c.kind in PASSED}
    return Choice(scenario, problem, model, wanted, solution, in_reach, ruled_out, amounts, passing)


def nearest(problem: Problem, aim: str, seconds: float) -> tuple[Problem, Solution]:
    """The mix that misses least, of a problem with soft ceilings; with the problem that it is of."""
    near = with_slack(problem)
    return near, solve(near, nearest_objectives(near, of_aim(aim, near)), seconds)


def exact(steps: float) -> Fraction:
    """A solver's number of steps of what is not counted in whole ones, to a millionth: finer than any scale."""
    return Fraction(steps).limit_denominator(10**6)


def amounts_of(scenario: Scenario, problem: Problem, solution: Solution) -> list[Amount]:
    """The solver's steps as exact counts of each item's measure."""
    places = problem.places(Kind.AMOUNT)
    amounts = []
    for item in scenario.items:
        j = places[item.id]
        if item.fixed is not None:
            count = item.fixed
        else:
            steps = Fraction(round(solution.values[j])) if problem.integer[j] else exact(float(solution.values[j]))
            count = steps * steps_of(item) / item.grams_per_unit
        amounts.append(Amount(item, count))
    return amounts
