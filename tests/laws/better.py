"""The search for a mix that is better than a plan, in every rank in turn, in the rebuilt model.

What it finds is judged by `judge.py` before it counts, so that a slip in here cannot accuse a plan; a plan that breaks a rule
is the judge's to find. Fractions are sought as Dinkelbach did: what is passed or missed, less the share reached so far of
what is asked, must not become negative.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import inf

import numpy as np

from tests.laws import judge
from tests.laws.figures import Floats, Kitchen
from tests.laws.judge import COIN
from tests.laws.model import Model, Slack
from tests.laws.rebuild import build
from tests.laws.rebuild_doses import changes
from tests.laws.weighing import HALF_A_CENT, change, compare, guard_ranks, missed, prices

ROUNDS = 4
# What counts as better: of a sum of shares more, since nothing proves the least sum of ratios whose wholes move apart.
SURE = {True: 0.0, False: 0.006}


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


def better(kitchen: Kitchen, x: Floats, planned: bool) -> Iterator[Better]:
    """Mixes that are better than a plan's amounts, rank by rank; none is what a good plan has."""
    if not planned:
        found = _in_reach(kitchen, x)
        if found is not None:
            yield Better("a mix meets every limit", inf, 0.0, _told(kitchen, found))
            return
        if judge.is_allowed_nearest(kitchen, x):
            yield from _less(kitchen, x, build(kitchen, True, x), NEAREST)
        return
    if not judge.is_allowed(kitchen, x):
        return  # it is no plan to compare with, and the judge says why
    yield from _less(kitchen, x, build(kitchen, False, x), GUARDS)
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


# In the order in which they count: a rank, whether its slacks are counted or summed, and its value in `ranks_of`.
GUARDS = (
    ("toxic guard", True, "toxic guards passed"),
    ("toxic guard", False, "toxic guards"),
    ("guard", True, "guards and shares passed"),
    ("guard", False, "guards and shares"),
)
NEAREST = (
    ("toxic ceiling", False, "toxic ceilings"),
    *GUARDS,
    ("by hand", False, "set by hand"),
    ("by food", False, "cap and budget by food"),
    ("limit", False, "limits"),
)


def ranks_of(kitchen: Kitchen, x: Floats) -> dict[str, float]:
    """By how much a mix misses its rules, in the order in which they count."""
    found = missed(kitchen, x)
    guards = guard_ranks(kitchen, x)
    foods = np.where(kitchen.food, x, 0.0)
    cap = kitchen.scenario.non_meat_cap * float(foods.sum())
    by_foods = max(0.0, float((kitchen.non_meat - kitchen.scenario.non_meat_cap) @ foods) / cap) if cap else 0.0
    if kitchen.scenario.budget is not None:
        cost = sum(float(i.price_per_gram or 0) * grams for i, grams in zip(kitchen.items, foods, strict=True))
        by_foods += max(0.0, cost / (float(kitchen.scenario.budget) + HALF_A_CENT) - 1)
    return {
        "toxic ceilings": found["toxic ceiling"],
        "toxic guards passed": guards[0],
        "toxic guards": guards[1],
        "guards and shares passed": guards[2],
        "guards and shares": guards[3],
        "set by hand": found["by hand"],
        "cap and budget by food": by_foods,
        "limits": found["limit"],
    }


def _less(kitchen: Kitchen, x: Floats, model: Model, ranks: Sequence[tuple[str, bool, str]]) -> Iterator[Better]:
    """A mix that is less in one rank and no more in those before it."""
    point, before = _point(model, x), ranks_of(kitchen, x)
    held: list[tuple[dict[int, float], float]] = []
    for place, (rank, counted, name) in enumerate(ranks):
        found = None
        if before[name] > 1e-6:
            if counted:
                found = model.solve(dict.fromkeys(model.counts.get(rank, []), 1.0), held)
                found = None if found is None else model.grams(found)
            else:
                found = _fractions(model, kitchen, x, point, rank, name, held)
        if found is not None and ranks_of(kitchen, found)[name] < before[name] - 1e-3 - SURE[counted] * before[name]:
            after = ranks_of(kitchen, found)
            earlier = [n for _, _, n in ranks[:place]]
            no_more = all(after[n] <= before[n] + 1e-6 for n in earlier)
            allowed = judge.is_allowed_nearest if model.soft else judge.is_allowed
            if no_more and allowed(kitchen, found):
                yield Better(name, before[name], after[name], _told(kitchen, found))
                return
        if counted:
            held.append((dict.fromkeys(model.counts.get(rank, []), 1.0), before[name] + 1e-6))
        else:
            held += [_no_larger(slack, point) for slack in model.slacks if slack.rank == rank]


