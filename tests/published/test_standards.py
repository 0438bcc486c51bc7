"""The tables in catalog/tables/standards against what the standards print, and against themselves.

Sources, with the tables they were read in, are in catalog/tables/sources/standards.csv.
"""

import math
from collections.abc import Iterator
from pathlib import Path

import pytest

from catalog.catalog import TABLES, load_catalog
from catalog.mistakes import Mistake
from catalog.reading.csv_tables import TableRow, read_table
from catalog.reading.standards import LIMIT_COLUMNS, read_standards
from catalog.records import Limit, Nutrient, Standard

STANDARDS = ("aafco", "fediaf-75", "fediaf-100", "nrc")
NO_STANDARD = "own-limits-only"
COLLECTED = Path(__file__).parents[3] / "shared" / "reference" / "standards" / "standards.csv"
CATALOG = load_catalog()[0]
NUTRIENTS = CATALOG.nutrients
TAGS = ("fish", "fish-oil", "raw-egg-white")  # the foods themselves are no matter of this file


def rows(standard: str) -> list[TableRow]:
    mistakes: list[Mistake] = []
    found = read_table(TABLES / "standards" / f"{standard}.csv", LIMIT_COLUMNS, mistakes)
    assert mistakes == []
    return found


def planned(standard: str, life_stage: str) -> dict[str, TableRow]:
    """The rows per 1000 kcal of one life stage, by nutrient."""
    return {
        row["nutrient"]: row
        for row in rows(standard)
        if row["life_stage"] == life_stage and row["basis"] == "per-1000-kcal"
    }


def read_all() -> dict[tuple[str, str], Standard]:
    mistakes: list[Mistake] = []
    found = read_standards(TABLES / "standards", NUTRIENTS, TAGS, CATALOG.sources, mistakes)
    assert mistakes == []
    return found


READ = read_all()


def limits(standard: str, life_stage: str, nutrient: str, basis: str = "per_1000_kcal") -> list[Limit]:
    return [limit for limit in READ[standard, life_stage].limits if (limit.nutrient, limit.basis) == (nutrient, basis)]


def test_every_standard_has_both_life_stages_and_reads_without_a_mistake() -> None:
    assert set(READ) == {(name, stage) for name in (*STANDARDS, NO_STANDARD) for stage in ("adult", "growth")}
    assert all(len(READ[name, stage].limits) > 40 for name in STANDARDS for stage in ("adult", "growth"))
    assert READ[NO_STANDARD, "adult"].limits == READ[NO_STANDARD, "growth"].limits == ()


@pytest.mark.parametrize("standard", STANDARDS)
def test_each_limit_is_stated_once_and_no_minimum_is_above_its_maximum(standard: str) -> None:
    keys = [(r["life_stage"], r["nutrient"], r["basis"], r["maximum_kind"], r["of"]) for r in rows(standard)]
    assert sorted(keys) == sorted(set(keys))
    for stage in ("adult", "growth"):
        for limit in READ[standard, stage].limits:
            assert limit.minimum is not None or limit.maximum is not None
            assert (limit.minimum or 0.0) < (limit.maximum or math.inf)


# AAFCO's two tables: units of dry matter presume 4000 kcal of metabolisable energy per kg, so an amount per
# 1000 kcal is a quarter of the amount per kg (2.5 g for each per cent). AAFCO 2016, footnote a of both tables;
# "Caloric density" in the rationale of the 2014 revision draft. Printed figures are rounded, so 1 % is allowed.

AAFCO_EXCEPTIONS = {
    ("adult", "linoleic-acid"): 1.5,  # 0.6 % is 0.55-0.56 % rounded; the calorie table prints 1.4 g
    ("growth", "linoleic-acid"): 1.5,  # the same
    ("adult", "biotin"): 17.5,  # 0.07 mg/kg; the calorie table prints 0.018 mg
    ("growth", "biotin"): 17.5,  # the same
}


