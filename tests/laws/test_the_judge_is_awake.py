"""The laws can be broken: what spoils a good plan is seen, and a plan that is not the best is not taken for it."""

from copy import deepcopy
from functools import cache
from typing import Any

import pytest

from tests.altered import changed
from tests.laws.figures import Kitchen
from tests.laws.fridges import fridge
from tests.laws.judge import judge
from tests.laws.planning import CATALOG, others, planned, planned_fridge

Plan = dict[str, Any]


@cache
def good_plans() -> list[tuple[Kitchen, Plan]]:
    """The plans of the fridges that can be mixed."""
    return [found for found in (planned_fridge(number) for number in range(40)) if found[1]["status"] == "planned"]


def spoilt(plan: Plan, place: int, times: float) -> Plan:
    """The same plan with so many times as much of one line. Its other figures stay as printed."""
    other = deepcopy(plan)
    line = other["amounts"][place]
    line["grams"] *= times
    line["measure"]["count"] *= times
    return other


def laws_broken(kitchen: Kitchen, plan: Plan) -> set[str]:
    """The laws that a plan breaks, apart from figures that are no longer those of its amounts."""
    return {fault.law for fault in judge(kitchen, plan)} - {"figures"}


@pytest.mark.parametrize("times", [0.0, 2.0, 10.0])
def test_a_dose_that_is_changed_is_seen(times: float) -> None:
    tried = seen = 0
    for kitchen, plan in good_plans():
        for place, line in list(enumerate(plan["amounts"]))[::3]:
            if kitchen.open_jar[kitchen.place[line["id"]]]:
                tried += 1
                seen += bool(laws_broken(kitchen, spoilt(plan, place, times)))
    assert tried > 25
    # a dose of the usual recipe may be left out and every law kept: only the search for a better mix sees that
    assert seen >= (0.9 if times == 0 else 1) * tried


def test_a_figure_that_is_misprinted_is_seen() -> None:
    kitchen, plan = good_plans()[0]
    for key in ("per_1000_kcal", "high_per_1000_kcal"):
        other = deepcopy(plan)
        other["nutrients"][30][key] *= 1.01
        assert [fault.law for fault in judge(kitchen, other)] == ["figures"]


def test_a_guard_that_is_not_told_is_seen() -> None:
    passing = [found for found in (planned_fridge(number) for number in range(40)) if found[1]["guards_passed"]]
    assert passing
    for kitchen, plan in passing:
        assert "the first line is the truth" in laws_broken(kitchen, {**plan, "guards_passed": []})


def test_the_best_plan_by_one_aim_is_not_taken_for_the_best_by_another() -> None:
    seen = 0
    for number in range(0, 40, 2):
        data = fridge(number, CATALOG)
        if planned_fridge(number)[1]["status"] != "planned":
            continue
        fewest, _ = planned(changed(data, aim="fewest", usual=None))
        _, cheapest = planned(changed(data, aim="cost", usual=None))
        seen += bool(others(fewest, cheapest))
    assert seen >= 2
