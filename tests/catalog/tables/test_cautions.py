"""Cautions: each can be acted on, names its source and year, and hits what it means and nothing else."""

import re

import pytest

from catalog.catalog import load_catalog
from catalog.nutrition.refusals import refusal
from catalog.records import Caution

CATALOG, MISTAKES = load_catalog()
REFUSED = [caution for caution in CATALOG.cautions if caution.level == "refuse"]
SHOWN = [caution for caution in CATALOG.cautions if caution.level != "refuse"]
TAGS = {tag for food in CATALOG.foods.values() for tag in food.tags}


def refusals(name: str) -> list[str]:
    """The code that refuses a name, in a list; an empty list for what is safe."""
    found = refusal(name, REFUSED)
    return [found.code] if found else []


def test_the_table_of_cautions_has_no_mistakes() -> None:
    assert [str(m) for m in MISTAKES if m.file.endswith("cautions.csv")] == []
    codes = [caution.code for caution in CATALOG.cautions]
    assert len(codes) == len(set(codes))
    assert len(SHOWN) >= 40
    assert len(REFUSED) >= 40


@pytest.mark.parametrize("caution", CATALOG.cautions, ids=lambda caution: caution.code)
def test_a_caution_is_short_and_says_who_said_it_and_when(caution: Caution) -> None:
    assert re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", caution.code)
    assert caution.text.endswith(".")
    assert 20 <= len(caution.text) <= 300
    assert re.fullmatch(r"(19|20)\d\d", caution.year)
    assert caution.year in CATALOG.sources[caution.source.partition(":")[0]]
    assert caution.confidence in ("read", "memory")


@pytest.mark.parametrize("caution", SHOWN, ids=lambda caution: caution.code)
def test_a_caution_is_shown_for_something_that_exists(caution: Caution) -> None:
    kind, _, word = caution.when.partition(":")
    assert kind in ("always", "life-stage", "growth-of", "no-standard", "own-standard", "tag", "computed")
    assert kind != "growth-of" or (word, "growth") in CATALOG.standards
    assert kind != "tag" or word in TAGS
    assert kind != "life-stage" or word == "growth"


@pytest.mark.parametrize("caution", REFUSED, ids=lambda caution: caution.code)
def test_a_refusal_names_lower_case_words(caution: Caution) -> None:
    assert re.fullmatch(r"name:[a-zà-ÿ]+( [a-zà-ÿ]+)*", caution.when)


@pytest.mark.parametrize(
    "name",
    [
        "garlic-powder",
        "onion",
        "spring-onions",
        "dried-chives",
        "raisins",
        "cocoa-powder",
        "green-tea",
        "xylitol",
        "alpha-lipoic-acid",
        "tea-tree-oil",
        "oregano-essential-oil",
        "copper-oxide",
        "oyster-shell-calcium",
        "dolomite",
        "garden-bone-meal",
        "macadamia-nut",
        "chicken-cooked-bones",
        "bread-dough",
        "wild-boar-heart",
    ],
)
def test_what_harms_cats_is_refused(name: str) -> None:
    assert refusals(name)


@pytest.mark.parametrize(
    "name",
    [
        "beef-steak",
        "grapeseed-oil",
        "alpha-linolenic-acid",
        "magnesium-oxide",
        "oyster-pacific",
        "bone-meal",
        "teal-breast",
        "copper-gluconate",
        "sweet-potato-raw",
        "yeast-brewers",
        "beer-yeast",
        "chicken-neck-bone-in",
        "cottage-cheese-creamed",
        "salmon-oil",
        "essential-amino-acids",
        "goat-milk",
    ],
)
def test_innocent_names_are_not_refused(name: str) -> None:
    assert refusals(name) == []


def test_nothing_in_the_catalog_is_refused_by_its_own_name() -> None:
    hit = {food.id: codes for food in CATALOG.foods.values() if (codes := refusals(f"{food.id} {food.name}"))}
    assert hit == {}


@pytest.mark.parametrize(
    "tag",
    "poultry pork beef rabbit fish shellfish fish-oil cod-liver-oil liver bone raw-egg-white thiaminase kelp salted "
    "milk game iodine-unlabelled vitamin-a vitamin-d iron selenium zinc psyllium".split(),
)
def test_each_known_hazard_has_a_caution(tag: str) -> None:
    assert [c.code for c in SHOWN if c.when == f"tag:{tag}"]


@pytest.mark.parametrize("word", ["veterinary", "Thaw", "refrigerator", "pregnant", "label"])
def test_every_batch_is_told_the_basics(word: str) -> None:
    assert any(word in c.text for c in SHOWN if c.when == "always")


def test_the_first_three_general_ones_are_short_enough_for_a_line_each() -> None:
    first, second, third = [c.text for c in SHOWN if c.when == "always"][:3]
    assert max(len(first), len(second), len(third)) <= 97  # of a screen of 100 columns
    assert "veterinary" in first
    assert "germs" in second
    assert "refrigerator" in third


@pytest.mark.parametrize("caution", SHOWN, ids=lambda caution: caution.code)
def test_a_caution_shown_beside_a_dose_never_says_that_the_dose_should_not_be_there(caution: Caution) -> None:
    assert not re.search(r"only when|only where the plan|do not add|leave out added|use none", caution.text)


def test_what_kills_stands_before_what_spoils_a_figure() -> None:
    place = {caution.code: number for number, caution in enumerate(SHOWN)}
    kills = (
        "above-another-ceiling",
        "vitamin-d-drops",
        "poultry-avian-influenza",
        "fish-thiaminase",
        "iron-veterinarian",
    )
    spoils = ("limits-from-memory", "unknown-figures", "no-price", "poultry-do-not-rinse", "beef-risk-material")
    assert max(place[code] for code in kills) < min(place[code] for code in spoils)


def test_growing_cats_are_sent_to_a_veterinarian() -> None:
    assert any("veterinarian" in c.text for c in SHOWN if c.when == "life-stage:growth")
