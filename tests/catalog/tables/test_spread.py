"""Every figure has a spread: USDA's standard deviation and number of samples, or the class's, marked as assumed."""

from pathlib import Path

import pytest

from catalog.catalog import FIGURE_COLUMNS, TABLES
from catalog.mistakes import Mistake
from catalog.reading.csv_tables import TableRow, read_table
from catalog.records import Catalog
from catalog.usda.sr import read_values

RELEASE = Path(__file__).parents[4] / "shared" / "reference" / "sr28"


def rows() -> list[TableRow]:
    mistakes: list[Mistake] = []
    found = [
        row
        for path in sorted((TABLES / "composition").glob("*.csv"))
        for row in read_table(path, FIGURE_COLUMNS, mistakes)
    ]
    assert mistakes == []
    return found


def test_every_figure_has_a_spread_of_its_own_or_the_class_s_marked_as_assumed(catalog: Catalog) -> None:
    published = {(row["food"], row["nutrient"]) for row in rows() if row["sd"]}
    own = 0
    for food in catalog.foods.values():
        for id_, figure in food.figures.items():
            nutrient = catalog.nutrients[id_]
            if nutrient.sum_of:
                continue
            assert figure.sd is not None
            assert figure.sd_assumed == ((food.id, id_) not in published), (food.id, id_)
            if figure.sd_assumed:
                assert figure.sd == pytest.approx(figure.value * nutrient.assumed_cv), (food.id, id_)
            else:
                own += 1
    assert own == len(published) > 2000


def test_every_class_of_nutrient_has_a_variation_to_assume(catalog: Catalog) -> None:
    assert all(0 < nutrient.assumed_cv < 1 for nutrient in catalog.nutrients.values())


@pytest.mark.skipif(not RELEASE.is_dir(), reason=f"the USDA release is not at {RELEASE}")
def test_no_spread_and_no_count_that_usda_prints_is_left_out(catalog: Catalog) -> None:
    usda = [row for row in rows() if row["source"].startswith("sr28:")]
    values = read_values(RELEASE, {row["source"].partition(":")[2] for row in usda})
    left_out = []
    for row in usda:
        ndb_no = row["source"].partition(":")[2]
        numbers = catalog.nutrients[row["nutrient"]].usda_numbers
        printed = values.loc[next((ndb_no, number) for number in numbers if (ndb_no, number) in values.index)]
        # an error of 0 is none, and an sd of over five times the value is a misprint
        if 0 < printed["sd"] <= 5 * printed["value"] and not row["sd"]:
            left_out.append((row["food"], row["nutrient"], "sd"))
        if printed["n"] > 1 and not row["n"] and row["kind"] == "analysed":
            left_out.append((row["food"], row["nutrient"], "n"))
    assert left_out == []
