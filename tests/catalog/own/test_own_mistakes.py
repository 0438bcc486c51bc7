"""A person's own foods and labels: every mistake in their file is told, with its line."""

from collections.abc import Callable

import pytest

from catalog.mistakes import Mistake
from catalog.records import Catalog

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
