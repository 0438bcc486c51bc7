"""Judges a plan by its JSON as a veterinary nutritionist would, by code that shares nothing with the optimizer.

Every law gives the faults that it finds in words; none found is a plan to be signed.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import ceil, inf
from statistics import median
from typing import Any

import numpy as np

from catalog.records import Limit
from tests.laws.figures import MOST_WITHOUT_A_PURPOSE, SHARES, Floats, Kitchen

SLIP = 1e-6  # relative: the rounding of sums, far below what a scale shows
TRACES = {False: 0.05, True: 0.01}  # of a guard, by whether its nutrient is toxic
COIN = 0.01
PIECES = ("capsule", "softgel", "tablet", "pill")
MOST_PIECES_PER_KG = 12.0  # more than that of one jar is not a dose but a filling
BY_THE_GRAM = {"potassium", "calcium", "phosphorus", "choline"}  # needed by the gram, which takes more pieces
# What all open jars together may bring per 1000 kcal and no formulator asks for more of: our own sense of measure, several
# times what any standard asks for, in the nutrient's unit.
MOST_FROM_JARS = {"vitamin-d": 500.0, "vitamin-a": 10000.0, "vitamin-e": 500.0, "vitamin-b6": 60.0, "selenium": 300.0, "copper": 8.0}


@dataclass(frozen=True)
class Fault:
    """What is wrong with a plan: which law it breaks, and how."""

    law: str
    words: str

    def __str__(self) -> str:
        return f"{self.law}: {self.words}"


@dataclass(frozen=True)
class Miss:
    """A rule that amounts do not keep: `by` as a share of what it asks, `rank` by how soon it has to give way."""

    rank: str
    id: str
    by: float


def judge(kitchen: Kitchen, plan: Mapping[str, Any]) -> list[Fault]:
    """All that is wrong with a plan, as `plan --json` prints it."""
    x = amounts_of(kitchen, plan)
    planned = plan["status"] == "planned"
    faults = [*figures_are_true(kitchen, x, plan), *stays_in_bounds(kitchen, x)]
    if planned:
        faults += keeps_limits(kitchen, x)
    faults += jars_pass_no_guard(kitchen, x)
    faults += doses_are_for_a_purpose(kitchen, x)
    faults += nothing_too_much(kitchen, x, planned)
    faults += would_be_signed(kitchen, x, plan)
    faults += first_line_is_true(kitchen, x, plan)
    return faults


def amounts_of(kitchen: Kitchen, plan: Mapping[str, Any]) -> Floats:
    """The grams of a plan, in the order of the items."""
    grams = {line["id"]: line["grams"] for line in plan["amounts"]}
    assert grams.keys() <= kitchen.place.keys()
    return kitchen.amounts(grams)


# What amounts come to


def misses(kitchen: Kitchen, x: Floats) -> Iterator[Miss]:
    """The limits that amounts do not keep, with jars' calories and mass left out of what a ceiling allows."""
    for number, limit in enumerate(kitchen.limits):
        if not kitchen.holds(limit, x):
            continue
        for side in ("minimum", "maximum"):
            bound = getattr(limit, side)
            if bound is None:
                continue
            per_gram, constant = kitchen.asked(limit, side)
            there, asked = float(kitchen.counted(limit, side) @ x), float(per_gram @ x) + constant
            by = (asked - there) if side == "minimum" else (there - asked)
            if by > SLIP * max(abs(asked), 1e-12):
                toxic = side == "maximum" and limit.basis != "ratio" and kitchen.is_toxic(limit.nutrient)
                rank = "toxic ceiling" if toxic else "limit"
                yield Miss(rank, f"{side} {limit.nutrient} {limit.basis} {number}", by / asked if asked > 0 else inf)


def hand_misses(kitchen: Kitchen, x: Floats) -> Iterator[Miss]:
    """What the person set and amounts do not keep: the cap, the budget, doses by hand."""
    scenario = kitchen.scenario
    cap = scenario.non_meat_cap * float(x.sum())
    non_meat = float(kitchen.non_meat @ x)
    if non_meat > cap * (1 + SLIP) + 1e-9:
        yield Miss("money and cap", "cap", (non_meat - cap) / cap if cap else inf)
    if scenario.budget is not None:
        cost = sum(float(item.price_per_gram or 0) * grams for item, grams in zip(kitchen.items, x, strict=True))
        if cost > float(scenario.budget) * (1 + SLIP) + 1e-9:
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


def guard_excess(kitchen: Kitchen, x: Floats) -> tuple[float, float]:
    """How far guards are passed, as a sum of shares: those of what is toxic, and the others with common shares."""
    found = guarded(kitchen, x)
    return sum(g.excess for g in found if g.toxic), sum(g.excess for g in found if not g.toxic)


