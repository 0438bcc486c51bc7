"""What was weighed, from a scenario or from a plan's JSON: the same figures as the plan, other amounts, refusals."""

import json
from pathlib import Path
from typing import Any

import pytest

from catalog.reading.toml_lines import Lines
from catalog.records import Catalog
from optimizer.errors import InputErrors
from optimizer.journal.recipes import Recipe, as_weighed, data_of_plan, read_plan, read_recipe, recipe_of
from optimizer.planning import plan
from optimizer.render.json.sheet import sheet_object
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


def test_a_plan_as_json_holds_all_that_its_figures_need(
    duck: tuple[Recipe, dict[str, Any]], catalog: Catalog, tmp_path: Path
) -> None:
    """The home-weighed pump stroke and bone share are not in the catalog: they have to come out of the JSON."""
    _, planned = duck
    file = tmp_path / "plan.json"
    file.write_text(json.dumps(planned), encoding="utf-8")
    read, data = read_plan(file, catalog)
    again = recipe_of(data, str(file), Lines({}), catalog)
    made = sheet_object(as_weighed(again, catalog, texts(planned), []))
    assert read == planned
    for one, other in zip(made["nutrients"], planned["nutrients"], strict=True):
        assert one["per_1000_kcal"] == pytest.approx(other["per_1000_kcal"], rel=1e-8), one["id"]
    assert {line["id"]: line["grams"] for line in made["amounts"]} == pytest.approx(
        {line["id"]: line["grams"] for line in planned["amounts"]}
    )


def test_limits_of_ones_own_come_out_of_the_json(catalog: Catalog) -> None:
    recipe = read_recipe(SCENARIOS / "boneless-beef.toml", catalog)
    assert recipe.scenario.limits
    planned = sheet_object(plan(recipe.scenario, catalog))
    again = recipe_of(data_of_plan(planned, catalog), "plan.json", Lines({}), catalog)
    bounds = {line["id"]: (line["minimum"], line["maximum"]) for line in planned["nutrients"]}
    made = sheet_object(as_weighed(again, catalog, texts(planned), []))
    for line in made["nutrients"]:
        for bound, was in zip((line["minimum"], line["maximum"]), bounds[line["id"]], strict=True):
            assert bound == (was if was is None else pytest.approx(was, rel=1e-7)), line["id"]


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
def test_a_file_that_is_no_plan_is_refused(tmp_path: Path, catalog: Catalog, text: str) -> None:
    file = tmp_path / "plan.json"
    file.write_text(text, encoding="utf-8")
    with pytest.raises(InputErrors, match="allowed: the JSON that `weighout plan --json` prints"):
        read_plan(file, catalog)
