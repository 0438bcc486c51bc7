"""In the middle of a batch: what is in the bowl already is fixed, the rest is solved again.

Where that meets no standard any more, it is found out how much more meat would, or more of what is in the bowl.
"""

from collections.abc import Sequence
from copy import deepcopy
from dataclasses import dataclass, replace
from fractions import Fraction
from math import ceil

import numpy as np

from catalog.mistakes import Mistake
from catalog.quantities import Rate
from catalog.records import Catalog
from catalog.toml_text import Lines
from catalog.units import size_of
from optimizer.aims import Objective, passed
from optimizer.arrays import NewRow, Problem, Row
from optimizer.assessment import Amount
from optimizer.errors import InputErrors
from optimizer.journal.weighed import COMMAND_LINE, Data, Recipe, is_zero, listing, recipe_of, told_amounts
from optimizer.plan import plan
from optimizer.problem import build
from optimizer.scenario import Item, Scenario
from optimizer.sheet import OUT_OF_REACH, PLANNED, Sheet
from optimizer.slips import Slip, are_mended, slips
from optimizer.solver import Model
from optimizer.verdicts import Assessment
from optimizer.words import US_UNITS, amount_words, kitchen_of, mass_words, weight_words

MOST_TIMES = 10  # so many times the meat on hand is as much more of it as is looked for
# A gram of supplements weighs as much as ten of meat when the least is sought, lest oil by the cup stand in for meat.
SUPPLEMENT_WEIGHT = 10.0  # our own choice, no source
SCALE_GRAMS = 10  # more meat is told in steps of this
AMOUNT_KEYS = ("at_least", "at_most", "exactly", "up_to", "amount", "left")
SAME_MIX = "the same mix"


@dataclass(frozen=True, slots=True)
class Way:
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


@dataclass(frozen=True, slots=True)
class Move:
    """One ingredient before and after: in the plan without what was told, and in the plan with it."""

    id: str
    name: str
    planned: str
    now: str
    in_the_bowl: bool

    @property
    def differs(self) -> bool:
        """Whether the amount is another one now."""
        return self.planned != self.now


@dataclass(frozen=True, slots=True)
class Amendment:
    """The plan with what is in the bowl, and the ways back where it meets no standard any more.

    `moves` set the plan without what is in the bowl beside the plan with it, or beside the first way back. `slips` are
    told before anything else: the premix is to be thrown away; `afresh` is the plan to begin again with.
    """

    data: Data
    sheet: Sheet
    moves: tuple[Move, ...]
    ways: tuple[Way, ...]
    afresh: Sheet
    slips: tuple[Slip, ...] = ()

    @property
    def may_be_fed(self) -> bool:
        """Whether every limit is met and nothing toxic is past what law or guard allows by a slip."""
        return self.sheet.assessment.all_met and not self.slips


def amend(recipe: Recipe, catalog: Catalog, done: Sequence[str]) -> Amendment:
    """The plan of a recipe with "id=amount" of `done` in the bowl. Raises InputErrors."""
    data, ids = with_done(recipe, catalog, done)
    amended = recipe_of(data, recipe.file, Lines({}), catalog)
    before = plan(recipe.scenario, catalog)
    sheet = plan(amended.scenario, catalog)
    told = slips(amended.scenario, sheet.assessment, ids)
    ways: list[Way] = []
    if sheet.status == OUT_OF_REACH or told:
        ways += [] if told else _more_of(amended, catalog, ids)
        ways += _more_meat(amended.scenario, catalog, sheet.assessment, told)
    now = ways[0].sheet if ways else sheet
    return Amendment(data, sheet, tuple(_moves(before, now, ids)), tuple(ways), before, told)


def with_done(recipe: Recipe, catalog: Catalog, done: Sequence[str]) -> tuple[Data, list[str]]:
    """The recipe's data with what is in the bowl settled, and the ids of that. Raises InputErrors."""
    mistakes: list[Mistake] = []
    ids = [item.id for item in recipe.scenario.items]
    told = told_amounts("--done", done, ids, catalog, mistakes)
    if not done:
        allowed = 'what is in the bowl, such as "salmon-oil=9 g"'
        mistakes.append(Mistake(COMMAND_LINE, 0, "--done", "nothing", allowed))
    if mistakes:
        raise InputErrors(mistakes)
    data: Data = deepcopy(dict(recipe.data))
    for id_, text in told.items():
        if id_ == "water":
            data.pop("water", None) if is_zero(text) else data.update(water=text)
        else:
            _settle(data, id_, text, catalog)
    return data, list(told)


def _settle(data: Data, id_: str, text: str, catalog: Catalog) -> None:
    for key, name, amount in (("on_hand", "food", "amount"), ("supplements", "supplement", "exactly")):
        for entry in data.get(key, []):
            if entry.get(name) == id_:
                if is_zero(text):
                    data[key] = [other for other in data[key] if other is not entry]
                    data.get("usual", {}).pop(id_, None)
                    return
                for old in AMOUNT_KEYS:
                    entry.pop(old, None)
                entry[amount] = text
                return
    if not is_zero(text):
        key, name, amount = listing(catalog.foods[id_])
        data[key] = [*data.get(key, []), {name: id_, amount: text}]


