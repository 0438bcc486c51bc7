"""Foods of USDA's releases become own entries: from a download written by hand, and from a whole release."""

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest

from catalog.own.overlay import lay_over_data
from catalog.own.writing import add_entries
from catalog.reading.toml_lines import Lines
from catalog.records import Catalog, Food
from catalog.usda.importing import Imported, import_foods, open_release
from tests.catalog.usda import fdc_download as download

RELEASE = Path(__file__).parents[4] / "shared" / "reference" / "sr28"
needs_release = pytest.mark.skipif(not RELEASE.is_dir(), reason=f"the USDA release is not at {RELEASE}")
HEART, HERRING, ONION, MADE_UP = download.HEART, download.HERRING, download.ONION, download.MADE_UP


@pytest.fixture
def imported(tmp_path: Path, catalog: Catalog) -> dict[str, Imported]:
    """Every food of the download, by number."""
    release = open_release(download.write_folder(tmp_path / "fdc", download.files()))
    found, mistakes = import_foods(release, [HEART, HERRING, ONION, MADE_UP], catalog)
    assert mistakes == []
    return {one.number: one for one in found}


def food_of(entry: Mapping[str, Any], catalog: Catalog) -> Food:
    laid, mistakes = lay_over_data(catalog, {"foods": [entry]}, "own-foods.toml", Lines({}))
    assert mistakes == []
    return laid.foods[entry["id"]]


def test_an_imported_food_has_the_figures_of_the_catalog_s_own(imported: dict[str, Imported], catalog: Catalog) -> None:
    heart, own = food_of(imported[HEART].entry, catalog), catalog.foods["turkey-heart"]
    assert imported[HEART].same_as == "turkey-heart"
    assert (heart.role, heart.counts_as, heart.category, heart.tags) == (own.role, "meat", own.category, own.tags)
    assert {"water", "protein", "calcium", "vitamin-a", "vitamin-e", "linoleic-acid"} <= heart.figures.keys()
    for id_, figure in heart.figures.items():
        assert figure.value == pytest.approx(own.figures[id_].value), id_
        assert figure.kind == own.figures[id_].kind, id_
        assert figure.sd == pytest.approx(own.figures[id_].sd, rel=1e-3), id_
        assert figure.sd_assumed == own.figures[id_].sd_assumed, id_
    assert heart.figures["linoleic-acid"].value == 1.762  # 675 is there, so 618 is not asked
    assert (heart.figures["water"].n, heart.figures["carbohydrate"].n) == (4, None)
    assert heart.figures["water"].source == (
        f"own:own-foods.toml:0 (USDA FoodData Central, SR Legacy, published 2019-04-01, FDC ID {HEART}, NDB 05175)"
    )


def test_what_the_release_does_not_say_is_missing_and_unknown(imported: dict[str, Imported], catalog: Catalog) -> None:
    heart = food_of(imported[HEART].entry, catalog)
    assert {"taurine", "iodine", "zinc"} <= set(imported[HEART].missing)
    assert set(imported[HEART].missing).isdisjoint(heart.figures)
    plain = {id_ for id_, nutrient in catalog.nutrients.items() if not nutrient.sum_of}
    assert set(imported[HEART].missing) | heart.figures.keys() >= plain


def test_the_undivided_acid_of_fish_counts_from_half_to_all(imported: dict[str, Imported], catalog: Catalog) -> None:
    figure = food_of(imported[HERRING].entry, catalog).figures["arachidonic-acid"]
    assert (figure.low, figure.high) == pytest.approx((0.03, 0.06))
    assert (figure.sd, figure.n) == (pytest.approx(0.004 * 21**0.5, rel=1e-3), 21)
    assert food_of(imported[HEART].entry, catalog).figures["arachidonic-acid"].low == 0.205


def test_a_food_that_is_unsafe_for_cats_is_refused_with_the_reason(imported: dict[str, Imported]) -> None:
    assert "red blood cells" in imported[ONION].refused
    assert imported[HEART].refused == ""


