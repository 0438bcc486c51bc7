"""The whole model once more, from its description alone, for `scipy.optimize.milp`.

It looks for a mix that is better than a plan, in every rank in turn. What it finds is judged by `judge.py` before it
counts, so that a slip in here cannot accuse a plan; a plan that breaks a rule is the judge's to find. Fractions are sought
as Dinkelbach did: what is passed or missed, less the share reached so far of what is asked, must not become negative.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from math import ceil, floor, inf

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array, lil_array

from catalog.records import Limit
from tests.laws import judge
from tests.laws.figures import MOST_WITHOUT_A_PURPOSE, SHARES, Floats, Kitchen
from tests.laws.judge import COIN, TRACES

MARGIN = 2e-6  # what is found keeps each rule by so much of it, lest the judge sees rounding
SECONDS = 20.0
ROUNDS = 4


@dataclass(frozen=True)
class Better:
    """A mix that the optimizer should have found instead."""

    rank: str
    plan: float
    found: float
    grams: Mapping[str, float]

    def __str__(self) -> str:
        grams = ", ".join(f"{id_} {x:.4g} g" for id_, x in self.grams.items() if x > 0)
        return f"{self.rank}: {self.plan:.6g}, and {self.found:.6g} can be had: {grams}"


@dataclass
class Slack:
    """By how much a rule is passed or missed, a column; and what it asks, over all columns and for the whole batch."""

    column: int
    per_column: Floats
    constant: float
    rank: str

    def whole(self, point: Floats) -> float:
        """What the rule asks at a point."""
        return float(self.per_column @ point[: len(self.per_column)]) + self.constant


@dataclass
class Model:
    """Columns and rows. The first columns are the items, in steps."""

    kitchen: Kitchen
    soft: bool
    lower: list[float] = field(default_factory=list)
    upper: list[float] = field(default_factory=list)
    whole: list[int] = field(default_factory=list)
    rows: list[tuple[dict[int, float], float, float]] = field(default_factory=list)
    slacks: list[Slack] = field(default_factory=list)
    used: dict[int, int] = field(default_factory=dict)
    changes: list[int] = field(default_factory=list)

    def column(self, lower: float, upper: float, whole: bool = False) -> int:
        """A new column."""
        self.lower.append(lower)
        self.upper.append(upper)
        self.whole.append(int(whole))
        return len(self.lower) - 1

    def per_step(self, per_gram: Floats) -> dict[int, float]:
        """A weight for each gram as a weight for each step."""
        steps = per_gram * self.kitchen.step
        return {int(j): float(steps[j]) for j in np.flatnonzero(steps)}

    def ends(self, terms: Mapping[int, float], constant: float = 0.0) -> tuple[float, float]:
        """The least and the most that a sum can be."""
        low = sum(min(a * self.lower[j], a * self.upper[j]) if a else 0.0 for j, a in terms.items())
        high = sum(max(a * self.lower[j], a * self.upper[j]) if a else 0.0 for j, a in terms.items())
        return low + constant, high + constant

    def at_most(
        self, terms: Mapping[int, float], most: float, margin: float = 0.0, scale: float = 0.0, on: int | None = None
    ) -> None:
        """A row: the sum is at most so much; with `on`, only where that column is 1."""
        scale = scale or max((abs(a) * max(self.upper[j], 1e-9) for j, a in terms.items()), default=1.0) or 1.0
        scale = scale if np.isfinite(scale) else 1.0
        row = {j: a / scale for j, a in terms.items()}
        limit = most / scale - margin
        if on is not None:
            room = max(0.0, self.ends(row)[1] - limit)
            row[on] = row.get(on, 0.0) + room
            limit += room
        self.rows.append((row, -inf, limit))

    def solve(self, weights: Mapping[int, float], extra: Sequence[tuple[dict[int, float], float]] = ()) -> Floats | None:
        """The columns that make the sum of weights least; None where nothing keeps the rows."""
        size = len(self.lower)
        rows = [*self.rows, *((terms, -inf, most) for terms, most in extra)]
        matrix = lil_array((len(rows), size))
        for i, (terms, _, _) in enumerate(rows):
            for j, a in terms.items():
                matrix[i, j] = a
        costs = np.zeros(size)
        for j, a in weights.items():
            costs[j] = a
        costs /= max(1e-12, float(np.abs(costs).max())) if costs.any() else 1.0
        found = milp(
            costs,
            constraints=LinearConstraint(csr_array(matrix), [r[1] for r in rows], [r[2] for r in rows]),
            bounds=Bounds(np.array(self.lower), np.array(self.upper)),
            integrality=np.array(self.whole),
            options={"mip_rel_gap": 1e-6, "time_limit": SECONDS},
        )
        return None if found.x is None else np.asarray(found.x)

    def grams(self, point: Floats) -> Floats:
        """The items of a solution in grams; whole steps are whole."""
        steps = point[: len(self.kitchen.items)].copy()
        for j in range(len(steps)):
            if self.whole[j]:
                steps[j] = round(steps[j])
        return steps * self.kitchen.step


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
        _soft_side(model, model.per_step(part - most * meat), model.per_step(most * meat), 0.0, 0.0, "share")
    _doses(model)
    _by_hand(model)
    return model


def _items(model: Model, plan: Floats) -> None:
    """A column for each item in steps; what is settled stays as it is."""
    kitchen = model.kitchen
    there = sum(
        float((i.fixed or i.available or 0) * i.grams_per_unit) for i in kitchen.items if not i.is_supplement
    )
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
        elif on is None:
            _soft_side(model, over, whole, sign * constant, constant, "limit")
        else:
            _soft_switched(model, over, whole, sign * constant, constant, on)


def _soft_side(
    model: Model, over: dict[int, float], whole: dict[int, float], most: float, constant: float, rank: str
) -> None:
    """A row with a slack, where `most` is what the sum may be and `constant` what is asked of the whole batch."""
    scale = model.ends(whole, constant)[1]
    if scale <= 0:
        return
    slack = model.column(0, inf)
    per_column = np.zeros(max((*whole, 0)) + 1)
    for j, a in whole.items():
        per_column[j] = a / scale
    model.slacks.append(Slack(slack, per_column, constant / scale, rank))
    model.at_most({**over, slack: -scale}, most, scale=scale)


def _soft_switched(
    model: Model, over: dict[int, float], whole: dict[int, float], most: float, constant: float, on: int
) -> None:
    """A conditional limit that may be missed: its slack is only needed where the condition holds."""
    room = max(0.0, model.ends(over)[1] - most)
    _soft_side(model, {**over, on: room}, whole, most + room, constant, "limit")


def _ceiling_sums(model: Model, limit: Limit) -> tuple[dict[int, float], dict[int, float], dict[int, float], float, float]:
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
    return food, jars, model.per_step(per_gram), constant, model.ends(model.per_step(per_gram))[1] + abs(constant) or 1.0


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
    _soft_side(model, every, whole, constant, given, rank)
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


def _doses(model: Model) -> None:
    """Each open jar is at most what one of its purposes asks for, rounded up to a step."""
    kitchen, catalog = model.kitchen, model.kitchen.catalog
    for j in np.flatnonzero(kitchen.open_jar):
        item, step = kitchen.items[j], float(kitchen.step[j])
        needs: list[tuple[Floats, float]] = []
        for purpose in item.food.purposes:
            low = kitchen.figures["minimum"][purpose][j]
            if low <= 0:
                continue
            targets = [
                limit for limit in kitchen.limits if limit.nutrient == purpose and limit.minimum and kitchen.can_hold(limit)
            ]
            for limit in targets:
                per_gram, constant = kitchen.asked_of(int(j), limit)
                needs.append((per_gram / low, constant / low))
            if not targets and purpose in catalog.customary:
                needs.append((kitchen.kcal / 1000 * catalog.customary[purpose].per_1000_kcal / low, 0.0))
        if item.id in catalog.customary:
            needs.append((kitchen.kcal / 1000 * catalog.customary[item.id].per_1000_kcal, 0.0))
        if not needs:
            continue
        for key in ("at_least", "usual"):
            dose = getattr(item, key)
            if dose is None:
                continue
            grams = float(item.units(getattr(dose, "quantity", dose)) * item.grams_per_unit)
            per = getattr(dose, "per_grams", None)
            needs.append((grams / float(per) * kitchen.meat, 0.0) if per else (0.0 * kitchen.meat, grams))
        _one_of(model, int(j), step, _undominated(needs))


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


def _by_hand(model: Model) -> None:
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
                    _soft_side(model, over, whole, half, 0.0, "by hand")
                else:
                    model.at_most(over, half, scale=model.ends(whole)[1] or 1.0)
    cap = model.per_step(kitchen.non_meat - scenario.non_meat_cap)
    own = np.array([float(i.price_per_gram or 0) for i in kitchen.items])
    budget = float(scenario.budget) if scenario.budget is not None else None
    if not model.soft:
        model.at_most(cap, 0.0, MARGIN, float(model.ends(model.per_step(kitchen.ones))[1]) * max(scenario.non_meat_cap, 1e-3))
        if budget is not None:
            model.at_most(model.per_step(own), budget, MARGIN, budget)
        return
    foods = kitchen.food.astype(float)
    whole = model.per_step(scenario.non_meat_cap * kitchen.ones)
    of_foods = model.per_step(scenario.non_meat_cap * foods)
    _soft_side(model, model.per_step((kitchen.non_meat - scenario.non_meat_cap) * foods), of_foods, 0.0, 0.0, "by food")
    _soft_side(model, cap, whole, 0.0, 0.0, "money and cap")
    if budget is not None:
        _soft_side(model, model.per_step(own * foods), {}, budget, budget, "by food")
        _soft_side(model, model.per_step(own), {}, budget, budget, "money and cap")


def _changes(model: Model) -> dict[int, float]:
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


# The search for something better


def better(kitchen: Kitchen, x: Floats, planned: bool) -> Iterator[Better]:
    """Mixes that are better than a plan's amounts, rank by rank; none is what a good plan has."""
    if not planned:
        found = _in_reach(kitchen, x)
        if found is not None:
            yield Better("a mix meets every limit", inf, 0.0, _told(kitchen, found))
            return
        yield from _nearer(kitchen, x)
        return
    if not judge.is_allowed(kitchen, x):
        return  # it is no plan to compare with, and the judge says why
    yield from _less_over_guards(kitchen, x)
    yield from _better_by_the_aim(kitchen, x)


