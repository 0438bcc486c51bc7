"""Amounts in measures that a person has, and always exactly what was assessed."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.catalog import load_catalog
from catalog.units.quantities import read_quantity
from optimizer.assess.batch import Amount
from optimizer.scenario.items import MASS_UNITS
from optimizer.scenario.records import Item, grams_of
from optimizer.sheet.amount_words import amount_words, kitchen_of, mass_words, step_words, weight_words, words_in
from tests.altered import demo, scenario_of

CATALOG = load_catalog()[0]


def item(id_: str, unit: str, step: Fraction = Fraction(1)) -> Item:
    food = CATALOG.foods[id_]
    grams = grams_of(read_quantity(f"1 {unit}"), food, {})
    return Item(food, True, food.counts_as, unit, grams, step=step)


def words(id_: str, count: str | int, unit: str) -> str:
    return amount_words(Amount(item(id_, unit), Fraction(count)))


@pytest.mark.parametrize(
    ("count", "text"),
    [
        ("1/16", "1/16 tsp"),  # a spoon that is sold, as a pinch; nobody has 0.0625 tsp
        ("3/32", "3/32 tsp"),
        ("5/8", "5/8 tsp"),
        ("19/4", "4 3/4 tsp"),  # few teaspoons stay teaspoons
        ("6", "2 tbsp"),
        ("29/4", "2 tbsp + 1 1/4 tsp"),
        ("117/4", "1/2 cup + 1 tbsp + 2 1/4 tsp"),  # 29 1/4 tsp: 24, 3 and 2 1/4
        ("48", "1 cup"),
        ("96", "2 cups"),
    ],
)
def test_teaspoons_become_spoons_and_cups_that_there_are(count: str, text: str) -> None:
    assert words("choline-bitartrate", count, "tsp") == text


@pytest.mark.parametrize(
    ("unit", "count", "text"),
    [
        ("tbsp", "3/2", "1 1/2 tbsp"),
        ("tbsp", "9/4", "2 tbsp + 3/4 tsp"),
        ("tbsp", "9", "1/2 cup + 1 tbsp"),
        ("cup", "3/2", "1 1/2 cups"),
        ("cup", "1/3", "1/3 cup"),
        ("cup", "17/16", "1 cup + 1 tbsp"),
    ],
)
def test_tablespoons_and_cups_too(unit: str, count: str, text: str) -> None:
    assert words("water", count, unit) == text


@pytest.mark.parametrize(
    ("count", "unit", "text"),
    [
        (7774, "mg", "7.774 g"),
        (50, "mg", "0.05 g"),
        ("12.3", "g", "12.3 g"),
        (10123, "g", "10.123 kg"),
        ("10.1234", "kg", "10.1234 kg"),
        ("2.5", "lb", "2 lb 8 oz"),
        ("0.4", "oz", "0.4 oz"),
    ],
)
def test_a_mass_stands_in_the_unit_for_its_size(count: str | int, unit: str, text: str) -> None:
    assert words("turkey-heart", count, unit) == text


def test_what_ounces_cannot_say_exactly_is_said_in_grams() -> None:
    assert mass_words(Fraction(470), "us") == "470 g"
    assert mass_words(Fraction(470), "metric") == "470 g"
    assert mass_words(Fraction("453.59237"), "us") == "1 lb"
    assert mass_words(Fraction("453.59237") / 64, "metric") == "1/4 oz"


def test_what_is_to_be_got_in_grams_is_told_in_ounces_too_where_food_is_weighed_in_them() -> None:
    fat, jar = Amount(item("turkey-heart", "g"), Fraction(110)), Amount(item("choline-bitartrate", "g"), Fraction(3))
    assert words_in(fat, "us") == "3.9 oz, 110 g"
    assert words_in(fat, "metric") == "110 g"
    assert words_in(jar, "us") == "3 g"  # less than an ounce: a scale for grams


def test_in_passing_a_pound_kitchen_hears_pounds_with_grams_beside_them() -> None:
    assert weight_words(10123, "us") == "22 lb 5.1 oz (10.123 kg)"
    assert weight_words(60, "us") == "2.1 oz (60 g)"
    assert weight_words(10123, "metric") == "10.123 kg"


@pytest.mark.parametrize(
    ("name", "kitchen"), [("turkey-week", "us"), ("kittens-chicken-backs", "us"), ("lamb-and-fish", "metric")]
)
def test_a_kitchen_is_known_by_how_its_food_is_weighed(name: str, kitchen: str) -> None:
    assert kitchen_of(scenario_of(demo(name), CATALOG).items) == kitchen


def test_a_step_is_told_as_an_amount() -> None:
    assert step_words(item("choline-bitartrate", "tsp", Fraction(1, 16))) == "1/16 tsp"


SPOONED = [
    (food.id, unit) for food in CATALOG.foods.values() for unit in ("tsp", "tbsp", "cup") if unit in food.measures
]


@given(st.sampled_from(SPOONED), st.integers(1, 4000), st.sampled_from([1, 2, 3, 4, 8, 16, 32]))
def test_spoons_read_back_as_exactly_what_was_assessed(spooned: tuple[str, str], steps: int, parts: int) -> None:
    id_, unit = spooned
    one, count = item(id_, unit), Fraction(steps, parts)
    assert one.units(read_quantity(amount_words(Amount(one, count)))) == count


@given(st.sampled_from(MASS_UNITS), st.integers(1, 10**7), st.sampled_from([1, 4, 10, 32, 100]))
def test_masses_read_back_as_exactly_what_was_assessed(unit: str, steps: int, parts: int) -> None:
    one, count = item("turkey-heart", unit), Fraction(steps, parts)
    assert one.units(read_quantity(amount_words(Amount(one, count)))) == count