def test_odd_values_are_left_out_or_told(imported: dict[str, Imported], catalog: Catalog) -> None:
    one = imported[MADE_UP]
    assert one.entry["id"] == "test-food-quoted"  # the bone is not among the figures, so not in the name
    assert "without bone" in one.entry["note"]
    amounts = one.entry["amounts"]
    assert amounts["carbohydrate"] == "0 g"  # a difference a little below zero is none
    assert "fat" not in amounts  # an empty amount is unknown
    assert "vitamin-e" not in amounts  # in no unit of it
    assert amounts["iodine"] == "2.5 ug"
    assert food_of(one.entry, catalog).tags == {"pork"}


def test_ids_that_the_catalog_has_get_the_number(tmp_path: Path, catalog: Catalog) -> None:
    named = {"food.csv": download.FOOD.replace("Turkey, heart, all classes, raw", "Turkey, heart")}
    release = open_release(download.write_folder(tmp_path, download.files(changed=named)))
    ([heart], _) = import_foods(release, [HEART], catalog)
    assert heart.entry["id"] == f"turkey-heart-{HEART}"
    ([heart], _) = import_foods(release, ["05175"], catalog, id_="my-hearts")
    assert heart.entry["id"] == "my-hearts"
    _, [mistake] = import_foods(release, [HEART, HERRING], catalog, id_="my-hearts")
    assert mistake.field == "--id"


def test_numbers_that_are_none_are_all_told(tmp_path: Path, catalog: Catalog) -> None:
    release = open_release(download.write_folder(tmp_path, download.files()))
    found, mistakes = import_foods(release, ["1", HEART, "heart"], catalog)
    assert found == []
    assert [mistake.read for mistake in mistakes] == ['"1"', '"heart"']


@needs_release
def test_every_fortieth_food_of_a_whole_release_becomes_an_entry(catalog: Catalog, tmp_path: Path) -> None:
    release = open_release(RELEASE)
    assert release.name == "USDA Standard Reference 28"
    assert len(release.foods) == 8789
    numbers = list(release.foods.index[::40])
    found, mistakes = import_foods(release, numbers, catalog)
    assert mistakes == []
    assert [one.number for one in found] == numbers
    kept = [one.entry for one in found if not one.refused]
    assert len(kept) > 0.9 * len(numbers)
    foods, mistakes = add_entries(catalog, kept, tmp_path / "own.toml")
    assert mistakes == []
    assert len(foods) == len(kept)


LISTED = [
    ("05143", "organ", "meat", {"poultry", "liver", "secreting-organ"}),  # duck liver, which the catalog has
    ("05142", "cut", "meat", {"poultry", "cooked"}),  # roast duck, which it has not
    ("01131", "egg", "meat", {"egg", "cooked"}),  # poached
    ("10006", "fat", "meat", {"pork"}),  # separable fat
    ("15008", "fish", "meat", {"fish", "thiaminase"}),  # carp, raw
    ("15009", "fish", "meat", {"fish", "cooked"}),  # carp, cooked
    ("15119", "fish", "meat", {"fish", "canned"}),  # tuna canned in oil is no fish oil
    ("04591", "oil", "meat", {"fish-oil"}),  # menhaden
    ("11445", "vegetable", "non-meat", {"kelp", "seaweed", "iodine-unlabelled"}),
    ("18069", "grain", "non-meat", set()),  # white bread
]


@needs_release
def test_a_food_is_listed_by_its_group_and_name(catalog: Catalog) -> None:
    found, mistakes = import_foods(open_release(RELEASE), [ndb_no for ndb_no, *_ in LISTED], catalog)
    assert mistakes == []
    listed = [(one.number, one.entry["role"], one.entry["counts_as"], set(one.entry["tags"])) for one in found]
    assert listed == LISTED
    kelp = food_of(next(one for one in found if one.number == "11445").entry, catalog)
    assert kelp.figures["iodine"].low == 0
    # 81.58 % water (SR28): 18.42 g of dry matter at the 8165 ug per g of the strongest kelp without a label
    assert kelp.figures["iodine"].high == pytest.approx(18.42 * 8165, rel=1e-4)
    assert "no iodine" in kelp.note