def _told(kitchen: Kitchen, x: Floats) -> dict[str, float]:
    return dict(zip(kitchen.ids, x.tolist(), strict=True))


def _in_reach(kitchen: Kitchen, x: Floats) -> Floats | None:
    model = build(kitchen, False, x)
    point = model.solve({})
    if point is None:
        return None
    found = model.grams(point)
    return found if judge.is_allowed(kitchen, found) else None


def _fractions(
    model: Model, x: Floats, point: Floats, ranks: Sequence[str], value: Callable[[Floats], float], fixed: Sequence[str]
) -> Floats | None:
    """Grams whose shares, summed over the slacks of some ranks, are less than at a point; None where none are found.

    Slacks of the ranks `fixed` hold no larger a share each than at the point.
    """
    best: Floats | None = None
    least = value(x)
    for _ in range(ROUNDS):
        weights: dict[int, float] = {}
        extra: list[tuple[dict[int, float], float]] = []
        for slack in model.slacks:
            whole = slack.whole(point)
            if whole <= 1e-12:
                continue
            share = point[slack.column] / whole
            if slack.rank in ranks:
                weights[slack.column] = weights.get(slack.column, 0.0) + 1 / whole
                for j in np.flatnonzero(slack.per_column):
                    weights[int(j)] = weights.get(int(j), 0.0) - share * slack.per_column[j] / whole
            elif slack.rank in fixed:
                terms = {int(j): -share * float(a) for j, a in enumerate(slack.per_column) if a and share}
                terms[slack.column] = 1.0
                extra.append((terms, share * slack.constant + 1e-9))
        found = model.solve(weights, extra)
        if found is None:
            return best
        grams = model.grams(found)
        if value(grams) >= least - 1e-6:
            return best
        best, least, point = grams, value(grams), found
    return best