def most_for_purpose(kitchen: Kitchen, j: int, x: Floats) -> float:
    """The grams of a jar that would by themselves bring all that its purposes ask for in this batch."""
    item, catalog = kitchen.items[j], kitchen.catalog
    kcal = float(kitchen.kcal @ x) / 1000
    bounds = []
    for purpose in item.food.purposes:
        low = kitchen.figures["minimum"][purpose][j]
        if low <= 0:
            continue
        needs = []
        for limit in kitchen.limits:
            if limit.nutrient == purpose and limit.minimum and kitchen.can_hold(limit):
                per_gram, constant = kitchen.asked_of(j, limit)
                needs.append(float(per_gram @ x) + constant)
        if not needs and purpose in catalog.customary:
            needs.append(catalog.customary[purpose].per_1000_kcal * kcal)
        bounds += [max(needs) / low] if needs else []
    if item.id in catalog.customary:
        bounds.append(catalog.customary[item.id].per_1000_kcal * kcal)
    if not bounds:
        return MOST_WITHOUT_A_PURPOSE * _all_that_is_there(kitchen)
    return max(bounds)


def _all_that_is_there(kitchen: Kitchen) -> float:
    return sum(
        float((i.fixed or i.available or 0) * i.grams_per_unit) for i in kitchen.items if not i.is_supplement
    )


def prices(kitchen: Kitchen) -> Floats:
    """What a gram of each item costs, or ranks as where it has no price of its own: what such jars usually cost."""
    own = [None if i.price_per_gram is None else float(i.price_per_gram) for i in kitchen.items]
    usual = [getattr(i.food, "usual_price_per_gram", None) for i in kitchen.items]
    both = [p / u for p, u, jar in zip(own, usual, kitchen.jar, strict=True) if jar and p and u]
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


# The laws


def figures_are_true(kitchen: Kitchen, x: Floats, plan: Mapping[str, Any]) -> Iterator[Fault]:
    """Both ends of every figure, per 1000 kcal of everything and per 1000 kcal of food, are those of the amounts."""
    every, food = float(kitchen.kcal @ x) / 1000, float((kitchen.kcal * kitchen.food) @ x) / 1000
    for line in plan["nutrients"]:
        low = float(kitchen.figures["minimum"][line["id"]] @ x) / every
        high = float(kitchen.figures["maximum"][line["id"]] @ x) / food
        for key, there in (("per_1000_kcal", low), ("high_per_1000_kcal", high)):
            if abs(line[key] - there) > 1e-6 * max(there, 1e-9):
                yield Fault("figures", f"{line['id']} {key} printed {line[key]:.6g}, is {there:.6g}")
    cost = plan["totals"]["cost"]["amount"]
    if cost is not None:
        exact = sum(float(i.price_per_gram or 0) * grams for i, grams in zip(kitchen.items, x, strict=True))
        if abs(float(cost) - exact) > 0.00501:
            yield Fault("figures", f"cost printed {cost}, is {exact:.5f}")


def stays_in_bounds(kitchen: Kitchen, x: Floats) -> Iterator[Fault]:
    """Whole steps, no more than there is, all of what goes in whole."""
    for j, item in enumerate(kitchen.items):
        if item.fixed is not None:
            whole = float(item.fixed * item.grams_per_unit)
            if abs(x[j] - whole) > 1e-6 * whole:
                yield Fault("bounds", f"{item.id} {x[j]:.6g} g, all of it is {whole:.6g} g")
            continue
        steps = x[j] / kitchen.step[j]
        exact = item.exactly is not None
        if not exact and abs(steps - round(steps)) > 1e-4:
            yield Fault("bounds", f"{item.id} {x[j]:.6g} g is no whole number of steps of {kitchen.step[j]:.6g} g")
        if item.available is not None and x[j] > float(item.available * item.grams_per_unit) * (1 + SLIP):
            yield Fault("bounds", f"{item.id} {x[j]:.6g} g is more than there is")
    least = kitchen.scenario.meat_at_least_grams
    if least is not None and kitchen.meat @ x < float(least) * (1 - SLIP):
        yield Fault("bounds", f"{kitchen.meat @ x:.6g} g of meat, at least {float(least):.6g} g is asked for")


def keeps_limits(kitchen: Kitchen, x: Floats) -> Iterator[Fault]:
    """Every limit is kept, ceilings also with the jars' calories and mass left out: jars are no food."""
    for miss in misses(kitchen, x):
        law = "jars are no food" if miss.id.startswith("maximum") else "limits"
        yield Fault(law, f"{miss.id} missed by {100 * miss.by:.3g} %")
    for miss in hand_misses(kitchen, x):
        yield Fault("by hand", f"{miss.id} missed by {100 * miss.by:.3g} %")


