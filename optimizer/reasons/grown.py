"""A problem with more columns and rows than it was built with."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from optimizer.arrays import Column, Problem, Row


@dataclass(frozen=True, slots=True)
class NewColumn:
    """A whole number from 0 to `upper`; `price` is in the scenario's currency."""

    column: Column
    upper: float
    price: float = 0.0


@dataclass(frozen=True, slots=True)
class NewRow:
    """A rule that never gives way, over columns by their numbers: those of the new ones follow the old ones'."""

    row: Row
    coefficients: Mapping[int, float]
    lower: float = -np.inf
    upper: float = np.inf


def grown(problem: Problem, columns: Sequence[NewColumn], rows: Sequence[NewRow]) -> Problem:
    """The problem with these columns and rows at its end."""
    if not columns and not rows:
        return problem
    old, width = len(problem.columns), len(problem.columns) + len(columns)
    below = np.zeros((len(rows), width))
    for k, new in enumerate(rows):
        for j, value in new.coefficients.items():
            below[k, j] = value
    wide = [
        np.hstack([m, np.zeros((len(problem.rows), width - old))])
        for m in (problem.matrix, problem.spread, problem.needs)
    ]
    none = np.zeros(len(columns))
    return replace(
        problem,
        columns=(*problem.columns, *(new.column for new in columns)),
        rows=(*problem.rows, *(new.row for new in rows)),
        matrix=np.vstack([wide[0], below]),
        spread=np.vstack([wide[1], np.zeros_like(below)]),
        needs=np.vstack([wide[2], np.zeros_like(below)]),
        need_constant=np.concatenate([problem.need_constant, np.zeros(len(rows))]),
        row_lower=np.concatenate([problem.row_lower, [new.lower for new in rows]]),
        row_upper=np.concatenate([problem.row_upper, [new.upper for new in rows]]),
        lower=np.concatenate([problem.lower, none]),
        upper=np.concatenate([problem.upper, [new.upper for new in columns]]),
        integer=np.concatenate([problem.integer, np.ones(len(columns), dtype=bool)]),
        price=np.concatenate([problem.price, [new.price for new in columns]]),
        mass=np.concatenate([problem.mass, none]),
        listed=np.concatenate([problem.listed, none]),
    )