def _no_larger(slack: Slack, point: Floats) -> tuple[dict[int, float], float]:
    """A row that holds a slack, as a share of what its rule asks, where it is at a point."""
    whole = slack.whole(point)
    share = point[slack.column] / whole if whole > 1e-12 else 0.0
    terms = {int(j): -share * float(a) for j, a in enumerate(slack.per_column) if a and share}
    return {**terms, slack.column: 1.0}, share * slack.constant + 1e-9


def _fractions(
    model: Model,
    kitchen: Kitchen,
    x: Floats,
    point: Floats,
    rank: str,
    name: str,
    held: Sequence[tuple[dict[int, float], float]],
) -> Floats | None:
    """Grams whose slacks of a rank, as shares, sum to less than those of a plan; None where none are found."""
    best: Floats | None = None
    least = ranks_of(kitchen, x)[name]
    for _ in range(ROUNDS):
        weights: dict[int, float] = {}
        for slack in model.slacks:
            whole = slack.whole(point)
            if slack.rank != rank or whole <= 1e-12:
                continue
            share = point[slack.column] / whole
            weights[slack.column] = weights.get(slack.column, 0.0) + 1 / whole
            for j in np.flatnonzero(slack.per_column):
                weights[int(j)] = weights.get(int(j), 0.0) - share * slack.per_column[j] / whole
        found = model.solve(weights, held)
        if found is None:
            return best
        grams = model.grams(found)
        value = ranks_of(kitchen, grams)[name]
        if value >= least - 1e-6:
            return best
        best, least, point = grams, value, found
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


def _better_by_the_aim(kitchen: Kitchen, x: Floats) -> Iterator[Better]:
    """Every objective of the aim in turn, among mixes that pass no guard by more than the plan does."""
    model = build(kitchen, False, x)
    from_usual = changes(model)
    point = _point(model, x)
    rows = [_no_larger(slack, point) for slack in model.slacks]
    price = prices(kitchen) * ~kitchen.settled
    items = dict.fromkeys(model.used.values(), 1.0)
    jar_mass = kitchen.jar * ~kitchen.settled * kitchen.ones
    cost = ("cost", model.per_step(price), lambda y: float(price @ y), COIN, 1e-4)
    fewest = ("jars", items, lambda y: float(sum(y[j] > 0 for j in model.used)), 0.0, 0.5)
    usual = ("change", from_usual, lambda y: change(kitchen, y), 1e-6, 1e-4)
    from_jars = ("grams from jars", model.per_step(jar_mass), lambda y: float(jar_mass @ y), 1e-6, 1e-3)
    aims = {
        "cost": (cost, fewest, from_jars),
        "fewest": (fewest, cost, from_jars),
        "usual": (usual, fewest, from_jars),
        "lightest": (from_jars, cost, fewest),
    }
    excess = guard_ranks(kitchen, x)
    for name, weights, value, slip, sure in aims[kitchen.scenario.aim]:
        if not weights:
            continue
        found = model.solve(weights, rows)
        if found is None:
            return
        grams, ours = model.grams(found), value(x)
        theirs = value(grams)
        if theirs < ours - slip - sure:
            if judge.is_allowed(kitchen, grams) and compare(guard_ranks(kitchen, grams), excess, 1e-6) <= 0:
                yield Better(name, ours, theirs, _told(kitchen, grams))
            return
        # later objectives are compared among what is as good by this one, a hair more strictly
        scale = max(1.0, abs(ours))
        room = min(theirs + slip * 0.99, ours) if name == "cost" else ours
        rows.append(({j: a / scale for j, a in weights.items()}, room / scale + 1e-8))
