"""Calcium and phosphorus of bone-in cuts against published analyses of whole animals; sources beside each check."""

import pytest

from catalog.catalog import load_catalog
from catalog.nutrition.composition import blend, bone_interval_of

CATALOG, _ = load_catalog()


def grams_per_100_g(food_id, bone_share=None):
    """Calcium and phosphorus of a food."""
    contents = blend(CATALOG.foods[food_id], CATALOG, "modified-atwater", bone_share).contents
    return contents["calcium"].value * 100, contents["phosphorus"].value * 100


def test_whole_chicken_has_the_calcium_to_phosphorus_ratio_of_whole_broiler_bodies():
    # Empty feather-free bodies of broilers at 105 days (Cobb 700): 54 g Ca and 35 g P (male), 37 and 27 g (female),
    # a ratio of 1.54 and 1.37. Our whole chicken has no head, feet or blood; 1.3 to 1.7 is taken as agreement.
    for food_id in ("chicken-whole-bone-in", "chicken-whole-giblets-bone-in", "chicken-stewing-whole-bone-in"):
        calcium, phosphorus = grams_per_100_g(food_id)
        assert 1.3 <= calcium / phosphorus <= 1.7, food_id


def test_whole_chicken_has_the_calcium_of_whole_adult_chickens():
    # Dierenfeld and others, Nutrient composition of whole vertebrate prey, 2002 (figures recollected): whole adult
    # chicken 32.5 % dry matter with 2.22 % Ca and 1.40 % P of dry matter, 0.72 and 0.46 g per 100 g.
    calcium, phosphorus = grams_per_100_g("chicken-whole-bone-in")
    assert calcium == pytest.approx(0.325 * 2.22, rel=0.1)
    assert phosphorus == pytest.approx(0.325 * 1.40, rel=0.1)


def test_whole_rabbit_lies_near_whole_rabbits():
    # The same tables (recollected): large whole rabbit 26.2 % dry matter with 2.35 % Ca, 1.65 % P: 0.62 and 0.43 g.
    calcium, phosphorus = grams_per_100_g("rabbit-whole-bone-in")
    assert calcium == pytest.approx(0.262 * 2.35, rel=0.2)
    assert phosphorus == pytest.approx(0.262 * 1.65, rel=0.2)


def test_whole_quail_lies_within_its_wide_interval():
    # The same tables (recollected): adult whole quail 34.6 % dry matter with 3.43 % Ca: 1.19 g per 100 g.
    low, high = bone_interval_of(CATALOG.foods["quail-whole-bone-in"], CATALOG.foods)
    least, most = (grams_per_100_g("quail-whole-bone-in", share)[0] for share in (low, high))
    assert least < 0.346 * 3.43 < most


def test_boneless_ground_meat_has_less_calcium_than_mechanically_separated_meat():
    # USDA SR28 05304, turkey, mechanically deboned: 145 mg Ca per 100 g.
    for food in CATALOG.foods.values():
        if food.role == "cut" and "calcium" in food.figures and "mechanically-separated" not in food.id:
            assert food.figures["calcium"].value < 0.145, food.id


def test_poultry_bone_keeps_the_calcium_share_of_bone_ash():
    # Field 2000, Meat Science 55:255 (abstract): calcium is 37 % (36 to 38) of bone ash. What is left on the bone adds
    # ash without calcium.
    for food_id in ("poultry-bone-parts", "poultry-bone-whole-bird", "rabbit-bone"):
        figures = CATALOG.foods[food_id].figures
        assert 0.33 <= figures["calcium"].value / figures["ash"].value <= 0.38, food_id


def test_ground_poultry_bone_with_meat_on_it_lies_between_flesh_and_bone():
    # Kakimov and others 2021 (abstract): ground neck, drumstick, wing and breast bones with meat left on, 1.654 g Ca.
    bone = CATALOG.foods["poultry-bone-parts"].figures["calcium"].value
    assert grams_per_100_g("chicken-wing-bone-in")[0] < 1.654 < bone


def grams_of_dry_matter(food_id, nutrient):
    """Grams of a nutrient in 100 g of a food's dry matter."""
    found = blend(CATALOG.foods[food_id], CATALOG, "modified-atwater")
    return 100 * found.contents[nutrient].value / found.dry_matter


def test_whole_carcasses_have_the_protein_of_whole_prey():
    # Dierenfeld and others 2002, as above (recollected), crude protein of dry matter: adult chicken 42.3 %, quail
    # 71.5 %, day-old chick 64.9 %, large rabbit 65.2 %; domestic fowl are the fattest of them. Ours have no feathers,
    # fur or gut, and market birds and hutch rabbits are fat, so the whole span of those animals is the range.
    for food_id in (
        "chicken-whole-bone-in",
        "chicken-whole-giblets-bone-in",
        "turkey-whole-bone-in",
        "quail-whole-bone-in",
        "rabbit-whole-bone-in",
    ):
        assert 42.3 <= grams_of_dry_matter(food_id, "protein") <= 71.5, food_id


def test_whole_carcasses_have_the_ash_of_whole_prey():
    # Kerr and others 2014, 20 kinds of whole prey (abstract): ash 8 to 18 % of dry matter.
    for food_id in ("chicken-whole-bone-in", "turkey-whole-bone-in", "quail-whole-bone-in", "rabbit-whole-bone-in"):
        assert 7 <= grams_of_dry_matter(food_id, "ash") <= 18, food_id


def test_ground_chicken_with_bone_lacks_the_minerals_that_published_analyses_find_short():
    # Kerr and others 2013 (abstract): ground chicken is low in manganese, copper, potassium and sodium for cats;
    # NRC 2006, adult cats, recommended allowance per 1000 kcal: 1.2 mg Mn and 1.2 mg Cu.
    found = blend(CATALOG.foods["chicken-whole-bone-in"], CATALOG, "modified-atwater")
    for id_, allowance in (("manganese", 1.2), ("copper", 1.2)):
        assert found.contents[id_].value / found.kcal * 1000 < allowance


def test_whole_birds_and_rabbit_lie_in_the_calcium_and_phosphorus_of_whole_prey():
    # Small Animal Clinical Nutrition, 5th edition, table 71-5, as fed: day-old chick 0.351 g Ca and 0.26 g P, adult
    # mouse 0.85 and 0.612, adult rat 0.704 and 0.512; adult quail (Dierenfeld 2002, recollected) 1.19 g Ca.
    for food_id in (
        "chicken-whole-bone-in",
        "turkey-whole-bone-in",
        "duck-whole-bone-in",
        "goose-whole-bone-in",
        "rabbit-whole-bone-in",
        "quail-whole-bone-in",
        "cornish-hen-whole-bone-in",
    ):
        calcium, phosphorus = grams_per_100_g(food_id)
        assert 0.351 <= calcium <= 1.19, food_id
        assert 0.26 <= phosphorus <= 0.75, food_id
