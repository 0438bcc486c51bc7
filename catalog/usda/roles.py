"""What a food of a USDA release is listed and counted as: a guess by USDA's food group and the words of its name.

Counting as meat is the lax side of a cap on what is no meat: a dish of meat with other things does not get it.
"""

import re
from dataclasses import dataclass

from catalog.records import Catalog

ORGANS = set(
    "liver heart kidney kidneys gizzard gizzards giblets spleen brain lung lungs tongue pancreas thymus stomach tripe "
    "testes chitterlings ears tail variety".split()
)
GAME = set(
    "seal whale walrus moose caribou elk deer bear bison beaver muskrat duck goose owl ptarmigan ascidians".split()
)
FISHES = set("fish salmon whitefish char cod halibut smelt herring burbot pike sheefish trout".split())
GROUPS_OF_MEAT = {"0500": "poultry", "1000": "pork", "1300": "beef", "1700": ""}
TAGS_OF_GROUPS = {**GROUPS_OF_MEAT, "0700": "salted"}
ROLES_OF_GROUPS = {
    "0100": "dairy",
    "0200": "vegetable",
    "0400": "oil",
    "0900": "fruit",
    "1100": "vegetable",
    "1200": "seed",
    "1400": "fruit",
    "1600": "seed",
    "3500": "vegetable",
}
OTHER_ROLE = "grain"  # cereals, bakery, sweets, dishes
# Raw fish and shellfish with thiaminase by some or all lists, beside those that the catalog tags: thiaminase-lists.
THIAMINASE = set(
    "alewife menhaden carp goldfish capelin minnow bullhead burbot whitefish clam clams mussel mussels shrimp "
    "crayfish herring smelt anchovy mackerel".split()
)


@dataclass(frozen=True, slots=True)
class Listing:
    """A food's role, what it counts as, and the tags that its name alone does not tell."""

    role: str
    counts_as: str
    tags: frozenset[str]


def listing(description: str, group: str) -> Listing:
    """What a food is listed as, by USDA's description and food group code (may be empty)."""
    words = set(re.findall(r"[a-z0-9]+", description.casefold()))
    first = re.findall(r"[a-z]+|$", description.casefold())[0]
    role, counts_as = _role(first, words, group)
    tags = {TAGS_OF_GROUPS.get(group, "")} - {""}
    if role in ("fish", "shellfish"):
        tags.add(role)
        if "raw" in words and words & THIAMINASE:
            tags.add("thiaminase")
    if group == "3500" and role == "cut":
        tags.add("game")
    if role == "egg" and "raw" in words and "yolk" not in words:
        tags |= {"raw-egg", "raw-egg-white"}
    return Listing(role, counts_as, frozenset(tags))


def _role(first: str, words: set[str], group: str) -> tuple[str, str]:
    if group in GROUPS_OF_MEAT or group == "0700":
        fat = words & {"suet", "backfat"} or (words >= {"separable", "fat"} and not words & {"lean", "meat"})
        return ("fat" if fat else "organ" if words & ORGANS else "cut"), "meat"
    if group == "1500" or (not group and first in ("fish", "crustaceans", "mollusks")):
        return ("shellfish" if first in ("crustaceans", "mollusks") else "fish"), "meat"
    if first == "egg" and group in ("0100", ""):
        return "egg", "meat"
    if group == "0400" and first in ("fat", "lard"):
        return "fat", "meat"
    if group == "0400" and first == "fish":
        return "oil", "meat"
    if group == "3500" and words & (GAME | FISHES) and "stew" not in words and "soup" not in words:
        return ("fish" if words & FISHES else "cut"), "meat"
    return ROLES_OF_GROUPS.get(group, OTHER_ROLE if group else "vegetable"), "non-meat"


def same_food(ndb_no: str, catalog: Catalog) -> str:
    """The id of the catalog's own food of an NDB number, or an empty text."""
    return next((food.id for food in catalog.foods.values() if ndb_no and food.ndb_no == ndb_no), "")
