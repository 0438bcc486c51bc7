"""A person's own foods and labels: read from TOML, laid over the catalog, every mistake with its line."""

import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.mistakes import Mistake
from catalog.nutrition.composition import blend
from catalog.own.overlay import (
    FILE_NAME,
    data_folder,
    is_own,
    lay_over,
    lay_over_data,
    own_entry_files,
    with_own_entries,
)
from catalog.own.schema import OwnFoodTable
from catalog.reading.toml_lines import Lines
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


@pytest.fixture
def lay(tmp_path: Path, catalog: Catalog) -> Lay:
    """Lays a file written inline over the catalog."""

    def layer(text: str) -> tuple[Catalog, list[Mistake]]:
        path = tmp_path / FILE_NAME
        path.write_text(text, encoding="utf-8")
        return lay_over(catalog, path)

    return layer


@pytest.fixture
def right(lay: Lay) -> Callable[[str], Food]:
    """The last food of a file that has no mistake."""

    def reader(text: str) -> Food:
        laid, mistakes = lay(text)
        assert mistakes == []
        return [food for food in laid.foods.values() if is_own(food)][-1]

    return reader


@pytest.fixture
def wrong(lay: Lay) -> Callable[[str], list[str]]:
    """The mistakes in a file: line and field, what was read, what is allowed."""
    return lambda text: [f"{m.line} {m.field}: {m.read}; {m.allowed}" for m in lay(text)[1]]


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


@pytest.mark.parametrize(
    ("line", "field", "read"),
    [
        ('id = "My Multi"', "foods[1].id", "no id"),
        ('id = "water"', "foods[1].id", "water is water"),
        ('name = "garlic and herbs"', "foods[1].name", "refused: Onion, garlic"),
        ('name = ""', "foods[1].name", "no text"),
        ('role = "pill"', "foods[1].role", '"pill" (not one of them)'),
        ('counts_as = "water"', "foods[1].counts_as", '"water"'),
        ('like = "turkey-hart"', "foods[1].like", "no such food"),
        ('tags = ["fishoil"]', "foods[1].tags", "nothing looks for 'fishoil'"),
        ('tags = "fish-oil"', "foods[1].tags", "no list"),
        ('category = "meat"', "foods[1].category", "no such category"),
        ('kind = "guess"', "foods[1].kind", '"guess"'),
        ('colour = "red"', "foods[1].colour", 'the key "colour"'),
        ('per = "2 capsules"', "foods[1].per", '"2 capsules"'),
        ("per = 100", "foods[1].per", "no text with a unit"),
        ('measures = "4 g"', "foods[1].measures", "no table"),
        ('measures = { tsp = "4 ml" }', "foods[1].measures.tsp", '"4 ml"'),
        ('measures = { kg = "4 g" }', "foods[1].measures.kg", '"4 g"'),
        ('measures = { capsule = "2 g" }', "foods[1].measures.capsule", "2 g"),
    ],
)
def test_a_field_that_cannot_be_used(wrong: Callable[[str], list[str]], line: str, field: str, read: str) -> None:
    key = line.split(" = ")[0]
    kept = [row for row in LABEL.splitlines() if not row.startswith(f"{key} =")]
    kept.insert(1, line)
    [message] = wrong("\n".join(kept))
    assert message.startswith(f"2 {field}: ")
    assert read in message


@pytest.mark.parametrize(
    ("line", "read", "allowed"),
    [
        ('taurin = "1 g"', "no such nutrient", "a nutrient such as taurine"),
        ('folic-acid = "1 mg"', "no such nutrient", "a nutrient"),
        ('alpha-lipoic-acid = "5 mg"', "refused: Alpha-lipoic acid", "a product without it"),
        ('energy = "4 kcal"', '"energy"', "it is computed from protein, fat and carbohydrate"),
        ('zinc = "100 %"', "share of a daily value", "an amount such as"),
        ("zinc = 5", "no text with a unit", "an amount such as"),
        ('zinc = "2 g"', "153.8 g in 100 g", "no more than the food weighs"),
        ('epa = "1 mg"\nepa-dha = "2 mg"', "besides epa", "the sum, or what it is made of"),
    ],
)
def test_an_amount_that_cannot_be_used(wrong: Callable[[str], list[str]], line: str, read: str, allowed: str) -> None:
    [message] = wrong(LABEL + line + "\n")
    assert message.startswith(("9 foods[1].amounts.", "10 foods[1].amounts."))
    assert read in message
    assert allowed in message


