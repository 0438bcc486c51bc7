"""Offers x scenario -> arrays: whole packages are bought, and what goes in comes from them and from what is on hand.

Beside the columns and rows of any plan (optimizer.model.build): a column for the packages of each offer, columns for
what goes in of them, and rows that tie the two together.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

import numpy as np

from catalog.nutrition.composition import Blend, blend
from catalog.records import Catalog
from catalog.units.quantities import Quantity
from optimizer.market.offers import Offer, is_weighed, scale_step
from optimizer.market.rules import add_market_rules, size_of
from optimizer.model.build import add_rules
from optimizer.model.columns import Ingredient, amount_columns
from optimizer.model.kinds import Kind, Tier
from optimizer.model.problem import Column, Draft, Problem, Row
from optimizer.scenario.market import Market
from optimizer.scenario.records import Item, Scenario
from optimizer.scenario.steps import MOST_OF_ONE_SUPPLEMENT, steps_of

# A batch may end up larger than was asked for, where whole pieces make it so, or than the meat that is on hand and
# goes in whole, where that has to be balanced by other meat. No batch is looked for beyond these.
LARGEST, LARGEST_OF_HAND = Fraction(3, 2), Fraction(5)

ON_HAND, STEPS, WHOLE = "on hand", "steps", "whole packages"


@dataclass(frozen=True, slots=True)
class FoodColumn:
    """A column of what goes in of a food, counted in `grams` each: out of what is on hand, or bought, and then
    in steps of the scale or spoon or as whole packages. `fine` steps are those of a scale."""

    column: int
    grams: Fraction
    source: str
    fine: bool = False


@dataclass(frozen=True)
class BuyingProblem:
    """The problem of buying a batch and what its columns are: those of each food, `packages` of each offer,
    `visits` of each store; `asked` is 1 where any is bought of what is sold by weight."""

    scenario: Scenario
    market: Market
    offers: tuple[Offer, ...]
    problem: Problem
    food_columns: dict[str, list[FoodColumn]]
    packages: dict[str, int]
    asked: dict[str, int]
    visits: dict[str, int]

    def relaxed(self) -> Problem:
        """The same problem where a scale weighs any amount: easier, and at worst a few grams more favourable."""
        integer, upper = self.problem.integer.copy(), self.problem.upper.copy()
        for part in (part for columns in self.food_columns.values() for part in columns):
            if part.fine:
                integer[part.column] = False
            if part.source == WHOLE:
                upper[part.column] = 0.0
        for offer in self.asked:
            integer[self.packages[offer]] = False
        return replace(self.problem, integer=integer, upper=upper)


def build_buying_problem(
    scenario: Scenario, market: Market, offers: Sequence[Offer], catalog: Catalog, soft_ceilings: bool = False
) -> BuyingProblem:
    """The problem of buying a batch; `scenario` has an item for each food on sale. `soft_ceilings`: see
    `optimizer.model.build.build`."""
    draft = Draft()
    blends = {item.id: blend(item.food, catalog, scenario.energy_method, item.bone_share) for item in scenario.items}
    most = _most_meat(scenario, market, blends)
    there = replace(scenario, items=tuple(item for item in scenario.items if item.available != 0))
    ingredients = amount_columns(draft, there, catalog, most)
    food_columns: dict[str, list[FoodColumn]] = {item.id: [] for item in scenario.items}
    for i in ingredients:
        food_columns[i.item.id].append(FoodColumn(i.column, steps_of(i.item), ON_HAND))
        if not i.item.is_supplement:
            draft.price[i.column] = draft.worth[i.column] = 0.0  # paid for already
    stock = {i.item.id: i for i in ingredients}
    packages: dict[str, int] = {}
    asked: dict[str, int] = {}
    for item in scenario.items:
        sold = [offer for offer in offers if offer.food.id == item.id]
        if sold and not enough_of(item):
            bought = _bought(draft, item, sold, blends[item.id], most, food_columns[item.id], packages, asked)
            if item.id in stock:
                _hand_first(draft, item, stock[item.id], [packages[offer.id] for offer in sold])
                _at_most(draft, item, [stock[item.id], *bought])
            ingredients += bought
    rules = replace(scenario, budget=None, meat_at_least_grams=None)
    add_rules(draft, rules, catalog, ingredients, soft_ceilings, [share.of for share in market.shares])
    visits = add_market_rules(draft, scenario, market, offers, ingredients, packages, float(most))
    return BuyingProblem(scenario, market, tuple(offers), draft.problem(), food_columns, packages, asked, visits)


def enough_of(item: Item) -> bool:
    """Whether none of an item is ever bought: as much as needed is on hand, or its amount is settled."""
    return (item.available is None and item.fixed is None) or item.exactly is not None


def _most_meat(scenario: Scenario, market: Market, blends: dict[str, Blend]) -> Fraction:
    """More meat than any batch of the size that is asked for holds, in grams."""
    measure, wanted = size_of(scenario, market)
    if measure == "energy":
        meat = [blends[item.id].kcal for item in scenario.items if item.is_meat]
        wanted /= Fraction(min((kcal for kcal in meat if kcal > 0), default=1.0))
    there = sum((i.fixed * i.grams_per_unit for i in scenario.items if i.fixed and i.is_meat), Fraction())
    return Fraction(math.ceil(max(LARGEST * wanted, LARGEST_OF_HAND * there)))


def _bought(
    draft: Draft,
    item: Item,
    sold: Sequence[Offer],
    content: Blend,
    most_meat: Fraction,
    food_columns: list[FoodColumn],
    packages: dict[str, int],
    asked: dict[str, int],
) -> list[Ingredient]:
    """Columns for the packages of one food and for what goes in of them, and the row that ties them together."""
    fine = is_weighed(item)
    step = scale_step(item) if fine else steps_of(item)
    most = most_meat * (MOST_OF_ONE_SUPPLEMENT if item.is_supplement else 1)
    steps = draft.column(Column(item.id, Kind.AMOUNT, float(step), item.is_jar), 0, float(most // step), integer=True)
    food_columns.append(FoodColumn(steps, step, STEPS, fine))
    found = [Ingredient(item, content, steps, float(step))]
    given: dict[int, float] = {}
    for offer in sold:
        count = math.ceil(most / offer.grams)
        if offer.line.most is not None:
            count = min(count, offer.line.most)
        column = draft.column(
            Column(offer.id, Kind.PACKAGE, jar=item.is_jar), 0, count, integer=True, price=float(offer.price)
        )
        packages[offer.id] = column
        given[column] = -float(offer.grams)
        if offer.loose:
            asked[offer.id] = _asked_column(draft, offer, column)
        elif fine and (offer.grams / step).denominator != 1:
            # a package that is no whole number of the scale's steps can go in whole all the same
            whole = draft.column(Column(item.id, Kind.AMOUNT, float(offer.grams), item.is_jar), 0, count, integer=True)
            food_columns.append(FoodColumn(whole, offer.grams, WHOLE))
            found.append(Ingredient(item, content, whole, float(offer.grams)))
    row = Row(f"supply:{item.id}", Tier.NEVER, f"{item.id} comes out of packages", float(sold[0].grams))
    draft.row(row, {**given, **{i.column: i.grams for i in found}}, upper=0.0)
    return found


def _asked_column(draft: Draft, offer: Offer, package: int) -> int:
    """1 as soon as a counter is asked for any of it, and then for no less than is worth asking."""
    column = draft.column(Column(offer.id, Kind.ASKED), 0, 1, integer=True)
    most = draft.upper[package]
    least = math.ceil(offer.least_grams / offer.grams)
    draft.row(
        Row(f"asked:{offer.id}", Tier.NEVER, f"{offer.id} is asked for", most), {package: 1.0, column: -most}, upper=0.0
    )
    row = Row(f"least:{offer.id}", Tier.NEVER, f"{offer.id} is worth asking for", least)
    draft.row(row, {package: 1.0, column: -float(least)}, lower=0.0)
    return column


def _hand_first(draft: Draft, item: Item, stock: Ingredient, packages: Sequence[int]) -> None:
    """Nothing is bought of a food before what is on hand of it is used up."""
    low, there = draft.lower[stock.column], draft.upper[stock.column]
    if low == there:
        return
    used_up = draft.column(Column(item.id, Kind.USED_UP), 0, 1, integer=True)
    for package in packages:
        most = draft.upper[package] or 1.0
        row = Row(f"first:{draft.columns[package].id}", Tier.NEVER, f"{item.id} on hand goes first", most)
        draft.row(row, {package: 1.0, used_up: -most}, upper=0.0)
    row = Row(f"used_up:{item.id}", Tier.NEVER, f"{item.id} on hand is used up", there)
    draft.row(row, {stock.column: 1.0, used_up: -there}, lower=0.0)


def _at_most(draft: Draft, item: Item, own: Sequence[Ingredient]) -> None:
    """A bound for the batch holds for what is on hand and what is bought together."""
    if isinstance(item.at_most, Quantity):
        most = float(item.units(item.at_most) * item.grams_per_unit)
        row = Row(f"at_most:{item.id}", Tier.WISH, f"{item.id} at most {item.at_most.text}", most)
        draft.row(row, {i.column: i.grams for i in own}, -np.inf, most, need_constant=most)
