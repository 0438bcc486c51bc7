"""Compares the catalog with a Standard Reference release: python -m catalog.usda.compare PATH.

Every food with an NDB number must bear the release's description. Every composition row whose source is
sr28:NDB must hold the release's value in the release's unit and, where given, its spread and number of data
points. Rows taken over from another food are checked too: same-tissue:NDB as they are, scaled-by-protein:NDB
times the ratio of crude protein.
"""

import argparse
import math
import sys
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from catalog.catalog import FIGURE_COLUMNS, FOOD_COLUMNS, NUTRIENT_COLUMNS, TABLES
from catalog.mistakes import Mistake
from catalog.reading.csv_tables import TableRow, read_table
from catalog.usda.release import ReleaseError
from catalog.usda.sr import read_foods, read_nutrients, read_values

PROTEIN = "203"


@dataclass(frozen=True, slots=True)
class ReleasedFigures:
    """A release ready to look up: (NDB number, nutrient number) -> value, n, sd; units by nutrient number."""

    values: Mapping[tuple[str, str], tuple[float, float, float]]
    units: Mapping[str, str]

    def number_of(self, ndb_no: str, usda_numbers: list[str]) -> str | None:
        """The first of the nutrient numbers that the release has for the food."""
        return next((no for no in usda_numbers if (ndb_no, no) in self.values), None)


def compare(release_folder: Path, tables: Path = TABLES) -> tuple[list[str], int]:
    """What differs, one line each, and how many figures and descriptions of foods were compared.

    Raises ReleaseError for a folder that is no release, ValueError for tables that cannot be read.
    """
    mistakes: list[Mistake] = []
    nutrients = {
        row["id"]: row["usda_numbers"].split()
        for row in read_table(tables / "nutrients.csv", NUTRIENT_COLUMNS, mistakes)
    }
    foods = [
        row
        for name in ("foods.csv", "supplements.csv")
        for row in read_table(tables / name, FOOD_COLUMNS, mistakes)
        if row["ndb_no"]
    ]
    rows = [
        row
        for path in sorted((tables / "composition").glob("*.csv"))
        for row in read_table(path, FIGURE_COLUMNS, mistakes)
        if row["source"].partition(":")[0] in ("sr28", "same-tissue", "scaled-by-protein")
    ]
    if mistakes:
        raise ValueError("\n".join(str(mistake) for mistake in mistakes))
    own = {row["id"]: row["ndb_no"] for row in foods}
    release = _read_release(release_folder, {row["source"].partition(":")[2] for row in rows} | set(own.values()))
    described = read_foods(release_folder)["description"]
    lines = [
        f"{row.file}:{row.line}: {row['id']}: {row['description']!r}, the release has {described.get(row['ndb_no'])!r}"
        for row in foods
        if row["description"] != described.get(row["ndb_no"])
    ]
    for row in rows:
        difference = _difference(row, release, nutrients, own)
        if difference:
            lines.append(f"{row.file}:{row.line}: {row['food']}, {row['nutrient']}: {difference}")
    return lines, len(rows) + len(foods)


def _read_release(folder: Path, ndb_nos: set[str]) -> ReleasedFigures:
    """The values of some foods and the units of all nutrients."""
    table = read_values(folder, ndb_nos)
    units = read_nutrients(folder)["unit"]
    return ReleasedFigures(
        values=dict(zip(table.index, table[["value", "n", "sd"]].itertuples(index=False, name=None), strict=True)),
        units={str(number): str(unit) for number, unit in units.items()},
    )


def _difference(
    row: TableRow, release: ReleasedFigures, nutrients: Mapping[str, list[str]], own: Mapping[str, str]
) -> str:
    """How one row differs from the release, or an empty text."""
    key, _, ndb_no = row["source"].partition(":")
    number = release.number_of(ndb_no, nutrients.get(row["nutrient"], []))
    if number is None:
        return f"the release has no value of it for {ndb_no}"
    if key == "sr28" and own.get(row["food"], ndb_no) != ndb_no:
        return f"the source is {ndb_no}, the food is {own[row['food']]}"
    value, n, sd = release.values[ndb_no, number]
    if row["unit"] != release.units[number] or row["per"] != "100 g":
        return f"in {row['unit']} per {row['per']}, the release prints {release.units[number]} per 100 g"
    tolerance = 0.0
    if key == "scaled-by-protein":
        value *= release.values[own[row["food"]], PROTEIN][0] / release.values[ndb_no, PROTEIN][0]
        tolerance = 0.51 * 10.0 ** -len(row["value"].partition(".")[2])
    if abs(float(row["value"]) - value) > tolerance:
        return f"{row['value']}, the release has {value:g}"
    if key == "sr28" and row["sd"] and not math.isclose(float(row["sd"]), sd, rel_tol=1e-3):
        return f"sd {row['sd']}, the release has {sd:.4g}"
    if key == "sr28" and row["n"] and int(row["n"]) != n:
        return f"n {row['n']}, the release has {n:g}"
    return ""


def main(arguments: list[str] | None = None) -> int:
    """Prints what differs and a count; 0 when nothing does, 1 when something does, 2 for an unreadable folder."""
    parser = argparse.ArgumentParser(prog="python -m catalog.usda.compare", description=compare.__doc__)
    parser.add_argument("path", type=Path, help="the folder with FOOD_DES.txt, NUT_DATA.txt … or the same with .gz")
    path = parser.parse_args(arguments).path
    try:
        lines, count = compare(path)
    except ReleaseError as problem:
        sys.stderr.write(f"{problem}\n")
        return 2
    sys.stdout.write("".join(f"{line}\n" for line in lines))
    sys.stdout.write(f"{count} figures and descriptions compared with {path}, {len(lines)} differ\n")
    return 1 if lines else 0


if __name__ == "__main__":
    sys.exit(main())
