"""Judges a plan by its JSON as a veterinary nutritionist would, by code that shares nothing with the optimizer.

Every law gives the faults that it finds in words; none found is a plan to be signed.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from tests.laws.figures import Floats, Kitchen
from tests.laws.weighing import (
    EXACT,
    SLIP,
    amounts_of,
    by_hand,
    ceilings,
    change,
    compare,
    dose_bound,
    guard_ranks,
    guarded,
    hand_misses,
    missed,
    misses,
    most_as_such,
    most_for_purpose,
    open_jars,
    prices,
)

TRACES = {False: 0.05, True: 0.01}  # of a guard, by whether its nutrient is toxic
COIN = 0.01
PIECES = ("capsule", "softgel", "tablet", "pill")
MOST_PIECES_PER_KG = 12.0  # more than that of one jar is not a dose but a filling
BY_THE_GRAM = {"potassium", "calcium", "phosphorus", "choline"}  # needed by the gram, which takes more pieces
# What all open jars together may bring per 1000 kcal and no formulator asks for more of: our own sense of measure, several
# times what any standard asks for, in the nutrient's unit.
MOST_FROM_JARS = {
    "vitamin-d": 500.0,
    "vitamin-a": 10000.0,
    "vitamin-e": 500.0,
    "vitamin-b6": 60.0,
    "selenium": 300.0,
    "copper": 8.0,
}


@dataclass(frozen=True)
class Fault:
    """What is wrong with a plan: which law it breaks, and how."""

    law: str
    words: str

    def __str__(self) -> str:
        return f"{self.law}: {self.words}"


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


def figures_are_true(kitchen: Kitchen, x: Floats, plan: Mapping[str, Any]) -> Iterator[Fault]:
    """Both ends of every figure, per 1000 kcal of everything and per 1000 kcal of food, are those of the amounts."""
    every, food = float(kitchen.kcal @ x) / 1000, float((kitchen.kcal * kitchen.food) @ x) / 1000
    for line in plan["nutrients"]:
        low = kitchen.low(line["id"], x) / every
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
        if not exact and not min(kitchen.least[j], kitchen.most[j]) * (1 - SLIP) <= x[j] <= kitchen.most[j] * (
            1 + SLIP
        ):
            yield Fault(
                "bounds", f"{item.id} {x[j]:.6g} g, and by hand {kitchen.least[j]:.6g} to {kitchen.most[j]:.6g} g"
            )
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
    for guard in [g for g in (*guarded(kitchen, x), *ceilings(kitchen, x)) if g.limit]:
        added, limit = guard.added, guard.limit
        assert limit is not None
        if not guard.passed or added <= 1e-9 * guard.allowed:
            continue
        tagged = limit.condition.tag if limit.condition else ""
        of_it = guard.kind == "legal" and any(x[j] > 0 and kitchen.tagged(tagged)[j] for j in open_jars(kitchen))
        meant = guard.toxic and any(x[j] > 0 and guard.id in kitchen.items[j].food.purposes for j in open_jars(kitchen))
        by_food = guard.given >= guard.allowed * (1 - SLIP)
        if not by_food or added > TRACES[guard.toxic] * guard.allowed * (1 + SLIP) or meant or of_it:
            yield Fault(
                "jars pass no guard",
                f"{guard.kind} {guard.id}: allowed {guard.allowed:.4g}, foods and hand {guard.given:.4g},"
                f" jars add {added:.4g}",
            )


def doses_are_for_a_purpose(kitchen: Kitchen, x: Floats) -> Iterator[Fault]:
    """No dose goes beyond what would by itself bring all that its purposes ask for, rounded up to one step."""
    for j in open_jars(kitchen):
        if x[j] > dose_bound(kitchen, j, x) * (1 + SLIP):
            most = min(most_for_purpose(kitchen, j, x), most_as_such(kitchen, j, x))
            yield Fault("a jar is dosed for what it is for", f"{kitchen.ids[j]}: {x[j]:.4g} g, {most:.4g} g does")


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
    before, changed = guard_ranks(kitchen, x), change(kitchen, x)
    for j in np.flatnonzero(~kitchen.settled):
        for steps in (-1, 1, -x[j] / kitchen.step[j]):
            y = x.copy()
            y[j] = max(0.0, y[j] + steps * kitchen.step[j])
            if steps == 0 or (y[j] == 0.0 and x[j] == 0.0) or any(True for _ in stays_in_bounds(kitchen, y)):
                continue
            after = guard_ranks(kitchen, y)
            less = kitchen.open_jar[j] and steps < 0 and (y - x) @ price <= COIN + 1e-9
            less = less and compare(after, before) <= 0 and not (usual and change(kitchen, y) > changed + 1e-6)
            better = compare(after, before, 1e-4) < 0 and compare(after, before) < 0
            if (better or less) and _as_near(kitchen, x, y, planned, less):
                way = f"{kitchen.ids[j]} {x[j]:.4g} -> {y[j]:.4g} g"
                yield Fault("guards are passed by no more than needed" if better else "nothing for a cent", way)


def _as_near(kitchen: Kitchen, x: Floats, y: Floats, planned: bool, every: bool) -> bool:
    """Whether other amounts are allowed; of a nearest mix, whether they pass no toxic ceiling by more, and with `every`
    miss no more in any rank."""
    if planned:
        return is_allowed(kitchen, y) and not any(True for _ in misses(kitchen, y, EXACT))
    if not is_allowed_nearest(kitchen, y):
        return False
    old, new = missed(kitchen, x), missed(kitchen, y, EXACT)
    return all(new[rank] <= old[rank] + 1e-7 for rank in (old if every else ("toxic ceiling",)))


def would_be_signed(kitchen: Kitchen, x: Floats, plan: Mapping[str, Any]) -> Iterator[Fault]:
    """Doses as a veterinary nutritionist knows them: a few pieces a kilogram, and of no toxic nutrient a jarful."""
    kg, kcal = float(x.sum()) / 1000, float((kitchen.kcal * kitchen.food) @ x) / 1000
    for line in plan["amounts"]:
        j = kitchen.place[line["id"]]
        count, unit = line["measure"]["count"], line["measure"]["unit"]
        purposes = kitchen.items[j].food.purposes
        most = MOST_PIECES_PER_KG * (4 if BY_THE_GRAM & set(purposes) else 1)
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
    told_range = {id_ for kind, id_ in depends if kind == "range"}
    for id_ in sorted(depends_on_the_bone(kitchen, x) ^ told_range):
        yield Fault(law, f"{id_} {'is said to depend' if id_ in told_range else 'depends'} on the bone")
    if told_range and "bone" not in headline:
        yield Fault(law, f"the headline does not say that it depends on the bone: {plan['headline']!r}")


def depends_on_the_bone(kitchen: Kitchen, x: Floats) -> set[str]:
    """What is missed at the lowest or at the highest share of bone that is published of all cuts."""
    found = set()
    for end in (0, 1):
        other = Kitchen(kitchen.scenario, kitchen.catalog, bone_end=end)
        for miss in misses(other, x):
            _, nutrient, *basis = miss.id.split()
            found.add(f"{nutrient}-phosphorus" if "ratio" in basis else nutrient)
    return found
