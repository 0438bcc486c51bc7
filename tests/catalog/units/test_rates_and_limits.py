"""Doses by weight of meat, shares, limits of nutrients, and the rule of three."""

from fractions import Fraction

import pytest

from catalog.units.limits import read_limit
from catalog.units.quantities import QuantityError, read_quantity, read_rate, read_share, rule_of_three

F = Fraction
LB = Fraction("453.59237")


@pytest.mark.parametrize(
    ("text", "count", "unit", "per_grams"),
    [
        ("1/2 tsp per 5 kg", F(1, 2), "tsp", F(5000)),
        ("2 capsules per 10 lb", F(2), "capsule", 10 * LB),
        ("1 g per kg", F(1), "g", F(1000)),
        ("1 g/kg", F(1), "g", F(1000)),
        ("1/2 tsp / 5 kg of meat", F(1, 2), "tsp", F(5000)),
        ("1 pump stroke per lb meat", F(1), "pump stroke", LB),
    ],
)
def test_a_rate_is_an_amount_per_weight_of_meat(text: str, count: Fraction, unit: str, per_grams: Fraction) -> None:
    rate = read_rate(text)
    assert (rate.quantity.count, rate.quantity.unit, rate.per_grams, rate.text) == (count, unit, per_grams, text)


@pytest.mark.parametrize(
    "text", ["1 tsp", "1 tsp per cup", "per kg", "1 g per", "1 g per kg per day", "0 g per kg", "1 g per 0 kg", 3]
)
def test_what_is_no_rate_is_refused(text: object) -> None:
    with pytest.raises(QuantityError) as caught:
        read_rate(text)
    assert "1/2 tsp per 5 kg" in caught.value.allowed


@pytest.mark.parametrize(
    ("value", "share"),
    [
        ("5 %", F(1, 20)),
        ("5%", F(1, 20)),
        ("2.5 %", F(1, 40)),
        ("0.05", F(1, 20)),
        (0.05, F(1, 20)),
        (0, F(0)),
        ("100 %", F(1)),
        (1e-05, F(1, 100_000)),
    ],
)
def test_a_share_is_a_percentage_or_a_number_up_to_one(value: object, share: Fraction) -> None:
    assert read_share(value) == share


@pytest.mark.parametrize(
    "value",
    [
        "5",
        5,
        1,
        "1",
        1.01,
        "101 %",
        -0.1,
        "-5 %",
        float("nan"),
        float("inf"),
        "nan",
        True,
        False,
        None,
        "",
        "5 %%",
        "%",
    ],
)
def test_what_is_no_share_is_refused(value: object) -> None:
    with pytest.raises(QuantityError):
        read_share(value)


def test_a_bare_number_over_one_is_asked_whether_it_is_a_percentage() -> None:
    with pytest.raises(QuantityError, match="over 100 %") as caught:
        read_share(5)
    assert caught.value.hint == 'Did you mean "5 %"?'


@pytest.mark.parametrize(
    ("text", "unit", "value", "basis"),
    [
        ("1 g per 1000 kcal", "mg", 1000.0, "per_1000_kcal"),
        ("200 mg/1000 kcal", "g", 0.2, "per_1000_kcal"),
        ("20 mg per 100 kcal", "mg", 200.0, "per_1000_kcal"),
        ("2 g per kg dry matter", "g", 2.0, "per_kg_dry_matter"),
        ("0.2 g per 100 g dry matter", "g", 2.0, "per_kg_dry_matter"),
        ("5 g per kg", "g", 5.0, "per_kg"),
        ("12 g per batch", "g", 12.0, "per_batch"),
        ("100 mcg per kg", "mg", 0.1, "per_kg"),
        ("250 IU per kg dry matter", "IU", 250.0, "per_kg_dry_matter"),
        ("0 mg per kg", "mg", 0.0, "per_kg"),
    ],
)
def test_a_limit_is_brought_to_the_nutrients_unit_and_a_basis(text: str, unit: str, value: float, basis: str) -> None:
    assert read_limit(text, unit) == (value, basis)


def test_micrograms_become_international_units_but_not_the_other_way() -> None:
    # 1 ug cholecalciferol = 40 IU vitamin D: the figure is the caller's, here only an example.
    assert read_limit("10 ug per kg", "IU", 40.0) == (400.0, "per_kg")
    assert read_limit("0.01 mg per kg", "IU", 40.0) == (400.0, "per_kg")
    with pytest.raises(QuantityError, match="cannot become"):
        read_limit("400 IU per kg", "ug", 40.0)
    with pytest.raises(QuantityError, match="cannot become"):
        read_limit("10 ug per kg", "IU")


@pytest.mark.parametrize(
    "text",
    [
        "1 g",
        "1 kg per kg",
        "1 oz per kg",
        "1 g per kJ",
        "1 g per 0 kcal",
        "-1 g per kg",
        "1 g per cup",
        "g per kg",
        1.0,
    ],
)
def test_what_is_no_limit_is_refused(text: object) -> None:
    with pytest.raises(QuantityError):
        read_limit(text, "g")


def test_a_limit_in_an_unknown_unit_of_the_nutrient_is_refused() -> None:
    with pytest.raises(QuantityError, match="no unit of a nutrient"):
        read_limit("1 g per kg", "kcal")


def test_a_dose_by_the_rule_of_three_is_rounded_to_the_nearest_step() -> None:
    # Common practice, no source.
    quarter = read_quantity("1/4 tsp")
    dose = read_rate("1 tsp per 14 lb")
    assert rule_of_three(dose, 17 * LB, quarter) == F(5, 4)
    assert rule_of_three(dose, float(17 * LB), quarter) == F(5, 4)
    assert rule_of_three(dose, 14 * LB * F(9, 8), quarter) == F(5, 4)  # exactly half a step goes up
    assert rule_of_three(dose, 0, quarter) == 0
    assert rule_of_three(read_rate("1 tbsp per kg"), 1000, quarter) == 3  # in teaspoons, the step's unit
    assert rule_of_three(read_rate("2 capsules per kg"), 1200, read_quantity("1/2 capsule")) == F(5, 2)


def test_a_dose_in_steps_of_another_kind_or_for_no_weight_is_refused() -> None:
    with pytest.raises(QuantityError, match="cannot be given in"):
        rule_of_three(read_rate("1 tsp per kg"), 1000, read_quantity("1 g"))
    for grams in (-1.0, float("nan"), float("inf")):
        with pytest.raises(QuantityError, match="no weight"):
            rule_of_three(read_rate("1 tsp per kg"), grams, read_quantity("1 tsp"))
