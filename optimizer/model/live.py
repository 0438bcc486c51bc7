"""A problem as the live model in the solver: PuLP builds it, HiGHS keeps it. Beside `solver` the only file that knows
either."""

from collections.abc import Mapping
from importlib.metadata import version

import highspy
import numpy as np
import pulp

from optimizer.model.kinds import Found
from optimizer.model.objectives import Objective
from optimizer.model.problem import FEASIBLE, INFEASIBLE, OPTIMAL, OUT_OF_TIME, Floats, Problem

HIGHS, PULP = version("highspy"), version("pulp")
# Sums straight from their terms, many times as fast as lpSum: the constructor in PuLP 3, a class method in 4.
_terms = getattr(pulp.LpAffineExpression, "from_dict", pulp.LpAffineExpression)
# HiGHS ignores a misspelt option in silence: a test reads each of these back.
OPTIONS = {
    "threads": 1,
    "random_seed": 0,
    "mip_rel_gap": 1e-7,
    "mip_abs_gap": 1e-9,
    "primal_feasibility_tolerance": 1e-9,
    "dual_feasibility_tolerance": 1e-9,
    "mip_feasibility_tolerance": 1e-9,
    "small_matrix_value": 1e-12,  # what is smaller counts as nothing: 1e-9, its default, is felt in large batches
}
AS_MANY_AS_THERE_ARE = 0
FEASIBLE_WITHIN = ("primal_feasibility_tolerance", "dual_feasibility_tolerance", "mip_feasibility_tolerance")
LOOSER = 1e-7  # of a row: a tenth of what the assessment allows, which judges every mix again

State = tuple[Found, float, Floats]  # what was found, its proven gap, and the values of the columns


def state_of(live: highspy.Highs, problem: Problem) -> State:
    """What HiGHS says of its last run: status, proven gap, amounts (whole ones made exactly whole). Raises RuntimeError
    where the solver itself fails."""
    states, integer = highspy.HighsModelStatus, problem.integer
    model_status, info = live.getModelStatus(), live.getInfo()
    if model_status in (states.kInfeasible, states.kUnboundedOrInfeasible):
        return INFEASIBLE, 0.0, np.array([])
    if model_status in (states.kUnbounded, states.kSolveError, states.kModelError):
        raise RuntimeError(f"the solver gave up: {live.modelStatusToString(model_status)}")
    if info.primal_solution_status != _FEASIBLE_POINT:
        return OUT_OF_TIME, np.inf, np.array([])
    values = np.array(live.getSolution().col_value) + 0.0
    values[integer] = np.round(values[integer])
    if model_status == states.kOptimal:
        return OPTIMAL, float(info.mip_gap) if integer.any() and np.isfinite(info.mip_gap) else 0.0, values
    return FEASIBLE, float(info.mip_gap) if integer.any() else np.inf, values


_FEASIBLE_POINT = 2  # HiGHS: kSolutionStatusFeasible


def run(live: highspy.Highs) -> None:
    """Solves the model. Where HiGHS disowns its own best answer, since it misses a row by a hair more than it was to
    search by, it is asked again with a little more room."""
    live.run()
    if live.getModelStatus() == highspy.HighsModelStatus.kSolveError:
        for name in FEASIBLE_WITHIN:
            live.setOptionValue(name, LOOSER)
        live.run()
        for name in FEASIBLE_WITHIN:
            live.setOptionValue(name, OPTIONS[name])


def first_solve(
    problem: Problem, objective: Objective, seconds: float, options: Mapping[str, float | bool]
) -> highspy.Highs:
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
    # PuLP gives an objective without weights a column of its own; where nothing is to be made small, anything may be.
    weights = objective.weights if objective.weights.any() else np.ones(len(variables))
    model.setObjective(_terms({x: float(w) for w, x in zip(weights, variables, strict=True) if w}))
    for i, (low, high) in enumerate(zip(problem.row_lower, problem.row_upper, strict=True)):
        row = problem.matrix[i]
        total = _terms({variables[j]: float(row[j]) for j in np.flatnonzero(row)})
        if np.isfinite(low):
            model.addConstraint(total >= float(low), f"r{i:05d}l")
        if np.isfinite(high):
            model.addConstraint(total <= float(high), f"r{i:05d}u")
    # A column in no row would be left out of the model; this row holds them all and binds none.
    model.addConstraint(_terms(dict.fromkeys(variables, 1.0)) >= float(problem.lower.sum()), "all")
    model.solve(pulp.HiGHS(msg=False, timeLimit=seconds, **options))
    live: highspy.Highs = model.solverModel
    if live.getModelStatus() == highspy.HighsModelStatus.kNotset:
        # HiGHS has one scheduler for each thread and refuses to run with another number of its workers than the first
        # solve of that thread asked for, which may have been the caller's own: then with as many as there are.
        live.setOptionValue("threads", AS_MANY_AS_THERE_ARE)
        live.run()
    if live.getNumCol() != len(variables):
        raise RuntimeError("the solver's model lost columns")
    return live
