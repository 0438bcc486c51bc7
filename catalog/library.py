"""Tables -> Catalog. Every mistake in every table is collected with its file and line."""

import re
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import replace
from importlib import resources
from pathlib import Path

from catalog.figures import convert_amount, read_figure, summed_figures
from catalog.mistakes import Mistake
from catalog.publications import read_standards
from catalog.reading import CONFIDENCE, Row, checked_source, choice, number, read_table
from catalog.records import (
    Catalog,
    Caution,
    ClassValue,
    Figure,
    Food,
    Measure,
    Nutrient,
    Part,
)

TABLES = Path(str(resources.files("catalog"))) / "tables"
CATALOG_VERSION = "2026.11"

ROLES = (
    "cut organ bone prey egg fish shellfish fat oil vegetable fruit seed grain fibre dairy supplement water"
).split()
COUNTS_AS = ("meat", "non-meat", "water")
NUTRIENT_COLUMNS = "id name unit group usda_numbers sum_of iu_per_ug toxic assumed_cv".split()
FOOD_COLUMNS = "id name role counts_as category species tags ndb_no description note".split()
FIGURE_COLUMNS = "food nutrient value unit per low high counted kind sd n source confidence".split()
MEASURE_COLUMNS = "food unit grams low high source confidence".split()
PART_COLUMNS = "food part share low high source confidence".split()
CLASS_COLUMNS = "category nutrient high unit source confidence".split()
SOURCE_COLUMNS = "id citation".split()
CAUTION_COLUMNS = "code level when text source year confidence".split()


def load_catalog(folder: Path = TABLES) -> tuple[Catalog, list[Mistake]]:
    """The catalog in `folder` and every mistake found in its tables (none in what is shipped)."""
    mistakes: list[Mistake] = []
    sources = _sources(folder, mistakes)
    nutrients = _nutrients(folder / "nutrients.csv", mistakes)
    foods = _foods(folder, nutrients, sources, mistakes)
    tags = {tag for food in foods.values() for tag in food.tags}
    catalog = Catalog(
        nutrients=nutrients,
        foods=foods,
        standards=read_standards(folder / "standards", nutrients, tags, sources, mistakes),
        cautions=_cautions(folder / "cautions.csv", sources, mistakes),
        class_values=_class_values(folder / "class_values.csv", nutrients, sources, mistakes),
        sources=sources,
        version=CATALOG_VERSION,
    )
    return catalog, mistakes


def _tables(folder: Path, name: str) -> list[Path]:
    """The files of one table that is split by group, in a fixed order."""
    return sorted((folder / name).glob("*.csv"))


def _sources(folder: Path, mistakes: list[Mistake]) -> dict[str, str]:
    """Citations by key."""
    found: dict[str, str] = {}
    for path in _tables(folder, "sources"):
        for row in read_table(path, SOURCE_COLUMNS, mistakes):
            if row["id"] in found:
                mistakes.append(row.mistake("id", "each source once over all files of sources/"))
            found[row["id"]] = row["citation"]
    return found


def _nutrients(path: Path, mistakes: list[Mistake]) -> dict[str, Nutrient]:
    found: dict[str, Nutrient] = {}
    for row in read_table(path, NUTRIENT_COLUMNS, mistakes):
        found[row["id"]] = Nutrient(
            id=row["id"],
            name=row["name"],
            unit=choice(row, "unit", ("g", "mg", "ug", "IU"), mistakes),
            group=row["group"],
            usda_numbers=tuple(row["usda_numbers"].split()),
            sum_of=tuple(row["sum_of"].split()),
            iu_per_ug=number(row, "iu_per_ug", mistakes),
            toxic=row["toxic"] == "yes",
            assumed_cv=number(row, "assumed_cv", mistakes) or 0.0,
        )
    return found


def _foods(
    folder: Path, nutrients: Mapping[str, Nutrient], sources: Mapping[str, str], mistakes: list[Mistake]
) -> dict[str, Food]:
    """Foods and supplements with their figures, measures and parts."""
    bare: dict[str, Food] = {}
    for name in ("foods.csv", "supplements.csv"):
        for row in read_table(folder / name, FOOD_COLUMNS, mistakes):
            if row["id"] in bare:
                mistakes.append(row.mistake("id", "each food once over foods.csv and supplements.csv"))
            bare[row["id"]] = _food(row, mistakes)
    measures = _measures(folder, bare, sources, mistakes)
    figures = _figures(folder, bare, measures, nutrients, sources, mistakes)
    parts = _parts(folder / "composites.csv", bare, sources, mistakes)
    return {
        id_: replace(
            food,
            figures=summed_figures(figures[id_], nutrients),
            measures=measures[id_],
            parts=tuple(parts[id_]),
        )
        for id_, food in bare.items()
    }