def _point(model: Model, x: Floats) -> Floats:
    """A plan's amounts as columns: steps of the items, and what the slacks have to hold."""
    point = np.zeros(len(model.lower))
    point[: len(x)] = x / model.kitchen.step
    columns = {slack.column for slack in model.slacks}
    for terms, _, most in model.rows:
        for j in columns & terms.keys():
            if terms[j] < 0:
                rest = sum(a * point[i] for i, a in terms.items() if i != j and i < len(x))
                switches = sum(a for i, a in terms.items() if i >= len(x) and i not in columns)
                point[j] = max(point[j], (rest + switches - most) / -terms[j])
    return point


def _less_over_guards(kitchen: Kitchen, x: Floats) -> Iterator[Better]:
    toxic, other = judge.guard_excess(kitchen, x)
    model = build(kitchen, False, x)
    point = _point(model, x)
    for rank, ranks, fixed, before, part in (
        ("toxic guards", ("toxic guard",), (), toxic, 0),
        ("guards and shares", ("guard", "share"), ("toxic guard",), other, 1),
    ):
        if before <= 1e-6:
            continue

        def value(y: Floats, part: int = part) -> float:
            return judge.guard_excess(kitchen, y)[part]

        found = _fractions(model, x, point, ranks, value, fixed)
        if found is not None and judge.is_allowed(kitchen, found) and value(found) < before - 1e-4:
            if part and judge.guard_excess(kitchen, found)[0] > toxic + 1e-7:
                continue
            yield Better(rank, before, value(found), _told(kitchen, found))
            return


