"""The shipped tables of foods: what must hold of every food, and what must stay unknown."""

import pytest

from catalog.catalog import load_catalog
from catalog.nutrition.composition import blend
from catalog.units.quantities import canonical_unit

CATALOG, _ = load_catalog()
FOODS = CATALOG.foods
PROXIMATES = ("water", "protein", "fat", "ash", "carbohydrate")
AMINO_ACIDS = (
    "arginine histidine isoleucine leucine lysine methionine cystine phenylalanine tyrosine threonine tryptophan valine"
).split()
SIMPLE = [food for food in FOODS.values() if food.role != "supplement" and not food.parts]
LAND_MUSCLE = ("poultry-light-muscle", "poultry-dark-muscle", "poultry-mixed-muscle", "red-muscle", "rabbit-muscle")


def test_there_are_foods_of_every_kind():
    roles = {food.role for food in SIMPLE}
    assert len(SIMPLE) >= 250
    assert roles >= {
        "cut", "organ", "bone", "egg", "fish", "shellfish", "fat", "oil", "vegetable", "fruit", "seed", "grain",
        "fibre", "dairy", "water",
    }  # fmt: skip


@pytest.mark.parametrize("food", SIMPLE, ids=lambda food: food.id)
def test_water_protein_fat_ash_and_carbohydrate_make_the_whole(food):
    parts = [food.figures[id_].value for id_ in PROXIMATES]
    assert 97 <= sum(parts) <= 103


def test_what_destroys_a_nutrient_is_the_tag_of_foods():
    # The reader takes any word here, and a misspelt one would destroy nothing. NRC 2006: thiaminase of raw fish.
    destroyed = {id_: nutrient.destroyed_by for id_, nutrient in CATALOG.nutrients.items() if nutrient.destroyed_by}
    assert destroyed == {"thiamine": "thiaminase"}
    assert {food.role for food in FOODS.values() if "thiaminase" in food.tags} == {"fish", "shellfish"}


@pytest.mark.parametrize("food", SIMPLE, ids=lambda food: food.id)
def test_amino_acids_are_part_of_the_protein(food):
    known = sum(food.figures[id_].value for id_ in AMINO_ACIDS if id_ in food.figures)
    assert known <= food.figures["protein"].value


def test_lean_meat_and_organs_hold_their_essential_amino_acids_in_the_usual_share_of_protein():
    for food in SIMPLE:
        if food.category in LAND_MUSCLE and all(id_ in food.figures for id_ in AMINO_ACIDS):
            known = sum(food.figures[id_].value for id_ in AMINO_ACIDS)
            assert 0.4 < known / food.figures["protein"].value < 0.66, food.id


def test_every_simple_food_has_figures_and_every_composite_has_none():
    for food in FOODS.values():
        if food.role == "supplement":
            continue
        assert bool(food.parts) != bool(food.figures), food.id


def test_only_bone_is_tagged_bone():
    assert {food.id for food in FOODS.values() if "bone" in food.tags and food.role != "supplement"} == {
        "poultry-bone-parts",
        "poultry-bone-whole-bird",
        "rabbit-bone",
    }


def test_bone_earns_no_amino_acid_but_an_explicit_zero_of_tryptophan():
    for food in SIMPLE:
        if food.role == "bone":
            assert [id_ for id_ in AMINO_ACIDS if id_ in food.figures] == ["tryptophan"]
            assert food.figures["tryptophan"].high == 0


@pytest.mark.parametrize(
    ("food", "nutrient"),
    [
        ("goose-liver", "manganese"),
        ("beef-spleen", "arachidonic-acid"),
        ("sardine-canned-oil-bone", "arachidonic-acid"),
        ("duck-meat", "arachidonic-acid"),
        ("salmon-oil", "vitamin-d"),
    ],
)
def test_what_the_release_prints_as_zero_or_leaves_out_stays_unknown(food, nutrient):
    assert nutrient not in FOODS[food].figures


