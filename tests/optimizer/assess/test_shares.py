"""Parts of the meat by mass, and what a plan says where they pass common practice (common practice, no source)."""

import pytest

from catalog.catalog import load_catalog
from optimizer.assess.assessment import assess
from optimizer.assess.shares import grams_of_part
from optimizer.model.solve import choose
from optimizer.planning import plan
from optimizer.render.headline import headline
from optimizer.sheet.sheet import PLANNED, Sheet
from tests.altered import Data, as_written, demo, entry, scenario_of

CATALOG = load_catalog()[0]


def batch(**grams: int) -> Data:
    meat = [{"food": id_.replace("_", "-"), "amount": f"{mass} g"} for id_, mass in grams.items()]
    return {"on_hand": meat, "supplements": [{"supplement": "taurine-powder"}]}


def told(sheet: Sheet) -> list[str]:
    return [notice.text for notice in sheet.cautions if notice.code == "above-common-share"]


def weighed(data: Data) -> Sheet:
    return as_written(scenario_of(data, CATALOG), CATALOG)


def planned(data: Data) -> Sheet:
    return plan(scenario_of(data, CATALOG), CATALOG)


def test_bone_in_cuts_count_with_their_bone() -> None:
    sheet = weighed(batch(turkey_neck_bone_in=500, turkey_ground=500))
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
    assert [text.partition(" of the meat")[0] for text in told(weighed(batch(**grams)))] == words


def test_supplements_are_no_part_of_the_meat() -> None:
    data = batch(beef_heart=1000) | {"supplements": [{"supplement": "bone-meal", "exactly": "60 g"}]}
    assert told(weighed(data)) == []


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
    liver, ground = entry(data, "turkey-liver"), entry(data, "turkey-ground")
    del liver["amount"], ground["amount"]
    liver |= {"at_least": "1 oz", "up_to": "3 lb", "price": "0.01/lb"}
    ground |= {"up_to": "6 lb"}
    data["meat_at_least"] = "3 kg"
    sheet = planned(data)
    assert sheet.status == "planned"
    grams = {line.id: line.grams for line in sheet.lines}
    meat = sheet.assessment.totals.meat_g
    assert 0.05 < grams["turkey-liver"] / meat <= 0.10 + 1e-6
    assert told(sheet) == []


def test_where_the_meat_itself_is_mostly_bone_no_other_share_gives_way() -> None:
    """Bone is settled at more than half of the meat; of liver there would be plenty for next to nothing."""
    data = batch(turkey_neck_bone_in=900)
    data["currency"] = "USD"
    data["on_hand"].append({"food": "turkey-liver", "up_to": "500 g", "price": "0.01/kg"})
    data["on_hand"].append({"food": "turkey-ground", "up_to": "500 g", "price": "50/kg"})
    data["meat_at_least"] = "1.1 kg"
    scenario = scenario_of(data, CATALOG)
    choice = choose(scenario, CATALOG)
    found = assess(scenario, CATALOG, choice.amounts)
    assert [part.of for part in found.above_shares] == ["bone"]
    grams = {amount.item.id: amount.grams for amount in choice.amounts}
    assert 0 < grams["turkey-liver"] <= 0.10 * found.totals.meat_g * (1 + 1e-6)


def test_a_share_that_has_to_be_passed_is_passed_by_as_little_as_can_be() -> None:
    """1.2 kg of necks are three fifths bone; dear ground turkey thins them, and all that is on hand is taken."""
    data = demo("turkey-week")
    entry(data, "turkey-neck-bone-in")["amount"] = "1.2 kg"
    ground = entry(data, "turkey-ground")
    del ground["amount"]
    ground |= {"up_to": "1600 g", "price": "50/kg"}
    sheet = planned(data)
    assert sheet.status == PLANNED
    assert {line.id: line.grams for line in sheet.lines}["turkey-ground"] == 1600
    [bone] = sheet.assessment.above_shares
    meat = sheet.assessment.totals.meat_g
    assert bone.share == pytest.approx(0.6 * 1200 / meat)
    assert f"Bone is {bone.share:.0%} of the meat" in told(sheet)[0]
    assert "bone is 18 % of the meat, more than the usual 15 %" in headline(sheet)
