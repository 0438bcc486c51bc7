"""Items -> the columns of their amounts: what each may be, in steps, with what a gram of it holds."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from statistics import median

from catalog.nutrition.composition import Blend, blend
from catalog.records import Catalog
from catalog.units.quantities import Rate
from optimizer.model.affine import Affine
from optimizer.model.kinds import Kind
from optimizer.model.problem import Column, Draft
from optimizer.scenario.records import Item, Scenario
from optimizer.scenario.steps import MOST_OF_ONE_SUPPLEMENT, nearest_step, steps_of


@dataclass(frozen=True, slots=True)
class Ingredient:
    """An item with its blend; one step of its column weighs `grams`."""

    item: Item
    blend: Blend
    column: int
    grams: float


def amount_columns(
    draft: Draft, scenario: Scenario, catalog: Catalog, bought_grams: Fraction = Fraction()
) -> list[Ingredient]:
    """A column for each item, counted in its steps; what goes in whole is fixed and need not be whole steps.

    `bought_grams` is the most meat that may be bought besides: then the meat of the batch is not settled.
    """
    fixed_meat = None if bought_grams else _fixed_meat_grams(scenario.items)
    batch = bought_grams + sum(
        (i.fixed or i.available or Fraction()) * i.grams_per_unit for i in scenario.items if not i.is_supplement
    )
    ingredients: list[Ingredient] = []
    worth = worth_per_gram(scenario.items)
    for item in scenario.items:
        step = steps_of(item)
        exact = _fixed_grams(item, fixed_meat)
        if exact is not None:
            low = high = exact / step
        else:
            low, high = _range(item, Fraction(batch) * MOST_OF_ONE_SUPPLEMENT, step)
        column = draft.column(
            Column(item.id, Kind.AMOUNT, float(step), item.is_jar),
            float(low),
            float(high),
            integer=exact is None and item.step is not None,
            price=float((item.price_per_gram or 0) * step),
            worth=worth[item.id] * float(step),
        )
        content = blend(item.food, catalog, scenario.energy_method, item.bone_share)
        ingredients.append(Ingredient(item, content, column, float(step)))
    return ingredients


def grams_by_meat(item: Item, rate: Rate, ingredients: Sequence[Ingredient]) -> Affine:
    """The grams of an item that a dose by weight of meat asks for, over the columns of the meat."""
    each = item.per_gram_of_meat(rate)
    return Affine({i.column: each * i.grams for i in ingredients if i.item.is_meat})


def worth_per_gram(items: Sequence[Item]) -> dict[str, float]:
    """What a gram of each item counts as, by id, in the scenario's currency: its price. A jar without one counts what
    such jars usually cost, as much dearer or cheaper as the jars with a price are (their median); food counts nothing.
    """
    known = [
        float(item.price_per_gram) / item.food.usual_price_per_gram
        for item in items
        if item.is_jar and item.price_per_gram and item.food.usual_price_per_gram
    ]
    level = median(known) if known else 1.0
    return {
        item.id: float(item.price_per_gram)
        if item.price_per_gram is not None
        else level * (item.food.usual_price_per_gram or 0.0) * item.is_jar
        for item in items
    }


def _fixed_meat_grams(items: Sequence[Item]) -> Fraction | None:
    """The meat of the batch when its amount is settled, else None."""
    total = Fraction()
    for item in items:
        if item.is_meat:
            grams = _fixed_grams(item, None)
            if grams is None:
                return None
            total += grams
    return total


def _fixed_grams(item: Item, meat_grams: Fraction | None) -> Fraction | None:
    """The grams of an item whose amount is settled: all of it, or a dose set exactly (to the nearest step
    where it goes by weight of meat: the rule of three, common practice)."""
    if item.fixed is not None:
        return item.fixed * item.grams_per_unit
    if item.exactly is None:
        return None
    if not isinstance(item.exactly, Rate):
        return item.units(item.exactly) * item.grams_per_unit
    if meat_grams is None or item.is_meat:
        return None
    return nearest_step(item, item.units(item.exactly.quantity) * meat_grams / item.exactly.per_grams)


def _range(item: Item, most_grams: Fraction, step: Fraction) -> tuple[Fraction, Fraction]:
    """The least and the most steps of an open item, by its stock and its bounds for the batch."""
    high = (item.available * item.grams_per_unit if item.available is not None else most_grams) / step
    low = Fraction()
    if item.at_most and not isinstance(item.at_most, Rate):
        high = min(high, item.units(item.at_most) * item.grams_per_unit / step)
    if item.at_least and not isinstance(item.at_least, Rate):
        low = item.units(item.at_least) * item.grams_per_unit / step
        high = max(high, low) if item.available is None and item.at_most is None else high
    if item.step is not None:
        low, high = Fraction(-((-low) // 1)), Fraction(high // 1)
    return min(low, high), high