def test_carotene_is_no_vitamin_a():
    for food in SIMPLE:
        if food.category in ("vegetable", "fruit", "seed", "grain"):
            assert food.figures["vitamin-a"].high == 0, food.id


def test_plants_earn_no_arachidonic_acid_epa_or_dha():
    for food in SIMPLE:
        if food.category in ("vegetable", "fruit", "seed", "grain", "plant-oil"):
            assert sum(food.figures[id_].low for id_ in ("arachidonic-acid", "epa", "dha")) == 0, food.id


def test_the_twenty_carbon_acid_of_fish_counts_half_towards_a_target():
    figure = FOODS["cod-atlantic"].figures["arachidonic-acid"]
    assert (figure.low, figure.value, figure.high) == (0.011, 0.022, 0.022)


def test_taurine_and_iodine_of_animals_count_on_their_safe_side():
    for food in SIMPLE:
        for nutrient in ("taurine", "iodine"):
            figure = food.figures.get(nutrient)
            if figure and figure.value and food.counts_as == "meat":
                assert figure.low < figure.high, (food.id, nutrient)
                assert figure.low <= figure.value <= figure.high


def test_the_retinol_of_liver_counts_high_towards_the_ceiling():
    for id_ in ("chicken-liver", "pork-liver", "beef-liver", "lamb-liver"):
        figure = FOODS[id_].figures["vitamin-a"]
        assert figure.low == figure.value < figure.high / 2, id_


def test_an_estimate_never_counts_at_one_value_unless_the_food_is_the_same_product():
    twins = {food.id for food in SIMPLE if "canned" in food.tags}
    for food in SIMPLE:
        if food.role == "bone" or food.id in twins:
            continue
        for nutrient, figure in food.figures.items():
            if figure.kind == "estimated" and figure.value:
                assert figure.low < figure.high, (food.id, nutrient)


def test_bone_in_cuts_hold_about_a_hundredth_plus_their_bone_in_calcium():
    for food in FOODS.values():
        if food.category != "bone-in":
            continue
        mixed = blend(food, CATALOG, "modified-atwater")
        density = {"poultry-bone-parts": 3.3, "poultry-bone-whole-bird": 2.5, "rabbit-bone": 2.9}[food.parts[-1].food]
        assert mixed.contents["calcium"].value * 100 == pytest.approx(0.01 + mixed.bone_share * density, abs=0.02)
        assert food.parts[-1].share_low <= mixed.bone_share <= food.parts[-1].share_high


def test_measures_are_words_a_scenario_can_use():
    for food in SIMPLE:
        for unit in food.measures:
            assert canonical_unit(unit) == unit, food.id


def test_an_egg_is_a_yolk_and_a_white():
    grams = {id_: FOODS[id_].measures[unit].grams for id_, unit in (("egg-yolk", "yolk"), ("egg-white", "white"))}
    assert sum(grams.values()) == FOODS["egg-whole"].measures["egg"].grams
    assert FOODS["cod-liver-oil"].measures["tsp"].grams == 4.5


def test_every_category_of_meat_has_a_high_end_for_what_can_poison():
    toxic = [nutrient.id for nutrient in CATALOG.nutrients.values() if nutrient.toxic]
    for category in {food.category for food in SIMPLE if food.counts_as == "meat"}:
        missing = [id_ for id_ in toxic if (category, id_) not in CATALOG.class_values]
        assert missing == [], category


def test_no_food_is_above_the_high_end_of_its_category():
    for food in SIMPLE:
        if "cooked" in food.tags and "canned" not in food.tags and food.counts_as == "meat":
            continue  # less water: the class is of raw food
        for nutrient, figure in food.figures.items():
            limit = CATALOG.class_values.get((food.category, nutrient))
            if food.id == "pork-belly" and nutrient in ("fat", "linoleic-acid"):
                continue  # more than half of it is fat: no measure of meat whose fat is unknown
            if limit:
                assert figure.high <= limit.high_per_100_g * 1.001, (food.id, nutrient)
