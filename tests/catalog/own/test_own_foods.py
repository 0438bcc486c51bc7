"""A person's own foods and labels: read from TOML, laid over the catalog, every mistake with its line."""

from collections.abc import Callable
from pathlib import Path

import pytest

from catalog.mistakes import Mistake
from catalog.nutrition.composition import blend
from catalog.own.overlay import (
    FILE_NAME,
)
from catalog.records import Catalog, Food

Lay = Callable[[str], tuple[Catalog, list[Mistake]]]

LABEL = """[[foods]]
id = "my-multi"
name = "multivitamin"
role = "supplement"
counts_as = "non-meat"
per = "2 capsules (1.3 g)"
[foods.amounts]
taurine = "1000 mg"
"""


def test_a_label_becomes_figures_per_100_g(right: Callable[[str], Food]) -> None:
    food = right(LABEL + 'vitamin-a = "150 mcg RAE"\nfolate = "400 mcg DFE"\niodine = "100 to 150 ug"\nfat = "10 %"\n')
    assert food.measures["capsule"].grams == pytest.approx(0.65)
    assert food.measures["capsule"].labelled
    per_label = {id_: figure.value * 1.3 / 100 for id_, figure in food.figures.items()}
    assert per_label == pytest.approx(
        {"taurine": 1.0, "vitamin-a": 500, "folate": 240, "iodine": 125, "fat": 0.13}, rel=1e-9
    )
    iodine = food.figures["iodine"]
    assert (iodine.low * 0.013, iodine.high * 0.013) == pytest.approx((100, 150))
    assert iodine.kind == "label"
    assert iodine.sd_assumed


def test_what_is_not_on_the_label_is_unknown(right: Callable[[str], Food]) -> None:
    assert right(LABEL).figures.keys() == {"taurine"}


def test_each_figure_says_where_it_stands(lay: Lay, tmp_path: Path) -> None:
    laid, _ = lay("# mine\n" + LABEL.replace("[foods.a", 'source = "letter of the maker, 2026"\n[foods.a'))
    food = laid.foods["my-multi"]
    source = food.figures["taurine"].source
    assert source == f"own:{tmp_path / FILE_NAME}:2 (letter of the maker, 2026)"
    assert laid.sources["own"].startswith("A person's own entry")
    assert (food.file, food.line, food.replaces) == (str(tmp_path / FILE_NAME), 2, "")


def test_a_food_can_start_from_one_of_the_catalog(right: Callable[[str], Food], catalog: Catalog) -> None:
    food = right(
        '[[foods]]\nid = "my-mince"\nlike = "beef-ground-90-lean"\nper = "100 g"\n'
        'amounts = { fat = "15 g", water = "64 g" }\n'
    )
    known = catalog.foods["beef-ground-90-lean"]
    assert (food.name, food.role, food.counts_as, food.tags) == (known.name, known.role, known.counts_as, known.tags)
    assert (food.figures["fat"].value, food.figures["fat"].kind) == (15, "label")
    iron = food.figures["iron"]
    assert (iron.value, iron.source) == (known.figures["iron"].value, known.figures["iron"].source)
    assert iron.kind == "estimated"  # analysed in that food, not in this one
    assert "beef-ground-90-lean" in food.note


def test_sums_follow_what_they_are_made_of(right: Callable[[str], Food]) -> None:
    food = right(LABEL + 'methionine = "100 mg"\ncystine = "50 mg"\n')
    assert food.figures["methionine-cystine"].value == pytest.approx(0.15 / 1.3 * 100)


def test_a_label_may_give_a_sum_alone(right: Callable[[str], Food], catalog: Catalog) -> None:
    food = right(
        '[[foods]]\nid = "my-oil"\nlike = "salmon-oil"\nper = "1 tsp (4.5 g)"\namounts = { epa-dha = "1.2 g" }\n'
    )
    assert food.figures["epa-dha"].value == pytest.approx(1.2 / 4.5 * 100)
    assert not food.figures.keys() & {"epa", "dha"}  # those of salmon oil would contradict the label
    assert "epa" in catalog.foods["salmon-oil"].figures


