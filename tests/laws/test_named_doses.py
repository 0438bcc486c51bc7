"""Doses that were once printed and would have poisoned a cat, each with the fridge that it came from."""

import shutil
from pathlib import Path
from typing import Any

import pytest

from catalog.catalog import TABLES, load_catalog
from optimizer.planning import plan
from optimizer.render.json.sheet import sheet_object
from tests.altered import Data, changed, demo, entry, scenario_of
from tests.laws.planning import CATALOG, counts, doses, faults, per_1000_kcal, planned, told


def jars(*ids: str | dict[str, str]) -> list[dict[str, str]]:
    return [{"supplement": id_} if isinstance(id_, str) else id_ for id_ in ids]


def foods(**amounts: str) -> list[dict[str, str]]:
    """Foods that all go in, their ids with underscores."""
    return [{"food": id_.replace("_", "-"), "amount": amount} for id_, amount in amounts.items()]


LEAN_PORK: Data = {
    "title": "Lean pork, heart and liver with eight jars",
    "standard": "aafco",
    "aim": "fewest",
    "on_hand": foods(pork_shoulder_lean="1.5 kg", pork_heart="500 g", pork_liver="120 g"),
    "supplements": jars(
        "vitamin-e-softgel-200",
        "vitamin-d3-drops-400",
        "eggshell-powder",
        "salt-iodised-us",
        "manganese-gluconate",
        "taurine-powder",
        "b-complex-50",
        "choline-bitartrate",
    ),
}


def signed(data: Data) -> dict[str, Any]:
    """A plan without fault."""
    kitchen, found = planned(data)
    wrong = faults(kitchen, found)
    assert not wrong, told(wrong, data)
    return found


def test_vitamin_e_and_d_are_no_food_that_thins_out_methionine() -> None:
    """Once 240 vitamin E softgels and 96 drops of D3."""
    found = signed(LEAN_PORK)
    assert found["status"] == "out_of_reach"
    assert "methionine" in [miss["id"] for miss in found["nearest"]["misses"]]
    assert counts(found).get("vitamin-e-softgel-200", 0) <= 1
    assert counts(found).get("vitamin-d3-drops-400", 0) <= 1


def test_lard_is_what_thins_out_methionine_and_the_remedy_says_so() -> None:
    with_lard = changed(LEAN_PORK, on_hand=[*LEAN_PORK["on_hand"], {"food": "lard", "up_to": "60 g"}])
    found = signed(with_lard)
    assert found["status"] == "planned"
    assert counts(found).get("vitamin-e-softgel-200", 0) <= 1
    assert counts(found).get("vitamin-d3-drops-400", 0) <= 1
    told_of = sheet_object(plan(scenario_of(LEAN_PORK, CATALOG), CATALOG))["reasons"]["remedies"]
    fats = {food.id for food in CATALOG.foods.values() if food.role == "fat"}
    assert any(fats & {change["id"] for change in remedy["changes"]} for remedy in told_of)


def test_a_b_complex_is_not_taken_by_the_jar_for_its_choline() -> None:
    """Once 76 capsules: 414 mg of vitamin B6 per 1000 kcal."""
    found = signed(
        {
            "title": "Chicken breast and wings",
            "standard": "fediaf-75",
            "aim": "fewest",
            "on_hand": foods(chicken_breast_meat="1.5 kg", chicken_wing_bone_in="1.2 kg"),
            "supplements": jars(
                "b-complex-50",
                "taurine-powder",
                "vitamin-e-softgel-200",
                "kelp-tablet-225",
                "zinc-gluconate",
                "manganese-gluconate",
                "copper-gluconate",
                "iron-bisglycinate",
                "cod-liver-oil",
                "potassium-chloride",
                "salt-iodised-us",
                "folic-acid-400",
                "safflower-oil-linoleic",
            ),
        }
    )
    assert counts(found).get("b-complex-50", 0) <= 2
    assert per_1000_kcal(found)["vitamin-b6"] <= 60


def test_a_guard_passed_by_hand_takes_no_other_with_it() -> None:
    """Eight thiamine tablets set by hand once dropped every guard: vitamin E 32,689 IU per 1000 kcal, 16 % liver."""
    data = changed(demo("turkey-week"), aim="fewest")
    entry(data, "thiamin-100").update(exactly="8 tablets")
    liver = entry(data, "turkey-liver")
    del liver["amount"]
    liver["up_to"] = "600 g"
    found = signed(data)
    assert [(guard["kind"], guard["id"]) for guard in found["guards_passed"]] == [("guard", "thiamine")]
    assert "thiamine" in found["headline"].lower()
    assert per_1000_kcal(found)["vitamin-e"] <= 300
    assert liver_share(found) <= 0.10


def liver_share(found: dict[str, Any]) -> float:
    liver = sum(line["grams"] for line in found["amounts"] if line["id"] == "turkey-liver")
    return float(liver / found["totals"]["meat_g"])


