"""Arrays -> amounts. The only room that knows a solver: PuLP builds the model, HiGHS solves it.

Objectives are lexicographic: the first is made as small as possible, then held, then the second, and so on,
on the one live model that PuLP leaves behind. Everything is fixed that could make two runs differ (one
thread, one seed). PuLP 3.3 and 4 differ in what `solve` returns, so status and gap are read from HiGHS.
"""

import time
from collections.abc import Sequence
from dataclasses import dataclass
from importlib.metadata import version
from itertools import pairwise

import highspy
import numpy as np
import pulp

from optimizer.aims import Objective
from optimizer.arrays import Floats, Problem

OPTIMAL, FEASIBLE, INFEASIBLE, OUT_OF_TIME = "optimal", "feasible", "infeasible", "out_of_time"

DEFAULT_SECONDS = 30.0
PROVEN_GAP = 1e-3  # a plan is called best only within this relative gap

# HiGHS ignores a misspelt option in silence: a test reads each of these back.
OPTIONS = {
    "threads": 1,
    "random_seed": 0,
    "mip_rel_gap": 1e-7,
    "mip_abs_gap": 1e-9,
    "primal_feasibility_tolerance": 1e-9,
    "dual_feasibility_tolerance": 1e-9,
    "mip_feasibility_tolerance": 1e-9,
}
HELD = 1e-7  # how far, relatively, an objective may slip while later ones are served


@dataclass(frozen=True, slots=True)
class Solution:
    """`values` is one number per column (empty unless status is optimal or feasible), whole where it has to be;
    `objectives` the value of each objective; `gap` the proven relative gap of the first one; `seconds` of work."""

    status: str
    values: Floats
    objectives: tuple[float, ...]
    gap: float
    seconds: float

    @property
    def found(self) -> bool:
        """Whether there are amounts."""
        return self.status in (OPTIMAL, FEASIBLE)


def solver_name() -> tuple[str, str]:
    """The solver and its version, for the record."""
    return "HiGHS", f"{version('highspy')} through PuLP {version('pulp')}"


def solve(problem: Problem, objectives: Sequence[Objective], seconds: float = DEFAULT_SECONDS) -> Solution:
    """The best amounts by the objectives in turn, within a time limit.

    When time runs out between objectives, the plan is the best by those that were finished and its gap says
    how much is proven of the first.
    """
    start = time.perf_counter()
    live = _first(problem, objectives[0], seconds)
    status, gap, values = _state(live, problem)
    if status not in (OPTIMAL, FEASIBLE):
        return Solution(status, np.array([]), (), 0.0, time.perf_counter() - start)
    for earlier, objective in pairwise(objectives):
        left = seconds - (time.perf_counter() - start)
        if status != OPTIMAL or left <= 0:
            break
        _next(live, problem, earlier, float(earlier.weights @ values), objective, left)
        later, _, better = _state(live, problem)
        if later not in (OPTIMAL, FEASIBLE):
            break
        values = better
        status = later
    reached = tuple(float(objective.weights @ values) for objective in objectives)
    proven = OPTIMAL if gap <= PROVEN_GAP and status == OPTIMAL else FEASIBLE
    return Solution(proven, values, reached, gap, time.perf_counter() - start)


def _first(problem: Problem, objective: Objective, seconds: float) -> highspy.Highs:
    """The problem as a PuLP model, solved for one objective; gives HiGHS's live model.

    Names are short and sort as inserted, since PuLP 3 orders columns by name.
    """
    model = pulp.LpProblem("batch", pulp.LpMinimize)
    variables = [
        model.add_variable(
            f"x{j:05d}",
            float(problem.lower[j]),
            None if np.isinf(problem.upper[j]) else float(problem.upper[j]),
            cat="Integer" if problem.integer[j] else "Continuous",
        )
        for j in range(len(problem.columns))
    ]
    model.setObjective(pulp.lpSum(float(w) * x for w, x in zip(objective.weights, variables, strict=True)))
    for i, (low, high) in enumerate(zip(problem.row_lower, problem.row_upper, strict=True)):
        row = problem.matrix[i]
        total = pulp.lpSum(float(row[j]) * variables[j] for j in np.flatnonzero(row))
        if np.isfinite(low):
            model.addConstraint(total >= float(low), f"r{i:05d}l")
        if np.isfinite(high):
            model.addConstraint(total <= float(high), f"r{i:05d}u")
    # A column in no row would be left out of the model; this row holds them all and binds none.
    model.addConstraint(pulp.lpSum(variables) >= float(problem.lower.sum()), "all")
    model.solve(pulp.HiGHS(msg=False, timeLimit=seconds, **OPTIONS))
    live: highspy.Highs = model.solverModel
    if live.getNumCol() != len(variables):
        raise RuntimeError("the solver's model lost columns")
    return live


def _next(
    live: highspy.Highs, problem: Problem, held: Objective, reached: float, objective: Objective, seconds: float
) -> None:
    """Holds what an objective has reached and solves for the next."""
    where = np.flatnonzero(held.weights).astype(np.int32)
    slack = HELD * max(1.0, abs(reached))
    live.addRow(-highspy.kHighsInf, reached + slack, len(where), where, held.weights[where])
    every = np.arange(len(problem.columns), dtype=np.int32)
    live.changeColsCost(len(every), every, objective.weights)
    live.setOptionValue("time_limit", live.getRunTime() + seconds)
    live.run()


def _state(live: highspy.Highs, problem: Problem) -> tuple[str, float, Floats]:
    """What HiGHS says of its last run: status, proven gap, amounts (whole ones made exactly whole)."""
    model_status = live.getModelStatus()
    info = live.getInfo()
    states = highspy.HighsModelStatus
    if model_status in (states.kInfeasible, states.kUnboundedOrInfeasible):
        return INFEASIBLE, 0.0, np.array([])
    if model_status in (states.kUnbounded, states.kSolveError, states.kModelError):
        raise RuntimeError(f"the solver gave up: {live.modelStatusToString(model_status)}")
    if info.primal_solution_status != 2:  # 2: feasible
        return OUT_OF_TIME, 0.0, np.array([])
    values = np.array(live.getSolution().col_value) + 0.0
    values[problem.integer] = np.round(values[problem.integer])
    gap = (
        0.0
        if not problem.integer.any() or (np.isinf(info.mip_gap) and model_status == states.kOptimal)
        else info.mip_gap
    )
    return (OPTIMAL if model_status == states.kOptimal else FEASIBLE), float(gap), values