def per_1000_kcal_at_4000(dry_matter: str, dm_unit: str, nutrient: Nutrient) -> float:
    """A figure per dry matter as an amount per 1000 kcal in the nutrient's unit, at 4000 kcal/kg."""
    unit, factor = ("g", 10.0) if dm_unit == "%" else (dm_unit.removesuffix("/kg"), 1.0)
    micrograms = {"g": 1e6, "mg": 1e3, "ug": 1.0, "IU": 1.0}
    return float(dry_matter) * factor * micrograms[unit] / micrograms[nutrient.unit] / 4


def compared_with_dry_matter(standard: str) -> Iterator[tuple[str, Limit, float | None, float]]:
    """Life stage, limit, its bound and that bound worked out from the dry-matter column."""
    for row in rows(standard):
        if row["basis"] != "per-1000-kcal":
            continue
        (limit,) = limits(standard, row["life_stage"], row["nutrient"])
        for column, bound in (("dm_minimum", limit.minimum), ("dm_maximum", limit.maximum)):
            if row[column]:
                worked_out = per_1000_kcal_at_4000(row[column], row["dm_unit"], NUTRIENTS[row["nutrient"]])
                yield row["life_stage"], limit, bound, worked_out


def test_aafco_states_the_same_per_dry_matter_and_per_calorie() -> None:
    different = {
        (stage, limit.nutrient): pytest.approx(worked_out)
        for stage, limit, bound, worked_out in compared_with_dry_matter("aafco")
        if bound != pytest.approx(worked_out, rel=0.01)
    }
    assert different == AAFCO_EXCEPTIONS


def test_every_row_of_the_aafco_profile_is_compared() -> None:
    bounds = [limit for stage in ("adult", "growth") for limit in READ["aafco", stage].limits]
    profile = [limit for limit in bounds if limit.basis == "per_1000_kcal"]
    printed = sum(limit.minimum is not None for limit in profile) + sum(limit.maximum is not None for limit in profile)
    assert len(list(compared_with_dry_matter("aafco"))) == printed == 96


# FEDIAF works its adult levels out for a cat that eats 100 kcal per kg^0.67 and raises them in proportion for
# one that eats 75 (guidelines, annex on adapting nutrient levels, reprint p. 128): x 100/75.

FEDIAF_EXCEPTIONS = {
    "fat": 22.5,  # does not depend on how much is eaten
    "arginine": 3.25,  # printed from 1.30 g/100 g dry matter; 2.50 x 4/3 would be 3.33
    "riboflavin": 1.05,  # printed from 0.42 mg/100 g dry matter; 0.80 x 4/3 would be 1.07
    "folate": 253,  # printed from 101 ug/100 g dry matter; 188 x 4/3 would be 251
    "selenium": 87.5,  # printed from 35 ug/100 g dry matter; 65 x 4/3 would be 86.7
}


def half_a_unit(value: float) -> float:
    """Half of the last digit printed: three figures, two decimals at most."""
    return max(0.005, 0.5 * 10.0 ** (math.floor(math.log10(value)) - 2))


def test_fediaf_adult_levels_at_75_kcal_are_those_at_100_kcal_times_four_thirds() -> None:
    at_75, at_100 = planned("fediaf-75", "adult"), planned("fediaf-100", "adult")
    assert set(at_75) == set(at_100)
    different = {}
    for nutrient in at_75:
        low, high = float(at_75[nutrient]["minimum"]), float(at_100[nutrient]["minimum"])
        if abs(low - high * 4 / 3) > half_a_unit(low) + half_a_unit(high) * 4 / 3 + 1e-9:
            different[nutrient] = low
    assert different == FEDIAF_EXCEPTIONS


def test_fediaf_growth_does_not_depend_on_what_the_adult_eats() -> None:
    growth = [
        [row.cells for row in rows(name) if row["life_stage"] == "growth"] for name in ("fediaf-75", "fediaf-100")
    ]
    assert growth[0] == growth[1]


# AAFCO cat food nutrient profiles of 2016, based on calorie content, in this catalog's units.
# Minerals and vitamins A to K: a quarter of the figures read in the dry-matter table (2014 revision draft, p. 14).