def _food(row: Row, mistakes: list[Mistake]) -> Food:
    if not re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", row["id"]):
        mistakes.append(row.mistake("id", "lower-case words joined by hyphens"))
    return Food(
        id=row["id"],
        name=row["name"],
        role=choice(row, "role", ROLES, mistakes),
        counts_as=choice(row, "counts_as", COUNTS_AS, mistakes),
        category=row["category"],
        species=row["species"],
        tags=frozenset(row["tags"].split()),
        ndb_no=row["ndb_no"] or None,
        description=row["description"],
        note=row["note"],
        file=row.file,
        line=row.line,
    )


def _measures(
    folder: Path, foods: Mapping[str, Food], sources: Mapping[str, str], mistakes: list[Mistake]
) -> dict[str, dict[str, Measure]]:
    found: dict[str, dict[str, Measure]] = defaultdict(dict)
    for path in _tables(folder, "measures"):
        for row in read_table(path, MEASURE_COLUMNS, mistakes):
            food = choice(row, "food", foods, mistakes)
            grams = number(row, "grams", mistakes)
            if not food:
                continue
            if not grams:
                mistakes.append(row.mistake("grams", "a number above zero"))
                continue
            if row["unit"] in found[food]:
                mistakes.append(row.mistake("unit", "each measure of a food once"))
            found[food][row["unit"]] = Measure(
                unit=row["unit"],
                grams=grams,
                grams_low=number(row, "low", mistakes),
                grams_high=number(row, "high", mistakes),
                source=checked_source(row, sources, mistakes),
                confidence=choice(row, "confidence", CONFIDENCE, mistakes),
            )
    return found


def _figures(
    folder: Path,
    foods: Mapping[str, Food],
    measures: dict[str, dict[str, Measure]],
    nutrients: Mapping[str, Nutrient],
    sources: Mapping[str, str],
    mistakes: list[Mistake],
) -> dict[str, dict[str, Figure]]:
    found: dict[str, dict[str, Figure]] = defaultdict(dict)
    known = {row_id: n for row_id, n in nutrients.items() if not n.sum_of}
    for path in _tables(folder, "composition"):
        for row in read_table(path, FIGURE_COLUMNS, mistakes):
            food = choice(row, "food", foods, mistakes)
            nutrient = choice(row, "nutrient", known, mistakes)
            if not food or not nutrient:
                continue
            if nutrient in found[food]:
                mistakes.append(row.mistake("nutrient", f"one figure of {nutrient} for {food}"))
            figure = read_figure(row, known[nutrient], measures.get(food, {}), mistakes)
            checked_source(row, sources, mistakes)
            if figure:
                found[food][nutrient] = figure
            if row["per"] in measures.get(food, {}):
                measures[food][row["per"]] = replace(measures[food][row["per"]], labelled=True)
    return found


def _parts(
    path: Path, foods: Mapping[str, Food], sources: Mapping[str, str], mistakes: list[Mistake]
) -> dict[str, list[Part]]:
    found: dict[str, list[Part]] = defaultdict(list)
    rows = read_table(path, PART_COLUMNS, mistakes)
    for row in rows:
        food, part = choice(row, "food", foods, mistakes), choice(row, "part", foods, mistakes)
        share = number(row, "share", mistakes) or 0.0
        low, high = number(row, "low", mistakes), number(row, "high", mistakes)
        found[food].append(
            Part(
                food=part,
                share=share,
                share_low=share if low is None else low,
                share_high=share if high is None else high,
                source=checked_source(row, sources, mistakes),
                confidence=choice(row, "confidence", CONFIDENCE, mistakes),
            )
        )
    for food, parts in found.items():
        total = sum(part.share for part in parts)
        if abs(total - 1) > 1e-9:
            mistakes.append(Mistake(str(path), 0, food, f"shares that sum to {total:g}", "shares that sum to 1"))
    return found


def _class_values(
    path: Path, nutrients: Mapping[str, Nutrient], sources: Mapping[str, str], mistakes: list[Mistake]
) -> dict[tuple[str, str], ClassValue]:
    found: dict[tuple[str, str], ClassValue] = {}
    for row in read_table(path, CLASS_COLUMNS, mistakes):
        nutrient, high = choice(row, "nutrient", nutrients, mistakes), number(row, "high", mistakes)
        if nutrient and high is not None:
            found[row["category"], nutrient] = ClassValue(
                category=row["category"],
                nutrient=nutrient,
                high_per_100_g=convert_amount(high, row["unit"], nutrients[nutrient]) or 0.0,
                source=checked_source(row, sources, mistakes),
                confidence=choice(row, "confidence", CONFIDENCE, mistakes),
            )
    return found


def _cautions(path: Path, sources: Mapping[str, str], mistakes: list[Mistake]) -> tuple[Caution, ...]:
    return tuple(
        Caution(
            code=row["code"],
            level=choice(row, "level", ("info", "warning", "refuse"), mistakes),
            when=row["when"],
            text=row["text"],
            source=checked_source(row, sources, mistakes),
            year=row["year"],
            confidence=choice(row, "confidence", CONFIDENCE, mistakes),
        )
        for row in read_table(path, CAUTION_COLUMNS, mistakes)
    )
