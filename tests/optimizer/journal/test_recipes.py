"""What was weighed, from a scenario or from a plan's JSON: the same figures as the plan, other amounts, refusals."""

import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from catalog.reading.toml_lines import Lines
from catalog.records import Catalog
from optimizer.errors import InputErrors, NothingToAssess
from optimizer.journal.plan_files import read_plan, recorded_as, says_the_same
from optimizer.journal.recipes import Recipe, as_weighed, read_recipe
from optimizer.planning import plan
from optimizer.render.json.sheet import sheet_json, sheet_object
from optimizer.scenario.read import load_scenario, read_scenario
from optimizer.scenario.records import Scenario
from tests.conftest import SCENARIOS


@pytest.fixture(scope="module")
def duck(catalog: Catalog) -> tuple[Recipe, dict[str, Any]]:
    """A demo with pump strokes and a bone share, both weighed at home, and its plan."""
    recipe = read_recipe(SCENARIOS / "duck-and-quail-as-usual.toml", catalog)
    return recipe, sheet_object(plan(recipe.scenario, catalog))


def texts(planned: dict[str, Any]) -> dict[str, str]:
    return {line["id"]: line["text"] for line in planned["amounts"]}


def without_how(data: dict[str, Any]) -> dict[str, Any]:
    """A sheet less what tells a plan from an assessment of the same amounts."""
    totals = {key: value for key, value in data["totals"].items() if key != "cost"}
    amounts = [{key: value for key, value in line.items() if key not in ("fixed", "cost")} for line in data["amounts"]]
    return {"totals": totals, "amounts": amounts, "nutrients": data["nutrients"], "ratios": data["ratios"]}


def test_weighed_as_planned_comes_to_the_same_figures(duck: tuple[Recipe, dict[str, Any]], catalog: Catalog) -> None:
    recipe, planned = duck
    made = sheet_object(as_weighed(recipe, catalog, texts(planned), []))
    assert without_how(made) == without_how(planned)


@pytest.mark.parametrize("path", sorted(SCENARIOS.glob("*.toml")), ids=lambda path: path.stem)
def test_a_plan_as_json_carries_its_scenario_exactly(path: Path, catalog: Catalog, tmp_path: Path) -> None:
    """Home-weighed measures, limits of one's own, cats, the market: all of it comes out of the JSON as it went in."""
    scenario = load_scenario(path, catalog, shopping=True)
    try:
        sheet = plan(scenario, catalog, explained=False)
    except NothingToAssess:
        pytest.skip("a list for the store alone: nothing is on hand")
    file = tmp_path / "plan.json"
    file.write_text(sheet_json(sheet), encoding="utf-8")
    read = read_plan(file, catalog)
    assert read.sheet == sheet_object(sheet) | {"portions": {}}
    assert says_the_same(read.sheet, sheet_object(read.assessed))
    assert recorded_as(read.sheet, sheet_object(read.assessed))["status"] == sheet.status
    again = read_scenario(read.recipe.data, str(path), Lines({}), catalog, shopping=True)[0]
    assert again is not None
    assert without_lines(again) == without_lines(scenario)


def without_lines(scenario: Scenario) -> Scenario:
    """What a scenario says, wherever it stands."""
    none: dict[str, int] = {}
    items = tuple(replace(item, lines=none) for item in scenario.items)
    limits = tuple(replace(limit, line=0) for limit in scenario.limits)
    market = replace(
        scenario.market,
        lines=none,
        offers=tuple(replace(offer, line=0) for offer in scenario.market.offers),
        shares=tuple(replace(share, line=0) for share in scenario.market.shares),
    )
    return replace(scenario, items=items, limits=limits, lines=none, market=market)


def test_other_amounts_left_out_and_added(duck: tuple[Recipe, dict[str, Any]], catalog: Catalog) -> None:
    recipe, planned = duck
    weighed = ["taurine=1/4 tsp", "bone-meal=0", "turkey-heart=100 g", "kelp-powder=1/8 tsp", "duck-meat=5 lb"]
    made = as_weighed(recipe, catalog, texts(planned), weighed)
    lines = {line.id: (line.text, line.grams) for line in made.lines}
    assert lines["taurine-powder"] == ("1/4 tsp", pytest.approx(1.0))
    assert "bone-meal" not in lines
    assert lines["turkey-heart"] == ("100 g", 100.0)
    assert lines["duck-meat"] == ("5 lb", pytest.approx(2267.96, abs=0.01))
    assert lines["vitamin-e-softgel-400"][0] == texts(planned)["vitamin-e-softgel-400"]
    calcium = {line.nutrient.id: line for line in made.assessment.nutrients}["calcium"]
    was = next(line for line in planned["nutrients"] if line["id"] == "calcium")
    assert calcium.total < was["total"]


