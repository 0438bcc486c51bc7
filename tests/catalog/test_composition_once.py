"""What a gram of a food holds is worked out once for a catalog, and anew for a changed one."""

from dataclasses import replace

import pytest

from catalog.catalog import load_catalog
from catalog.nutrition import composition
from catalog.nutrition.composition import Blend, blend
from catalog.records import Catalog, Food
from optimizer.planning import plan
from optimizer.scenario.read import load_scenario
from tests.conftest import SCENARIOS


def test_a_plan_with_all_its_reasons_works_each_composition_out_once(monkeypatch: pytest.MonkeyPatch) -> None:
    catalog = load_catalog()[0]
    asked: list[tuple[str, str, float | None]] = []
    work_out = composition._blend

    def counted(food: Food, catalog: Catalog, energy_method: str, bone_share: float | None) -> Blend:
        asked.append((food.id, energy_method, bone_share))
        return work_out(food, catalog, energy_method, bone_share)

    monkeypatch.setattr(composition, "_blend", counted)
    plan(load_scenario(SCENARIOS / "turkey-week.toml", catalog), catalog, why=True)
    assert asked
    assert len(asked) == len(set(asked))


def test_a_changed_catalog_works_it_out_anew() -> None:
    catalog = load_catalog()[0]
    flesh = catalog.foods["turkey-neck-bone-in"].parts[0].food
    before = blend(catalog.foods["turkey-neck-bone-in"], catalog, "modified-atwater").kcal
    fat = catalog.foods[flesh].figures["fat"]
    richer = replace(catalog.foods[flesh], figures={**catalog.foods[flesh].figures, "fat": replace(fat, value=40.0)})
    changed = replace(catalog, foods={**catalog.foods, flesh: richer})
    assert blend(changed.foods["turkey-neck-bone-in"], changed, "modified-atwater").kcal > before + 1
    assert blend(catalog.foods["turkey-neck-bone-in"], catalog, "modified-atwater").kcal == before
