"""The reader of FoodData Central's CSV layout, on a download of a few foods."""

import math
from pathlib import Path
from typing import Any

import pytest

from catalog.usda.fdc import fdc_release, is_fdc
from catalog.usda.importing import found_foods, import_foods, open_release
from catalog.usda.release import ReleaseError, numbered
from tests.catalog.usda import fdc_download as download

HEART, HERRING = download.HEART, download.HERRING


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return download.write_folder(tmp_path / "FoodData_Central_csv", download.files())


def test_foods_bear_both_numbers_their_group_and_where_they_are_from(folder: Path) -> None:
    foods = fdc_release(folder).foods
    assert dict(foods.loc[HEART]) == {
        "ndb_no": "05175",
        "fdc_id": HEART,
        "description": "Turkey, heart, all classes, raw",
        "group": "0500",
        "source": f"USDA FoodData Central, SR Legacy, published 2019-04-01, FDC ID {HEART}, NDB 05175",
    }
    assert foods.loc[HERRING, "source"].startswith("USDA FoodData Central, Foundation, published 2020-10-30")
    assert "170009" not in foods.index  # a sample behind a food is no food


def test_values_bear_units_kinds_and_the_spread_of_their_samples(folder: Path) -> None:
    values = fdc_release(folder).values([HEART, HERRING])
    water, linoleic = values.loc[(HEART, "255")], values.loc[(HEART, "618")]
    assert (water["value"], water["unit"], water["kind"], water["n"]) == (74.47, "g", "analysed", 4)
    assert water["sd"] == pytest.approx(1.322 * 2)
    assert math.isnan(linoleic["sd"])
    assert math.isnan(linoleic["n"])  # no data points of its own
    assert values.loc[(HEART, "205"), "kind"] == "calculated"
    assert values.loc[(HERRING, "205"), "kind"] == "assumed"
    assert values.loc[(HEART, "319"), "unit"] == "ug"


def test_a_zip_and_a_folder_within_a_folder_read_alike(folder: Path, tmp_path: Path) -> None:
    packed = download.write_zip(tmp_path / "download.zip", download.files())
    for path in (packed, tmp_path):
        assert is_fdc(path)
        release = open_release(path)
        assert release.foods.equals(fdc_release(folder).foods)
        assert release.values([HERRING]).equals(fdc_release(folder).values([HERRING]))


def test_a_food_is_found_by_either_number(folder: Path) -> None:
    release = fdc_release(folder)
    for number in (HEART, "05175", "5175", " 5175 "):
        assert numbered(release, number) == [HEART]
    for number in ("17000", "heart", "", "²"):
        assert numbered(release, number) == []
    assert [food["number"] for food in found_foods(release, "raw HERRING")] == [HERRING]


def test_a_number_of_two_foods_asks_for_the_fdc_id(tmp_path: Path, catalog: Any) -> None:
    both = {"foundation_food.csv": download.FOUNDATION_FOOD + f'"{HEART}","15039",""\n'}
    release = fdc_release(download.write_folder(tmp_path, download.files(changed=both)))
    imported, [mistake] = import_foods(release, ["15039"], catalog)
    assert imported == []
    assert mistake.allowed == f"one FDC ID: {HEART}, {HERRING}"


def test_without_the_tables_of_derivations_only_what_is_analytical_is_known_as_such(tmp_path: Path) -> None:
    less = download.files(without=("food_nutrient_derivation.csv", "food_nutrient_source.csv", "food_category.csv"))
    release = fdc_release(download.write_folder(tmp_path, less))
    assert list(release.foods["group"]) == ["0500", "1500", "1100", "1000"]  # as the categories are documented
    kinds = release.values([HEART])["kind"]
    assert (kinds[HEART, "255"], kinds[HEART, "328"]) == ("analysed", "calculated")


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"food.csv": '"fdc_id","data_type"\n"1","sr_legacy_food"\n'}, "food.csv in .* has no column description"),
        ({"food.csv": download.FOOD.replace("sr_legacy", "x").replace("foundation", "x")}, "no food of SR Legacy"),
        ({"nutrient.csv": ""}, "nutrient.csv in .* is no file of a FoodData Central download"),
        ({"food_nutrient.csv": '"id","fdc_id","nutrient_id"\n'}, "food_nutrient.csv in .* has no column amount"),
    ],
)
def test_a_file_that_is_something_else_is_named(tmp_path: Path, changed: dict[str, str], said: str) -> None:
    path = download.write_folder(tmp_path, download.files(changed=changed))
    with pytest.raises(ReleaseError, match=said):
        fdc_release(path).values([HEART])


def test_a_folder_without_one_of_the_files_is_told(tmp_path: Path) -> None:
    path = download.write_folder(tmp_path, download.files(without=("nutrient.csv",)))
    with pytest.raises(ReleaseError, match=r"has no nutrient\.csv"):
        fdc_release(path).values([HEART])
    with pytest.raises(ReleaseError, match=r"neither FOOD_DES\.txt"):
        open_release(tmp_path / "nowhere")