def _better_by_the_aim(kitchen: Kitchen, x: Floats) -> Iterator[Better]:
    """Every objective of the aim in turn, among mixes that pass no guard by more than the plan does."""
    model = build(kitchen, False, x)
    change = _changes(model)
    point = _point(model, x)
    guards = []
    for slack in model.slacks:
        whole = slack.whole(point)
        share = point[slack.column] / whole if whole > 0 else 0.0
        terms = {int(j): -share * float(a) for j, a in enumerate(slack.per_column) if a and share}
        guards.append(({**terms, slack.column: 1.0}, share * slack.constant + 1e-9))
    price = judge.prices(kitchen) * ~kitchen.settled
    items = dict.fromkeys(model.used.values(), 1.0)
    jar_mass = kitchen.jar * ~kitchen.settled * kitchen.ones
    cost = ("cost", model.per_step(price), lambda y: float(price @ y), COIN, 1e-4)
    fewest = ("jars", items, lambda y: float(sum(y[j] > 0 for j in model.used)), 0.0, 0.5)
    usual = ("change", change, lambda y: judge.change(kitchen, y), 1e-6, 1e-4)
    from_jars = ("grams from jars", model.per_step(jar_mass), lambda y: float(jar_mass @ y), 1e-6, 1e-3)
    aims = {"cost": (cost, fewest, from_jars), "fewest": (fewest, cost, from_jars), "usual": (usual, fewest, from_jars)}
    rows = list(guards)
    excess = judge.guard_excess(kitchen, x)
    for name, weights, value, slip, sure in aims[kitchen.scenario.aim]:
        if not weights:
            continue
        found = model.solve(weights, rows)
        if found is None:
            return
        grams, ours = model.grams(found), value(x)
        theirs = value(grams)
        if theirs < ours - slip - sure:
            also = judge.guard_excess(kitchen, grams)
            if judge.is_allowed(kitchen, grams) and also[0] <= excess[0] + 1e-6 and also[1] <= excess[1] + 1e-6:
                yield Better(name, ours, theirs, _told(kitchen, grams))
            return
        # later objectives are compared among what is as good by this one, a hair more strictly
        scale = max(1.0, abs(ours))
        room = min(theirs + slip * 0.99, ours) if name == "cost" else ours
        rows.append(({j: a / scale for j, a in weights.items()}, room / scale + 1e-8))


def _nearer(kitchen: Kitchen, x: Floats) -> Iterator[Better]:
    """A mix that misses less in one rank and no more in those before it."""
    model = build(kitchen, True, x)
    point = _point(model, x)
    before = ranks_of(kitchen, x)
    names = list(before)
    for place, rank in enumerate(names):
        if before[rank] <= 1e-6:
            continue

        def value(y: Floats, rank: str = rank) -> float:
            return ranks_of(kitchen, y)[rank]

        found = _fractions(model, x, point, RANKS[rank], value, [r for n in names[:place] for r in RANKS[n]])
        if found is None or value(found) > before[rank] - 1e-3:
            continue
        after = ranks_of(kitchen, found)
        earlier = all(after[name] <= before[name] + 1e-6 for name in names[:place])
        if earlier and judge.is_allowed_nearest(kitchen, found):
            yield Better(rank, before[rank], after[rank], _told(kitchen, found))
            return


RANKS: Mapping[str, tuple[str, ...]] = {
    "toxic ceilings": ("toxic ceiling",),
    "toxic guards": ("toxic guard",),
    "set by hand": ("by hand",),
    "cap and budget by food": ("by food",),
    "limits": ("limit",),
    "guards and shares": ("guard", "share"),
}


def ranks_of(kitchen: Kitchen, x: Floats) -> dict[str, float]:
    """By how much a nearest mix misses its rules, in the order in which they count."""
    missed = judge.missed(kitchen, x)
    toxic, other = judge.guard_excess(kitchen, x)
    foods = np.where(kitchen.food, x, 0.0)
    cap = kitchen.scenario.non_meat_cap * float(foods.sum())
    by_foods = max(0.0, float((kitchen.non_meat - kitchen.scenario.non_meat_cap) @ foods) / cap) if cap else 0.0
    if kitchen.scenario.budget is not None:
        cost = sum(float(i.price_per_gram or 0) * grams for i, grams in zip(kitchen.items, foods, strict=True))
        by_foods += max(0.0, cost / float(kitchen.scenario.budget) - 1)
    return {
        "toxic ceilings": missed["toxic ceiling"],
        "toxic guards": toxic,
        "set by hand": missed["by hand"],
        "cap and budget by food": by_foods,
        "limits": missed["limit"],
        "guards and shares": other,
    }