@pytest.mark.parametrize("aim", ["cost", "fewest"])
def test_liver_stays_within_what_is_common(aim: str) -> None:
    """Once 580 g of 600 g of liver that may go in."""
    data = changed(demo("turkey-week"), aim=aim)
    liver = entry(data, "turkey-liver")
    del liver["amount"]
    liver["up_to"] = "600 g"
    assert liver_share(signed(data)) <= 0.10


@pytest.mark.parametrize("aim", ["cost", "fewest"])
@pytest.mark.parametrize("salt", ["salt-table", "salt-not-iodised", "salt-iodised-us"])
def test_salt_is_not_taken_for_its_traces_of_copper(aim: str, salt: str) -> None:
    """Once 16 3/4 tsp of it."""
    data = changed(demo("turkey-week"), aim=aim)
    without = ("copper-bisglycinate", "b-complex-50", "salt-table")
    kept = [e for e in data["supplements"] if e["supplement"] not in without]
    on_hand = [e for e in data["on_hand"] if e["food"] not in ("turkey-liver", "beef-spleen")]
    found = signed(changed(data, on_hand=on_hand, supplements=[*kept, {"supplement": salt}]))
    assert counts(found).get(salt, 0) <= 2.5


def test_an_unpriced_oil_is_not_free() -> None:
    """Once 59 tsp of fish oil that had no price."""
    data = demo("turkey-week")
    for name in ("salmon-oil", "taurine-powder"):
        del entry(data, name)["price"]
    del data["on_hand"][5]  # the skin: something else has to bring the fat
    found = signed(data)
    assert counts(found).get("salmon-oil", 0) <= 2


@pytest.mark.parametrize("aim", ["cost", "fewest"])
def test_cod_liver_oil_is_not_taken_by_the_hundred(aim: str) -> None:
    """Once 298 capsules."""
    data = changed(LEAN_PORK, aim=aim, standard="fediaf-100")
    data["supplements"] = [
        *data["supplements"],
        *jars("cod-liver-oil", "cod-liver-oil-double", "fish-oil-softgel-1000"),
    ]
    found = signed(data)
    assert sum(count for id_, count in counts(found).items() if "oil" in id_) <= 6


@pytest.mark.parametrize(
    ("neck", "dark"),
    [("turkey-neck-bone-in", "turkey-dark-meat"), ("turkey-neck-bone-in", "turkey-dark-meat-skin")],
)
@pytest.mark.parametrize("beef", ["beef-ground-90-lean", "beef-ground-95-lean", "beef-top-round-lean"])
def test_the_nearest_mix_misses_least_of_the_final_batch(beef: str, neck: str, dark: str) -> None:
    """With ground beef, 90 % lean, once 989.5 % in sum, where 752.7 % could be had."""
    on_hand = [
        {"food": beef, "amount": "1 kg"},
        {"food": neck, "up_to": "3 kg"},
        {"food": dark, "up_to": "9 kg"},
    ]
    found = signed({"title": "Beef and turkey", "standard": "aafco", "on_hand": on_hand})
    assert sum(miss["percent"] for miss in found["nearest"]["misses"]) <= 752.7


STANDARD = """life_stage,nutrient,basis,minimum,maximum,unit,of,above,condition,maximum_kind,dm_minimum,dm_maximum,dm_unit,source,confidence,note
adult,vitamin-e,per-1000-kcal,1,12,IU,,,,nutritional,,,,common-practice:made up,memory,
adult,zinc,per-1000-kcal,1,20,mg,,,,nutritional,,,,common-practice:made up,memory,
adult,selenium,per-1000-kcal,1,80,ug,,,,nutritional,,,,common-practice:made up,memory,
"""


def test_another_standard_in_the_tables_changes_no_plan(tmp_path: Path) -> None:
    """Guards were once borrowed from whatever standards stood in the tables; these three ceilings are strict ones."""
    folder = tmp_path / "tables"
    shutil.copytree(TABLES, folder)
    index = folder / "standards" / "index.csv"
    rows = index.read_text(encoding="utf-8").splitlines()
    columns = next(row for row in rows if row.startswith("id,")).split(",")
    made_up = {"id": "strict", "name": "Made up", "edition": "1", "publisher": "Nobody", "energy": "modified-atwater"}
    rows.append(",".join(made_up.get(column, "") for column in columns))
    index.write_text("\n".join(rows) + "\n", encoding="utf-8")
    (folder / "standards" / "strict.csv").write_text(STANDARD, encoding="utf-8")
    other, mistakes = load_catalog(folder)
    assert mistakes == []
    assert ("strict", "adult") in other.standards
    for name in ("turkey-week", "boneless-beef", "rabbit-few-jars", "lamb-and-fish"):
        before, after = (
            doses(sheet_object(plan(scenario_of(demo(name), catalog), catalog))) for catalog in (CATALOG, other)
        )
        assert before == after
