"""When nothing meets every rule: the mix that misses least, and never by way of a stronger dose.

What comes first: ceilings of what is toxic in excess, then guards of it, then other guards and common shares; bounds
by hand; the cap and the budget as far as food breaks them; then the sum of all that is missed, each as a share of its
limit in the final batch; then the cap and the budget with the jars, and the aim. Jars never pass a ceiling or a
guard: what food passes by itself it may pass, no more.
"""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from optimizer.model.objectives import Objective, passed, shares_of
from optimizer.model.problem import Column, NewColumn, NewRow, Problem, Row


def with_slack(problem: Problem) -> Problem:
    """The problem with a slack column for each side of each row that may give way, as a share of the row's scale.

    A slack's kind says what gives way: "missed" (targets, ratios, own limits, ceilings), "unsafe" (ceilings of what
    is toxic), "hand" (bounds by hand), "own" (cap and budget) or "own_food" (the same without what comes from jars);
    its id is "minimum" or "maximum" and the row's id. Ceilings that are soft have their slack already.
    """
    soft = {column.row for column in problem.columns if column.kind.startswith("ceiling:")}
    together: dict[tuple[str, float, str], list[int]] = {}
    for i, row in enumerate(problem.rows):
        for sign, bound in ((1.0, problem.row_lower[i]), (-1.0, problem.row_upper[i])):
            if row.tier in KINDS and np.isfinite(bound) and (row.rule or row.id) not in soft:
                together.setdefault((_subject(row), sign, KINDS[row.tier]), []).append(i)
    columns = [_slack(problem, rows, sign, kind) for (_, sign, kind), rows in together.items()]
    own = [i for (_, _, kind), rows in together.items() for i in rows if kind == "own"]
    return _by_food(problem.extended(columns), own)


def _subject(row: Row) -> str:
    """What rows share a slack: several targets of one nutrient are missed once, by what the largest of them lacks."""
    if row.limit is None or row.limit.basis == "ratio":
        return row.id
    return row.limit.nutrient


KINDS = {"safety": "unsafe", "target": "missed", "dose": "hand", "wish": "own"}


def _slack(problem: Problem, rows: Sequence[int], sign: float, kind: str) -> NewColumn:
    first = problem.rows[max(rows, key=lambda i: problem.rows[i].scale)]
    ids = tuple(problem.rows[i].id for i in rows)
    column = Column(f"{'minimum' if sign > 0 else 'maximum'}:{first.id}", kind, row=first.id, rows=ids)
    return NewColumn(column, rows={i: sign * first.scale / problem.rows[i].scale for i in rows})


def _by_food(problem: Problem, own: Sequence[int]) -> Problem:
    """The problem with each of the person's own rules once more, for food alone: jars that help are dosed even where
    the cap or the budget is what cannot be kept."""
    food = np.array([not column.jar for column in problem.columns])
    rows = []
    for i in own:
        row = replace(problem.rows[i], id=f"food:{problem.rows[i].id}", tier="")
        amounts = [c.kind in ("amount", "package", "visit") for c in problem.columns]
        terms = {int(j): float(problem.matrix[i, j]) for j in np.flatnonzero(problem.matrix[i] * food * amounts)}
        needs = {int(j): float(problem.needs[i, j]) for j in np.flatnonzero(problem.needs[i] * food)}
        rows.append((row, terms, needs, float(problem.row_upper[i]), float(problem.need_constant[i])))
    width = len(problem.columns)
    columns = [NewColumn(Column(f"maximum:{row.id}", "own_food", row=row.id)) for row, *_ in rows]
    return problem.extended(
        columns,
        [
            NewRow(row, {**terms, width + k: -1.0}, upper=upper, needs=needs, need_constant=constant)
            for k, (row, terms, needs, upper, constant) in enumerate(rows)
        ],
    )


def nearest_objectives(problem: Problem, aim: Sequence[Objective]) -> tuple[Objective, ...]:
    """What the nearest mix is to be best at, of a problem `with_slack`; `aim` are objectives of it that decide at the
    end."""
    kinds: dict[str, list[int]] = {}
    for j, column in enumerate(problem.columns):
        kinds.setdefault(column.kind, []).append(j)

    def shares(name: str, *of: str) -> list[Objective]:
        columns = [j for kind in of for j in kinds.get(kind, [])]
        return [shares_of(name, problem, columns)] if columns else []

    missed = shares("missed", "missed", "ceiling:other")
    return (
        *shares("unsafe", "unsafe", "ceiling:toxic"),
        *passed(problem),
        *shares("hand", "hand"),
        *shares("own rules by food", "own_food"),
        *(replace(objective, settles=True) for objective in missed),
        *shares("own rules", "own"),
        *(replace(objective, settles=False) for objective in aim),
    )
