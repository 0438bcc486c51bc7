"""Chance constraints, reached by linear cuts: numbers only.

A sum that varies keeps  room(x) >= z deviation(x),  where the deviation is the root of a sum of squares, one for each
column. That is a second-order cone. A column stands for the deviation; it is at least every tangent of it, and tangents
are added where a solution lies until none is missing (the deviation is convex, so a tangent cuts off nothing allowed).
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from optimizer.model.deadline import Deadline
from optimizer.model.kinds import Kind, Tier
from optimizer.model.objectives import Objective
from optimizer.model.problem import FEASIBLE, OPTIMAL, Column, Floats, NewColumn, NewRow, Problem, Row, Solution
from optimizer.model.solver import Model

CLOSE = 1e-7  # a deviation that its column misses by no more than this share is reached
MOST_ROUNDS = 40


@dataclass(frozen=True, slots=True)
class Cone:
    """`room @ x + constant >= z * deviation(x)`, with `deviation(x)` the root of the sum of (spread_j x_j) squared.
    Columns are named by number; `label` says what is kept."""

    id: str
    label: str
    room: Mapping[int, float]
    spread: Mapping[int, float]
    z: float
    constant: float = 0.0

    def deviation(self, values: Floats) -> float:
        """The standard deviation of the room at these values."""
        return float(np.sqrt(sum((spread * values[j]) ** 2 for j, spread in self.spread.items())))

    def room_at(self, values: Floats) -> float:
        """The mean of the room at these values."""
        return self.constant + float(sum(room * values[j] for j, room in self.room.items()))


class ConeModel:
    """A problem with cones in the solver. `short` columns let a cone be missed, by a share of its limit, where they are
    not closed; their sum is the objective `shortfall`."""

    def __init__(self, problem: Problem, cones: Sequence[Cone], start: Floats | None = None) -> None:
        width, count = len(problem.columns), len(cones)
        self.cones = list(cones)
        self.deviations = range(width, width + count)
        self.shorts = range(width + count, width + 2 * count)
        columns = [NewColumn(Column(cone.id, Kind.DEVIATION)) for cone in cones]
        columns += [NewColumn(Column(cone.id, Kind.SHORT)) for cone in cones]
        rows = [
            NewRow(
                Row(f"sure:{cone.id}", Tier.NEVER, cone.label),
                {**cone.room, self.deviations[k]: -cone.z, self.shorts[k]: 1.0},
                lower=-cone.constant,
            )
            for k, cone in enumerate(cones)
        ]
        first = len(problem.rows)
        self.rows = range(first, first + count)
        cuts = [] if start is None else [self._tangent(k, start) for k in range(count) if cones[k].deviation(start) > 0]
        self.problem = problem.extended(columns, rows).extended(rows=cuts)
        self.model = Model(self.problem)

    @property
    def shortfall(self) -> Objective:
        """The sum of all that cones are missed by."""
        weights = np.zeros(len(self.problem.columns))
        weights[list(self.shorts)] = 1.0
        return Objective("unsure", weights)

    def _tangent(self, k: int, values: Floats) -> NewRow:
        cone = self.cones[k]
        deviation = cone.deviation(values)
        terms = {j: -(spread**2) * float(values[j]) / deviation for j, spread in cone.spread.items() if values[j]}
        return NewRow(
            Row(f"cut:{cone.id}", Tier.NEVER, f"{cone.label}, by a tangent"), {**terms, self.deviations[k]: 1.0}, 0.0
        )

    def hold(self, k: int, z: float) -> None:
        """From now on the cone is kept at another z."""
        self.cones[k] = replace(self.cones[k], z=z)
        self.model.set_coefficient(self.rows[k], self.deviations[k], -z)

    def close(self, numbers: Sequence[int]) -> None:
        """From now on these cones may not be missed."""
        self.model.set_upper({self.shorts[k]: 0.0 for k in numbers})

    def open(self, numbers: Sequence[int]) -> None:
        """From now on these cones may be missed."""
        self.model.set_upper({self.shorts[k]: np.inf for k in numbers})

    def solve(self, objectives: Sequence[Objective], seconds: float) -> Solution:
        """The best by the objectives in turn, with tangents added until every deviation is reached."""
        clock = Deadline.within(seconds)
        solution = self.model.solve(objectives, clock.left, sure=True)
        for _ in range(MOST_ROUNDS):
            if solution.status not in (OPTIMAL, FEASIBLE) or clock.is_over:
                break
            missing = [k for k in range(len(self.cones)) if self._missed(k, solution.values)]
            if not missing:
                break
            self.model.add_rows([self._tangent(k, solution.values) for k in missing])
            solution = self.model.solve(objectives, clock.left, sure=True)
        return solution

    def _missed(self, k: int, values: Floats) -> bool:
        cone = self.cones[k]
        deviation = cone.deviation(values)
        left = cone.room_at(values) + values[self.shorts[k]] - cone.z * deviation
        return cone.z > 0 and deviation > 0 and left < -CLOSE
