"""The laws hold for whatever gives a mix: demos under other standards, remedies, batches again and trips to the stores."""

from fractions import Fraction
from pathlib import Path
from random import Random

import pytest

from optimizer.journal.batches import batch_page, record_batch
from optimizer.journal.store import writing
from optimizer.market.prepare import prepare
from optimizer.market.trip import go
from optimizer.planning import plan
from optimizer.render.json.sheet import sheet_object
from optimizer.repeating import repeat
from optimizer.scenario.read import load_scenario
from tests.altered import NAMES, Data, changed, demo, scenario_of
from tests.conftest import SCENARIOS
from tests.laws import judge as laws
from tests.laws.figures import Kitchen
from tests.laws.fridges import altered_demo, fridge, text_of
from tests.laws.planning import CATALOG, faults, planned, planned_fridge, sheet_faults, told, typed
from tests.laws.weighing import amounts_of
from tests.optimizer.journal.journal_help import told as told_of_a_batch

MIXED = [name for name in NAMES if not name.startswith("store-")]


@pytest.mark.parametrize("name", MIXED)
@pytest.mark.parametrize(("standard", "stage"), sorted(CATALOG.standards))
def test_demos_under_every_standard(name: str, standard: str, stage: str) -> None:
    for aim in ("cost", "fewest"):
        data = changed(demo(name), standard=standard, life_stage=stage, aim=aim, usual=None)
        if standard == "own-limits-only":  # something has to be asked for
            data["limits"] = [*data.get("limits", []), {"nutrient": "zinc", "at_least": "15 mg per 1000 kcal"}]
        found = faults(*planned(data))
        assert not found, told(found, data)


def test_altered_demos(number: int) -> None:
    data = altered_demo(number)
    found = faults(*planned(data))
    assert not found, told(found, data)


# What helps is verified as it is typed, and keeps the laws.


def test_a_remedy_as_it_is_typed_gives_a_plan_that_keeps_the_laws(one_in_eight: int) -> None:
    data = fridge(one_in_eight, CATALOG)
    _, before = planned_fridge(one_in_eight)
    found = []
    for remedy in plan(scenario_of(data, CATALOG), CATALOG, seconds=4).reasons.remedies:
        kitchen, after = planned(typed(data, remedy.options))
        wrong = [str(fault) for fault in laws.judge(kitchen, after)]
        if after["status"] != "planned":
            wrong.append(f"still {after['status']}")
        wrong += [f"passes the common share of {share}" for share in shares_passed(after) - shares_passed(before)]
        found += [f"{remedy.line} {' '.join(remedy.options)}: {fault}" for fault in wrong]
    assert not found, told(found, data)


def shares_passed(found: dict[str, list[dict[str, str]]]) -> set[str]:
    return {guard["id"] for guard in found["guards_passed"] if guard["kind"] == "share"}


# A batch again


def test_a_batch_again_with_other_meat_keeps_the_laws(one_in_eight: int, tmp_path: Path) -> None:
    data = fridge(one_in_eight, CATALOG)
    _, found = planned_fridge(one_in_eight)
    with writing(tmp_path / "journal.db") as store:
        number = record_batch(store, found, None, data, told_of_a_batch()).number
        page = batch_page(store, number)
    meat = Fraction(round(page.batch.meat_g * Random(one_in_eight).uniform(0.4, 3.0)))
    again = repeat(page, meat, "metric", CATALOG)
    wrong = sheet_faults(again.data, again.sheet)
    assert not wrong, told(wrong, again.data)


# At the store


def price_list(number: int, folder: Path) -> tuple[Data, Path]:
    """A fridge with jars only, and stores that sell its foods and some more."""
    random = Random(f"stores {number}")
    data = fridge(number, CATALOG)
    lines = ["store,food,package,price,currency,date,note,most"]
    stores = ("Butcher", "Grocery", "Farm shop")
    extra = [f.id for f in CATALOG.foods.values() if f.role in ("organ", "fat", "egg")]
    foods = dict.fromkeys([*(entry["food"] for entry in data["on_hand"]), *random.sample(extra, 4)])
    for food in foods:
        package = random.choice((100, 250, 400, 500))
        price = package / 1000 * random.uniform(2, 14)
        lines.append(f"{random.choice(stores)},{food},{package} g,{price:.2f},USD,2026-11-20,,{random.randint(1, 8)}")
    path = folder / "prices.csv"
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    meat = f"{random.randint(8, 25) * 100} g"
    plain = {key: value for key, value in data.items() if key in ("title", "standard", "life_stage", "energy")}
    jars = [{k: v for k, v in jar.items() if k != "price"} for jar in data["supplements"]]
    return plain | {"currency": "USD", "market": {"meat": meat}, "supplements": jars}, path


def test_a_trip_to_the_stores_keeps_the_laws(one_in_eight: int, tmp_path: Path) -> None:
    data, prices = price_list(one_in_eight, tmp_path)
    path = tmp_path / "trip.toml"
    path.write_text(text_of(data), encoding="utf-8")
    found = trip_faults(path, prices)
    assert not found, told([*found, prices.read_text(encoding="utf-8")], data)


@pytest.mark.parametrize(
    ("name", "prices"), [("store-week-of-turkey", "prices-four-stores"), ("store-freezer-top-up", "prices-euro")]
)
def test_the_demo_trips_keep_the_laws(name: str, prices: str) -> None:
    assert not trip_faults(SCENARIOS / f"{name}.toml", SCENARIOS / f"{prices}.csv")


def trip_faults(path: Path, price_list: Path) -> list[str]:
    """The faults of the batch that comes of a trip."""
    scenario = load_scenario(path, CATALOG, shopping=True)
    read, market, offers = prepare(scenario, CATALOG, [price_list], {})
    basket = go(read, market, offers, CATALOG, seconds=8).basket
    kitchen, found = Kitchen(basket.scenario, CATALOG), sheet_object(basket.sheet)
    x = amounts_of(kitchen, found)
    wrong = [*laws.figures_are_true(kitchen, x, found), *laws.jars_pass_no_guard(kitchen, x)]
    wrong += [*laws.doses_are_for_a_purpose(kitchen, x), *laws.would_be_signed(kitchen, x, found)]
    wrong += [*laws.first_line_is_true(kitchen, x, found)]
    if found["status"] == "planned":
        wrong += laws.keeps_limits(kitchen, x)
    return [str(fault) for fault in wrong]