@pytest.mark.parametrize(
    ("weighed", "message"),
    [
        ("taurine", 'read "taurine"; allowed: an id and an amount, such as "taurine-powder=1/2 tsp"; 0 for what was'),
        ("tuarine-powder=1 tsp", "Did you mean taurine-powder"),
        ("vitamin-e-softgel-400=2 g", "a mass where a count is needed"),
        ("taurine-powder=2 capsules", "no such measure"),
        ("taurine-powder=1,5 g", "a comma in a number"),
        ("duck=1 kg", "one of duck-meat, duck-liver"),
    ],
)
def test_what_cannot_have_been_weighed_is_refused(
    duck: tuple[Recipe, dict[str, Any]], catalog: Catalog, weighed: str, message: str
) -> None:
    recipe, planned = duck
    with pytest.raises(InputErrors) as caught:
        as_weighed(recipe, catalog, texts(planned), [weighed])
    assert message in str(caught.value)


@pytest.mark.parametrize("text", ["", "{", "[]", "null", '{"status": "planned"}', '{"recipe": {}, "plan": 3}'])
def test_a_file_that_is_no_plan_is_refused(tmp_path: Path, text: str, catalog: Catalog) -> None:
    file = tmp_path / "plan.json"
    file.write_text(text, encoding="utf-8")
    with pytest.raises(InputErrors, match="allowed: the JSON that `weighout plan --json` prints"):
        read_plan(file, catalog)


Spoil = Callable[[dict[str, Any]], Any]


def spoilt(folder: Path, catalog: Catalog, spoil: Spoil) -> Path:
    """The JSON of a plan, changed by hand."""
    sheet = plan(load_scenario(SCENARIOS / "duck-and-quail-as-usual.toml", catalog), catalog, explained=False)
    data = json.loads(sheet_json(sheet))
    spoil(data)
    (folder / "plan.json").write_text(json.dumps(data), encoding="utf-8")
    return folder / "plan.json"


@pytest.mark.parametrize(
    ("spoil", "message"),
    [
        (lambda d: d["amounts"][0].update(grams=-5), "amounts[1].grams: read -5; allowed: grams above zero"),
        (lambda d: d["amounts"][0].pop("grams"), "amounts[1].grams: read nothing"),
        (lambda d: d["amounts"][1].update(text="40 tsp"), 'amounts[2].grams: read 10.8; allowed: what "40 tsp" weighs'),
        (lambda d: d["amounts"][1].update(id="onion-powder"), 'amounts[2].id: read "onion-powder"'),
        (lambda d: d["amounts"][1].update(text="12 wishes"), "amounts of yeast-brewers"),
        (lambda d: d["amounts"].clear(), "amounts: read []"),
        (lambda d: d["recipe"]["on_hand"][0].update(food="onion"), "refused: Onion"),
    ],
)
def test_amounts_that_cannot_be_are_refused(tmp_path: Path, catalog: Catalog, spoil: Spoil, message: str) -> None:
    with pytest.raises(InputErrors) as caught:
        read_plan(spoilt(tmp_path, catalog, spoil), catalog)
    assert message in str(caught.value)


@pytest.mark.parametrize(
    "spoil",
    [
        lambda d: d["nutrients"].clear(),
        lambda d: d["totals"].update(mass_g=1),
        lambda d: d["totals"].pop("cost"),
        lambda d: [line.update(status="met") for line in d["nutrients"]] and d["nutrients"][3].update(per_1000_kcal=99),
    ],
)
def test_what_a_file_says_of_its_amounts_is_worked_out_again(tmp_path: Path, catalog: Catalog, spoil: Spoil) -> None:
    read = read_plan(spoilt(tmp_path, catalog, spoil), catalog)
    assessed = sheet_object(read.assessed)
    assert not says_the_same(read.sheet, assessed)
    recorded = recorded_as(read.sheet, assessed)
    assert recorded["totals"] == assessed["totals"]
    assert recorded["nutrients"] == assessed["nutrients"]
    assert recorded["status"] == "assessed"
