"""All that is known of one food: figures, spread, sources, what is unknown, cautions."""

import pytest

from catalog.mistakes import Mistake
from catalog.nutrition.composition import blend, simple_parts
from catalog.queries.profile import FoodProfile, find_food, profile_of
from catalog.records import Catalog, Food

KINDS = {"analysed", "calculated", "estimated", "label", "assumed"}


def facts(catalog: Catalog, id_: str) -> FoodProfile:
    return profile_of(catalog.foods[id_], catalog)


def test_a_food_shows_its_own_figures(catalog: Catalog) -> None:
    heart = catalog.foods["turkey-heart"]
    found = {value.nutrient.id: value for value in facts(catalog, "turkey-heart").values}
    assert found.keys() == heart.figures.keys()
    water = found["water"]
    assert (water.value, water.sd, water.n, water.kind) == (74.47, 2.644, 4, "analysed")  # USDA SR28 05175
    assert water.sources == ("sr28:05175",)
    assert not water.sd_assumed
    assert found["arginine"].sd_assumed
    assert found["taurine"].low < found["taurine"].value < found["taurine"].high


@pytest.mark.parametrize("id_", ["turkey-heart", "taurine-powder", "chicken-wing-bone-in", "turkey-giblets"])
def test_every_nutrient_is_known_or_named_as_unknown(catalog: Catalog, id_: str) -> None:
    found = facts(catalog, id_)
    known = {value.nutrient.id for value in found.values if value.unknown_share < 1e-9}
    assert known | set(found.unknown) == set(catalog.nutrients)
    assert known.isdisjoint(found.unknown)


def test_every_figure_of_every_food_has_a_kind_and_a_source(catalog: Catalog) -> None:
    values = [value for food in catalog.foods.values() for value in profile_of(food, catalog).values]
    assert {value.kind for value in values} == KINDS
    assert all(catalog.sources[source.partition(":")[0]] for value in values for source in value.sources)


@pytest.mark.parametrize("id_", ["chicken-wing-bone-in", "turkey-giblets", "rabbit-whole-bone-in"])
def test_a_composite_is_the_blend_of_its_parts(catalog: Catalog, id_: str) -> None:
    contents = blend(catalog.foods[id_], catalog, "modified-atwater").contents
    for value in facts(catalog, id_).values:
        content = contents[value.nutrient.id]
        assert value.value == pytest.approx(100 * content.value, rel=1e-9, abs=1e-12)
        assert value.low == pytest.approx(100 * content.low, rel=1e-9, abs=1e-12)
        assert value.unknown_share == pytest.approx(content.unknown_share, rel=1e-9, abs=1e-12)
        assert value.n is None
        if value.sd is not None:
            assert value.sd == pytest.approx(100 * content.sd, rel=1e-9, abs=1e-12)


def test_a_part_without_a_figure_is_an_unknown_share(catalog: Catalog) -> None:
    wing = catalog.foods["chicken-wing-bone-in"]
    bone = next(share for food, share in simple_parts(wing, catalog.foods) if "bone" in food.tags)
    found = facts(catalog, wing.id)
    leucine = next(value for value in found.values if value.nutrient.id == "leucine")
    assert leucine.unknown_share == pytest.approx(bone)
    assert leucine.kind == "calculated"
    assert "leucine" in found.unknown


def test_the_weakest_figure_decides_how_a_blend_is_known(catalog: Catalog) -> None:
    kinds = {value.nutrient.id: value.kind for value in facts(catalog, "chicken-wing-bone-in").values}
    assert kinds["protein"] == "estimated"  # analysed in the flesh, estimated in the bone
    assert kinds["fibre"] == "assumed"  # none in either


@pytest.mark.parametrize(
    ("id_", "code"), [("beef-liver", "liver"), ("chicken-wing-bone-in", "poultry"), ("turkey-heart", "poultry")]
)
def test_cautions_are_those_of_its_tags_and_of_its_parts(catalog: Catalog, id_: str, code: str) -> None:
    found = facts(catalog, id_)
    assert f"tag:{code}" in {caution.when for caution in found.cautions}
    assert all(caution.when.startswith("tag:") for caution in found.cautions)
    assert "tag:fish-oil" not in {caution.when for caution in found.cautions}


def test_a_food_is_found_by_its_id(catalog: Catalog) -> None:
    assert isinstance(find_food("turkey-heart", catalog), Food)
    misspelt = find_food("turkey-hart", catalog)
    assert isinstance(misspelt, Mistake)
    assert "turkey-heart" in misspelt.hint
    refused = find_food("onion", catalog)
    assert isinstance(refused, Mistake)
    assert "refused: " in refused.read