def test_a_label_word_is_answered_with_the_id(lay: Lay) -> None:
    _, [mistake] = lay(LABEL + 'folic-acid = "1 mg"\n')
    assert mistake.hint == "Did you mean folate?"


def test_parts_that_weigh_more_than_the_whole(wrong: Callable[[str], list[str]]) -> None:
    [message] = wrong(LABEL + 'protein = "60 %"\nfat = "50 %"\n')
    assert "110 g in 100 g" in message


def test_replacing_fat_alone_is_found_out(wrong: Callable[[str], list[str]]) -> None:
    [message] = wrong(
        '[[foods]]\nid = "my-mince"\nlike = "beef-ground-90-lean"\nper = "100 g"\namounts = { fat = "30 g" }\n'
    )
    assert "together no more than 100 g" in message


def test_a_composite_has_no_figures_to_replace(wrong: Callable[[str], list[str]]) -> None:
    like = '[[foods]]\nid = "mine"\nlike = "rabbit-whole-bone-in"\nper = "100 g"\namounts = { taurine = "1 g" }\n'
    [message] = wrong(like)
    assert "(a composite)" in message


def test_no_food_is_a_part_of_itself(wrong: Callable[[str], list[str]], catalog: Catalog) -> None:
    composite = next(food for food in catalog.foods.values() if food.parts)
    [message] = wrong(f'[[foods]]\nid = "{composite.parts[0].food}"\nlike = "{composite.id}"\n')
    assert "a food that is not made of this one" in message


def test_a_labelled_measure_of_another_food_keeps_its_mass(wrong: Callable[[str], list[str]]) -> None:
    [message] = wrong(
        '[[foods]]\nid = "mine"\nlike = "b-complex-50"\nper = "1 capsule (2 g)"\namounts = { thiamine = "10 mg" }\n'
    )
    assert message.startswith("4 foods[1].per: 2 g")


def test_seaweed_needs_an_iodine_figure(wrong: Callable[[str], list[str]]) -> None:
    [message] = wrong(LABEL.replace("multivitamin", "kelp powder"))
    assert 'like = "kelp-powder"' in message


def test_an_id_stands_once_in_a_file(wrong: Callable[[str], list[str]]) -> None:
    [message] = wrong(LABEL + "\n" + LABEL)
    assert message == '10 foods[2].id: "my-multi" a second time; each id once; it stands on line 1 already'


@pytest.mark.parametrize(
    ("text", "read"),
    [
        ("", "an empty file"),
        ("[[foods]\n", "valid TOML"),
        ("stray = 1\n", 'the key "stray"'),
        ("foods = 3\n", "no list"),
        ("foods = [3]\n", "a table headed [[foods]]"),
    ],
)
def test_a_file_that_is_none_of_own_foods(wrong: Callable[[str], list[str]], text: str, read: str) -> None:
    [message] = wrong(text)
    assert read in message


def test_every_mistake_is_told_in_one_run(wrong: Callable[[str], list[str]]) -> None:
    found = wrong(
        """
[[foods]]
id = "A b"
role = "pill"
per = "lots"
[foods.amounts]
taurin = "1 g"
zinc = "much"
[foods.measures]
tsp = "4 ml"

[[foods]]
id = "mine"
like = "no-such-food"
"""
    )
    assert [line.split(":")[0] for line in found] == [
        "2 foods[1].name",
        "2 foods[1].counts_as",
        "3 foods[1].id",
        "4 foods[1].role",
        "5 foods[1].per",
        "7 foods[1].amounts.taurin",
        "8 foods[1].amounts.zinc",
        "10 foods[1].measures.tsp",
        "14 foods[2].like",
    ]


