"""In the middle of a batch: what is in the bowl already is fixed, the rest is solved again.

Where that meets no standard any more, it is found out how much more meat would, or more of what is in the bowl.
"""

from collections.abc import Sequence
from copy import deepcopy
from dataclasses import dataclass, replace
from fractions import Fraction

from catalog.mistakes import Mistake
from catalog.reading.toml_lines import Lines
from catalog.records import Catalog
from catalog.units.quantities import Quantity, Rate
from optimizer.assess.assessment import assess
from optimizer.assess.batch import Amount
from optimizer.assess.result import Assessment
from optimizer.assess.slips import Slip, slips
from optimizer.errors import InputErrors
from optimizer.journal.recipes import Data, Recipe, is_zero, listing, recipe_of, told_amounts
from optimizer.more_meat import WayBack, more_meat
from optimizer.planning import plan
from optimizer.scenario.naming import COMMAND_LINE
from optimizer.scenario.records import Scenario
from optimizer.sheet.amount_words import amount_words
from optimizer.sheet.sheet import OUT_OF_REACH, PLANNED, Sheet

AMOUNT_KEYS = ("at_least", "at_most", "exactly", "up_to", "amount", "left")


@dataclass(frozen=True, slots=True)
class AmountChange:
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
    moves: tuple[AmountChange, ...]
    ways: tuple[WayBack, ...]
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
    before = plan(recipe.scenario, catalog, explained=False)
    sheet = _without_the_impossible(plan(amended.scenario, catalog), ids)
    told = slips(amended.scenario, sheet.assessment, _as_planned(before, amended.scenario, ids, catalog), ids)
    ways: list[WayBack] = []
    if sheet.status == OUT_OF_REACH or told:
        ways += [] if told else _more_of(amended, catalog, ids)
        ways += more_meat(amended.scenario, catalog, sheet.assessment, told)
    now = ways[0].sheet if ways else sheet
    return Amendment(data, sheet, tuple(_moves(before, now, ids)), tuple(ways), before, told)


def _without_the_impossible(sheet: Sheet, ids: Sequence[str]) -> Sheet:
    """The sheet without remedies that take out of the bowl what is in it."""
    kept = tuple(r for r in sheet.reasons.remedies if not {id_ for id_, _ in r.changes} & set(ids))
    return replace(sheet, reasons=replace(sheet.reasons, remedies=kept))


def _as_planned(before: Sheet, scenario: Scenario, ids: Sequence[str], catalog: Catalog) -> Assessment:
    """The mix that was planned, with what is in the bowl in place of what was to be: a slip is judged by that, not by
    what is poured in to thin it."""
    planned = {amount.item.id: amount for amount in before.amounts}
    amounts = []
    for item in scenario.items:
        if item.fixed is not None:
            amounts.append(Amount(item, item.fixed))
        elif item.id in ids:
            dose = item.exactly
            amounts.append(Amount(item, item.units(dose) if isinstance(dose, Quantity) else Fraction()))
        elif item.id in planned:
            there = planned[item.id]
            amounts.append(Amount(item, there.count * there.item.grams_per_unit / item.grams_per_unit))
    return assess(scenario, catalog, amounts)


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


def _moves(before: Sheet, now: Sheet, ids: Sequence[str]) -> list[AmountChange]:
    planned = {line.id: line for line in before.lines}
    there = {line.id: line for line in now.lines}
    return [
        AmountChange(
            id_,
            (there.get(id_) or planned[id_]).name,
            planned[id_].text if id_ in planned else "",
            there[id_].text if id_ in there else "",
            id_ in ids,
        )
        for id_ in {**there, **planned}
    ]


def _more_of(amended: Recipe, catalog: Catalog, ids: Sequence[str]) -> list[WayBack]:
    """What is still to be added of what is in the bowl, where more of it is all that lacks."""
    data = deepcopy(amended.data)
    jars = [entry for entry in data.get("supplements", []) if entry.get("supplement") in ids]
    for entry in jars:
        entry["at_least"] = entry.pop("exactly")
    if not jars:
        return []
    opened = recipe_of(data, amended.file, Lines({}), catalog).scenario
    sheet = plan(opened, catalog, explained=False)
    if sheet.status != PLANNED:
        return []
    before = {
        item.id: item.units(item.exactly)
        for item in amended.scenario.items
        if item.exactly is not None and not isinstance(item.exactly, Rate)
    }
    ways = []
    for item in opened.items:
        there = next((amount for amount in sheet.amounts if amount.item.id == item.id), None)
        if item.id not in ids or item.id not in before or there is None:
            continue
        more = there.count - before[item.id]
        if more > 0:
            amount = Amount(item, more)
            ways.append(WayBack("more_of", item.id, item.food.name, amount.grams, amount_words(amount), sheet))
    return ways
