"""Stigler's diet problem through our own problem and solver modules.

George J. Stigler, "The Cost of Subsistence", Journal of Farm Economics 27 (1945), pp. 303-314: 77 foods, nine
allowances of nutrients, and the diet he found by hand, $39.93 a year. His data are in data/stigler.csv, tested in
test_stigler_data.py.

George B. Dantzig, "The Diet Problem", Interfaces 20:4 (1990), pp. 43-47: the first linear program that was solved to
its optimum. The article was not at hand; R. R. Weber (University of Cambridge, History of the Diet Problem) retells
it as $39.69 a year. The optimum of these data is 10.8662 cents a day: $39.66 for 365 days, which is the figure that is
otherwise cited from that article, and $39.69 for 365.25. Both are held here; which of the two Dantzig printed, and for
how many days, remains to be read in the journal.
"""

from fractions import Fraction

import numpy as np
import pytest

from catalog.records import Catalog, Figure, Food, Limit, Nutrient, Standard
from optimizer.assess.assessment import assess
from optimizer.assess.result import MET
from optimizer.model.build import build
from optimizer.model.objectives import money
from optimizer.model.problem import Problem, Solution
from optimizer.model.solve import amounts_of
from optimizer.model.solver import solve
from optimizer.scenario.records import Item, Scenario
from tests.published.test_stigler_data import ALLOWANCES, FOODS

# Six of the nine are nutrients of ours, in the same unit; the others are added under names of their own.
# Energy has to be: ours is worked out from protein, fat and carbohydrate, his is a column of its own.
OURS = {
    "kilo_kcal": "energy-1939",
    "protein_g": "protein",
    "calcium_g": "calcium",
    "iron_mg": "iron",
    "vitamin_a_kilo_iu": "vitamin-a-1939",
    "thiamine_mg": "thiamine",
    "riboflavin_mg": "riboflavin",
    "niacin_mg": "niacin",
    "ascorbic_acid_mg": "ascorbic-acid",
}
ADDED = (
    Nutrient("energy-1939", "energy", "kilo-kcal", "proximate"),
    Nutrient("vitamin-a-1939", "vitamin A", "kilo-IU", "vitamin"),
    Nutrient("ascorbic-acid", "ascorbic acid", "mg", "vitamin"),
)
STIGLER = "Stigler 1945, Table A"


def food(row: dict[str, str]) -> Food:
    """A food of 1939 of which a gram is what one dollar buys."""
    figures = {}
    for column, nutrient in OURS.items():
        per_100_g = 100 * float(row[column])
        figures[nutrient] = Figure(per_100_g, per_100_g, per_100_g, "analysed", STIGLER, "read")
    return Food(row["food"], row["food"], role="cut", counts_as="meat", category="1939", figures=figures)


def item(food: Food, available: int = 1000) -> Item:
    """Any amount of a food, at a dollar a gram."""
    return Item(
        food,
        is_supplement=False,
        counts_as="meat",
        unit="g",
        grams_per_unit=Fraction(1),
        available=Fraction(available),
        step=None,
        price_per_gram=Fraction(1),
    )


def diet(foods: list[Food]) -> Scenario:
    """One man's day."""
    allowances = tuple(
        Limit(OURS[column], "per_batch", amount, None, "National Research Council 1943, as in Stigler 1945", "read")
        for column, amount in ALLOWANCES.items()
    )
    return Scenario(
        title="The cost of subsistence",
        file="",
        standard=Standard("nrc-1943", "allowances for an active man of 154 pounds", "1943", "adult", allowances),
        aim="cost",
        energy_method="modified-atwater",
        non_meat_cap=1.0,
        currency="USD",
        items=tuple(item(food) for food in foods),
    )


@pytest.fixture(scope="module")
def foods() -> list[Food]:
    return [food(row) for row in FOODS]


@pytest.fixture(scope="module")
def catalog_1939(catalog: Catalog, foods: list[Food]) -> Catalog:
    nutrients = {**catalog.nutrients, **{nutrient.id: nutrient for nutrient in ADDED}}
    return Catalog(nutrients, {food.id: food for food in foods}, {}, (), {}, {})


@pytest.fixture(scope="module")
def problem(foods: list[Food], catalog_1939: Catalog) -> Problem:
    return build(diet(foods), catalog_1939)


@pytest.fixture(scope="module")
def solution(problem: Problem) -> Solution:
    return solve(problem, [money(problem)])


def test_his_units_are_ours_where_his_nutrients_are(catalog: Catalog) -> None:
    shared = {column: catalog.nutrients[id_].unit for column, id_ in OURS.items() if id_ in catalog.nutrients}
    assert len(shared) == 6
    assert all(column.endswith("_" + unit) for column, unit in shared.items())


def test_the_problem_is_77_foods_and_9_allowances(problem: Problem) -> None:
    assert len(problem.columns) == 77
    assert not problem.integer.any()
    assert sum(row.tier == "target" for row in problem.rows) == 9


def test_the_cheapest_diet_of_1939_is_39_dollars_66_a_year(solution: Solution) -> None:
    [dollars_a_day] = solution.objectives
    assert solution.proven
    assert dollars_a_day == pytest.approx(0.10866, abs=5e-6)
    assert round(dollars_a_day * 365, 2) == 39.66
    assert round(dollars_a_day * 365.25, 2) == 39.69


def test_it_is_bought_of_five_foods(problem: Problem, solution: Solution) -> None:
    bought = {problem.columns[j].id for j in np.flatnonzero(solution.values > 1e-9)}
    assert bought == {"wheat flour (enriched)", "liver (beef)", "cabbage", "spinach", "navy beans, dried"}


def test_the_assessment_finds_every_allowance_met_and_five_of_them_just_met(
    foods: list[Food], catalog_1939: Catalog, problem: Problem, solution: Solution
) -> None:
    scenario = diet(foods)
    assessed = assess(scenario, catalog_1939, amounts_of(scenario, problem, solution))
    percent = {n.nutrient.id: n.percent_of_minimum for n in assessed.nutrients if n.minimum is not None}
    assert {n.nutrient.id for n in assessed.nutrients if n.status == MET} == set(OURS.values()) == set(percent)
    just_met = {id_ for id_, reached in percent.items() if reached == pytest.approx(100, abs=1e-3)}
    # five foods, so five allowances bind
    assert just_met == {"energy-1939", "calcium", "vitamin-a-1939", "riboflavin", "ascorbic-acid"}


def test_without_cabbage_the_day_costs_more(foods: list[Food], catalog_1939: Catalog, solution: Solution) -> None:
    poorer = build(diet([food for food in foods if food.id != "cabbage"]), catalog_1939)
    assert solve(poorer, [money(poorer)]).objectives[0] > solution.objectives[0] + 1e-4