@pytest.mark.parametrize(
    ("nutrient", "growth", "adult", "maximum"),
    [
        ("protein", 75, 65, None),
        ("arginine", 3.1, 2.6, None),
        ("histidine", 0.83, 0.78, None),
        ("isoleucine", 1.4, 1.3, None),
        ("leucine", 3.2, 3.1, None),
        ("lysine", 3.0, 2.08, None),
        ("methionine", 1.55, 0.5, 3.75),
        ("methionine-cystine", 2.75, 1.0, None),
        ("phenylalanine-tyrosine", 4.8, 3.83, None),
        ("threonine", 1.83, 1.83, None),
        ("tryptophan", 0.63, 0.4, 4.25),
        ("taurine", 0.5, 0.5, None),  # canned food
        ("fat", 22.5, 22.5, None),
        ("arachidonic-acid", 0.05, 0.05, None),
        ("calcium", 2.5, 1.5, None),
        ("phosphorus", 2.0, 1.25, None),
        ("potassium", 1.5, 1.5, None),
        ("sodium", 0.5, 0.5, None),
        ("chloride", 0.75, 0.75, None),
        ("magnesium", 0.2, 0.1, None),
        ("iron", 20, 20, None),
        ("copper", 2.1, 1.25, None),  # canned food
        ("manganese", 1.9, 1.9, None),
        ("zinc", 18.8, 18.8, None),
        ("iodine", 450, 150, 2250),  # printed in mg
        ("selenium", 75, 75, None),
        ("vitamin-a", 1667, 833, 83325),
        ("vitamin-d", 70, 70, 7520),
        ("vitamin-e", 10, 10, None),
        ("thiamine", 1.4, 1.4, None),
        ("niacin", 15, 15, None),
        ("choline", 600, 600, None),
    ],
)
def test_aafco_limits_per_1000_kcal(nutrient: str, growth: float, adult: float, maximum: float | None) -> None:
    for stage, minimum in (("growth", growth), ("adult", adult)):
        (limit,) = limits("aafco", stage, nutrient)
        assert limit.minimum == pytest.approx(minimum)
        assert limit.maximum == pytest.approx(maximum)


@pytest.mark.parametrize("nutrient", ["alpha-linolenic-acid", "epa-dha"])  # "ND", not determined, for adults
def test_aafco_asks_adults_for_no_omega_3(nutrient: str) -> None:
    assert len(limits("aafco", "growth", nutrient)) == 1
    assert limits("aafco", "adult", nutrient) == []


# What applies only sometimes.


@pytest.mark.parametrize("stage", ["adult", "growth"])
def test_aafco_asks_for_vitamin_k_and_biotin_only_where_its_footnotes_do(stage: str) -> None:
    # 2014 revision draft, p. 15: more than 25 % fish on a dry matter basis; anti-vitamin compounds
    (vitamin_k,) = limits("aafco", stage, "vitamin-k")
    (biotin,) = limits("aafco", stage, "biotin")
    assert vitamin_k.condition is not None
    assert biotin.condition is not None
    assert (vitamin_k.condition.tag, vitamin_k.condition.share, vitamin_k.condition.of) == ("fish", 0.25, "dry_matter")
    assert (biotin.condition.tag, biotin.condition.share, biotin.condition.of) == ("raw-egg-white", 0.0, "mass")


@pytest.mark.parametrize("stage", ["adult", "growth"])
@pytest.mark.parametrize("standard", STANDARDS)
def test_vitamin_e_rises_by_ten_units_for_each_gram_of_fish_oil(standard: str, stage: str) -> None:
    oil, _ = limits(standard, stage, "vitamin-e", "increment")
    assert (oil.minimum, oil.of, oil.above) == (10, "fish-oil", 0)


@pytest.mark.parametrize("stage", ["adult", "growth"])
@pytest.mark.parametrize("standard", STANDARDS)
def test_vitamin_e_follows_the_epa_and_dha_of_fish_as_of_oil(standard: str, stage: str) -> None:
    # FEDIAF, text on vitamin E: 5 to 10 IU for each gram of fish oil; 18 % EPA and 12 % DHA on the label of common oil.
    _, fish = limits(standard, stage, "vitamin-e", "increment")
    assert (fish.of, fish.confidence) == ("epa-dha", "memory")
    assert pytest.approx(fish.minimum, rel=0.03) == 5 / 0.30
    oil = CATALOG.foods["fish-oil-softgel-1000"]
    fill = oil.figures["epa-dha"].value * oil.measures["softgel"].grams / 100
    assert fill == pytest.approx(0.30)  # of the 1000 mg that the softgel holds


