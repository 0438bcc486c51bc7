"""A mixed-integer program for `scipy.optimize.milp`, put together row by row. The first columns are the items, in steps."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from math import inf

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array, lil_array

from tests.laws.figures import Floats, Kitchen

SECONDS = 20.0


@dataclass
class Slack:
    """By how much a rule is passed or missed, a column; and what it asks, over all columns and for the whole batch."""

    column: int
    per_column: Floats
    constant: float
    rank: str
    scale: float

    def whole(self, point: Floats) -> float:
        """What the rule asks at a point."""
        return float(self.per_column @ point[: len(self.per_column)]) + self.constant


@dataclass
class Model:
    """Columns and rows. The first columns are the items, in steps."""

    kitchen: Kitchen
    soft: bool
    lower: list[float] = field(default_factory=list)
    upper: list[float] = field(default_factory=list)
    whole: list[int] = field(default_factory=list)
    rows: list[tuple[dict[int, float], float, float]] = field(default_factory=list)
    slacks: list[Slack] = field(default_factory=list)
    used: dict[int, int] = field(default_factory=dict)
    counts: dict[str, list[int]] = field(default_factory=dict)
    targets: dict[str, Slack] = field(default_factory=dict)

    def column(self, lower: float, upper: float, whole: bool = False) -> int:
        """A new column."""
        self.lower.append(lower)
        self.upper.append(upper)
        self.whole.append(int(whole))
        return len(self.lower) - 1

    def per_step(self, per_gram: Floats) -> dict[int, float]:
        """A weight for each gram as a weight for each step."""
        steps = per_gram * self.kitchen.step
        return {int(j): float(steps[j]) for j in np.flatnonzero(steps)}

    def ends(self, terms: Mapping[int, float], constant: float = 0.0) -> tuple[float, float]:
        """The least and the most that a sum can be."""
        low = sum(min(a * self.lower[j], a * self.upper[j]) if a else 0.0 for j, a in terms.items())
        high = sum(max(a * self.lower[j], a * self.upper[j]) if a else 0.0 for j, a in terms.items())
        return low + constant, high + constant

    def at_most(
        self, terms: Mapping[int, float], most: float, margin: float = 0.0, scale: float = 0.0, on: int | None = None
    ) -> None:
        """A row: the sum is at most so much; with `on`, only where that column is 1."""
        scale = scale or max((abs(a) * max(self.upper[j], 1e-9) for j, a in terms.items()), default=1.0) or 1.0
        scale = scale if np.isfinite(scale) else 1.0
        row = {j: a / scale for j, a in terms.items()}
        limit = most / scale - margin
        if on is not None:
            room = max(0.0, self.ends(row)[1] - limit)
            row[on] = row.get(on, 0.0) + room
            limit += room
        self.rows.append((row, -inf, limit))

    def solve(
        self, weights: Mapping[int, float], extra: Sequence[tuple[dict[int, float], float]] = ()
    ) -> Floats | None:
        """The columns that make the sum of weights least; None where nothing keeps the rows."""
        size = len(self.lower)
        rows = [*self.rows, *((terms, -inf, most) for terms, most in extra)]
        matrix = lil_array((len(rows), size))
        for i, (terms, _, _) in enumerate(rows):
            for j, a in terms.items():
                matrix[i, j] = a
        costs = np.zeros(size)
        for j, a in weights.items():
            costs[j] = a
        costs /= max(1e-12, float(np.abs(costs).max())) if costs.any() else 1.0
        found = milp(
            costs,
            constraints=LinearConstraint(csr_array(matrix), [r[1] for r in rows], [r[2] for r in rows]),
            bounds=Bounds(np.array(self.lower), np.array(self.upper)),
            integrality=np.array(self.whole),
            options={"mip_rel_gap": 1e-6, "time_limit": SECONDS},
        )
        return None if found.x is None else np.asarray(found.x)

    def grams(self, point: Floats) -> Floats:
        """The items of a solution in grams; whole steps are whole."""
        steps = point[: len(self.kitchen.items)].copy()
        for j in range(len(steps)):
            if self.whole[j]:
                steps[j] = round(steps[j])
        return steps * self.kitchen.step