def _moves(before: Sheet, now: Sheet, ids: Sequence[str]) -> list[Move]:
    planned = {line.id: line for line in before.lines}
    there = {line.id: line for line in now.lines}
    return [
        Move(
            id_,
            (there.get(id_) or planned[id_]).name,
            planned[id_].text if id_ in planned else "",
            there[id_].text if id_ in there else "",
            id_ in ids,
        )
        for id_ in {**there, **planned}
    ]


def _more_meat(scenario: Scenario, catalog: Catalog, before: Assessment, slips: Sequence[Slip]) -> list[Way]:
    """The least more of the same meat in proportion, and of each cut by itself, that brings every limit back and passes
    no common share that the mix `before` kept."""
    meat = [item for item in scenario.items if item.is_meat and item.fixed]
    ways = [_more(scenario, catalog, meat, before, slips)] if len(meat) > 1 else []
    ways += [_more(scenario, catalog, [item], before, slips) for item in meat]
    found = sorted((way for way in ways if way), key=lambda way: way.grams)
    return sorted(found, key=lambda way: bool(way.id))


def _more(
    scenario: Scenario, catalog: Catalog, meat: Sequence[Item], before: Assessment, slips: Sequence[Slip]
) -> Way | None:
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
    amounts = problem.mass * [c.kind == "amount" for c in problem.columns]
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
    place = {c.id: j for j, c in enumerate(problem.columns) if c.kind == "amount" and c.id in there}
    lower = problem.lower.copy()
    for id_, j in place.items():
        lower[j] = there[id_] / problem.mass[j]
    first, *others = (item.id for item in meat)
    parts = {id_: problem.mass[place[id_]] / there[id_] for id_ in place}
    rows = [
        NewRow(
            Row(f"proportion:{id_}", "", "the same proportion"),
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
            Row(f"half:{row.id}", "", "half the ceiling"),
            {int(j): float(problem.matrix[i, j] + problem.needs[i, j] / 2) for j in _amount_columns(problem)},
            upper=float(problem.row_upper[i] - problem.need_constant[i] / 2),
        )
        for i, row in enumerate(problem.rows)
        if row.limit is not None and row.limit.nutrient in names and np.isfinite(problem.row_upper[i])
        if row.limit.basis != "ratio" and row.rule in ("", row.id)
    ]
    return problem.extended(rows=rows)


def _amount_columns(problem: Problem) -> list[int]:
    return [j for j, column in enumerate(problem.columns) if column.kind == "amount"]


def _verified(
    scenario: Scenario,
    catalog: Catalog,
    meat: Sequence[Item],
    more: Fraction,
    there: Fraction | int,
    before: Assessment,
    slips: Sequence[Slip],
) -> Way | None:
    """The way with so much more meat, planned as any batch is; a few round steps more where rounding broke it."""
    ids = {item.id for item in meat}
    for extra in range(4):
        grams = more + extra * SCALE_GRAMS
        factor = 1 + grams / there
        items = tuple(_with(item, factor) if item.id in ids else item for item in scenario.items)
        sheet = plan(replace(scenario, items=items), catalog)
        passes = {part.of for part in sheet.assessment.above_shares}
        if not passes <= {part.of for part in before.above_shares}:
            return None
        if sheet.status == PLANNED and are_mended(slips, sheet.assessment):
            name = meat[0].food.name if len(meat) == 1 else SAME_MIX
            id_ = meat[0].id if len(meat) == 1 else ""
            return Way("more_meat", id_, name, float(grams), weight_words(grams, kitchen_of(scenario.items)), sheet)
    return None


def _with(item: Item, factor: Fraction) -> Item:
    """So many times as much of an item, to the gram, or to a quarter of an ounce where it is weighed in ounces."""
    unit, step = ("oz", Fraction(1, 4)) if item.unit in US_UNITS else ("g", Fraction(1))
    size = size_of(unit)
    count = round((item.fixed or Fraction()) * item.grams_per_unit * factor / (size * step)) * step
    return replace(item, unit=unit, grams_per_unit=size, fixed=count, text=mass_words(count * size, kitchen_of([item])))


def _more_of(amended: Recipe, catalog: Catalog, ids: Sequence[str]) -> list[Way]:
    """What is still to be added of what is in the bowl, where more of it is all that lacks."""
    data = deepcopy(amended.data)
    jars = [entry for entry in data.get("supplements", []) if entry.get("supplement") in ids]
    for entry in jars:
        entry["at_least"] = entry.pop("exactly")
    if not jars:
        return []
    opened = recipe_of(data, amended.file, Lines({}), catalog).scenario
    sheet = plan(opened, catalog)
    if sheet.status != PLANNED:
        return []
    before = {
        item.id: item.units(item.exactly)
        for item in amended.scenario.items
        if item.exactly is not None and not isinstance(item.exactly, Rate)
    }
    ways = []
    for item in opened.items:
        line = next((line for line in sheet.lines if line.id == item.id), None)
        if item.id not in ids or item.id not in before or line is None:
            continue
        more = Fraction(line.count).limit_denominator(10**6) - before[item.id]
        if more > 0:
            amount = Amount(item, more)
            ways.append(Way("more_of", item.id, item.food.name, amount.grams, amount_words(amount), sheet))
    return ways
