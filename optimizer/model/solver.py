"""Arrays -> amounts: the live model (`live`) is solved for one objective after the other.

Objectives are lexicographic: the first is made as small as possible, then held, then the second, and so on,
on the one live model that PuLP leaves behind. Everything is fixed that could make two runs differ (one
thread, one seed). PuLP 3.3 and 4 differ in what `solve` returns, so status and gap are read from HiGHS.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import highspy
import numpy as np

from optimizer.model.deadline import Deadline
from optimizer.model.kinds import Found
from optimizer.model.live import HIGHS, OPTIONS, PULP, State, first_solve, run, state_of
from optimizer.model.objectives import Objective
from optimizer.model.problem import FEASIBLE, INFEASIBLE, OPTIMAL, Floats, NewRow, Problem, Solution
from optimizer.model.ratios import largest_limit, slope, value_of

DEFAULT_SECONDS = 30.0
# Choosing whole packages takes a third to half less time without these (measured on the demo price lists).
FOR_PACKAGES: Mapping[str, float | bool] = {
    "mip_allow_restart": False,
    "mip_heuristic_run_rins": False,
    "mip_heuristic_run_rens": False,
}
MOST_TANGENTS = 12  # Dinkelbach's method takes three or four
NO_SHARE = 1e-7  # a share by which nothing is really passed or missed
SLID = 1e-5  # by which a sum of shares may be larger than it was
HELD = 1e-7  # how far, relatively, an objective may slip while later ones are served


def solve(problem: Problem, objectives: Sequence[Objective], seconds: float = DEFAULT_SECONDS) -> Solution:
    """The best amounts by the objectives in turn, within a time limit.

    When time runs out between objectives, the plan is the best by those that were finished and its gap says
    how much is proven of the first.
    """
    return Model(problem).solve(objectives, seconds)


@dataclass(frozen=True, slots=True)
class Changes:
    """What is different in one solve: bounds of columns and of rows by number, objectives held at a most."""

    lower: Mapping[int, float] = field(default_factory=dict)
    upper: Mapping[int, float] = field(default_factory=dict)
    row_lower: Mapping[int, float] = field(default_factory=dict)
    row_upper: Mapping[int, float] = field(default_factory=dict)
    held: Sequence[tuple[Objective, float]] = ()


NOTHING = Changes()


class Model:
    """A problem in the solver, kept alive: solving it again with a few changes does not build it again.

    `options` of the solver come on top of `OPTIONS`.
    """

    def __init__(self, problem: Problem, options: Mapping[str, float | bool] | None = None) -> None:
        self.problem = problem
        self._options = {**OPTIONS, **(options or {})}
        self._live: highspy.Highs | None = None
        self._rows = 0
        # PuLP gets each side of a row as a row of its own, in this order
        sides = [
            (i, side)
            for i in range(len(problem.rows))
            for side, bound in (("lower", problem.row_lower[i]), ("upper", problem.row_upper[i]))
            if np.isfinite(bound)
        ]
        self._place = {side: position for position, side in enumerate(sides)}

    def solve(
        self,
        objectives: Sequence[Objective],
        seconds: float = DEFAULT_SECONDS,
        changes: Changes = NOTHING,
        sure: bool = False,
    ) -> Solution:
        """See `solve`; `changes` hold for this time only. Where nothing is found, `sure` has it looked for once more in
        another way. Raises RuntimeError when the solver itself fails."""
        clock = Deadline.within(seconds)
        if self._live is None:
            self._live = first_solve(self.problem, objectives[0], seconds, self._options)
            self._rows = self._live.getNumRow()
            if changes != NOTHING:
                self._apply(changes)
                self._aim(objectives[0].weights, seconds)
        else:
            self._apply(changes)
            self._aim(objectives[0].weights, seconds)
        if sure and self._state()[0] == INFEASIBLE:
            self._without_presolve(objectives[0].weights, clock)
        status, gap, values, reached = self._answer(objectives, clock)
        answer = Solution(status, values, reached, gap, seconds - clock.remaining, f"HiGHS {HIGHS}", f"PuLP {PULP}")
        self._restore(changes)
        return answer

    def set_coefficient(self, row: int, column: int, value: float) -> None:
        """Changes a coefficient for good, of a row with a lower side."""
        if self._live is None:
            self.problem.matrix[row, column] = value
        else:
            self._live.changeCoeff(self._place[row, "lower"], column, value)

    def set_upper(self, upper: Mapping[int, float]) -> None:
        """Changes the most of columns for good."""
        for j, most in upper.items():
            self.problem.upper[j] = most
            if self._live is not None:
                self._live.changeColBounds(j, self.problem.lower[j], most)

    def add_rows(self, rows: Sequence[NewRow]) -> None:
        """Adds rows for good: at least their lower side."""
        assert self._live is not None
        for row in rows:
            where = np.array(sorted(row.coefficients), dtype=np.int32)
            values = np.array([row.coefficients[int(j)] for j in where])
            self._live.addRow(row.lower, highspy.kHighsInf, len(where), where, values)
        self._rows += len(rows)

    def _apply(self, changes: Changes) -> None:
        """Sets the changed bounds; a row's side that the problem leaves open cannot be set."""
        assert self._live is not None
        lower, upper = self.problem.lower, self.problem.upper
        for j in changes.lower.keys() | changes.upper.keys():
            self._live.changeColBounds(j, changes.lower.get(j, lower[j]), changes.upper.get(j, upper[j]))
        for i, bound in changes.row_lower.items():
            self._live.changeRowBounds(self._place[i, "lower"], bound, highspy.kHighsInf)
        for i, bound in changes.row_upper.items():
            self._live.changeRowBounds(self._place[i, "upper"], -highspy.kHighsInf, bound)
        for objective, most in changes.held:
            self._hold(objective.weights, most + HELD * max(1.0, abs(most)))

    def _restore(self, changes: Changes) -> None:
        """Makes the model the problem again."""
        assert self._live is not None
        problem = self.problem
        back = Changes(
            lower={j: problem.lower[j] for j in changes.lower.keys() | changes.upper.keys()},
            row_lower={i: problem.row_lower[i] for i in changes.row_lower},
            row_upper={i: problem.row_upper[i] for i in changes.row_upper},
        )
        self._apply(back)
        added = self._live.getNumRow() - self._rows
        if added:
            self._live.deleteRows(added, np.arange(self._rows, self._rows + added, dtype=np.int32))

    def _answer(
        self, objectives: Sequence[Objective], clock: Deadline
    ) -> tuple[Found, float, Floats, tuple[float, ...]]:
        """Status, gap, amounts and what each objective has come to, once the first one is solved for."""
        status, gap, values = self._state()
        if status not in (OPTIMAL, FEASIBLE):
            return status, gap, values, ()
        settled = next((k for k, objective in enumerate(objectives) if objective.settles), 0)
        reached: list[float] = []
        for k, objective in enumerate(objectives):
            if k:
                later = None
                if status == OPTIMAL and not clock.is_over:
                    later = self._later(objectives[: k + 1], reached, values, clock)
                if later is None:
                    status, gap = FEASIBLE, gap if k > settled else np.inf
                    break
                status, later_gap, values = later
                gap = max(gap, later_gap) if k <= settled else gap
            if objective.shares:
                status, values = self._shared(objective, status, values, clock)
            reached.append(value_of(self.problem, objective, values))
        reached += [value_of(self.problem, objective, values) for objective in objectives[len(reached) :]]
        return status, gap, values, tuple(reached)

    def _later(
        self, objectives: Sequence[Objective], reached: Sequence[float], values: Floats, clock: Deadline
    ) -> State | None:
        """The best by the last objective while all before it stay as they are; None where nothing was found in time."""
        *before, objective = objectives
        self._keep(before[-1], reached[-1], values)
        self._aim(objective.weights, clock.left)
        found = self._state()
        if found[0] == INFEASIBLE:  # it is not: what was found before keeps every row, but presolve may lose it
            self._without_presolve(objective.weights, clock)
            found = self._state()
        if found[0] in (OPTIMAL, FEASIBLE) and self._slid(before, reached, found[2]):
            self._keep_each(before, values)
            self._aim(objective.weights, clock.left)
            found = self._state()
        return found if found[0] in (OPTIMAL, FEASIBLE) else None

    def _shared(self, objective: Objective, status: Found, values: Floats, clock: Deadline) -> tuple[Found, Floats]:
        """The least sum of shares, from a first mix: the shares' wholes move with the batch, so the sum is replaced by
        its tangent and solved again until that finds nothing better (Dinkelbach 1967; for several ratios Jong 2012)."""
        best = value_of(self.problem, objective, values)
        for _ in range(MOST_TANGENTS):
            if best <= NO_SHARE or status != OPTIMAL or clock.is_over or not self._moves(objective):
                break
            self._aim(slope(self.problem, objective, values), clock.left)
            later, _, better = self._state()
            if later not in (OPTIMAL, FEASIBLE):
                break
            value = value_of(self.problem, objective, better)
            if value > best - NO_SHARE:
                break
            status, values, best = later, better, value
        return status, values

    def _moves(self, objective: Objective) -> bool:
        """Whether the wholes of an objective's shares depend on anything that is open."""
        fixed = self.problem.lower == self.problem.upper
        return any(np.any(self.problem.needs[i][~fixed]) for _, rows in objective.shares for i, _ in rows)

    def _keep(self, objective: Objective, reached: float, values: Floats) -> None:
        """Keeps an objective near what it has reached, for what is solved later; a sum of shares by its tangent."""
        weights = slope(self.problem, objective, values)
        if objective.shares:
            reached = float(weights @ values)
        self._hold(weights, reached + max(objective.allowance, HELD * max(1.0, abs(reached))))

    def _slid(self, objectives: Sequence[Objective], reached: Sequence[float], values: Floats) -> bool:
        """Whether a sum of shares that was held by its tangent is larger now: wholes that differ move apart."""
        return any(
            value_of(self.problem, objective, values) > best + SLID
            for objective, best in zip(objectives, reached, strict=True)
            if objective.shares
        )

    def _keep_each(self, objectives: Sequence[Objective], values: Floats) -> None:
        """Keeps each share by itself where these values have it: exact, whatever the wholes do."""
        for j, rows in (share for objective in objectives for share in objective.shares):
            i, factor, whole = largest_limit(self.problem, rows, values)
            share = float(values[j]) * factor / whole
            weights = -share * self.problem.needs[i]
            weights[j] += factor
            self._hold(weights, share * float(self.problem.need_constant[i]) + HELD)

    def _hold(self, weights: Floats, most: float) -> None:
        assert self._live is not None
        where = np.flatnonzero(weights).astype(np.int32)
        self._live.addRow(-highspy.kHighsInf, most, len(where), where, weights[where])

    def _aim(self, weights: Floats, seconds: float) -> None:
        assert self._live is not None
        every = np.arange(len(self.problem.columns), dtype=np.int32)
        self._live.changeColsCost(len(every), every, weights)
        # HiGHS counts an integer program's limit from this run, any other's from the start of the live model
        spent = 0.0 if self.problem.integer.any() else self._live.getRunTime()
        self._live.setOptionValue("time_limit", spent + seconds)
        run(self._live)

    def _without_presolve(self, weights: Floats, clock: Deadline) -> None:
        """Solves again in the plain way: presolve has called problems impossible that were not."""
        assert self._live is not None
        self._live.setOptionValue("presolve", "off")
        self._aim(weights, clock.left)
        self._live.setOptionValue("presolve", "choose")

    def _state(self) -> State:
        assert self._live is not None
        return state_of(self._live, self.problem)
