"""Feasibility relaxation of the person's own rules, where that alone is enough: as few and as little as it takes."""

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from math import ceil

import numpy as np

from catalog.records import Catalog
from catalog.units.money import cents
from optimizer.assess.assessment import assess
from optimizer.explain.probe import SECONDS_A_PLAN, all_met, replanned
from optimizer.model.build import build
from optimizer.model.deadline import Deadline
from optimizer.model.kinds import Kind
from optimizer.model.objectives import of_aim, passed, shares_of
from optimizer.model.problem import Problem, Row
from optimizer.model.relax import with_slack
from optimizer.model.solve import amounts_of
from optimizer.model.solver import solve
from optimizer.scenario.records import Scenario
from optimizer.sheet.reasons import Remedy

OWN = (Kind.OWN, Kind.HAND)
TENTHS = 1000  # of a percent: what a cap is written in


def relax_own_rules(scenario: Scenario, catalog: Catalog, deadline: Deadline) -> Iterator[Remedy]:
    """One remedy that gives up the person's own rules, with what it takes, planned before it is told; or none."""
    problem = with_slack(build(scenario, catalog))
    rows = {row.id: row for row in problem.rows}
    own = [j for j, c in enumerate(problem.columns) if c.kind in OWN or _is_own_limit(c.kind, rows.get(c.row))]
    closed = [j for j, c in enumerate(problem.columns) if c.kind in (Kind.MISSED, Kind.UNSAFE) and j not in own]
    problem = problem.closed(closed)
    wanted = (*passed(problem), shares_of("own rules", problem, own), *of_aim(scenario.aim, problem))
    solution = solve(problem, wanted, deadline.at_most(SECONDS_A_PLAN))
    if not solution.found or not own:
        return
    given_up = [j for j in own if solution.values[j] > 1e-7]
    amounts = amounts_of(scenario, problem, solution)
    found = assess(scenario, catalog, amounts)
    changed = scenario
    options, words = [], []
    for j in given_up:
        row = rows[problem.columns[j].row]
        where = f" (line {row.line})" if row.line else ""
        if row.id == "cap":
            share = ceil(found.totals.non_meat_share * TENTHS - 1e-6) / TENTHS
            changed = replace(changed, non_meat_cap=share)
            options.append(f'--cap "{100 * share:g} %"')
            words.append(f"{row.label}{where}; it takes {100 * share:g} %")
        elif row.id == "budget":
            cost = cents(found.cost or Fraction())
            changed = replace(changed, budget=cost)
            options.append(f"--budget {cost}")
            words.append(f"{row.label}{where}; it takes {cost} {scenario.currency}")
        else:
            words.append(f"{row.label}{where}{_takes(problem, row, solution.values[j])}")
    if words and (len(options) < len(words) or _is_enough(changed, catalog, deadline)):
        changes = tuple((problem.columns[j].row, "given up") for j in given_up)
        yield Remedy(changes, None, f"Give up your own rule: {'; '.join(words)}.", options=tuple(options))


def _is_own_limit(kind: Kind, row: Row | None) -> bool:
    own = row is not None and row.limit is not None and row.limit.source == "scenario"
    return own and kind in ("missed", "unsafe")


def _takes(problem: Problem, row: Row, share: float) -> str:
    """By how much a bound or a limit of the person's own has to be moved."""
    least = _is_least(problem, row)
    factor = 1 - float(share) if least else 1 + float(share)
    return f"; it takes {factor:.3g} times {'so much, no more' if least else 'as much'}"


def _is_least(problem: Problem, row: Row) -> bool:
    return bool(np.isfinite(problem.row_lower[[r.id for r in problem.rows].index(row.id)]))


def _is_enough(changed: Scenario, catalog: Catalog, deadline: Deadline) -> bool:
    """Whether the plan with these rules meets every limit: the same as typing them."""
    choice = replanned(changed, catalog, deadline.at_most(SECONDS_A_PLAN))
    return choice is not None and all_met(choice, catalog)
