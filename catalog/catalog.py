"""Tables -> Catalog. Every mistake in every table is collected with its file and line."""

import csv
import re
from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from importlib import resources
from pathlib import Path

from catalog.mistakes import Mistake, did_you_mean
from catalog.reading.cautions import read_cautions, read_class_values
from catalog.reading.csv_tables import (
    CONFIDENCE,
    Line,
    TableRow,
    checked_source,
    choice,
    number,
    numbered_lines,
    read_rows,
    read_table,
)
from catalog.reading.figures import Figures, read_figure, summed_figures
from catalog.reading.guards import read_guards
from catalog.reading.jars import read_customary, with_jar_tables
from catalog.reading.names import check_synonyms, read_synonyms
from catalog.reading.standards import read_standards
from catalog.reading.treatments import read_treatments
from catalog.reading.variation import read_variation
from catalog.records import (
    Catalog,
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
NUTRIENT_COLUMNS = "id name unit group usda_numbers sum_of iu_per_ug toxic assumed_cv destroyed_by".split()
FOOD_COLUMNS = "id name role counts_as category species tags ndb_no description note".split()
FIGURE_COLUMNS = "food nutrient value unit per low high counted kind sd n source confidence".split()
MEASURE_COLUMNS = "food unit grams low high source confidence".split()
PART_COLUMNS = "food part share low high source confidence".split()
SOURCE_COLUMNS = "id citation".split()


def load_catalog(folder: Path = TABLES, *, whole: bool = True) -> tuple[Catalog, list[Mistake]]:
    """The catalog in `folder` and every mistake found in its tables (none in what is shipped).

    Not `whole`: each food's figures are read and checked when they are first looked at, and mistakes in them
    raise `TableMistakes` then.
    """
    mistakes: list[Mistake] = []
    sources = _sources(folder, mistakes)
    nutrients = _nutrients(folder / "nutrients.csv", mistakes)
    foods = _foods(folder, nutrients, sources, mistakes)
    foods = with_jar_tables(folder, foods, nutrients, sources, mistakes)
    tags = {tag for food in foods.values() for tag in food.tags}
    for nutrient in nutrients.values():
        if nutrient.destroyed_by and nutrient.destroyed_by not in tags:
            hint = did_you_mean(nutrient.destroyed_by, tags)
            file = str(folder / "nutrients.csv")
            mistakes.append(
                Mistake(file, 0, f"{nutrient.id}.destroyed_by", nutrient.destroyed_by, "a tag of foods", hint)
            )
    catalog = Catalog(
        nutrients=nutrients,
        foods=foods,
        standards=read_standards(folder / "standards", nutrients, tags, sources, mistakes),
        cautions=read_cautions(folder / "cautions.csv", sources, mistakes),
        class_values=read_class_values(folder / "class_values.csv", nutrients, sources, mistakes),
        sources=sources,
        synonyms=read_synonyms(folder / "synonyms.csv", mistakes),
        version=CATALOG_VERSION,
        customary=read_customary(folder / "customary.csv", foods, nutrients, sources, mistakes),
        guards=read_guards(folder / "guards.csv", nutrients, tags, sources, mistakes),
        treatments=read_treatments(folder, nutrients, sources, mistakes),
        variation=read_variation(folder / "variation", foods, nutrients, sources, mistakes),
    )
    if whole:
        check_synonyms(folder / "synonyms.csv", catalog, mistakes)
        for food in foods.values():
            if isinstance(food.figures, Figures):
                mistakes += food.figures.mistakes()
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
            destroyed_by=row["destroyed_by"],
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
    figures = _composition(folder, bare, measures, nutrients, sources, mistakes)
    parts = _parts(folder / "composites.csv", bare, sources, mistakes)
    return {
        id_: replace(
            food,
            figures=figures[id_],
            measures=measures[id_],
            parts=tuple(parts[id_]),
        )
        for id_, food in bare.items()
    }


def _food(row: TableRow, mistakes: list[Mistake]) -> Food:
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


def _composition(
    folder: Path,
    foods: Mapping[str, Food],
    measures: dict[str, dict[str, Measure]],
    nutrients: Mapping[str, Nutrient],
    sources: Mapping[str, str],
    mistakes: list[Mistake],
) -> dict[str, Mapping[str, Figure]]:
    """The figures of each food, read when they are first looked at: a plan looks at a few dozen foods."""
    lines: dict[str, list[tuple[str, Line]]] = defaultdict(list)
    for path in _tables(folder, "composition"):
        for line in numbered_lines(path, FIGURE_COLUMNS, mistakes):
            food = line[1].partition(",")[0]
            if food not in foods:
                mistakes.append(Mistake(str(path), line[0], "food", food, "a food", did_you_mean(food, foods)))
                continue
            lines[food].append((str(path), line))
            if ",100 g," not in line[1]:
                _mark_labelled(line[1], measures.get(food, {}))
    known = {id_: nutrient for id_, nutrient in nutrients.items() if not nutrient.sum_of}

    def reader(food: str) -> Callable[[list[Mistake]], dict[str, Figure]]:
        return lambda found: _figures(lines[food], measures.get(food, {}), known, nutrients, sources, found)

    return {food: Figures(reader(food)) for food in foods}


def _mark_labelled(line: str, measures: dict[str, Measure]) -> None:
    """A measure that a figure is given per cannot be reweighed."""
    per = dict(zip(FIGURE_COLUMNS, next(csv.reader((line,))), strict=False)).get("per", "")
    if per in measures:
        measures[per] = replace(measures[per], labelled=True)


def _figures(
    lines: Sequence[tuple[str, Line]],
    measures: Mapping[str, Measure],
    known: Mapping[str, Nutrient],
    nutrients: Mapping[str, Nutrient],
    sources: Mapping[str, str],
    mistakes: list[Mistake],
) -> dict[str, Figure]:
    """The figures of one food from its lines, sums of nutrients included."""
    found: dict[str, Figure] = {}
    for file, line in lines:
        for row in read_rows(file, [line], FIGURE_COLUMNS, mistakes):
            nutrient = choice(row, "nutrient", known, mistakes)
            if not nutrient:
                continue
            if nutrient in found:
                mistakes.append(row.mistake("nutrient", f"one figure of {nutrient} for a food"))
            figure = read_figure(row, known[nutrient], measures, mistakes)
            checked_source(row, sources, mistakes)
            if figure:
                found[nutrient] = figure
    return summed_figures(found, nutrients)


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
