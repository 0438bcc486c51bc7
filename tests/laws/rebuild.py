"""The whole model once more, from its description in README.md alone."""

from math import ceil, floor

import numpy as np

from catalog.records import Limit
from tests.laws.figures import MOST_WITHOUT_A_PURPOSE, SHARES, Floats, Kitchen
from tests.laws.judge import TRACES
from tests.laws.model import Model, Slack
from tests.laws.rebuild_doses import by_hand, doses, soft_side

MARGIN = 2e-6  # what is found keeps each rule by so much of it, lest the judge sees rounding


def build(kitchen: Kitchen, soft: bool, plan: Floats) -> Model:
    """The model. With `soft`, all but the guards' rule for jars and the doses may be missed, for the nearest mix."""
    model = Model(kitchen, soft)
    _items(model, plan)
    for limit in kitchen.limits:
        _limit(model, limit)
    for guard in kitchen.guards:
        _guard(model, guard)
    for of, most in SHARES.items():
        part, meat = kitchen.share(of)
        over = model.per_step(part - most * meat)
        slack = soft_side(model, over, model.per_step(most * meat), 0.0, 0.0, "guard")
        _count(model, slack, over, 0.0, over, 0.0, "guard")
    doses(model)
    by_hand(model)
    return model


def _items(model: Model, plan: Floats) -> None:
    """A column for each item in steps; what is settled stays as it is."""
    kitchen = model.kitchen
    there = sum(float((i.fixed or i.available or 0) * i.grams_per_unit) for i in kitchen.items if not i.is_supplement)
    for j, item in enumerate(kitchen.items):
        step = kitchen.step[j]
        by_meat = hasattr(item.exactly, "per_grams")
        if item.fixed is not None or (item.exactly is not None and not by_meat):
            model.column(plan[j] / step, plan[j] / step)
            continue
        high = MOST_WITHOUT_A_PURPOSE * there
        if item.available is not None:
            high = float(item.available * item.grams_per_unit)
        low = 0.0
        if item.at_most is not None and not hasattr(item.at_most, "per_grams"):
            high = min(high, kitchen.by_hand("at_most", j, plan) or 0.0)
        if item.at_least is not None and not hasattr(item.at_least, "per_grams"):
            low = kitchen.by_hand("at_least", j, plan) or 0.0
            if item.available is None and item.at_most is None:
                high = max(high, low)
        model.column(ceil(low / step - 1e-9), max(ceil(low / step - 1e-9), floor(high / step + 1e-9)), whole=True)
    for j, item in enumerate(kitchen.items):
        if item.is_supplement and model.lower[j] == 0 and model.upper[j] > 0 and not kitchen.settled[j]:
            model.used[j] = model.column(0, 1, whole=True)
            model.at_most({j: 1.0, model.used[j]: -model.upper[j]}, 0.0, scale=1.0)


def _limit(model: Model, limit: Limit) -> None:
    kitchen = model.kitchen
    if not kitchen.can_hold(limit):
        return
    on = None
    if limit.condition is not None:
        on = model.column(0, 1, whole=True)
        beyond = model.per_step(kitchen.beyond(limit.condition))
        most = max(model.ends(beyond)[1], 1e-9)
        model.at_most({**beyond, on: -most}, 0.0, scale=most)
    if limit.minimum is not None and limit.basis != "ratio" and on is None:
        _destroyed(model, limit)
    for side, sign in (("minimum", -1.0), ("maximum", 1.0)):
        if getattr(limit, side) is None:
            continue
        per_gram, constant = kitchen.asked(limit, side)
        over = model.per_step(sign * (kitchen.counted(limit, side) - per_gram))
        whole = model.per_step(per_gram)
        scale = model.ends(whole, constant)[1] or 1.0
        ceiling = side == "maximum" and limit.basis != "ratio"
        if not model.soft:
            model.at_most(over, sign * constant, MARGIN, scale, on)
        elif ceiling and on is None:
            _by_food_only(model, limit, "toxic ceiling" if kitchen.is_toxic(limit.nutrient) else "limit")
        elif on is not None:
            room = max(0.0, model.ends(over)[1] - sign * constant)
            _soft_target(model, limit, {**over, on: room}, whole, sign * constant + room, constant)
        else:
            _soft_target(model, limit, over, whole, sign * constant, constant)


def _destroyed(model: Model, limit: Limit) -> None:
    """The row of a target whose nutrient raw food destroys, where any of that food goes in."""
    kitchen = model.kitchen
    apart = kitchen.apart(limit.nutrient)
    if apart is None:
        return
    on = model.column(0, 1, whole=True)
    tagged = model.per_step(kitchen.tagged(kitchen.catalog.nutrients[limit.nutrient].destroyed_by))
    most = model.ends(tagged)[1] or 1.0
    model.at_most({**tagged, on: -most}, 0.0, scale=most)
    per_gram, constant = kitchen.asked(limit, "minimum")
    over, whole = model.per_step(per_gram - apart), model.per_step(per_gram)
    if not model.soft:
        model.at_most(over, -constant, MARGIN, model.ends(whole, constant)[1] or 1.0, on)
        return
    room = max(0.0, model.ends(over)[1] + constant)
    _soft_target(model, limit, {**over, on: room}, whole, room - constant, constant)


