"""Scenario x catalog -> arrays and labels. Above this file: food; below it: numbers.

Every rule becomes a row `lower <= sum of coefficients x columns <= upper`. A limit per 1000 kcal is linear
because energy is: an amount of at least t per 1000 kcal is  sum_i (a_i - t/1000 e_i) x_i >= 0,  with a_i what
a gram of ingredient i holds and e_i its kilocalories.
"""

from collections.abc import Mapping, Sequence

import numpy as np

from catalog.records import Catalog
from catalog.units.quantities import Rate
from optimizer.model.columns import Ingredient, amount_columns
from optimizer.model.doses import dose_rows
from optimizer.model.guards import guard_rows
from optimizer.model.kinds import Kind, Tier
from optimizer.model.limits import limit_rows
from optimizer.model.problem import Column, Draft, Problem, Row
from optimizer.scenario.records import Dose, Scenario

ROUNDED = 0.00499  # the budget is held to the cost as it is shown, to the cent


def build(scenario: Scenario, catalog: Catalog, soft_ceilings: bool = False) -> Problem:
    """The problem of a scenario: rows for every limit, the cap on non-meat and every bound set by hand, and soft ones
    for guards and common shares, which neither the standard nor the person sets.

    With `soft_ceilings` food may pass the standard's own ceilings too, as is needed where no mix keeps them.
    """
    draft = Draft()
    ingredients = amount_columns(draft, scenario, catalog)
    add_rules(draft, scenario, catalog, ingredients, soft_ceilings)
    return draft.problem()


def add_rules(
    draft: Draft,
    scenario: Scenario,
    catalog: Catalog,
    ingredients: Sequence[Ingredient],
    soft_ceilings: bool = False,
    own_shares: Sequence[str] = (),
) -> None:
    """The rows of a scenario over the columns of its ingredients, of which one item may have several; `own_shares` are
    parts of the meat of which the person says how much there may be."""
    limits = (*scenario.standard.mandatory, *scenario.limits)
    for number, limit in enumerate(limits):
        limit_rows(draft, number, limit, limits, ingredients, catalog, soft_ceilings)
    guard_rows(draft, scenario, catalog, ingredients, own_shares)
    dose_rows(draft, scenario, catalog, ingredients)
    _cap_row(draft, scenario, ingredients)
    _budget_row(draft, scenario, ingredients)
    _hand_rows(draft, scenario, ingredients)
    _used_columns(draft, ingredients)
    _change_columns(draft, ingredients)


def _cap_row(draft: Draft, scenario: Scenario, ingredients: Sequence[Ingredient]) -> None:
    """Non-meat as a share of the whole mix by mass."""
    cap = scenario.non_meat_cap
    coefficients = {i.column: ((i.item.counts_as == "non-meat") - cap) * i.grams for i in ingredients}
    scale = sum(cap * i.grams * draft.upper[i.column] for i in ingredients) or 1.0
    line = scenario.lines.get("non_meat_cap", 0)
    row = Row("cap", Tier.WISH, f"non-meat at most {100 * cap:g} % of the mix", scale, None, scenario.file, line)
    draft.row(row, coefficients, upper=0.0, needs={i.column: cap * i.grams for i in ingredients})


def _budget_row(draft: Draft, scenario: Scenario, ingredients: Sequence[Ingredient]) -> None:
    """What the batch may cost, with all that is on hand."""
    if scenario.budget is not None:
        most = float(scenario.budget) + ROUNDED
        words = f"cost at most {scenario.budget:.2f} {scenario.currency}"
        row = Row("budget", Tier.WISH, words, most, None, scenario.file, scenario.lines.get("budget", 0))
        draft.row(row, {i.column: draft.price[i.column] for i in ingredients}, upper=most, need_constant=most)


