"""The tables in catalog/tables/standards against what the standards print, and against themselves.

Sources, with the tables they were read in, are in catalog/tables/sources/standards.csv.
"""

import csv
from pathlib import Path

import pytest

from catalog.catalog import TABLES, load_catalog
from catalog.mistakes import Mistake
from catalog.reading.csv_tables import TableRow, read_table
from catalog.reading.standards import LIMIT_COLUMNS, read_standards
from catalog.records import Limit, Standard

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


# Row by row against the collection from which the tables were made.

PLANNED_BASES = ("per_1000kcal_ME", "per_100g_DM")  # AAFCO's per_kg_DM rows repeat its maxima per 1000 kcal
LIFE_STAGES: dict[str, dict[str, tuple[str, ...]]] = {
    "aafco": {"adult": ("adult",), "growth": ("growth_reproduction",)},
    "fediaf-75": {"adult": ("adult_mer75", "adult", "all"), "growth": ("growth_reproduction", "all")},
    "fediaf-100": {"adult": ("adult_mer100", "adult", "all"), "growth": ("growth_reproduction", "all")},
    "nrc": {"adult": ("adult",), "growth": ("growth",)},
}
LimitKey = tuple[str, str, float | None, float | None, str, str]


def collected(standard: str, life_stage: str) -> set[LimitKey]:
    found: set[LimitKey] = set()
    with COLLECTED.open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            growth_only = row["life_stage"] == "growth_only" and row["basis"] == "per_100g_DM"
            wanted = row["life_stage"] in LIFE_STAGES[standard][life_stage] or (
                growth_only and life_stage == "growth" and row["nutrient"] != "vitamin_a"
            )
            same = row["standard"].lower() == standard.partition("-")[0]
            if row["basis"] == "per_100g_DM" and row["max_kind"] != "legal":
                continue  # FEDIAF's nutritional limits are entered per 1000 kcal only
            if not (same and wanted and row["basis"] in PLANNED_BASES) or "| DRY " in row["source"]:
                continue
            ratio = row["nutrient"] == "calcium_phosphorus_ratio"
            dry_matter = row["basis"] == "per_100g_DM"
            found.add(
                (
                    "calcium" if ratio else row["nutrient"].replace("_", "-"),
                    "ratio" if ratio else "per-kg-dry-matter" if dry_matter else "per-1000-kcal",
                    float(row["min"]) if row["min"] else None,
                    round(float(row["max"]) * (10 if dry_matter else 1), 6) if row["max"] else None,
                    "" if ratio else row["unit"],
                    "memory" if row["confidence"] == "memory" else "read",
                )
            )
    return found


# What the second reading changed, and why: the figure collected first, and the one that stands.
CORRECTED = {
    ("fediaf-100", "adult", "folate"): (190.0, 188.0),  # its own 750 ug per kg of dry matter is 187.5
    ("nrc", "adult", "taurine"): (0.1, 0.43),  # NRC's suggestion for canned food; 0.1 is for purified diets
    ("nrc", "growth", "taurine"): (0.1, 0.43),  # the same
}
REVIEWED = COLLECTED.parents[1] / "review" / "standards_review.csv"


def verified_in_review() -> set[tuple[str, str, str, str]]:
    """Standard, life stage, nutrient and kind of bound that were found in a source when the tables were read again."""
    with REVIEWED.open(encoding="utf-8", newline="") as file:
        found = [row for row in csv.DictReader(file) if row["verdict"] == "verified"]
    return {(row["standard"], row["stage"], row["nutrient"], row["bound"]) for row in found}


@pytest.mark.skipif(not REVIEWED.exists(), reason=f"the collection {COLLECTED.name} is not beside this checkout")
@pytest.mark.parametrize("life_stage", ["adult", "growth"])
@pytest.mark.parametrize("standard", STANDARDS)
def test_the_tables_hold_what_was_collected_or_verified_since(standard: str, life_stage: str) -> None:
    verified = verified_in_review()
    expected = set()
    for nutrient, basis, low, high, unit, confidence in collected(standard, life_stage):
        was, now = CORRECTED.get((standard, life_stage, nutrient), (None, None))
        bounds = {"legal max"} if basis == "per-kg-dry-matter" else {"min"} if high is None else {"min", "max"}
        seen = all((standard, life_stage, nutrient, bound) in verified for bound in bounds) and basis != "ratio"
        expected.add((nutrient, basis, now if low == was and now else low, high, unit, "read" if seen else confidence))
    held = {
        (
            row["nutrient"],
            row["basis"],
            float(row["minimum"]) if row["minimum"] else None,
            float(row["maximum"]) if row["maximum"] else None,
            row["unit"],
            row["confidence"],
        )
        for row in rows(standard)
        if row["life_stage"] == life_stage
        and row["basis"] != "increment"
        and not row["source"].startswith("common-practice")
    }
    assert held == expected
