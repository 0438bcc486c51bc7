"""Whole prey in the tables against analyses that were published apart from those that they were made of.

Kerr KR et al., Zoo Biology 33:327, 2014 (abstract): 20 whole mice, rats, rabbits, chickens, ducks and quail held 15 to 40 %
dry matter, of it 34 to 75 % protein, 10 to 60 % fat and 8 to 18 % ash. Kerr's feeding trial, 2013 (abstract): whole bone-in
poultry is short of manganese and copper.
"""

import pytest

from catalog.catalog import load_catalog

CATALOG, _ = load_catalog()
PREY = [food for food in CATALOG.foods.values() if "whole-prey" in food.tags]
SPREAD = {"protein": (34, 75), "fat": (10, 60), "ash": (8, 18)}  # % of dry matter


def per_dry_matter(food_id: str, nutrient: str) -> float:
    figures = CATALOG.foods[food_id].figures
    return 100 * figures[nutrient].value / (100 - figures["water"].value)


def test_there_are_a_chick_a_mouse_and_a_rat() -> None:
    assert {food.species for food in PREY} == {"chicken", "mouse", "rat"}


@pytest.mark.parametrize("food", PREY, ids=lambda food: food.id)
@pytest.mark.parametrize("nutrient", SPREAD)
def test_prey_lies_within_the_spread_of_published_analyses(food, nutrient):
    low, high = SPREAD[nutrient]
    assert low <= per_dry_matter(food.id, nutrient) <= high
    assert 15 <= 100 - food.figures["water"].value <= 40


@pytest.mark.parametrize(
    ("food", "calcium", "phosphorus"),
    # Small Animal Clinical Nutrition, 5th edition, as fed: worked out from its mg per kcal
    [("chick-day-old", 0.35, 0.26), ("mouse-adult-whole", 0.85, 0.61), ("rat-adult-whole", 0.70, 0.51)],
)
def test_calcium_and_phosphorus_are_those_of_the_textbook(food: str, calcium: float, phosphorus: float) -> None:
    figures = CATALOG.foods[food].figures
    assert figures["calcium"].value == pytest.approx(calcium, rel=0.02)
    assert figures["phosphorus"].value == pytest.approx(phosphorus, rel=0.02)


@pytest.mark.parametrize(
    ("food", "calcium"),
    # Dierenfeld ES et al., Zoo Biology 1996 (abstract): 1.2-2.3 % of dry matter in mice, 1.9-3.3 % in rats, most in adults
    [("mouse-adult-whole", (1.2, 2.3)), ("rat-adult-whole", (1.9, 3.3))],
)
def test_calcium_agrees_with_the_zoo_s_own_analyses(food: str, calcium: tuple[float, float]) -> None:
    low, high = calcium
    assert low * 0.95 <= per_dry_matter(food, "calcium") <= high * 1.05


@pytest.mark.parametrize("food", PREY, ids=lambda food: food.id)
@pytest.mark.parametrize("nutrient", ["taurine", "arginine", "iodine", "vitamin-d", "thiamine"])
def test_what_nobody_could_be_read_on_stays_unknown(food, nutrient):
    assert nutrient not in food.figures