def test_a_wrong_entry_leaves_the_others(lay: Lay) -> None:
    laid, mistakes = lay(LABEL + '\n[[foods]]\nid = "mine"\nlike = "no-such-food"\n')
    assert len(mistakes) == 1
    assert "my-multi" in laid.foods
    assert "mine" not in laid.foods


def test_the_file_beside_the_scenario_comes_after_the_one_of_the_user(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, catalog: Catalog
) -> None:
    monkeypatch.setenv("WEIGHOUT_DATA", str(tmp_path / "data"))
    kitchen = tmp_path / "kitchen"
    for folder, amount in ((tmp_path / "data", "900 mg"), (kitchen, "800 mg")):
        folder.mkdir()
        (folder / FILE_NAME).write_text(LABEL.replace("1000 mg", amount), encoding="utf-8")
    scenario = kitchen / "week.toml"
    assert own_entry_files(scenario) == [tmp_path / "data" / FILE_NAME, kitchen / FILE_NAME]
    laid, mistakes = with_own_entries(catalog, scenario)
    assert mistakes == []
    food = laid.foods["my-multi"]
    assert food.figures["taurine"].value == pytest.approx(0.8 / 1.3 * 100)
    assert (food.file, food.replaces) == (str(kitchen / FILE_NAME), str(tmp_path / "data" / FILE_NAME))


def test_without_a_scenario_the_working_folder_is_looked_at(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    assert own_entry_files(None) == []
    (tmp_path / FILE_NAME).write_text(LABEL, encoding="utf-8")
    assert own_entry_files(None) == [Path(FILE_NAME)]
    monkeypatch.setenv("WEIGHOUT_DATA", str(tmp_path))
    assert own_entry_files(None) == [tmp_path / FILE_NAME]  # the same file is read once


def test_the_data_folder_is_the_systems_unless_it_is_set(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("WEIGHOUT_DATA", "~/kitchen")
    assert data_folder() == Path.home() / "kitchen"
    monkeypatch.delenv("WEIGHOUT_DATA")
    assert data_folder().name.lower() == "weighout"


ANYTHING = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.dates() | st.text(max_size=12),
    lambda inner: st.lists(inner, max_size=2) | st.dictionaries(st.text(max_size=5), inner, max_size=2),
    max_leaves=4,
)
WORDS = st.sampled_from(
    [
        *(
            "my-food",
            "turkey-heart",
            "rabbit-whole-bone-in",
            "water",
            "kelp",
            "supplement",
            "organ",
            "meat",
            "non-meat",
        ),
        *(
            "100 g",
            "2 capsules (1.3 g)",
            "1 tsp",
            "0 g",
            "1000 mg",
            "5 %",
            "3 to 2 ug",
            "10 IU",
            "1 g/kg",
            "9e9 g",
            "label",
        ),
    ]
)
KEYS = st.sampled_from([*OwnFoodTable.model_fields, "colour"])
TABLES_OF_TEXT = st.dictionaries(st.sampled_from(["taurine", "epa-dha", "epa", "iodine", "tsp", "capsule", ""]), WORDS)


@given(st.lists(st.dictionaries(KEYS, WORDS | TABLES_OF_TEXT | ANYTHING) | ANYTHING, max_size=2) | ANYTHING)
def test_whatever_is_written_gives_foods_or_mistakes_never_a_fault(catalog: Catalog, entries: Any) -> None:
    laid, mistakes = lay_over_data(catalog, {"foods": entries}, "own-foods.toml", Lines({}))
    own = [food for food in laid.foods.values() if is_own(food)]
    assert all(mistake.allowed for mistake in mistakes)
    assert all(food.role and food.counts_as in ("meat", "non-meat") and food.name for food in own)
    assert all(0 <= figure.low <= figure.high < math.inf for food in own for figure in food.figures.values())