def jars_pass_no_guard(kitchen: Kitchen, x: Floats) -> Iterator[Fault]:
    """A guard is kept, or foods and hand-set amounts pass it and open jars add at most traces."""
    ceilings = [g for g in _ceilings(kitchen, x) if g.passed]
    for guard in [g for g in guarded(kitchen, x) if g.limit] + ceilings:
        added, limit = guard.added, guard.limit
        assert limit is not None
        if not guard.passed or added <= 1e-9 * guard.allowed:
            continue
        tagged = limit.condition.tag if limit.condition else ""
        of_it = guard.kind == "legal" and any(x[j] > 0 and kitchen.tagged(tagged)[j] for j in _open(kitchen))
        meant = guard.toxic and any(
            x[j] > 0 and guard.id in kitchen.items[j].food.purposes for j in _open(kitchen)
        )
        by_food = guard.given >= guard.allowed * (1 - SLIP)
        if not by_food or added > TRACES[guard.toxic] * guard.allowed * (1 + SLIP) or meant or of_it:
            yield Fault(
                "jars pass no guard",
                f"{guard.kind} {guard.id}: allowed {guard.allowed:.4g}, foods and hand {guard.given:.4g},"
                f" jars add {added:.4g}",
            )


def _ceilings(kitchen: Kitchen, x: Floats) -> Iterator[Guarded]:
    """The standard's own ceilings: a nearest mix may pass them by its foods, never by its jars."""
    hand = by_hand(kitchen, x)
    for limit in kitchen.limits:
        if limit.maximum is not None and limit.basis != "ratio" and kitchen.holds(limit, x):
            per_gram, constant = kitchen.asked(limit, "maximum")
            high, allowed = kitchen.counted(limit, "maximum"), float(per_gram @ x) + constant
            given, toxic = float(high @ hand), kitchen.is_toxic(limit.nutrient)
            yield Guarded(limit.nutrient, "ceiling", toxic, allowed, given, float(high @ x) - given, limit)


def _open(kitchen: Kitchen) -> Iterator[int]:
    return (int(j) for j in np.flatnonzero(kitchen.open_jar))


def doses_are_for_a_purpose(kitchen: Kitchen, x: Floats) -> Iterator[Fault]:
    """No dose goes beyond what would by itself bring all that its purposes ask for, rounded up to one step."""
    for j in _open(kitchen):
        if x[j] > dose_bound(kitchen, j, x) * (1 + SLIP):
            most = most_for_purpose(kitchen, j, x)
            yield Fault("a jar is dosed for what it is for", f"{kitchen.ids[j]}: {x[j]:.4g} g, {most:.4g} g does")


def dose_bound(kitchen: Kitchen, j: int, x: Floats) -> float:
    """The most grams of a jar in this batch, as whole steps; what the person wrote raises it."""
    step = float(kitchen.step[j])
    most = ceil(most_for_purpose(kitchen, j, x) / step * (1 - SLIP)) * step
    written = [kitchen.by_hand(key, j, x) or 0.0 for key in ("at_least", "usual")]
    return max(most, *(ceil(grams / step * (1 - SLIP)) * step for grams in written))


def is_allowed(kitchen: Kitchen, x: Floats) -> bool:
    """Whether amounts keep all that a plan has to keep."""
    checks = (keeps_limits, stays_in_bounds, jars_pass_no_guard, doses_are_for_a_purpose)
    return not any(True for law in checks for _ in law(kitchen, x))


def is_allowed_nearest(kitchen: Kitchen, x: Floats) -> bool:
    """Whether amounts keep what a nearest mix has to keep, too."""
    checks = (stays_in_bounds, jars_pass_no_guard, doses_are_for_a_purpose)
    return not any(True for law in checks for _ in law(kitchen, x))


def nothing_too_much(kitchen: Kitchen, x: Floats, planned: bool) -> Iterator[Fault]:
    """No open jar can be lowered, and no food moved, by a step for a plan that is as good or better."""
    price, usual = prices(kitchen), kitchen.scenario.aim == "usual"
    before = (guard_excess(kitchen, x), change(kitchen, x))
    for j in np.flatnonzero(~kitchen.settled):
        for steps in (-1, 1, -x[j] / kitchen.step[j]):
            y = x.copy()
            y[j] += steps * kitchen.step[j]
            if y[j] < -1e-9 or steps == 0 or any(True for _ in stays_in_bounds(kitchen, y)):
                continue
            y[j] = max(y[j], 0.0)
            after = guard_excess(kitchen, y)
            worse = after[0] > before[0][0] + 1e-7 or (
                after[0] > before[0][0] - 1e-7 and after[1] > before[0][1] + 1e-7
            )
            better = not worse and (after[0] < before[0][0] - 1e-4 or after[1] < before[0][1] - 1e-4)
            less = kitchen.open_jar[j] and steps < 0 and (y - x) @ price <= COIN + 1e-9
            if usual and change(kitchen, y) > before[1] + 1e-6:
                less = False
            if worse or not (better or less) or not _as_near(kitchen, x, y, planned):
                continue
            way = f"{kitchen.ids[j]} {x[j]:.4g} -> {y[j]:.4g} g"
            yield Fault("guards are passed by no more than needed" if better else "nothing for a cent", way)


