"""More meat as a way back: the least that thins out what is in the bowl already, planned before it is told."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from math import ceil

import numpy as np

from catalog.kinds import Basis
from catalog.records import Catalog
from catalog.units.sizes import size_of
from optimizer.assess.result import Assessment
from optimizer.assess.slips import Slip, are_mended
from optimizer.model.build import build
from optimizer.model.kinds import Kind, Tier
from optimizer.model.objectives import Objective, passed
from optimizer.model.problem import NewRow, Problem, Row
from optimizer.model.solver import Model
from optimizer.planning import plan
from optimizer.scenario.records import Item, Scenario
from optimizer.sheet.amount_words import US_UNITS, kitchen_of, mass_words, weight_words
from optimizer.sheet.sheet import PLANNED, Sheet

MOST_TIMES = 10  # so many times the meat on hand is as much more of it as is looked for
# A gram of supplements weighs as much as ten of meat when the least is sought, lest oil by the cup stand in for meat.
SUPPLEMENT_WEIGHT = 10.0  # our own choice, no source
SCALE_GRAMS = 10  # more meat is told in steps of this
MORE_EACH = Fraction(1, 20)  # after a slip: of what is added, in each step
SAME_MIX = "the same mix"


@dataclass(frozen=True, slots=True)
class WayBack:
    """A way back to a mix that meets every limit, planned and assessed before it is told.

    `kind` is more_meat (`id` of a cut, or "" for all of the meat in proportion) or more_of (`id` of what is in
    the bowl already). `grams` more of it are needed at least, `text` says so in a measure; `sheet` is the plan then.
    """

    kind: str
    id: str
    name: str
    grams: float
    text: str
    sheet: Sheet


def more_meat(scenario: Scenario, catalog: Catalog, before: Assessment, slips: Sequence[Slip]) -> list[WayBack]:
    """The least more of the same meat in proportion, and of each cut by itself, that brings every limit back and passes
    no common share that the mix `before` kept."""
    meat = [item for item in scenario.items if item.is_meat and item.fixed]
    ways = [_more(scenario, catalog, meat, before, slips)] if len(meat) > 1 else []
    ways += [_more(scenario, catalog, [item], before, slips) for item in meat]
    found = sorted((way for way in ways if way), key=lambda way: way.grams)
    return sorted(found, key=lambda way: bool(way.id))


def _more(
    scenario: Scenario, catalog: Catalog, meat: Sequence[Item], before: Assessment, slips: Sequence[Slip]
) -> WayBack | None:
    """The least more of some meat, all of it in the same proportion; None where no amount of it helps."""
    there = sum((item.fixed or Fraction()) * item.grams_per_unit for item in meat)
    ids = {item.id for item in meat}
    jars = {item.id for item in scenario.items if item.is_supplement}
    # any amount of it from what is there upwards; the least is then made a round number and planned as usual
    opened = [
        replace(item, fixed=None, available=(item.fixed or Fraction()) * (1 + MOST_TIMES), step=None)
        if item.id in ids
        else item
        for item in scenario.items
    ]
    wide = build(replace(scenario, items=tuple(opened)), catalog)
    problem = _halved(_from_there(wide, meat), slips)
    amounts = problem.mass * [c.kind == Kind.AMOUNT for c in problem.columns]
    of_meat = amounts * [c.id in ids for c in problem.columns]
    of_jars = amounts * [c.id in jars for c in problem.columns] * (problem.lower < problem.upper)
    wanted = (*passed(problem), Objective("more meat", of_meat + SUPPLEMENT_WEIGHT * of_jars, settles=True))
    solution = Model(problem).solve(wanted)
    if not solution.found:
        return None
    least = max(float(of_meat @ solution.values) - float(there), 0.0)
    return _verified(
        scenario, catalog, meat, Fraction(ceil(least / SCALE_GRAMS - 1e-6) * SCALE_GRAMS), there, before, slips
    )


def _from_there(problem: Problem, meat: Sequence[Item]) -> Problem:
    """The problem with at least what is there of each meat, and rows that keep them in the same proportion."""
    there = {item.id: float((item.fixed or Fraction()) * item.grams_per_unit) for item in meat}
    place = {c.id: j for j, c in enumerate(problem.columns) if c.kind == Kind.AMOUNT and c.id in there}
    lower = problem.lower.copy()
    for id_, j in place.items():
        lower[j] = there[id_] / problem.mass[j]
    first, *others = (item.id for item in meat)
    parts = {id_: problem.mass[place[id_]] / there[id_] for id_ in place}
    rows = [
        NewRow(
            Row(f"proportion:{id_}", Tier.NEVER, "the same proportion"),
            {place[id_]: parts[id_], place[first]: -parts[first]},
            lower=0.0,
            upper=0.0,
        )
        for id_ in others
    ]
    return replace(problem, lower=lower).extended(rows=rows)


def _halved(problem: Problem, slips: Sequence[Slip]) -> Problem:
    """The problem in which what there was a slip of comes to half of its ceilings at most: a way back is no way back
    if it ends at the edge."""
    names = {slip.nutrient.id for slip in slips}
    rows = [
        NewRow(
            Row(f"half:{row.id}", Tier.NEVER, "half the ceiling"),
            {int(j): float(problem.matrix[i, j] + problem.needs[i, j] / 2) for j in _amount_columns(problem)},
            upper=float(problem.row_upper[i] - problem.need_constant[i] / 2),
        )
        for i, row in enumerate(problem.rows)
        if row.limit is not None and row.limit.nutrient in names and np.isfinite(problem.row_upper[i])
        if row.limit.basis != Basis.RATIO and row.rule in ("", row.id)
    ]
    return problem.extended(rows=rows)


def _amount_columns(problem: Problem) -> list[int]:
    return [j for j, column in enumerate(problem.columns) if column.kind == Kind.AMOUNT]


def _verified(
    scenario: Scenario,
    catalog: Catalog,
    meat: Sequence[Item],
    more: Fraction,
    there: Fraction | int,
    before: Assessment,
    slips: Sequence[Slip],
) -> WayBack | None:
    """The way with so much more meat, planned as any batch is; with a few steps more where rounding broke it, or, after
    a slip, where the plan that costs least is nearer to the ceiling than it could be."""
    ids = {item.id for item in meat}
    step = SCALE_GRAMS * ceil(more * (MORE_EACH if slips else 0) / SCALE_GRAMS) or SCALE_GRAMS
    for extra in range(4):
        grams = more + extra * step
        factor = 1 + grams / there
        items = tuple(_with(item, factor) if item.id in ids else item for item in scenario.items)
        changed = replace(scenario, items=items)
        sheet = plan(changed, catalog, explained=False)
        found = sheet.assessment
        if not {part.of for part in found.above_shares} <= {part.of for part in before.above_shares}:
            return None
        if sheet.status == PLANNED and are_mended(slips, found):
            name = meat[0].food.name if len(meat) == 1 else SAME_MIX
            id_ = meat[0].id if len(meat) == 1 else ""
            words = weight_words(grams, kitchen_of(scenario.items))
            return WayBack("more_meat", id_, name, float(grams), words, sheet)
    return None


def _with(item: Item, factor: Fraction) -> Item:
    """So many times as much of an item, to the gram, or to a quarter of an ounce where it is weighed in ounces."""
    unit, step = ("oz", Fraction(1, 4)) if item.unit in US_UNITS else ("g", Fraction(1))
    size = size_of(unit)
    count = round((item.fixed or Fraction()) * item.grams_per_unit * factor / (size * step)) * step
    return replace(item, unit=unit, grams_per_unit=size, fixed=count, text=mass_words(count * size, kitchen_of([item])))
