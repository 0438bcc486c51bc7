"""What holds for every plan, tried on demo scenarios that are altered at random.

Costs are compared as the solver reached them, before each line of the sheet is rounded to a cent.
"""

import json
from functools import cache
from typing import Any

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from catalog.library import load_catalog
from catalog.records import Catalog
from optimizer.check import check
from optimizer.plan import plan
from optimizer.render.json_text import sheet_object
from optimizer.sheet import OUT_OF_REACH, PLANNED, Sheet
from tests.altered import Data, changed, demo, entry, scenario_of, toml_text, written_back

few = settings(max_examples=15, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.filter_too_much])

REACHED = (
    "boneless-beef",
    "duck-and-quail-as-usual",
    "freezer-clear-out",
    "kittens-chicken-backs",
    "lamb-and-fish",
    "rabbit-few-jars",
    "turkey-week",
)
PRICED = tuple(name for name in REACHED if name != "freezer-clear-out")  # what is in the freezer has been paid for


@cache
def catalog() -> Catalog:
    return load_catalog()[0]


def planned(data: Data) -> Sheet:
    return plan(scenario_of(data, catalog()), catalog())


@cache
def as_it_stands(name: str, aim: str = "cost") -> Sheet:
    return planned(changed(demo(name), aim=aim))


def cost(sheet: Sheet) -> float:
    """What the first objective of the aim `cost` came to."""
    assert sheet.solution is not None
    assert sheet.aim == "cost"
    return sheet.solution.objectives[0]


def never_dearer(relaxed: Sheet, tight: Sheet) -> bool:
    """`relaxed` allows all that `tight` allows: where `tight` has a plan, so has it, and at no higher cost."""
    if tight.status == OUT_OF_REACH:
        return True
    return relaxed.status == PLANNED and cost(relaxed) <= cost(tight) + 1e-6 * max(1.0, cost(tight))


@st.composite
def altered_demos(draw: st.DrawFn, names: tuple[str, ...] = REACHED) -> Data:
    """A demo scenario with less or more of each cut, one supplement fewer perhaps, and other prices."""
    data = changed(demo(draw(st.sampled_from(names))), aim="cost")
    if draw(st.booleans()):
        data["supplements"].pop(draw(st.integers(0, len(data["supplements"]) - 1)))
        data.pop("usual", None)
    for found in data["supplements"]:
        if found.get("price", "").endswith(" g") and draw(st.booleans()):
            found["price"] = f"{draw(st.integers(1, 4000)) / 100:.2f} for {draw(st.integers(100, 900))} g"
    for found in data["on_hand"]:
        if "up_to" in found and "at_least" not in found and draw(st.booleans()):
            found["up_to"] = f"{draw(st.integers(50, 600))} g"
    return data


STEPS = ("1/3 tsp", "1/7 tsp", "0.003 g", "0.13 g", "0.07 oz", "1/64 lb")


@few
@given(data=altered_demos(), step=st.sampled_from(STEPS), dose=st.sampled_from(["1.2345 g", "1/9 tsp", "0.021 oz"]))
def test_a_plan_as_printed_passes_check(data: Data, step: str, dose: str) -> None:
    # also with steps and doses that are finer than any scale shows
    if "taurine-powder" in str(data["supplements"]):
        found = entry(data, "taurine-powder")
        for key in ("measure", "exactly"):
            found.pop(key, None)
        found["step"] = step
    for found in data["supplements"]:
        if found["supplement"].startswith("salt-"):
            found.pop("measure", None)
            found.pop("step", None)
            found["exactly"] = dose
    sheet = planned(data)
    again = check(scenario_of(read_back(data, sheet), catalog()), catalog())
    assert amounts(again) == amounts(sheet)
    assert again.cost == sheet.cost
    assert again.assessment.all_met is (sheet.status == PLANNED)
    for figure in ("mass_g", "meat_g", "non_meat_g", "bone_g", "energy_kcal", "dry_matter_g"):
        assert getattr(again.assessment.totals, figure) == pytest.approx(
            getattr(sheet.assessment.totals, figure), rel=1e-9
        )
    for line, was in zip(again.assessment.nutrients, sheet.assessment.nutrients, strict=True):
        assert line.status == was.status
        assert (line.total, line.total_high) == pytest.approx((was.total, was.total_high), rel=1e-9)


def read_back(data: Data, sheet: Sheet) -> Data:
    """The amounts as printed, by way of a file's text."""
    import tomllib

    return tomllib.loads(toml_text(written_back(data, sheet)))


def amounts(sheet: Sheet) -> dict[str, Any]:
    """Grams and words of each line; "5 oz" may be written for a thing that was counted in pounds."""
    return {line.id: (pytest.approx(line.grams, rel=1e-12), line.text) for line in sheet.lines}


@few
@given(data=altered_demos(PRICED), picked=st.randoms(use_true_random=False))
def test_to_ask_for_more_of_a_priced_thing_never_costs_less(data: Data, picked: Any) -> None:
    sheet = planned(data)
    priced = [line for line in sheet.lines if not line.fixed and line.cost is not None]
    assume(priced)
    line = picked.choice(priced)
    steps = picked.randint(1, 6)
    more = changed(data)
    found = entry(more, line.id)
    found["at_least"] = f"{round(line.count + steps * float(step_of(data, line.id)), 6)} {line.unit}"
    found.pop("at_most", None)
    for key in ("left", "up_to"):
        if key in found:
            found[key] = found["at_least"] if key == "left" else found[key]
    assume(not over_stock(more, line.id))
    assert never_dearer(sheet, planned(more))


def step_of(data: Data, id_: str) -> float:
    [item] = [item for item in scenario_of(data, catalog()).items if item.id == id_]
    return float(item.step or 1)


def over_stock(data: Data, id_: str) -> bool:
    from optimizer.scenario_file import read_scenario
    from optimizer.toml_text import Lines

    return bool(read_scenario(data, "", Lines({}), catalog())[1])
