"""A mixed-integer linear problem as arrays with labels, and the draft it is collected in: numbers only."""

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from catalog.records import Limit

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Column:
    """A variable. `kind` is amount (counted in steps of `grams` each), used (0 or 1: a jar is opened),
    switch (0 or 1: a condition holds), change (relative distance from the usual dose) or slack. `jar` marks
    amounts of supplements proper, of which less is wanted before less of anything else."""

    id: str
    kind: str
    grams: float = 0.0
    jar: bool = False


@dataclass(frozen=True, slots=True)
class Row:
    """A rule, in words that `label` keeps. `tier` says what may give way when nothing meets every rule:
    safety (ceilings of toxic nutrients), wish (what the person set), target (all other limits); "" never.

    Coefficients are divided by `scale`, so that 1.0 is the whole limit for this batch. `limit` is the limit
    behind the row, `file` and `line` where the person wrote it.
    """

    id: str
    tier: str
    label: str
    scale: float = 1.0
    limit: Limit | None = None
    file: str = ""
    line: int = 0


@dataclass(frozen=True, slots=True)
class Problem:
    """`row_lower <= matrix @ x <= row_upper`, `lower <= x <= upper`, x whole where `integer`.

    `matrix` is rows by columns, `spread` of the same shape holds the standard deviation of each coefficient
    that is a figure of food, `needs` what each column adds to the limit itself (`need_constant` what it is
    without them). `price` (money), `mass` (grams) and `listed` (place in the scenario) are per column.
    """

    columns: tuple[Column, ...]
    rows: tuple[Row, ...]
    matrix: Floats
    spread: Floats
    needs: Floats
    need_constant: Floats
    row_lower: Floats
    row_upper: Floats
    lower: Floats
    upper: Floats
    integer: Flags
    price: Floats
    mass: Floats
    listed: Floats

    def whole(self, row: int, values: Floats) -> float:
        """The whole of a row's limit at these amounts, in the row's units: what one percent is a percent of."""
        return float(self.needs[row] @ values[: self.needs.shape[1]] + self.need_constant[row]) or 1.0


OPTIMAL, FEASIBLE, INFEASIBLE, OUT_OF_TIME = "optimal", "feasible", "infeasible", "out_of_time"

PROVEN_GAP = 1e-3  # a plan is called best only within this relative gap


@dataclass(frozen=True, slots=True)
class Solution:
    """What a solver found. `values` is one number per column (empty unless something was found), whole where
    it has to be; `objectives` the value of each objective; `gap` the proven relative gap of the first;
    `seconds` of work; `solver` and `modeller` name the libraries."""

    status: str
    values: Floats
    objectives: tuple[float, ...]
    gap: float
    seconds: float
    solver: str
    modeller: str

    @property
    def found(self) -> bool:
        """Whether there are amounts."""
        return self.status in (OPTIMAL, FEASIBLE)

    @property
    def proven(self) -> bool:
        """Whether nothing better exists by the first objective, within `PROVEN_GAP`.

        A found mix whose status is feasible ran out of time over a later objective, or over the first.
        """
        return self.found and self.gap <= PROVEN_GAP


@dataclass
class Draft:
    """Columns and rows while they are collected; `problem` makes the arrays."""

    columns: list[Column] = field(default_factory=list)
    lower: list[float] = field(default_factory=list)
    upper: list[float] = field(default_factory=list)
    integer: list[bool] = field(default_factory=list)
    price: list[float] = field(default_factory=list)
    rows: list[Row] = field(default_factory=list)
    coefficients: list[dict[int, float]] = field(default_factory=list)
    spreads: list[dict[int, float]] = field(default_factory=list)
    needs: list[dict[int, float]] = field(default_factory=list)
    need_constant: list[float] = field(default_factory=list)
    row_lower: list[float] = field(default_factory=list)
    row_upper: list[float] = field(default_factory=list)

    def column(self, column: Column, lower: float, upper: float, integer: bool, price: float = 0.0) -> int:
        """Adds a column and gives its number."""
        self.columns.append(column)
        self.lower.append(lower)
        self.upper.append(upper)
        self.integer.append(integer)
        self.price.append(price)
        return len(self.columns) - 1

    def row(
        self,
        row: Row,
        coefficients: Mapping[int, float],
        lower: float = -np.inf,
        upper: float = np.inf,
        spread: Mapping[int, float] | None = None,
        needs: Mapping[int, float] | None = None,
        need_constant: float = 0.0,
    ) -> None:
        """Adds a row, its coefficients and bounds divided by its scale."""
        self.rows.append(row)
        self.coefficients.append({j: c / row.scale for j, c in coefficients.items() if c})
        self.spreads.append({j: s / row.scale for j, s in (spread or {}).items() if s})
        self.needs.append({j: n / row.scale for j, n in (needs or {}).items() if n})
        self.need_constant.append(need_constant / row.scale)
        self.row_lower.append(lower / row.scale)
        self.row_upper.append(upper / row.scale)

    def least(self, coefficients: Mapping[int, float]) -> float:
        """The least that a sum can be within the columns' bounds."""
        return sum(c * (self.lower[j] if c > 0 else self.upper[j]) for j, c in coefficients.items())

    def most(self, coefficients: Mapping[int, float]) -> float:
        """The most that a sum can be within the columns' bounds."""
        return -self.least({j: -c for j, c in coefficients.items()})

    def problem(self) -> Problem:
        """The arrays."""
        shape = (len(self.rows), len(self.columns))
        matrix, spread, needs = np.zeros(shape), np.zeros(shape), np.zeros(shape)
        for target, source in ((matrix, self.coefficients), (spread, self.spreads), (needs, self.needs)):
            for i, entries in enumerate(source):
                for j, value in entries.items():
                    target[i, j] = value
        amounts = [c.kind == "amount" for c in self.columns]
        return Problem(
            columns=tuple(self.columns),
            rows=tuple(self.rows),
            matrix=matrix,
            spread=spread,
            needs=needs,
            need_constant=np.array(self.need_constant),
            row_lower=np.array(self.row_lower),
            row_upper=np.array(self.row_upper),
            lower=np.array(self.lower),
            upper=np.array(self.upper),
            integer=np.array(self.integer),
            price=np.array(self.price),
            mass=np.array([c.grams for c in self.columns]),
            listed=np.where(amounts, np.arange(1, len(self.columns) + 1, dtype=float), 0.0),
        )
