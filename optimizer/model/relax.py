"""When nothing meets every rule: the mix that misses least, and never by way of a stronger dose.

What comes first: ceilings of what is toxic in excess, then guards of it, then other guards and common shares; bounds
by hand; the cap and the budget as far as food breaks them; then the sum of all that is missed, each as a share of its
limit in the final batch; then the cap and the budget with the jars, and the aim. Jars never pass a ceiling or a
guard: what food passes by itself it may pass, no more.
"""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from catalog.kinds import Basis
from optimizer.model.kinds import Kind, Tier
from optimizer.model.objectives import Objective, passed, shares_of
from optimizer.model.problem import Column, NewColumn, NewRow, Problem, Row


def with_slack(problem: Problem) -> Problem:
    """The problem with a slack column for each side of each row that may give way, as a share of the row's scale.

    A slack's kind says what gives way: MISSED (targets, ratios, own limits, ceilings), UNSAFE (ceilings of what
    is toxic), HAND (bounds by hand), OWN (cap and budget) or OWN_FOOD (the same without what comes from jars);
    its id is "minimum" or "maximum" and the row's id. Ceilings that are soft have their slack already.
    """
    soft = {column.row for column in problem.columns if column.kind in (Kind.CEILING, Kind.CEILING_TOXIC)}
    together: dict[tuple[str, float, Kind], list[int]] = {}
    for i, row in enumerate(problem.rows):
        for sign, bound in ((1.0, problem.row_lower[i]), (-1.0, problem.row_upper[i])):
            if row.tier in KINDS and np.isfinite(bound) and (row.rule or row.id) not in soft:
                together.setdefault((_subject(row), sign, KINDS[row.tier]), []).append(i)
    columns = [_slack(problem, rows, sign, kind) for (_, sign, kind), rows in together.items()]
    own = [i for (_, _, kind), rows in together.items() for i in rows if kind == Kind.OWN]
    return _by_food(problem.extended(columns), own)


def _subject(row: Row) -> str:
    """What rows share a slack: several targets of one nutrient are missed once, by what the largest of them lacks."""
    if row.limit is None or row.limit.basis == Basis.RATIO:
        return row.id
    return row.limit.nutrient


KINDS = {Tier.SAFETY: Kind.UNSAFE, Tier.TARGET: Kind.MISSED, Tier.DOSE: Kind.HAND, Tier.WISH: Kind.OWN}


def _slack(problem: Problem, rows: Sequence[int], sign: float, kind: Kind) -> NewColumn:
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
        row = replace(problem.rows[i], id=f"food:{problem.rows[i].id}", tier=Tier.NEVER)
        amounts = [c.kind in (Kind.AMOUNT, Kind.PACKAGE, Kind.VISIT) for c in problem.columns]
        terms = {int(j): float(problem.matrix[i, j]) for j in np.flatnonzero(problem.matrix[i] * food * amounts)}
        needs = {int(j): float(problem.needs[i, j]) for j in np.flatnonzero(problem.needs[i] * food)}
        rows.append((row, terms, needs, float(problem.row_upper[i]), float(problem.need_constant[i])))
    width = len(problem.columns)
    columns = [NewColumn(Column(f"maximum:{row.id}", Kind.OWN_FOOD, row=row.id)) for row, *_ in rows]
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
    kinds: dict[Kind, list[int]] = {}
    for j, column in enumerate(problem.columns):
        kinds.setdefault(column.kind, []).append(j)

    def shares(name: str, *of: Kind) -> list[Objective]:
        columns = [j for kind in of for j in kinds.get(kind, [])]
        return [shares_of(name, problem, columns)] if columns else []

    missed = shares("missed", Kind.MISSED, Kind.CEILING)
    return (
        *shares("unsafe", Kind.UNSAFE, Kind.CEILING_TOXIC),
        *passed(problem),
        *shares("hand", Kind.HAND),
        *shares("own rules by food", Kind.OWN_FOOD),
        *(replace(objective, settles=True) for objective in missed),
        *shares("own rules", Kind.OWN),
        *(replace(objective, settles=False) for objective in aim),
    )
