"""The rows for doses, bounds by hand, the cap and the budget, rebuilt from README; see `rebuild`."""

from math import inf

import numpy as np

from tests.laws.figures import Floats
from tests.laws.model import Model, Slack
from tests.laws.weighing import HALF_A_CENT

MARGIN = 2e-6  # what is found keeps each rule by so much of it, lest the judge sees rounding


def soft_side(
    model: Model, over: dict[int, float], whole: dict[int, float], most: float, constant: float, rank: str
) -> Slack | None:
    """A row with a slack, where `most` is what the sum may be and `constant` what is asked of the whole batch."""
    scale = model.ends(whole, constant)[1]
    if scale <= 0 or model.ends(over)[1] <= most + 1e-9 * scale:
        return None
    slack = model.column(0, inf)
    per_column = np.zeros(max((*whole, 0)) + 1)
    for j, a in whole.items():
        per_column[j] = a / scale
    model.slacks.append(Slack(slack, per_column, constant / scale, rank, scale))
    model.at_most({**over, slack: -scale}, most, scale=scale)
    return model.slacks[-1]


def doses(model: Model) -> None:
    """Each open jar is at most what one of its purposes asks for, rounded up to a step."""
    kitchen, catalog = model.kitchen, model.kitchen.catalog
    for j in np.flatnonzero(kitchen.open_jar):
        item, step = kitchen.items[j], float(kitchen.step[j])
        needs: list[tuple[Floats, float]] = []
        for purpose in item.food.purposes:
            low = kitchen.figures["minimum"][purpose][j] or kitchen.figures["value"][purpose][j]
            if low <= 0:
                continue
            targets = [
                limit
                for limit in kitchen.limits
                if limit.nutrient == purpose and limit.minimum and kitchen.can_hold(limit)
            ]
            for limit in targets:
                per_gram, constant = kitchen.asked_of(int(j), limit)
                needs.append((per_gram / low, constant / low))
            if not targets and purpose in catalog.customary:
                needs.append((kitchen.kcal / 1000 * catalog.customary[purpose].per_1000_kcal / low, 0.0))
        written: list[tuple[Floats, float]] = []
        for key in ("at_least", "usual"):
            dose = getattr(item, key)
            if dose is None:
                continue
            grams = float(item.units(getattr(dose, "quantity", dose)) * item.grams_per_unit)
            per = getattr(dose, "per_grams", None)
            written.append((grams / float(per) * kitchen.meat, 0.0) if per else (0.0 * kitchen.meat, grams))
        if needs:
            _one_of(model, int(j), step, _undominated([*needs, *written]))
        if item.id in catalog.customary:
            as_such = (kitchen.kcal / 1000 * catalog.customary[item.id].per_1000_kcal, 0.0)
            _one_of(model, int(j), step, _undominated([as_such, *written]))


def _undominated(needs: list[tuple[Floats, float]]) -> list[tuple[Floats, float]]:
    kept: list[tuple[Floats, float]] = []
    for i, (a, c) in enumerate(needs):
        above = [
            k
            for k, (b, d) in enumerate(needs)
            if k != i and (b >= a - 1e-15).all() and d >= c and (k < i or not ((a >= b - 1e-15).all() and c >= d))
        ]
        if not above:
            kept.append((a, c))
    return kept


def _one_of(model: Model, j: int, step: float, needs: list[tuple[Floats, float]]) -> None:
    choices = [model.column(0, 1, whole=True) for _ in needs] if len(needs) > 1 else [None]
    for (per_gram, constant), on in zip(needs, choices, strict=True):
        terms = {i: -a for i, a in model.per_step(per_gram).items()}
        terms[j] = terms.get(j, 0.0) + step
        model.at_most(terms, constant + step * (1 - 1e-5), scale=step, on=on)
    columns = [c for c in choices if c is not None]
    if columns:
        model.at_most(dict.fromkeys(columns, -1.0), -1.0, scale=1.0)


def by_hand(model: Model) -> None:
    """The cap, the budget, the least meat, and doses by weight of meat. For a nearest mix these stay as they are in the
    plan where they are missed."""
    kitchen, scenario = model.kitchen, model.kitchen.scenario
    if scenario.meat_at_least_grams is not None:
        least = float(scenario.meat_at_least_grams)
        model.at_most({j: -a for j, a in model.per_step(kitchen.meat).items()}, -least, scale=least)
    for j, item in enumerate(kitchen.items):
        for key in ("at_least", "at_most", "exactly"):
            dose = getattr(item, key)
            per = getattr(dose, "per_grams", None)
            if per is None:
                continue
            rate = float(item.units(dose.quantity) * item.grams_per_unit / per)
            terms = {i: -a for i, a in model.per_step(rate * kitchen.meat).items()}
            terms[j] = terms.get(j, 0.0) + float(kitchen.step[j])
            half = float(kitchen.step[j]) / 2 if key == "exactly" else 0.0
            whole = model.per_step(rate * kitchen.meat)
            for sign in (1.0, -1.0):
                if (key == "at_most" and sign < 0) or (key == "at_least" and sign > 0):
                    continue
                over = {i: sign * a for i, a in terms.items()}
                if model.soft:
                    soft_side(model, over, whole, half, 0.0, "by hand")
                else:
                    model.at_most(over, half, scale=model.ends(whole)[1] or 1.0)
    cap = model.per_step(kitchen.non_meat - scenario.non_meat_cap)
    own = np.array([float(i.price_per_gram or 0) for i in kitchen.items])
    budget = float(scenario.budget) + HALF_A_CENT - 1e-5 if scenario.budget is not None else None
    if not model.soft:
        model.at_most(
            cap, 0.0, MARGIN, float(model.ends(model.per_step(kitchen.ones))[1]) * max(scenario.non_meat_cap, 1e-3)
        )
        if budget is not None:
            model.at_most(model.per_step(own), budget, MARGIN, budget)
        return
    foods = kitchen.food.astype(float)
    whole = model.per_step(scenario.non_meat_cap * kitchen.ones)
    of_foods = model.per_step(scenario.non_meat_cap * foods)
    soft_side(model, model.per_step((kitchen.non_meat - scenario.non_meat_cap) * foods), of_foods, 0.0, 0.0, "by food")
    soft_side(model, cap, whole, 0.0, 0.0, "money and cap")
    if budget is not None:
        soft_side(model, model.per_step(own * foods), {}, budget, budget, "by food")
        soft_side(model, model.per_step(own), {}, budget, budget, "money and cap")


def changes(model: Model) -> dict[int, float]:
    """Weights for how far doses are from the usual recipe; adds the columns that this needs."""
    kitchen = model.kitchen
    weights: dict[int, float] = {}
    for j, item in enumerate(kitchen.items):
        if item.usual is None:
            if j in model.used:
                weights[model.used[j]] = 1.0
            continue
        grams = float(item.units(getattr(item.usual, "quantity", item.usual)) * item.grams_per_unit)
        per = getattr(item.usual, "per_grams", None)
        usual = model.per_step(grams / float(per) * kitchen.meat) if per else {}
        constant = 0.0 if per else grams
        dose = model.ends(usual, constant)[1] or 1.0
        change = model.column(0, inf)
        weights[change] = 1.0
        terms = {i: -a for i, a in usual.items()}
        terms[j] = terms.get(j, 0.0) + float(kitchen.step[j])
        model.at_most({**terms, change: -dose}, constant, scale=dose)
        model.at_most({**{i: -a for i, a in terms.items()}, change: -dose}, -constant, scale=dose)
    return weights