def test_an_entry_replaces_a_food_of_the_catalog_and_its_part_in_composites(lay: Lay, catalog: Catalog) -> None:
    composite = next(food for food in catalog.foods.values() if food.parts)
    part = catalog.foods[composite.parts[0].food]
    laid, mistakes = lay(
        f'[[foods]]\nid = "{part.id}"\nlike = "{part.id}"\nper = "100 g"\namounts = {{ taurine = "1 g" }}\n'
    )
    assert mistakes == []
    mine = laid.foods[part.id]
    assert mine.replaces == part.file
    assert mine.figures["water"] == part.figures["water"]  # the same food: still as it was analysed
    before, after = (blend(c.foods[composite.id], c, "modified-atwater") for c in (catalog, laid))
    assert after.contents["taurine"].value > before.contents["taurine"].value
    assert after.contents["water"] == before.contents["water"]


def test_an_entry_can_start_from_an_earlier_one(right: Callable[[str], Food]) -> None:
    food = right(LABEL + '\n[[foods]]\nid = "my-other"\nlike = "my-multi"\n')
    assert (food.id, food.name) == ("my-other", "multivitamin")
    assert food.figures["taurine"].value == pytest.approx(100 / 1.3)


def test_measures_and_spoons(right: Callable[[str], Food]) -> None:
    food = right(
        LABEL.replace("2 capsules (1.3 g)", "5 ml (4.6 g)")
        + '[foods.measures]\ntsp = "4.5 g"\n"pump stroke" = "1.4 g"\n'
    )
    assert {unit: measure.grams for unit, measure in food.measures.items()} == pytest.approx(
        {"ml": 0.92, "tsp": 4.5, "pump stroke": 1.4}
    )
    assert not food.measures["tsp"].labelled


def test_a_measure_of_its_own_may_say_what_a_serving_weighs(right: Callable[[str], Food]) -> None:
    food = right(LABEL.replace(" (1.3 g)", "") + '[foods.measures]\ncapsule = "650 mg"\n')
    assert food.figures["taurine"].value == pytest.approx(100 / 1.3)
    assert food.measures["capsule"].labelled


@pytest.mark.parametrize(
    ("role", "name", "tag"),
    [
        ("supplement", "kelp granules", "kelp"),
        ("organ", "calf liver", "liver"),
        ("organ", "goat kidneys", "secreting-organ"),
        ("cut", "duck leg", "poultry"),
        ("fish", "sprat", "fish"),
        ("oil", "oil of small fish", "fish-oil"),
        ("supplement", "multi", "vitamin-a"),
    ],
)
def test_tags_are_taken_from_names_and_contents_lest_a_caution_is_missed(
    right: Callable[[str], Food], role: str, name: str, tag: str
) -> None:
    label = LABEL.replace('"supplement"', f'"{role}"').replace('"multivitamin"', f'"{name}"')
    food = right(label + 'iodine = "10 ug"\nvitamin-a = "100 IU retinol"\nepa = "10 mg"\n')
    assert tag in food.tags


def test_bone_is_never_taken_from_a_name(right: Callable[[str], Food]) -> None:
    food = right(LABEL.replace('"supplement"', '"cut"').replace("multivitamin", "lamb neck, bone in"))
    assert "bone" not in food.tags
    assert "lamb" in food.tags


def test_unknown_figures_of_an_own_liver_count_as_those_of_liver_towards_ceilings(lay: Lay) -> None:
    label = (
        LABEL.replace('"supplement"', '"organ"').replace('"non-meat"', '"meat"').replace("multivitamin", "elk liver")
    )
    laid, _ = lay(label)
    food = laid.foods["my-multi"]
    assert food.category == "liver"
    assert blend(food, laid, "modified-atwater").contents["vitamin-a"].high > 0
