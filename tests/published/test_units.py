"""Sizes of units against NIST Handbook 44 (Appendix C) and NIST Special Publication 811 (Appendix B.8).

The gallon of 231 cubic inches and the cup of 8 fluid ounces, both exact, were read in a text copy of
Handbook 44, Appendix C; the pound and the ounce were read as others quote them from there; the remaining parts
of the gallon are recollected (memory). The inch is 2.54 cm exactly, so the gallon is computed here.
"""

from fractions import Fraction

import pytest

from catalog.units.quantities import convert, read_quantity

GALLON_ML = 231 * Fraction("2.54") ** 3


def test_the_gallon_of_231_cubic_inches() -> None:
    assert Fraction("3785.411784") == GALLON_ML


@pytest.mark.parametrize(
    ("text", "grams"),
    [
        ("1 lb", Fraction("453.59237")),  # SP 811 B.8, pound (avoirdupois), exact
        ("1 oz", Fraction("28.349523125")),  # Handbook 44 App. C: 1 ounce = 1/16 pound
        ("1 stone", 14 * Fraction("453.59237")),  # 14 pounds
        ("1 kg", Fraction(1000)),
        ("1 mg", Fraction(1, 1000)),
        ("1 ug", Fraction(1, 1_000_000)),
    ],
)
def test_units_of_mass_are_exact(text: str, grams: Fraction) -> None:
    assert read_quantity(text).amount == grams


@pytest.mark.parametrize(
    ("text", "parts_of_a_gallon"),
    [  # Handbook 44 Appendix C, units of liquid volume
        ("1 gallon", 1),
        ("1 quart", 4),
        ("1 pint", 8),
        ("1 cup", 16),
        ("1 fl oz", 128),
        ("1 tbsp", 256),
        ("1 tsp", 768),
    ],
)
def test_us_measures_are_exact_parts_of_the_gallon(text: str, parts_of_a_gallon: int) -> None:
    assert read_quantity(text).amount == GALLON_ML / parts_of_a_gallon


def test_metric_measures_of_volume() -> None:
    assert [read_quantity(t).amount for t in ("1 l", "1 dl", "1 cl", "1 ml")] == [1000, 100, 10, 1]


def test_cups_and_spoons() -> None:
    cup = read_quantity("1 cup")
    assert [convert(cup, unit) for unit in ("tbsp", "tsp", "fl oz")] == [16, 48, 8]


def test_a_metric_spoon_holds_one_and_four_tenths_per_cent_more() -> None:
    excess = Fraction(5) / read_quantity("1 tsp").amount - 1
    assert round(float(excess) * 100, 1) == 1.4