@pytest.mark.parametrize("stage", ["adult", "growth"])
@pytest.mark.parametrize("standard", ["fediaf-75", "fediaf-100", "nrc"])
def test_arginine_rises_with_protein_above_the_stated_protein(standard: str, stage: str) -> None:
    (increment,) = limits(standard, stage, "arginine", "increment")
    (protein,) = limits(standard, stage, "protein")
    assert (increment.minimum, increment.of, increment.above) == (0.02, "protein", protein.minimum)


def test_only_fediaf_states_a_ratio_of_its_own() -> None:
    for (standard, stage), read in READ.items():
        if standard == NO_STANDARD:
            continue
        (ratio,) = [limit for limit in read.limits if limit.basis == "ratio"]
        assert (ratio.nutrient, ratio.of, ratio.minimum) == ("calcium", "phosphorus", 1)
        assert ratio.maximum == (1.5 if standard.startswith("fediaf") and stage == "growth" else 2)
        assert ratio.source.startswith("common-practice") is not standard.startswith("fediaf")


# The law on feed, read in the regulations named in sources/: mg per kg of complete feed of 12 % moisture, which is
# 88 % dry matter. FEDIAF prints the same per 100 g of dry matter, cut to three figures.
REGULATIONS = {"iron": 600, "copper": 25, "manganese": 150, "zinc": 200, "iodine": 10, "selenium": 0.5}


@pytest.mark.parametrize("stage", ["adult", "growth"])
@pytest.mark.parametrize("standard", ["fediaf-75", "fediaf-100"])
def test_legal_maxima_are_those_of_the_regulations_in_dry_matter(standard: str, stage: str) -> None:
    for nutrient, per_kg_feed in REGULATIONS.items():
        (limit,) = limits(standard, stage, nutrient, "per_kg_dry_matter")
        assert limit.source.startswith("eu-")
        assert limit.confidence == "read"
        in_its_unit = per_kg_feed / 0.88 * {"mg": 1, "ug": 1000}[NUTRIENTS[nutrient].unit]
        assert limit.maximum is not None
        assert in_its_unit * 0.965 < limit.maximum <= in_its_unit * 1.0001  # never above the law


def test_what_stands_in_a_later_edition_is_told_apart() -> None:
    # FEDIAF September 2025, Table III-4b, and AAFCO 2025, both at second hand
    later = {
        (name, limit.nutrient): limit.source.partition(":")[0]
        for name in ("aafco", "fediaf-100")
        for limit in READ[name, "adult"].limits
        if "2025" in limit.source
    }
    assert later == {
        ("aafco", "taurine"): "aafco-2025",
        ("aafco", "choline"): "aafco-2025",
        ("fediaf-100", "linoleic-acid"): "fediaf-2025",
        ("fediaf-100", "calcium"): "fediaf-2025",
        ("fediaf-100", "phosphorus"): "fediaf-2025",
    }


def test_nrc_taurine_is_not_that_of_purified_diets() -> None:
    # NRC 2006: 1.7 g per kg of dry matter for canned food (recollected), at 4 kcal per gram
    for stage in ("adult", "growth"):
        (taurine,) = limits("nrc", stage, "taurine")
        assert taurine.minimum == pytest.approx(1.7 / 4, abs=0.006)


def test_fediaf_counts_energy_by_its_factors_for_natural_foods() -> None:
    # FEDIAF guidelines (reprint p. 119): 4 kcal per g of protein, 8.5 of fat, 4 of carbohydrate for meat and offal
    assert {READ[name, "adult"].energy_method for name in ("fediaf-75", "fediaf-100")} == {"natural-foods"}
    assert {READ[name, "adult"].energy_method for name in ("aafco", "nrc")} == {"modified-atwater"}
