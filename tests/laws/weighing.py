"""What amounts come to: what they miss, which guards they pass and by whose doing, what a jar may hold, what it costs.

All of it is worked out from `reading/figures.py`, and shares no code with the optimizer.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import ceil, inf
from statistics import median
from typing import Any

import numpy as np

from catalog.records import Limit
from tests.laws.figures import MOST_WITHOUT_A_PURPOSE, SHARES, Floats, Kitchen

EXACT = 1e-9  # relative: other amounts than a plan's have to keep their rules as exactly as the solver does
HALF_A_CENT = 0.005  # what is shown is rounded once, and held to the budget as it is shown
SLIP = 1e-6  # relative: the rounding of sums, far below what a scale shows


@dataclass(frozen=True)
class Miss:
    """A rule that amounts do not keep: `by` as a share of what it asks, `rank` by how soon it has to give way."""

    rank: str
    id: str
    by: float


def amounts_of(kitchen: Kitchen, plan: Mapping[str, Any]) -> Floats:
    """The grams of a plan, in the order of the items."""
    grams = {line["id"]: line["grams"] for line in plan["amounts"]}
    assert grams.keys() <= kitchen.place.keys()
    return kitchen.amounts(grams)


def misses(kitchen: Kitchen, x: Floats, slip: float = SLIP) -> Iterator[Miss]:
    """The limits that amounts do not keep, with jars' calories and mass left out of what a ceiling allows.

    Several targets of one nutrient are one, and what lacks is a share of the largest.
    """
    targets: dict[str, list[tuple[float, float]]] = {}
    for limit in kitchen.limits:
        if not kitchen.holds(limit, x):
            continue
        for side in ("minimum", "maximum"):
            if getattr(limit, side) is None:
                continue
            per_gram, constant = kitchen.asked(limit, side)
            there, asked = float(kitchen.counted(limit, side) @ x), float(per_gram @ x) + constant
            if side == "minimum" and limit.basis != "ratio":
                there = kitchen.low(limit.nutrient, x)
                targets.setdefault(limit.nutrient, []).append((asked, asked - there))
                continue
            by = (asked - there) if side == "minimum" else (there - asked)
            if by > slip * max(abs(asked), 1e-12):
                toxic = side == "maximum" and limit.basis != "ratio" and kitchen.is_toxic(limit.nutrient)
                rank = "toxic ceiling" if toxic else "limit"
                yield Miss(rank, f"{side} {limit.nutrient} {limit.basis}", by / asked if asked > 0 else inf)
    for nutrient, found in targets.items():
        asked, lacks = max(asked for asked, _ in found), max(lacks for _, lacks in found)
        if lacks > slip * max(asked, 1e-12):
            yield Miss("limit", f"minimum {nutrient}", lacks / asked)


def hand_misses(kitchen: Kitchen, x: Floats) -> Iterator[Miss]:
    """What the person set and amounts do not keep: the cap, the budget, doses by hand."""
    scenario = kitchen.scenario
    cap = scenario.non_meat_cap * float(x.sum())
    non_meat = float(kitchen.non_meat @ x)
    if non_meat > cap * (1 + SLIP) + 1e-9:
        yield Miss("money and cap", "cap", (non_meat - cap) / cap if cap else inf)
    if scenario.budget is not None:
        cost = sum(float(item.price_per_gram or 0) * grams for item, grams in zip(kitchen.items, x, strict=True))
        if cost > float(scenario.budget) + HALF_A_CENT:
            yield Miss("money and cap", "budget", cost / float(scenario.budget) - 1)
    for j, item in enumerate(kitchen.items):
        if item.fixed is not None:
            continue
        half = kitchen.step[j] / 2 if hasattr(item.exactly, "per_grams") else 0.0
        for key, room in (("at_least", 0.0), ("exactly", half), ("at_most", 0.0)):
            grams = kitchen.by_hand(key, j, x)
            if grams is None:
                continue
            slip = SLIP * grams + 1e-9 + room
            if key != "at_most" and x[j] < grams - slip:
                yield Miss("by hand", f"{key} {item.id}", 1 - x[j] / grams)
            if key != "at_least" and x[j] > grams + slip:
                yield Miss("by hand", f"{key} {item.id}", x[j] / grams - 1)


@dataclass(frozen=True)
class Guarded:
    """A guard or a common share in a batch: what it allows, what foods and hand bring, what open jars add."""

    id: str
    kind: str
    toxic: bool
    allowed: float
    given: float
    added: float
    limit: Limit | None

    @property
    def excess(self) -> float:
        """By what share of it the guard is passed."""
        return max(0.0, (self.given + self.added) / self.allowed - 1) if self.allowed > 0 else 0.0

    @property
    def passed(self) -> bool:
        """Whether it is passed by more than the rounding of sums."""
        return self.excess > SLIP


def guarded(kitchen: Kitchen, x: Floats) -> list[Guarded]:
    """All guards and common shares that hold for these amounts."""
    hand = by_hand(kitchen, x)
    found = []
    for guard in kitchen.guards:
        if not kitchen.holds(guard, x):
            continue
        per_gram, constant = kitchen.asked(guard, "maximum")
        high = kitchen.counted(guard, "maximum")
        kind = "legal" if guard.maximum_kind == "legal" else "guard"
        given, every = float(high @ hand), float(high @ x)
        allowed = float(per_gram @ x) + constant
        toxic = kitchen.is_toxic(guard.nutrient)
        found.append(Guarded(guard.nutrient, kind, toxic, allowed, given, every - given, guard))
    for of, most in SHARES.items():
        part, meat = kitchen.share(of)
        found.append(Guarded(of, "share", False, most * float(meat @ x), float(part @ x), 0.0, None))
    return found


def by_hand(kitchen: Kitchen, x: Floats) -> Floats:
    """The part of the amounts that no plan chose: of jars, what was set by hand; foods, all of them."""
    given = np.where(kitchen.open_jar, 0.0, x)
    for j in np.flatnonzero(kitchen.open_jar):
        given[j] = min(x[j], kitchen.by_hand("at_least", int(j), x) or 0.0)
    return given


def guard_ranks(kitchen: Kitchen, x: Floats) -> tuple[float, float, float, float]:
    """What is passed, in the order in which it counts: how many guards of what is toxic that could be kept, their sum of
    shares, how many others and common shares, and their sum."""
    found = [g for g in guarded(kitchen, x) if g.passed]
    ranks = []
    for toxic in (True, False):
        those = [g for g in found if g.toxic is toxic]
        ranks += [float(sum(not has_to_give(kitchen, g) for g in those)), sum(g.excess for g in those)]
    return ranks[0], ranks[1], ranks[2], ranks[3]


def has_to_give(kitchen: Kitchen, guard: Guarded) -> bool:
    """Whether what goes in whatever the plan is, by food and by hand, passes a guard or a share in any batch."""
    if guard.limit is None:
        part, meat = kitchen.share(guard.id)
        over, constant = part - SHARES[guard.id] * meat, 0.0
    else:
        per_gram, constant = kitchen.asked(guard.limit, "maximum")
        over = kitchen.counted(guard.limit, "maximum") - per_gram
        over = np.where(kitchen.open_jar, 0.0, over)
        constant -= float((kitchen.counted(guard.limit, "maximum") * kitchen.least) @ kitchen.open_jar)
    ends = [a * (kitchen.least[j] if a > 0 else kitchen.most[j]) for j, a in enumerate(over) if a]
    return sum(ends) - constant > 1e-9 * guard.allowed


def compare(one: Sequence[float], other: Sequence[float], slip: float = 1e-7) -> int:
    """-1 where one is less in the first rank in which two differ by more than a slip, 1 where it is more, else 0."""
    for a, b in zip(one, other, strict=True):
        if abs(a - b) > slip:
            return -1 if a < b else 1
    return 0


def most_for_purpose(kitchen: Kitchen, j: int, x: Floats) -> float:
    """The grams of a jar that would by themselves bring all that its purposes ask for in this batch."""
    item, catalog = kitchen.items[j], kitchen.catalog
    bounds = []
    for purpose in item.food.purposes:
        brings = kitchen.figures["minimum"][purpose][j] or kitchen.figures["value"][purpose][j]
        if brings <= 0:
            continue
        needs = []
        for limit in kitchen.limits:
            if limit.nutrient == purpose and limit.minimum and kitchen.can_hold(limit):
                per_gram, constant = kitchen.asked_of(j, limit)
                needs.append(float(per_gram @ x) + constant)
        if not needs and purpose in catalog.customary:
            needs.append(catalog.customary[purpose].per_1000_kcal * float(kitchen.kcal @ x) / 1000)
        bounds += [max(needs) / brings] if needs else []
    if bounds:
        return max(bounds)
    return inf if item.id in catalog.customary else MOST_WITHOUT_A_PURPOSE * _all_that_is_there(kitchen)


def most_as_such(kitchen: Kitchen, j: int, x: Floats) -> float:
    """The grams of a jar that are customary in this batch, whatever it is for."""
    customary = kitchen.catalog.customary.get(kitchen.ids[j])
    return customary.per_1000_kcal * float(kitchen.kcal @ x) / 1000 if customary else inf


def _all_that_is_there(kitchen: Kitchen) -> float:
    return sum(float((i.fixed or i.available or 0) * i.grams_per_unit) for i in kitchen.items if not i.is_supplement)


def prices(kitchen: Kitchen) -> Floats:
    """What a gram of each item costs, or ranks as where it has no price of its own: what such jars usually cost.

    Food without a price counts nothing.
    """
    own = [None if i.price_per_gram is None else float(i.price_per_gram) for i in kitchen.items]
    usual = [i.food.usual_price_per_gram if jar else None for i, jar in zip(kitchen.items, kitchen.jar, strict=True)]
    both = [p / u for p, u in zip(own, usual, strict=True) if p and u]
    scale = median(both) if both else 1.0
    return np.array([p if p is not None else scale * (u or 0.0) for p, u in zip(own, usual, strict=True)])


def change(kitchen: Kitchen, x: Floats) -> float:
    """How far doses are from the usual recipe: the sum of relative changes, a jar that is new to it counting 1.

    A dose that goes by weight of meat is compared with what it would be for all the meat that there is.
    """
    total, most = 0.0, most_meat(kitchen)
    for j, item in enumerate(kitchen.items):
        usual = kitchen.by_hand("usual", j, x)
        if usual is not None:
            total += abs(x[j] - usual) / (kitchen.by_hand("usual", j, most) or 1.0)
        elif item.is_supplement and x[j] > 0 and not kitchen.by_hand("at_least", j, x) and not kitchen.settled[j]:
            total += 1.0
    return total


def most_meat(kitchen: Kitchen) -> Floats:
    """Everything that there is of each food."""
    grams = [
        min(float((i.fixed or i.available or 0) * i.grams_per_unit), kitchen.by_hand("at_most", j, kitchen.ones) or inf)
        for j, i in enumerate(kitchen.items)
    ]
    return np.array(grams)


def missed(kitchen: Kitchen, x: Floats, slip: float = SLIP) -> dict[str, float]:
    """By how much amounts miss their rules, as a sum of shares for each rank."""
    found = dict.fromkeys(("toxic ceiling", "by hand", "limit", "money and cap"), 0.0)
    for miss in (*misses(kitchen, x, slip), *hand_misses(kitchen, x)):
        found[miss.rank] += miss.by
    return found


def ceilings(kitchen: Kitchen, x: Floats) -> Iterator[Guarded]:
    """The standard's own ceilings: a nearest mix may pass them by its foods, never by its jars."""
    hand = by_hand(kitchen, x)
    for limit in kitchen.limits:
        if limit.maximum is not None and limit.basis != "ratio" and kitchen.holds(limit, x):
            per_gram, constant = kitchen.asked(limit, "maximum")
            high, allowed = kitchen.counted(limit, "maximum"), float(per_gram @ x) + constant
            given, toxic = float(high @ hand), kitchen.is_toxic(limit.nutrient)
            yield Guarded(limit.nutrient, "ceiling", toxic, allowed, given, float(high @ x) - given, limit)


def open_jars(kitchen: Kitchen) -> Iterator[int]:
    """The places of the jars whose dose is open."""
    return (int(j) for j in np.flatnonzero(kitchen.open_jar))


def dose_bound(kitchen: Kitchen, j: int, x: Floats) -> float:
    """The most grams of a jar in this batch, as whole steps; what the person wrote raises it."""
    step = float(kitchen.step[j])
    asked = min(most_for_purpose(kitchen, j, x), most_as_such(kitchen, j, x))
    most = ceil(asked / step * (1 - SLIP)) * step
    written = [kitchen.by_hand(key, j, x) or 0.0 for key in ("at_least", "usual")]
    return max(most, *(ceil(grams / step * (1 - SLIP)) * step for grams in written))
