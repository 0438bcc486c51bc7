"""Stigler's diet problem: the data in data/stigler.csv reach the published optimum with a solver that is not ours.

George J. Stigler, "The Cost of Subsistence", Journal of Farm Economics 27 (1945), pp. 303-314: the problem, the
allowances and the diet he found by hand, $39.93 a year.
George B. Dantzig, "The Diet Problem", Interfaces 20:4 (1990), pp. 43-47: the optimum found in 1947, $39.69 a year
(as retold by R. R. Weber, University of Cambridge, History of the Diet Problem; the article itself was not at hand).
With these data that is a year of 365.25 days; one of 365 days comes to $39.66.
"""

import csv
from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import linprog

DATA = Path(__file__).with_name("data") / "stigler.csv"
ALLOWANCES = {  # a day, for a moderately active man of 154 pounds (National Research Council, 1943)
    "kilo_kcal": 3.0,
    "protein_g": 70.0,
    "calcium_g": 0.8,
    "iron_mg": 12.0,
    "vitamin_a_kilo_iu": 5.0,
    "thiamine_mg": 1.8,
    "riboflavin_mg": 2.7,
    "niacin_mg": 18.0,
    "ascorbic_acid_mg": 75.0,
}


def read_foods() -> list[dict[str, str]]:
    with DATA.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


FOODS = read_foods()
NAMES = [row["food"] for row in FOODS]
PER_DOLLAR = np.array([[float(row[nutrient]) for nutrient in ALLOWANCES] for row in FOODS])  # foods x nutrients


def cheapest(per_dollar: np.ndarray) -> tuple[float, dict[str, float]]:
    """Dollars a day, and those spent on each food that is bought."""
    result = linprog(np.ones(len(NAMES)), A_ub=-per_dollar.T, b_ub=-np.array(list(ALLOWANCES.values())), method="highs")
    assert result.success
    return float(result.fun), {NAMES[i]: float(x) for i, x in enumerate(result.x) if x > 1e-9}


def test_there_are_77_foods_each_named_once() -> None:
    assert len(NAMES) == len(set(NAMES)) == 77
    assert PER_DOLLAR.shape == (77, 9)
    assert (PER_DOLLAR >= 0).all()


def test_the_cheapest_diet_of_1939() -> None:
    dollars_a_day, bought = cheapest(PER_DOLLAR)
    assert dollars_a_day == pytest.approx(0.108662, abs=5e-7)
    assert round(dollars_a_day * 365, 2) == 39.66
    assert round(dollars_a_day * 365.25, 2) == 39.69  # Dantzig (1990)
    assert set(bought) == {"wheat flour (enriched)", "liver (beef)", "cabbage", "spinach", "navy beans, dried"}


@pytest.mark.parametrize(
    ("food", "nutrient", "in_the_other_copy"),
    [
        ("white bread (enriched)", "kilo_kcal", 15.6),
        ("leg of lamb", "riboflavin_mg", 3.0),
        ("oranges", "ascorbic_acid_mg", 1993.0),
        ("pork chops", "iron_mg", 80.0),
    ],
)
def test_the_optimum_does_not_hang_on_a_cell_in_which_the_copies_differ(
    food: str, nutrient: str, in_the_other_copy: float
) -> None:
    place = NAMES.index(food), list(ALLOWANCES).index(nutrient)
    assert PER_DOLLAR[place] != in_the_other_copy
    other = PER_DOLLAR.copy()
    other[place] = in_the_other_copy
    assert cheapest(other)[0] == pytest.approx(cheapest(PER_DOLLAR)[0], abs=1e-12)


STIGLERS_DIET = [  # food, dollars a year, units a year: Stigler (1945), Table 2
    ("wheat flour (enriched)", 13.33, 37.0),  # 370 lb in units of 10 lb
    ("evaporated milk (can)", 3.84, 57),
    ("cabbage", 4.11, 111),
    ("spinach", 1.85, 23),
    ("navy beans, dried", 16.80, 285),
]


@pytest.mark.parametrize(("food", "dollars", "units"), STIGLERS_DIET)
def test_prices_turn_the_dollars_of_stiglers_diet_into_its_quantities(food: str, dollars: float, units: float) -> None:
    cents = float(FOODS[NAMES.index(food)]["price_cents"])
    assert dollars * 100 / cents == pytest.approx(units, abs=0.5)


def test_stiglers_own_diet_meets_the_allowances_at_39_dollars_93() -> None:
    a_year = np.zeros(77)
    for food, dollars, _ in STIGLERS_DIET:
        a_year[NAMES.index(food)] = dollars
    assert a_year.sum() == pytest.approx(39.93)
    met = a_year @ PER_DOLLAR / 365 / np.array(list(ALLOWANCES.values()))
    assert met.min() == pytest.approx(1, abs=0.005)  # to the rounding of his quantities
    assert a_year.sum() / 365 > cheapest(PER_DOLLAR)[0]
