"""Finds foods by words of their id, name, species or tags."""

from catalog.records import Catalog, Food


def find_foods(catalog: Catalog, words: str) -> list[Food]:
    """The foods in which every one of `words` occurs, in the order of their roles and ids; all without words."""
    wanted = words.lower().split()
    found = [food for food in catalog.foods.values() if all(word in _text(food) for word in wanted)]
    return sorted(found, key=lambda food: (food.role == "supplement", food.role, food.id))


def _text(food: Food) -> str:
    return " ".join((food.id, food.name, food.role, food.species, food.description, *food.tags)).lower()
