"""Tables of published standards -> Standard records."""

import re
from collections import defaultdict
from collections.abc import Iterable, Mapping
from pathlib import Path

from catalog.kinds import Basis, MaximumKind
from catalog.mistakes import Mistake
from catalog.nutrition.composition import ENERGY_METHODS
from catalog.reading.csv_tables import CONFIDENCE, TableRow, checked_source, choice, number, read_table
from catalog.reading.figures import convert_amount
from catalog.records import Condition, Limit, Nutrient, Standard

LIFE_STAGES = ("adult", "growth")
BASES = {
    "per-1000-kcal": Basis.PER_1000_KCAL,
    "per-kg-dry-matter": Basis.PER_KG_DRY_MATTER,
    "ratio": Basis.RATIO,
    "increment": Basis.INCREMENT,
}

STANDARD_COLUMNS = "id name edition publisher energy note".split()
LIMIT_COLUMNS = (
    "life_stage nutrient basis minimum maximum unit of above condition maximum_kind dm_minimum "
    "dm_maximum dm_unit source confidence note"
).split()


def read_standards(
    folder: Path,
    nutrients: Mapping[str, Nutrient],
    tags: Iterable[str],
    sources: Mapping[str, str],
    mistakes: list[Mistake],
) -> dict[tuple[str, str], Standard]:
    """The standards listed in `index.csv` of a folder, by id and life stage."""
    found: dict[tuple[str, str], Standard] = {}
    for row in read_table(folder / "index.csv", STANDARD_COLUMNS, mistakes):
        limits: dict[str, list[Limit]] = defaultdict(list)
        for cells in read_table(folder / f"{row['id']}.csv", LIMIT_COLUMNS, mistakes):
            limit = _limit(cells, nutrients, tags, sources, mistakes)
            if limit:
                limits[cells["life_stage"]].append(limit)
        energy = choice(row, "energy", ENERGY_METHODS, mistakes)
        for stage in LIFE_STAGES:
            found[row["id"], stage] = Standard(
                row["id"], row["name"], row["edition"], stage, tuple(limits[stage]), row["note"], energy
            )
    return found


def _limit(
    row: TableRow,
    nutrients: Mapping[str, Nutrient],
    tags: Iterable[str],
    sources: Mapping[str, str],
    mistakes: list[Mistake],
) -> Limit | None:
    """One row of a standard, its bounds in the nutrient's unit; None when it cannot be used."""
    choice(row, "life_stage", LIFE_STAGES, mistakes)
    nutrient, basis = choice(row, "nutrient", nutrients, mistakes), choice(row, "basis", BASES, mistakes)
    bounds = [number(row, column, mistakes) for column in ("minimum", "maximum")]
    if not nutrient or not basis:
        return None
    if basis != Basis.RATIO:
        converted = [None if b is None else convert_amount(b, row["unit"], nutrients[nutrient]) for b in bounds]
        if any(b is not None and c is None for b, c in zip(bounds, converted, strict=True)):
            mistakes.append(wrong_unit(row, nutrients[nutrient]))
            return None
        bounds = converted
    if basis and BASES[basis] in (Basis.RATIO, Basis.INCREMENT):
        choice(row, "of", {*tags, *nutrients}, mistakes)
    return Limit(
        nutrient=nutrient,
        basis=BASES[basis],
        minimum=bounds[0],
        maximum=bounds[1],
        of=row["of"],
        above=number(row, "above", mistakes) or 0.0,
        condition=read_condition(row, tags, mistakes),
        maximum_kind=MaximumKind(choice(row, "maximum_kind", list(MaximumKind), mistakes)),
        source=checked_source(row, sources, mistakes),
        confidence=choice(row, "confidence", CONFIDENCE, mistakes),
        note=row["note"],
        file=row.file,
        line=row.line,
    )


def wrong_unit(row: TableRow, nutrient: Nutrient) -> Mistake:
    """The mistake of a unit that cannot become the nutrient's."""
    return row.mistake("unit", f"a unit of {nutrient.id}, such as {nutrient.unit}")


def read_condition(row: TableRow, tags: Iterable[str], mistakes: list[Mistake]) -> Condition | None:
    """The condition in a row's cell, None where it is empty or cannot be read."""
    if not row["condition"]:
        return None
    match = re.fullmatch(r"([a-z-]+) > ([\d.]+) % of (dry matter|mass)", row["condition"])
    if not match or match[1] not in set(tags):
        mistakes.append(row.mistake("condition", '"TAG > N % of dry matter" or "TAG > N % of mass", TAG on a food'))
        return None
    return Condition(match[1], float(match[2]) / 100, match[3].replace(" ", "_"))
