"""What is refused by name, and what only sounds like it."""

import pytest

from catalog.nutrition.refusals import refusal
from catalog.records import Catalog


@pytest.mark.parametrize(
    "name",
    [
        "onion-powder",
        "Garlic and herbs",
        "tea_tree oil",
        "cooked chicken bones",
        "Xylitol",
        "Onionpowder",
        "garlicky broth",
        "Onion free range",
        "onion free from grit",
        "fat-free grapes",
        "ＯＮＩＯＮ",
        "on\u200bion",
        "Echalote",
        "Bärlauchpesto",
        "Barlauch",
        "ZWIEBELPULVER",
    ],
)
def test_a_word_of_what_harms_cats_is_enough(catalog: Catalog, name: str) -> None:
    assert refusal(name, catalog.cautions) is not None


@pytest.mark.parametrize(
    "name",
    [
        "turkey-heart",
        "vitamin E drops, alcohol-free",
        "kelp without garlic",
        "broth, free from onion",
        "free range chicken",
        "teal",
        "steak",
        "Schweinefleisch",
        "grapeseed oil",
    ],
)
def test_what_is_not_in_it_or_only_sounds_alike_is_no_reason(catalog: Catalog, name: str) -> None:
    assert refusal(name, catalog.cautions) is None


def test_no_food_of_the_catalog_is_refused(catalog: Catalog) -> None:
    assert [food.id for food in catalog.foods.values() if refusal(food.id, catalog.cautions)] == []
