"""Parts of the meat by mass, and what a plan says where they pass common practice (common practice, no source)."""

import pytest

from catalog.library import load_catalog
from optimizer.assessment import Amount
from optimizer.plan import plan
from optimizer.shares import grams_of_part
from optimizer.sheet import Sheet
from tests.altered import Data, scenario_of

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
    counted = [Amount(item, item.fixed) for item in scenario.items if item.fixed is not None]
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
