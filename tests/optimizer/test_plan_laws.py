"""What holds for every plan, tried on demo scenarios that are altered at random.

Costs are compared as the solver reached them, before each line of the sheet is rounded to a cent, and only among
mixes that pass guards and common shares by as much: one that passes them by less goes before one that is cheaper.
"""

import json
import tomllib
from dataclasses import dataclass, replace
from typing import Any

import pytest
from hypothesis import HealthCheck, Phase, assume, given, settings
from hypothesis import strategies as st

from catalog.catalog import load_catalog
from catalog.units.quantities import write_count
from optimizer.checking import check
from optimizer.model.objectives import SMALL_COIN
from optimizer.model.solve import choose
from optimizer.planning import plan
from optimizer.render.json.sheet import sheet_object
from optimizer.scenario.records import Item
from optimizer.sheet.sheet import PLANNED, Sheet
from tests.altered import Data, changed, demo, entry, scenario_of, toml_text, written_back

# Not shrunk: each try is a plan, and the first failing scenario tells enough.
few = settings(
    max_examples=10,
    phases=[Phase.explicit, Phase.generate],
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.filter_too_much, HealthCheck.too_slow],
)

# What these demo scenarios hold can be mixed to their standard; the freezer's contents have no prices.
PRICED = (
    "boneless-beef",
    "duck-and-quail-as-usual",
    "kittens-chicken-backs",
    "lamb-and-fish",
    "rabbit-few-jars",
    "turkey-week",
)
REACHED = (*PRICED, "freezer-clear-out")
CATALOG = load_catalog()[0]
ADDABLE = sorted(food.id for food in CATALOG.foods.values() if food.role == "supplement" and food.measures)


def planned(data: Data) -> Sheet:
    return plan(scenario_of(data, CATALOG), CATALOG)


def item_of(data: Data, id_: str) -> Item:
    [item] = [item for item in scenario_of(data, CATALOG).items if item.id == id_]
    return item


def in_steps(data: Data, id_: str, steps: int) -> str:
    """An amount of so many of a supplement's smallest steps."""
    item = item_of(data, id_)
    assert item.step is not None
    return write_count(item.step * steps, item.unit)


@dataclass(frozen=True, order=True)
class Rank:
    """How good the best mix is, the best first: whether limits are missed, what guards are passed by, what it costs."""

    missed: bool
    toxic: float
    passed: float
    cost: float


def rank(data: Data) -> Rank:
    scenario = scenario_of(data, CATALOG)
    assert scenario.aim == "cost"
    choice = choose(scenario, CATALOG)
    reached = dict(zip((o.name for o in choice.objectives), choice.solution.objectives, strict=False))
    if not choice.in_reach:
        return Rank(True, 0, 0, 0)
    toxic, other = (round(reached.get(kind, 0), 5) for kind in ("passed_toxic", "passed"))
    return Rank(False, toxic, other, reached["cost"])


def never_dearer(relaxed: Data, tight: Data) -> bool:
    """Whether a scenario that allows all that another allows has a plan that is at least as good."""
    least = rank(tight)
    assume(not least.missed)
    rounding = SMALL_COIN if least.toxic or least.passed else 1e-6 * max(1.0, least.cost)
    return rank(relaxed) <= replace(least, cost=least.cost + rounding)


@st.composite
def altered_demos(draw: st.DrawFn, names: tuple[str, ...] = PRICED) -> Data:
    """A demo scenario with other prices and, perhaps, other stocks, a larger batch and one supplement fewer."""
    data = changed(demo(draw(st.sampled_from(names))), aim="cost", usual=None)
    if draw(st.booleans()):
        data["supplements"].pop(draw(st.integers(0, len(data["supplements"]) - 1)))
    for found in data["supplements"]:
        price = found.get("price", "")
        if price and draw(st.booleans()):
            found["price"] = f"{draw(st.integers(1, 4000)) / 100:.2f} for {price.partition(' for ')[2]}"
    for found in data["on_hand"]:
        if "up_to" in found and "at_least" not in found and "meat_at_least" not in data and draw(st.booleans()):
            found["up_to"] = f"{draw(st.integers(60, 500))} g"
    meat = data["on_hand"][0]
    if "amount" in meat and draw(st.booleans()):
        meat["amount"] = f"{draw(st.integers(2000, 3500)) / 1000} kg"
    return data


@st.composite
def one_supplement_of(draw: st.DrawFn, data: Data) -> str:
    """The id of a supplement on hand."""
    return str(draw(st.sampled_from([found["supplement"] for found in data["supplements"]])))


def unbound(data: Data, id_: str, **keys: Any) -> Data:
    """The same with a supplement's own bounds and stock replaced by these."""
    other = changed(data)
    found = entry(other, id_)
    for key in ("at_least", "at_most", "exactly", "left"):
        found.pop(key, None)
    found.update(keys)
    return other


# A plan as printed passes check.