def _as_near(kitchen: Kitchen, x: Floats, y: Floats, planned: bool) -> bool:
    """Whether other amounts are allowed; of a nearest mix, whether they miss no more in any rank."""
    if planned:
        return is_allowed(kitchen, y)
    if not is_allowed_nearest(kitchen, y):
        return False
    old, new = missed(kitchen, x), missed(kitchen, y)
    return all(new[rank] <= old[rank] + 1e-7 for rank in old)


def missed(kitchen: Kitchen, x: Floats) -> dict[str, float]:
    """By how much amounts miss their rules, as a sum of shares for each rank."""
    found = dict.fromkeys(("toxic ceiling", "by hand", "limit", "money and cap"), 0.0)
    for miss in (*misses(kitchen, x), *hand_misses(kitchen, x)):
        found[miss.rank] += miss.by
    return found


def would_be_signed(kitchen: Kitchen, x: Floats, plan: Mapping[str, Any]) -> Iterator[Fault]:
    """Doses as a veterinary nutritionist knows them: a few pieces a kilogram, and of no toxic nutrient a jarful."""
    kg, kcal = float(x.sum()) / 1000, float((kitchen.kcal * kitchen.food) @ x) / 1000
    for line in plan["amounts"]:
        j = kitchen.place[line["id"]]
        count, unit = line["measure"]["count"], line["measure"]["unit"]
        purposes = kitchen.items[j].food.purposes
        most = MOST_PIECES_PER_KG * (3 if BY_THE_GRAM & set(purposes) else 1)
        written = (kitchen.by_hand(key, j, x) or 0.0 for key in ("at_least", "usual"))
        if x[j] <= max(written) * (1 + SLIP) + 1e-9:
            continue
        if kitchen.open_jar[j] and unit in PIECES and count > max(1.0, most * kg):
            yield Fault("would be signed", f"{count:g} {unit}s of {line['id']} in {kg:.3g} kg")
    chosen = x - by_hand(kitchen, x)
    for nutrient, most in MOST_FROM_JARS.items():
        per_gram = kitchen.figures["value"][nutrient]
        one_step = max((per_gram * kitchen.step)[chosen > 0], default=0.0)
        if float(per_gram @ chosen) > most * kcal + one_step:
            yield Fault("would be signed", f"jars bring {per_gram @ chosen / kcal:.4g} of {nutrient} per 1000 kcal")


def first_line_is_true(kitchen: Kitchen, x: Floats, plan: Mapping[str, Any]) -> Iterator[Fault]:
    """The guards that are passed are told, no others are, and the headline does not hide what a plan depends on."""
    law = "the first line is the truth"
    passed = {(g.kind, g.id) for g in guarded(kitchen, x) if g.passed}
    if "guards_passed" not in plan:
        yield Fault(law, "no guards_passed in the JSON")
        return
    told = {(g["kind"], g["id"]) for g in plan["guards_passed"]}
    for kind, id_ in sorted(passed - told):
        yield Fault(law, f"{kind} {id_} is passed and not told")
    for kind, id_ in sorted(told - passed):
        yield Fault(law, f"{kind} {id_} is told and not passed")
    depends = {(d["kind"], d["id"]) for d in plan["depends_on"]}
    headline = plan["headline"].lower()
    if plan["status"] != "planned":
        if "every limit is met" in headline:
            yield Fault(law, f"nothing meets every limit, and it says {plan['headline']!r}")
        return
    for guard in plan["guards_passed"]:
        if guard["name"].lower() not in headline:
            yield Fault(law, f"the headline does not say that {guard['name']} is passed: {plan['headline']!r}")
    if depends_on_the_bone(kitchen, x):
        if not any(kind == "range" for kind, _ in depends):
            yield Fault(law, "calcium or Ca:P depends on the bone, and depends_on has no range")
        if "bone" not in headline:
            yield Fault(law, f"the headline does not say that it depends on the bone: {plan['headline']!r}")


def depends_on_the_bone(kitchen: Kitchen, x: Floats) -> bool:
    """Whether a limit of calcium, phosphorus or their ratio is missed at one end of what bone is published."""
    for end in (0, 1):
        other = Kitchen(kitchen.scenario, kitchen.catalog, bone_end=end)
        if any(miss.id.split()[1] == "calcium" and " ratio " in miss.id for miss in misses(other, x)):
            return True
    return False
