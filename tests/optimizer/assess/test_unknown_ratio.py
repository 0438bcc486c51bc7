"""A ratio of which one side is unknown is unknown, never infinite (found with an imported food)."""

import json

from catalog.records import Catalog
from optimizer.checking import check
from optimizer.render.json.sheet import sheet_json
from optimizer.render.text.sheet import sheet_text
from optimizer.scenario.records import Scenario
from tests.altered import scenario_of


def without_phosphorus(catalog: Catalog) -> tuple[Scenario, Catalog]:
    from dataclasses import replace

    food = catalog.foods["turkey-ground"]
    figures = {id_: figure for id_, figure in food.figures.items() if id_ != "phosphorus"}
    known = replace(catalog, foods={**catalog.foods, food.id: replace(food, figures=figures)})
    return scenario_of({"on_hand": [{"food": "turkey-ground", "amount": "1 kg"}]}, known), known


def test_calcium_over_unknown_phosphorus_is_unknown(catalog: Catalog) -> None:
    sheet = check(*without_phosphorus(catalog), explained=False)
    [ratio] = sheet.assessment.ratios
    assert ratio.value is None
    assert ratio.status == "unknown"
    assert not sheet.assessment.all_met
    assert json.loads(sheet_json(sheet))["ratios"][0]["value"] is None
    assert "no figure" in sheet_text(sheet)
