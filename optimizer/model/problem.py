"""A mixed-integer linear problem as arrays with labels, and the draft it is collected in: numbers only."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from catalog.records import Limit
from optimizer.model.kinds import Found, Kind, Tier

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Column:
    """A variable; one step of an amount weighs `grams`.

    `jar` marks amounts that come from jars; `row` is the id of the row that a slack belongs to and is
    counted by, `rows` all of them where it belongs to several.
    """

    id: str
    kind: Kind
    grams: float = 0.0
    jar: bool = False
    row: str = ""
    rows: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Row:
    """A rule, in words that `label` keeps; `tier` says what it is when something has to give way.

    Coefficients are divided by `scale`, so that 1.0 is the whole limit for the largest batch. `limit` is the limit
    behind the row, `file` and `line` where the person wrote it. `rule` is the id of the rule where it takes several
    rows, which then stand and fall together.
    """

    id: str
    tier: Tier
    label: str
    scale: float = 1.0
    limit: Limit | None = None
    file: str = ""
    line: int = 0
    rule: str = ""


@dataclass(frozen=True, slots=True)
class Problem:
    """`row_lower <= matrix @ x <= row_upper`, `lower <= x <= upper`, x whole where `integer`.

    `matrix` is rows by columns; `needs`, of the same shape, is what each column adds to the limit itself
    (`need_constant` what it is without them). `price` (money, 0 where unknown), `worth` (price, else what such a jar
    usually costs), `mass` (grams) and `listed` (place in the scenario) are per column.
    """

    columns: tuple[Column, ...]
    rows: tuple[Row, ...]
    matrix: Floats
    needs: Floats
    need_constant: Floats
    row_lower: Floats
    row_upper: Floats
    lower: Floats
    upper: Floats
    integer: Flags
    price: Floats
    worth: Floats
    mass: Floats
    listed: Floats

    def limit_size(self, row: int, values: Floats) -> float:
        """The whole of a row's limit at these amounts, in the row's units: what one percent is a percent of."""
        return float(self.needs[row] @ values[: self.needs.shape[1]] + self.need_constant[row]) or 1.0

    def places(self, kind: Kind) -> dict[str, int]:
        """The columns of one kind by their ids; of several with one id the last."""
        return {column.id: j for j, column in enumerate(self.columns) if column.kind == kind}

    def relaxed(self) -> "Problem":
        """The problem in which nothing has to be whole."""
        return replace(self, integer=np.zeros_like(self.integer))

    def closed(self, columns: Iterable[int]) -> "Problem":
        """The problem in which these columns stay at zero."""
        upper = self.upper.copy()
        upper[list(columns)] = 0.0
        return replace(self, upper=upper)

    def extended(self, columns: Sequence["NewColumn"] = (), rows: Sequence["NewRow"] = ()) -> "Problem":
        """The problem with these columns and rows at its end; new rows number the new columns after the old ones."""
        if not columns and not rows:
            return self
        beside = np.zeros((len(self.rows), len(columns)))
        for k, new in enumerate(columns):
            for i, value in new.rows.items():
                beside[i, k] = value
        below = np.zeros((len(rows), len(self.columns) + len(columns)))
        needs = np.zeros_like(below)
        for k, row in enumerate(rows):
            for target, source in ((below, row.coefficients), (needs, row.needs)):
                for j, value in source.items():
                    target[k, j] = value
        return replace(
            self,
            columns=(*self.columns, *(new.column for new in columns)),
            rows=(*self.rows, *(new.row for new in rows)),
            matrix=np.vstack([np.hstack([self.matrix, beside]), below]),
            needs=np.vstack([np.hstack([self.needs, np.zeros_like(beside)]), needs]),
            need_constant=np.concatenate([self.need_constant, [row.need_constant for row in rows]]),
            row_lower=np.concatenate([self.row_lower, [row.lower for row in rows]]),
            row_upper=np.concatenate([self.row_upper, [row.upper for row in rows]]),
            lower=np.concatenate([self.lower, [new.lower for new in columns]]),
            upper=np.concatenate([self.upper, [new.upper for new in columns]]),
            integer=np.concatenate([self.integer, np.array([new.integer for new in columns], dtype=bool)]),
            price=np.concatenate([self.price, [new.price for new in columns]]),
            worth=np.concatenate([self.worth, [new.price for new in columns]]),
            mass=np.concatenate([self.mass, np.zeros(len(columns))]),
            listed=np.concatenate([self.listed, np.zeros(len(columns))]),
        )


@dataclass(frozen=True, slots=True)
class NewColumn:
    """A column to add, with its coefficients in the rows that are there, by row number; `price` in the scenario's
    currency."""

    column: Column
    lower: float = 0.0
    upper: float = np.inf
    integer: bool = False
    price: float = 0.0
    rows: Mapping[int, float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class NewRow:
    """A row to add, over columns by their numbers; its coefficients are divided by its scale already."""

    row: Row
    coefficients: Mapping[int, float]
    lower: float = -np.inf
    upper: float = np.inf
    needs: Mapping[int, float] = field(default_factory=dict)
    need_constant: float = 0.0


OPTIMAL, FEASIBLE, INFEASIBLE, OUT_OF_TIME = Found

PROVEN_GAP = 1e-3  # a plan is called best only within this relative gap


@dataclass(frozen=True, slots=True)
class Solution:
    """What a solver found. `values` is one number per column (empty unless something was found), whole where
    it has to be; `objectives` the value of each objective; `gap` the proven relative gap of the first;
    `seconds` of work; `solver` and `modeller` name the libraries."""

    status: Found
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
    worth: list[float] = field(default_factory=list)
    rows: list[Row] = field(default_factory=list)
    coefficients: list[dict[int, float]] = field(default_factory=list)
    needs: list[dict[int, float]] = field(default_factory=list)
    need_constant: list[float] = field(default_factory=list)
    row_lower: list[float] = field(default_factory=list)
    row_upper: list[float] = field(default_factory=list)

    def column(
        self,
        column: Column,
        lower: float,
        upper: float,
        integer: bool,
        price: float = 0.0,
        worth: float | None = None,
    ) -> int:
        """Adds a column and gives its number."""
        self.columns.append(column)
        self.lower.append(lower)
        self.upper.append(upper)
        self.integer.append(integer)
        self.price.append(price)
        self.worth.append(price if worth is None else worth)
        return len(self.columns) - 1

    def row(
        self,
        row: Row,
        coefficients: Mapping[int, float],
        lower: float = -np.inf,
        upper: float = np.inf,
        needs: Mapping[int, float] | None = None,
        need_constant: float = 0.0,
    ) -> None:
        """Adds a row, its coefficients and bounds divided by its scale."""
        self.rows.append(row)
        self.coefficients.append({j: c / row.scale for j, c in coefficients.items() if c})
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
        matrix, needs = np.zeros(shape), np.zeros(shape)
        for target, source in ((matrix, self.coefficients), (needs, self.needs)):
            for i, entries in enumerate(source):
                for j, value in entries.items():
                    target[i, j] = value
        amounts = [c.kind == Kind.AMOUNT for c in self.columns]
        return Problem(
            columns=tuple(self.columns),
            rows=tuple(self.rows),
            matrix=matrix,
            needs=needs,
            need_constant=np.array(self.need_constant),
            row_lower=np.array(self.row_lower),
            row_upper=np.array(self.row_upper),
            lower=np.array(self.lower),
            upper=np.array(self.upper),
            integer=np.array(self.integer),
            price=np.array(self.price),
            worth=np.array(self.worth),
            mass=np.array([c.grams for c in self.columns]),
            listed=np.where(amounts, np.arange(1, len(self.columns) + 1, dtype=float), 0.0),
        )