def _hand_rows(draft: Draft, scenario: Scenario, ingredients: Sequence[Ingredient]) -> None:
    """Bounds by weight of meat, and the least amount of meat."""
    meat = {i.column: i.grams for i in ingredients if i.item.is_meat}
    if scenario.meat_at_least_grams is not None:
        least = float(scenario.meat_at_least_grams)
        line = scenario.lines.get("meat_at_least", 0)
        # never gives way: an empty bowl would break no ceiling
        row = Row("meat_at_least", Tier.NEVER, f"at least {least:g} g of meat", least, None, scenario.file, line)
        draft.row(row, meat, lower=least, need_constant=least)
    for id_ in dict.fromkeys(i.item.id for i in ingredients):
        _rate_rows(draft, scenario, [i for i in ingredients if i.item.id == id_], meat)


def _rate_rows(draft: Draft, scenario: Scenario, own: Sequence[Ingredient], meat: Mapping[int, float]) -> None:
    """Bounds of one item by weight of meat, which hold for all its columns together."""
    if all(draft.lower[i.column] == draft.upper[i.column] for i in own):
        return
    item = own[0].item
    for key in ("at_least", "at_most", "exactly"):
        dose: Dose | None = getattr(item, key)
        if not isinstance(dose, Rate):
            continue
        rate = item.per_gram_of_meat(dose)
        coefficients = {j: -rate * grams for j, grams in meat.items()}
        for i in own:
            coefficients[i.column] = coefficients.get(i.column, 0.0) + i.grams
        scale = sum(rate * grams * draft.upper[j] for j, grams in meat.items()) or 1.0
        half = own[0].grams / 2 if key == "exactly" else 0.0  # the nearest step
        lower = -half if key != "at_most" else -np.inf
        upper = half if key != "at_least" else np.inf
        label = f"{item.id} {key.replace('_', ' ')} {dose.text}"
        row = Row(f"{key}:{item.id}", Tier.DOSE, label, scale, None, scenario.file, item.lines.get(key, 0))
        draft.row(row, coefficients, lower, upper, needs={j: rate * grams for j, grams in meat.items()})


def _used_columns(draft: Draft, ingredients: Sequence[Ingredient]) -> None:
    """For each supplement that may be left out: 1 as soon as any of it is used."""
    for i in ingredients:
        low, high = draft.lower[i.column], draft.upper[i.column]
        if i.item.is_supplement and low == 0 and high > 0:
            used = draft.column(Column(i.item.id, Kind.USED), 0, 1, integer=True)
            draft.row(
                Row(f"used:{i.item.id}", Tier.NEVER, f"{i.item.id} is used", high),
                {i.column: 1.0, used: -high},
                upper=0.0,
            )


def _change_columns(draft: Draft, ingredients: Sequence[Ingredient]) -> None:
    """For each dose of the usual recipe: how far the plan is from it, as a share of the usual dose, or of one step
    where that is more: what is less than a step cannot be kept anyway."""
    meat = {i.column: i.grams for i in ingredients if i.item.is_meat}
    most_meat = sum(grams * draft.upper[j] for j, grams in meat.items())
    for i in ingredients:
        usual = i.item.usual
        if usual is None:
            continue
        change = draft.column(Column(i.item.id, Kind.CHANGE), 0, np.inf, integer=False)
        if isinstance(usual, Rate):
            rate = i.item.per_gram_of_meat(usual)
            dose, constant = max(rate * most_meat, i.grams), 0.0
            distance = {j: -rate * grams for j, grams in meat.items()}
        else:
            constant = float(i.item.units(usual) * i.item.grams_per_unit)
            dose, distance = max(constant, i.grams), {}
        distance[i.column] = distance.get(i.column, 0.0) + i.grams
        label = f"{i.item.id} against its usual dose"
        draft.row(Row(f"more:{i.item.id}", Tier.NEVER, label, dose), {**distance, change: -dose}, upper=constant)
        draft.row(Row(f"less:{i.item.id}", Tier.NEVER, label, dose), {**distance, change: dose}, lower=constant)
