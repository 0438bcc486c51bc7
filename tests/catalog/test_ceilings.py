"""Guard ceilings: what a plan keeps below although its standard does not ask for it."""

import pytest

from catalog.ceilings import guard_ceilings, guard_steps
from catalog.records import Catalog, Condition

LEGAL = {
    "iron": 681.8,
    "copper": 28.0,
    "manganese": 170.0,
    "zinc": 227.0,
    "iodine": 11000.0,
    "selenium": 568.0,
    "vitamin-d": 2270.0,
}  # in the nutrient's unit per kg of dry matter


@pytest.mark.parametrize("life_stage", ["adult", "growth"])
@pytest.mark.parametrize("standard", ["fediaf-75", "fediaf-100"])
def test_the_legal_maxima_of_a_standard_are_guards_where_a_jar_of_the_substance_goes_in(
    catalog: Catalog, standard: str, life_stage: str
) -> None:
    guards = guard_ceilings(catalog, catalog.standards[standard, life_stage])
    legal = [guard for guard in guards if guard.maximum_kind == "legal"]
    assert {guard.nutrient: guard.maximum for guard in legal} == LEGAL
    assert {guard.basis for guard in legal} == {"per_kg_dry_matter"}
    assert [guard.condition for guard in legal] == [Condition(guard.nutrient, 0.0, "mass") for guard in legal]


@pytest.mark.parametrize("nutrient", LEGAL)
def test_only_jars_are_tagged_by_what_they_bring(catalog: Catalog, nutrient: str) -> None:
    tagged = [food for food in catalog.foods.values() if nutrient in food.tags]
    assert tagged
    assert {food.role for food in tagged} == {"supplement"}


@pytest.mark.parametrize("standard", ["aafco", "nrc"])
def test_the_law_of_one_place_is_no_guard_of_another_standard(catalog: Catalog, standard: str) -> None:
    guards = guard_ceilings(catalog, catalog.standards[standard, "adult"])
    assert guards
    assert not [guard for guard in guards if guard.maximum_kind == "legal" or guard.condition]


def test_guards_are_given_up_the_law_on_feed_for_sale_first(catalog: Catalog) -> None:
    steps = list(guard_steps(catalog, catalog.standards["fediaf-75", "adult"]))
    assert [{guard.maximum_kind == "legal" for guard in guards} for guards in steps] == [{True, False}, {False}, set()]
    assert steps[1] == tuple(guard for guard in steps[0] if guard.maximum_kind != "legal")
    assert len(list(guard_steps(catalog, catalog.standards["nrc", "adult"]))) == 2
