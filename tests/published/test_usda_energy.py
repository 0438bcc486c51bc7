"""USDA's own energy and factors in the audit's table, against the release of SR28 itself (USDA ARS, 2016).

NUT_DATA, nutrient 208 (energy, kcal per 100 g); FOOD_DES, the food's factors for protein, fat and carbohydrate.
"""

import csv
import gzip
from collections.abc import Iterator
from pathlib import Path

import pytest

from catalog.catalog import TABLES

RELEASE = Path(__file__).parents[3] / "shared" / "reference" / "sr28"


def release(name: str) -> Iterator[list[str]]:
    with gzip.open(RELEASE / f"{name}.txt.gz", "rt", encoding="latin-1") as lines:
        for line in lines:
            yield line.rstrip("\r\n").replace("~", "").split("^")


@pytest.mark.skipif(not RELEASE.is_dir(), reason="the USDA SR28 release is not beside the project")
def test_energy_and_factors_are_as_usda_prints_them() -> None:
    lines = (TABLES / "usda_energy.csv").read_text(encoding="utf-8").splitlines()
    rows = {row["ndb_no"]: row for row in csv.DictReader(line for line in lines if not line.startswith("#"))}
    kcal = {cells[0]: cells[2] for cells in release("NUT_DATA") if cells[1] == "208" and cells[0] in rows}
    factors = {cells[0]: cells[-3:] for cells in release("FOOD_DES") if cells[0] in rows}
    assert len(rows) > 250
    for ndb_no, row in rows.items():
        assert row["kcal"] == kcal[ndb_no]
        printed = [float(factor or 0) for factor in factors[ndb_no]]
        assert [float(row[id_] or 0) for id_ in ("protein", "fat", "carbohydrate")] == printed