def _count(
    model: Model,
    slack: Slack | None,
    over: dict[int, float],
    most: float,
    given: dict[int, float],
    given_most: float,
    rank: str,
) -> None:
    """A column that is 1 where a guard is passed that could be kept: `given` is what food and hand bring over it."""
    if slack is None or model.ends(given)[0] - given_most > 1e-9 * slack.scale:
        return
    passed = model.column(0, 1, whole=True)
    room = max(0.0, model.ends(over)[1] - most) / slack.scale
    model.at_most({slack.column: 1.0, passed: -room}, 0.0, scale=1.0)
    model.counts.setdefault(rank, []).append(passed)


def _soft_target(
    model: Model, limit: Limit, over: dict[int, float], whole: dict[int, float], most: float, constant: float
) -> None:
    """A limit that may be missed. The targets of one nutrient share a slack: what lacks of the largest is counted."""
    known = model.targets.get(limit.nutrient)
    if limit.basis == "ratio" or known is None:
        slack = soft_side(model, over, whole, most, constant, "limit")
        if slack is not None and limit.basis != "ratio":
            model.targets[limit.nutrient] = slack
        return
    scale = model.ends(whole, constant)[1]
    model.at_most({**over, known.column: -known.scale}, most, scale=max(scale, 1e-12))


def _ceiling_sums(
    model: Model, limit: Limit
) -> tuple[dict[int, float], dict[int, float], dict[int, float], float, float]:
    """Of a ceiling: what foods and hand bring over it, what open jars add, the ceiling itself; its constant; its scale."""
    kitchen = model.kitchen
    per_gram, constant = kitchen.asked(limit, "maximum")
    high = kitchen.counted(limit, "maximum")
    food = model.per_step(np.where(kitchen.open_jar, 0.0, high) - per_gram)
    jars = model.per_step(np.where(kitchen.open_jar, high, 0.0))
    for j in list(jars):  # what was set by hand is no jar's doing
        item = kitchen.items[j]
        rate = getattr(item.at_least, "per_grams", None)
        if rate is not None and item.at_least is not None:
            grams = float(item.units(item.at_least.quantity) * item.grams_per_unit / rate) * high[j]
            for i, a in model.per_step(grams * kitchen.meat).items():
                food[i], jars[i] = food.get(i, 0.0) + a, jars.get(i, 0.0) - a
        elif item.at_least is not None:
            constant -= jars[j] * model.lower[j]
    return (
        food,
        jars,
        model.per_step(per_gram),
        constant,
        model.ends(model.per_step(per_gram))[1] + abs(constant) or 1.0,
    )


def _by_food_only(model: Model, limit: Limit, rank: str) -> None:
    """A ceiling or a guard that foods may pass and open jars may not."""
    kitchen = model.kitchen
    toxic = kitchen.is_toxic(limit.nutrient)
    food, jars, whole, constant, scale = _ceiling_sums(model, limit)
    given = (limit.maximum or 0.0) if limit.basis == "per_batch" else 0.0
    by_hand = given - constant  # what jars set by hand bring, as a constant
    every = {j: food.get(j, 0.0) + jars.get(j, 0.0) for j in {**food, **jars}}
    if model.ends(every)[1] <= constant:
        return
    slack = soft_side(model, every, whole, constant, given, rank)
    if "guard" in rank:
        _count(model, slack, every, constant, food, constant, rank)
    if not jars:
        return
    by_food = model.column(0, 1, whole=True)
    kept = model.column(0, 1, whole=True)
    model.at_most({by_food: -1.0, kept: -1.0}, -1.0, scale=1.0)
    model.at_most(every, constant, MARGIN, scale, kept)
    model.at_most({j: -a for j, a in food.items()}, -constant, MARGIN, scale, by_food)
    traces = dict(jars)
    for j, a in whole.items():
        traces[j] = traces.get(j, 0.0) - TRACES[toxic] * a
    hand_steps = sum(jars[j] * model.lower[j] for j in jars if j < len(kitchen.items))
    model.at_most(traces, TRACES[toxic] * given + max(0.0, min(by_hand, hand_steps)), MARGIN, scale, by_food)
    for j in np.flatnonzero(kitchen.open_jar):
        if toxic and limit.nutrient in kitchen.items[j].food.purposes:
            model.at_most({int(j): 1.0}, model.lower[j], scale=1.0, on=by_food)


def _guard(model: Model, guard: Limit) -> None:
    kitchen = model.kitchen
    if guard.condition is None:
        _by_food_only(model, guard, "toxic guard" if kitchen.is_toxic(guard.nutrient) else "guard")
        return
    tagged = kitchen.tagged(guard.condition.tag)
    if not tagged.any():
        return
    if any(tagged[j] and model.lower[j] > 0 for j in range(len(kitchen.items))):
        _by_food_only(model, guard, "toxic guard" if kitchen.is_toxic(guard.nutrient) else "guard")
        return
    on = model.column(0, 1, whole=True)
    steps = model.per_step(tagged)
    most = model.ends(steps)[1] or 1.0
    model.at_most({**steps, on: -most}, 0.0, scale=most)
    food, jars, _, constant, scale = _ceiling_sums(model, guard)
    model.at_most({j: food.get(j, 0.0) + jars.get(j, 0.0) for j in {**food, **jars}}, constant, MARGIN, scale, on)
