"""Parts of the meat by mass, and what a plan says where they pass common practice (common practice, no source)."""

import pytest

from catalog.ceilings import plan_guards
from catalog.library import load_catalog
from optimizer.plan import plan
from optimizer.problem import build
from optimizer.shares import grams_of_part
from optimizer.sheet import Sheet
from tests.altered import Data, demo, scenario_of

CATALOG = load_catalog()[0]


def batch(**grams: int) -> Data:
    meat = [{"food": id_.replace("_", "-"), "amount": f"{mass} g"} for id_, mass in grams.items()]
    return {"on_hand": meat, "supplements": [{"supplement": "taurine-powder"}]}


def told(sheet: Sheet) -> list[str]:
    return [notice.text for notice in sheet.cautions if notice.code == "above-common-share"]


def planned(data: Data) -> Sheet:
    return plan(scenario_of(data, CATALOG), CATALOG)


def test_bone_in_cuts_count_with_their_bone() -> None:
    scenario = scenario_of(batch(turkey_neck_bone_in=500, turkey_ground=500), CATALOG)
    sheet = plan(scenario, CATALOG)
    neck = CATALOG.foods["turkey-neck-bone-in"]
    bone = sum(part.share for part in neck.parts if "bone" in CATALOG.foods[part.food].tags)
    [notice] = told(sheet)
    assert notice.startswith(f"Bone is {bone / 2:.0%} of the meat; 15% is the most that is usual (common practice, no")


@pytest.mark.parametrize(
    ("grams", "words"),
    [
        ({"beef_liver": 90, "beef_heart": 910}, []),
        ({"beef_liver": 110, "beef_heart": 890}, ["Liver is 11%"]),
        ({"beef_kidney": 160, "beef_heart": 840}, ["Secreting organ is 16%"]),
        ({"beef_liver": 120, "pork_spleen": 50, "beef_heart": 830}, ["Liver is 12%", "Secreting organ is 17%"]),
        ({"beef_heart": 500, "chicken_gizzard": 500}, []),  # muscle, however it is listed
    ],
)
def test_organs_count_by_what_they_are(grams: dict[str, int], words: list[str]) -> None:
    assert [text.partition(" of the meat")[0] for text in told(planned(batch(**grams)))] == words


def test_supplements_are_no_part_of_the_meat() -> None:
    data = batch(beef_heart=1000) | {"supplements": [{"supplement": "bone-meal", "exactly": "60 g"}]}
    assert told(planned(data)) == []


def test_a_part_is_a_tag_a_species_a_role_or_one_food() -> None:
    scenario = scenario_of(batch(beef_liver=100, beef_heart=700, turkey_neck_bone_in=200), CATALOG)
    counted = [(item, float(item.fixed)) for item in scenario.items if item.fixed is not None]
    parts = {
        of: grams_of_part(counted, of, scenario, CATALOG) for of in ("liver", "beef", "organ", "beef-heart", "goat")
    }
    assert parts == {
        "liver": (100, 1000),
        "beef": (800, 1000),
        "organ": (800, 1000),
        "beef-heart": (700, 1000),
        "goat": (0, 1000),
    }


def test_a_plan_takes_no_more_liver_than_is_common_where_it_has_a_choice() -> None:
    """Liver is cheap: of a free choice without this rule most of it would go in."""
    data = demo("turkey-week")
    for entry in data["on_hand"]:
        if entry["food"] == "turkey-liver":
            del entry["amount"]
            entry |= {"at_least": "1 oz", "up_to": "3 lb", "price": "0.01/lb"}
    data["on_hand"] = [e | {"up_to": "6 lb"} if e["food"] == "turkey-ground" else e for e in data["on_hand"]]
    for entry in data["on_hand"]:
        if entry["food"] == "turkey-ground":
            entry.pop("amount")
    data["meat_at_least"] = "3 kg"
    sheet = planned(data)
    assert sheet.status == "planned"
    grams = {line.id: line.grams for line in sheet.lines}
    meat = sheet.assessment.totals.meat_g
    assert 0.05 < grams["turkey-liver"] / meat <= 0.10 + 1e-6
    assert told(sheet) == []


def test_where_the_meat_itself_is_mostly_bone_the_other_guards_still_hold() -> None:
    scenario = scenario_of(batch(turkey_neck_bone_in=900, turkey_liver=60), CATALOG)
    problem = build(scenario, CATALOG, *next(plan_guards(CATALOG, scenario.standard)))
    kept = {row.id for row in problem.rows if row.id.startswith("common:")}
    assert kept == set()  # bone cannot be kept, liver and organs are settled
    assert [row for row in problem.rows if row.tier == "safety"]
