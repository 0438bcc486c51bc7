"""How counts and masses are written, and that reading gives them back."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.units.quantities import QuantityError, canonical_unit, read_quantity, write_count, write_mass
from catalog.units.spelling import plural, singular

F = Fraction
LB = Fraction("453.59237")


@pytest.fixture(autouse=True, scope="module")
def units_loaded() -> None:
    """Loads the units before hypothesis measures how long one example takes."""
    read_quantity("1 g")


@pytest.mark.parametrize(
    ("count", "unit", "text"),
    [
        (F(5, 4), "tsp", "1 1/4 tsp"),
        (F(2), "capsule", "2 capsules"),
        (F(1, 2), "capsule", "1/2 capsule"),
        (F(1), "pump stroke", "1 pump stroke"),
        (F(3), "pump stroke", "3 pump strokes"),
        (F(12), "drop", "12 drops"),
        (F(3, 10), "g", "0.3 g"),
        (F(5, 4), "kg", "1.25 kg"),
        (F(1, 3), "cup", "1/3 cup"),
        (F(3, 2), "cup", "1 1/2 cups"),
        (F(3, 8), "tsp", "3/8 tsp"),
        (F(49, 4), "oz", "12 1/4 oz"),
        (F(1, 5), "capsule", "0.2 capsule"),
        (F(5, 7), "tsp", "5/7 tsp"),
        (F(1, 3), "g", "1/3 g"),
        (F(2), "leaf", "2 leaves"),
        (F(2), "pinch", "2 pinches"),
        (F(2), "berry", "2 berries"),
        (F(100), "ml", "100 ml"),
        (F(0), "capsule", "0 capsules"),
        (F(-5, 4), "tsp", "-1 1/4 tsp"),
        (F(12), "", "12"),
    ],
)
def test_counts_are_written_as_a_cook_reads_them(count: Fraction, unit: str, text: str) -> None:
    assert write_count(count, unit) == text


@pytest.mark.parametrize(
    ("grams", "system", "text"),
    [
        (850, "metric", "850 g"),
        (2350, "metric", "2.35 kg"),
        (2.5, "metric", "2.5 g"),
        (0.25, "metric", "0.25 g"),
        (0.01234, "metric", "0.0123 g"),
        (123.45, "metric", "123.5 g"),
        (12.3456, "metric", "12.35 g"),
        (999.96, "metric", "1 kg"),
        (12345.6, "metric", "12.346 kg"),
        (0, "metric", "0 g"),
        (-850.0, "metric", "-850 g"),
        (LB * F(35, 16), "us", "2 lb 3 oz"),
        (float(LB * F(49, 64)), "us", "12 1/4 oz"),
        (LB * 2, "us", "2 lb"),
        (1000, "us", "2 lb 3.3 oz"),
        (453.5, "us", "1 lb"),
        (1, "us", "0.0353 oz"),
        (0, "us", "0 oz"),
    ],
)
def test_masses_are_written_as_a_scale_shows_them(grams: float, system: str, text: str) -> None:
    assert write_mass(grams, system) == text


@pytest.mark.parametrize(("grams", "system"), [(float("nan"), "metric"), (float("inf"), "us"), (1, "imperial")])
def test_a_mass_that_cannot_be_written_is_refused(grams: float, system: str) -> None:
    with pytest.raises(QuantityError, match="cannot be written"):
        write_mass(grams, system)


UNITS = ("ug", "mg", "g", "kg", "oz", "lb", "ml", "l", "tsp", "tbsp", "fl oz", "cup", "quart", "capsule", "drop")
COUNTS = st.fractions(min_value=F(1, 1000), max_value=10_000, max_denominator=1000)


@given(COUNTS, st.sampled_from((*UNITS, "pump stroke", "egg yolk", "leaf", "pinch", "berry", "glass")))
def test_reading_what_was_written_gives_the_count_back(count: Fraction, unit: str) -> None:
    quantity = read_quantity(write_count(count, unit))
    assert (quantity.count, quantity.unit) == (count, unit)


@given(st.text(st.characters(categories=["Ll", "Lu"]), min_size=1, max_size=20), COUNTS)
def test_any_word_that_can_be_read_can_be_written_and_read_again(word: str, count: Fraction) -> None:
    try:
        unit = canonical_unit(word)
    except QuantityError:
        return
    assert canonical_unit(unit) == unit
    assert singular(plural(unit)) == unit or plural(unit) == "cups"
    assert read_quantity(write_count(count, unit)).unit == unit


@given(st.integers(1, 99_999), st.sampled_from([(1000, 1), (1, 10), (1, 100)]))
def test_a_metric_mass_that_a_scale_can_show_reads_back_exactly(steps: int, scale: tuple[int, int]) -> None:
    grams = F(steps) * F(*scale)
    shown = F(1) if grams >= 1000 else F(1, 10) if grams >= 100 else F(1, 100)
    grams = max(shown, grams - grams % shown)
    assert read_quantity(write_mass(grams, "metric")).amount == grams


@given(st.integers(1, 4000))
def test_a_us_mass_in_quarters_of_an_ounce_reads_back_exactly(quarters: int) -> None:
    grams = LB / 16 * quarters / 4
    assert read_quantity(write_mass(grams, "us")).amount == grams
    assert read_quantity(write_mass(float(grams), "us")).amount == grams


@given(st.floats(1e-6, 1e6), st.sampled_from(["metric", "us"]))
def test_a_written_mass_is_never_far_off(grams: float, system: str) -> None:
    """By less than half a per cent below an ounce, half a gram in kilograms, half a tenth of an ounce in pounds."""
    most = 0.005 * grams if grams < 28 else 0.5 if system == "metric" else 1.42
    assert abs(float(read_quantity(write_mass(grams, system)).amount) - grams) <= most * (1 + 1e-9)
