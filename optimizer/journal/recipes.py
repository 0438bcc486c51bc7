"""A batch's recipe, and what was really weighed of it: the planned amounts with some of them replaced, assessed again.

A recipe comes from a scenario, planned or as written, or from the JSON that `plan` printed.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path
from typing import Any

from catalog.mistakes import Mistake
from catalog.reading.toml_lines import Lines, read_toml
from catalog.records import Catalog, Food
from catalog.units.quantities import QuantityError, read_quantity
from optimizer.assess.assessment import assess
from optimizer.assess.batch import Amount
from optimizer.errors import InputErrors
from optimizer.scenario.items import MASS_UNITS
from optimizer.scenario.naming import COMMAND_LINE, one_meant
from optimizer.scenario.read import read_scenario
from optimizer.scenario.records import VOLUMES, Item, NoSuchMeasure, Scenario
from optimizer.sheet.sheet import ASSESSED, Sheet, make_sheet
from optimizer.sureness.chances import sureness_of
from optimizer.sureness.told import ToldSureness

# Of these roles, what a sheet names stood under `on_hand`; everything else came from a jar.
ON_HAND_ROLES = frozenset("cut organ bone prey egg fish shellfish fat vegetable fruit seed grain fibre dairy".split())
AMOUNT = 'an id and an amount, such as "taurine-powder=1/2 tsp"; 0 for what was left out'

Data = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Recipe:
    """A scenario as data and as read from it."""

    data: Data
    file: str
    scenario: Scenario


def read_recipe(path: Path, catalog: Catalog, stock: Mapping[str, Any] | None = None) -> Recipe:
    """The scenario in a file; its lists that say "stock" are replaced by those of `stock`. Raises InputErrors."""
    data, lines, mistakes = read_toml(path)
    if mistakes:
        raise InputErrors(mistakes)
    return recipe_of(with_stock(data, stock or {}), str(path), lines, catalog)


def with_stock(data: Mapping[str, Any], stock: Mapping[str, Any]) -> Data:
    """A scenario's data with `on_hand = "stock"` and `supplements = "stock"` replaced by what is in stock."""
    return {key: stock.get(key, value) if value == "stock" else value for key, value in data.items()}


def recipe_of(data: Data, file: str, lines: Lines, catalog: Catalog) -> Recipe:
    """The recipe in a scenario's data. Raises InputErrors."""
    scenario, mistakes = read_scenario(data, file, lines, catalog)
    if mistakes or scenario is None:
        raise InputErrors(sorted(mistakes, key=lambda mistake: mistake.line))
    return Recipe(data, file, scenario)


def as_weighed(recipe: Recipe, catalog: Catalog, planned: Mapping[str, str], weighed: Sequence[str]) -> Sheet:
    """The sheet of what was weighed: the planned amounts (texts by id), each "id=amount" of `weighed` in its place.

    What the recipe did not list is added. Raises InputErrors.
    """
    mistakes: list[Mistake] = []
    ids = [item.id for item in recipe.scenario.items]
    told = told_amounts("--weighed", weighed, ids, catalog, mistakes)
    texts = {**planned, **told}
    added = [catalog.foods[id_] for id_ in texts if id_ not in ids and id_ in catalog.foods and not is_zero(texts[id_])]
    data = {key: list(value) if isinstance(value, list) else value for key, value in recipe.data.items()}
    for food in added:
        key, name, amount = listing(food)
        data.setdefault(key, []).append({name: food.id, amount: texts[food.id]})
    if mistakes:
        raise InputErrors(mistakes)
    scenario = recipe_of(data, recipe.file, Lines({}), catalog).scenario if added else recipe.scenario
    amounts = [_amount(item, texts.get(item.id, "0"), mistakes) for item in scenario.items]
    if mistakes:
        raise InputErrors(mistakes)
    sure = ToldSureness(sureness_of(scenario, catalog, amounts))
    assessment = assess(scenario, catalog, amounts)
    sheet = make_sheet(scenario, catalog, amounts, assessment, ASSESSED, None, sureness=sure)
    return replace(sheet, lines=tuple(replace(line, text=told.get(line.id, line.text)) for line in sheet.lines))


def listing(food: Food) -> tuple[str, str, str]:
    """Where a scenario lists a food, and the keys of its name and of its amount there."""
    if food.role in ON_HAND_ROLES:
        return "on_hand", "food", "amount"
    return "supplements", "supplement", "exactly"


def told_by_id(option: str, pairs: Sequence[str], ids: Sequence[str], allowed: str) -> dict[str, str]:
    """Texts by id from "id=text" options. Raises InputErrors."""
    mistakes: list[Mistake] = []
    told: dict[str, str] = {}
    for pair in pairs:
        word, equals, text = (part.strip() for part in pair.partition("="))
        if not (word and equals and text):
            mistakes.append(Mistake(COMMAND_LINE, 0, option, f'"{pair}"', allowed))
        elif id_ := one_meant(word, ids, option, "the id of something in the batch", mistakes):
            told[id_] = text
    if mistakes:
        raise InputErrors(mistakes)
    return told


def told_amounts(
    option: str, pairs: Sequence[str], ids: Sequence[str], catalog: Catalog, mistakes: list[Mistake]
) -> dict[str, str]:
    """Amounts by id from "id=amount" options: of what the batch lists, by a word of it, or of any food by its id."""
    told: dict[str, str] = {}
    for pair in pairs:
        word, equals, text = (part.strip() for part in pair.partition("="))
        if not (word and equals and text):
            mistakes.append(Mistake(COMMAND_LINE, 0, option, f'"{pair}"', AMOUNT))
        elif id_ := one_meant(word, ids, option, "the id of something in the batch", mistakes, list(catalog.foods)):
            if id_ in told:
                mistakes.append(Mistake(COMMAND_LINE, 0, option, f'"{id_}" a second time', "each id once"))
            told[id_] = text
    return told


def is_zero(text: str) -> bool:
    """Whether an amount says that nothing of it goes in: "0", "0 g", "0 lb 0 oz", but not "0 lb 5 oz"."""
    numbers = re.findall(r"[0-9]+(?:\.[0-9]+)?", text)
    return text.startswith("0") and "/" not in text and not any(map(float, numbers))


def _amount(item: Item, text: str, mistakes: list[Mistake]) -> Amount:
    """The amount in a text, in the item's measure."""
    if is_zero(text):
        return Amount(item, Fraction())
    measures = ", ".join(item.food.measures) or "g, kg, oz, lb"
    try:
        quantity = read_quantity(text)
        if item.unit not in MASS_UNITS and item.unit not in VOLUMES and quantity.kind != "count":
            labelled = any(measure.labelled for measure in item.food.measures.values())
            if labelled:  # its figures hold for one piece, whatever that weighs
                raise QuantityError(f"a {quantity.kind} where a count is needed", f'a count such as "2 {item.unit}s"')
        return Amount(item, item.units(quantity))
    except QuantityError as problem:
        wrong = Mistake(COMMAND_LINE, 0, item.id, f'"{text}" ({problem})', problem.allowed, problem.hint)
    except NoSuchMeasure:
        wrong = Mistake(
            COMMAND_LINE, 0, item.id, f'"{text}" (no such measure)', f"a mass, or a measure of this food: {measures}"
        )
    mistakes.append(wrong)
    return Amount(item, Fraction())