@few
@given(
    data=altered_demos(REACHED),
    step=st.sampled_from(["1/3 tsp", "1/7 tsp", "0.003 g", "0.13 g", "0.07 oz"]),
    dose=st.sampled_from(["9.2345 g", "1 3/7 tsp", "0.221 oz"]),
)
def test_a_plan_as_printed_passes_check(data: Data, step: str, dose: str) -> None:
    # also with steps and doses finer than any scale shows
    for found in data["supplements"]:
        if found["supplement"] == "taurine-powder":
            found.update(step=step, measure=step.split()[1])
            found.pop("exactly", None)
        elif found["supplement"] == "choline-bitartrate":
            found.update(exactly=dose, measure=dose.split()[-1])
            found.pop("step", None)
    sheet = planned(data)
    again = check(scenario_of(tomllib.loads(toml_text(written_back(data, sheet))), CATALOG), CATALOG)
    assert again.assessment.all_met is (sheet.status == PLANNED)
    assert again.cost == sheet.cost
    assert [(line.id, line.text) for line in again.lines] == [(line.id, line.text) for line in sheet.lines]
    assert [line.grams for line in again.lines] == pytest.approx([line.grams for line in sheet.lines], rel=1e-12)
    assert figures(again) == pytest.approx(figures(sheet), rel=1e-9)
    assert [n.status for n in again.assessment.nutrients] == [n.status for n in sheet.assessment.nutrients]


def figures(sheet: Sheet) -> list[float]:
    totals = sheet.assessment.totals
    batch = [totals.mass_g, totals.meat_g, totals.non_meat_g, totals.bone_g, totals.energy_kcal, totals.dry_matter_g]
    return [*batch, *(figure for n in sheet.assessment.nutrients for figure in (n.total, n.total_high))]


# More of a priced thing never costs less.


@few
@given(st.data(), altered_demos(), st.integers(0, 4), st.integers(1, 8))
def test_to_ask_for_more_of_a_thing_never_costs_less(draw: st.DataObject, data: Data, low: int, more: int) -> None:
    id_ = draw.draw(one_supplement_of(data))
    asked = unbound(data, id_, at_least=in_steps(data, id_, low + more))
    before = unbound(data, id_, at_least=in_steps(data, id_, low)) if low else unbound(data, id_)
    assert never_dearer(before, asked)


@few
@given(st.data(), altered_demos(), st.integers(2, 9))
def test_a_rise_in_price_never_makes_the_plan_cheaper(draw: st.DataObject, data: Data, times: int) -> None:
    id_ = draw.draw(one_supplement_of(data))
    dearer = changed(data)
    amount, _, rest = entry(dearer, id_)["price"].partition(" for ")
    entry(dearer, id_)["price"] = f"{float(amount.strip('£$€')) * times:.2f} for {rest}"
    assert never_dearer(data, dearer)


@pytest.mark.parametrize("name", PRICED)
def test_more_meat_at_the_same_doses_costs_more(name: str) -> None:
    written = written_back(demo(name), planned(changed(demo(name), aim="cost")))
    more = changed(written)
    more["on_hand"][0]["amount"] = "6 kg"
    bought, bought_more = (check(scenario_of(data, CATALOG), CATALOG) for data in (written, more))
    assert bought.cost is not None
    assert bought_more.cost is not None
    assert bought_more.cost > bought.cost


# To relax a limit never raises the cost.


@few
@given(altered_demos(), st.integers(12, 50), st.integers(1, 30))
def test_a_higher_cap_on_non_meat_never_costs_more(data: Data, cap: int, more: int) -> None:
    tight, wide = (changed(data, non_meat_cap=f"{per_mille / 10} %") for per_mille in (cap, cap + more))
    assert never_dearer(wide, tight)


@few
@given(st.data(), altered_demos(), st.integers(1, 30), st.integers(1, 30))
def test_a_larger_stock_never_costs_more(draw: st.DataObject, data: Data, left: int, more: int) -> None:
    id_ = draw.draw(one_supplement_of(data))
    little, much = (unbound(data, id_, left=in_steps(data, id_, steps)) for steps in (left, left + more))
    assert never_dearer(much, little)


EXTRA = (("taurine", "mg", 1200), ("vitamin-e", "IU", 60), ("potassium", "mg", 2200), ("epa-dha", "mg", 500))


@few
@given(altered_demos(), st.sampled_from(EXTRA), st.integers(20, 90), st.integers(2, 10))
def test_a_lower_target_of_ones_own_never_costs_more(
    data: Data, extra: tuple[str, str, int], percent: int, less: int
) -> None:
    nutrient, unit, most = extra
    high, low = (
        changed(data, limits=[{"nutrient": nutrient, "at_least": f"{most * share / 100} {unit} per 1000 kcal"}])
        for share in (percent, percent - less)
    )
    assert never_dearer(low, high)


@few
@given(altered_demos(), st.sampled_from(ADDABLE))
def test_one_more_supplement_in_the_pantry_never_costs_more(data: Data, id_: str) -> None:
    assume(id_ not in [found["supplement"] for found in data["supplements"]])
    fuller = changed(data, supplements=[*data["supplements"], {"supplement": id_, "price": "1.00 for 10 g"}])
    if item_of(changed(data, supplements=[{"supplement": id_}]), id_).unit not in ("tsp", "tbsp", "ml", "g"):
        fuller["supplements"][-1].pop("price")
    assert never_dearer(fuller, data)


# The same scenario gives the same plan.


@few
@given(altered_demos(REACHED), st.sampled_from(["cost", "fewest"]))
def test_the_same_scenario_gives_the_same_plan_twice(data: Data, aim: str) -> None:
    first, second = (without_seconds(planned(changed(data, aim=aim))) for _ in range(2))
    assert first == second


def without_seconds(sheet: Sheet) -> str:
    plain = sheet_object(sheet)
    plain["solver"].pop("seconds")
    return json.dumps(plain)
