"""cautions.csv and class_values.csv -> records."""

from collections.abc import Mapping
from pathlib import Path

from catalog.mistakes import Mistake
from catalog.reading.csv_tables import CONFIDENCE, checked_source, choice, number, read_table
from catalog.reading.figures import convert_amount
from catalog.records import Caution, ClassValue, Nutrient

CLASS_COLUMNS = "category nutrient high unit source confidence".split()
CAUTION_COLUMNS = "code level when text source year confidence".split()


def read_class_values(
    path: Path, nutrients: Mapping[str, Nutrient], sources: Mapping[str, str], mistakes: list[Mistake]
) -> dict[tuple[str, str], ClassValue]:
    """class_values.csv, by category and nutrient."""
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


def read_cautions(path: Path, sources: Mapping[str, str], mistakes: list[Mistake]) -> tuple[Caution, ...]:
    """cautions.csv, in the order of the rows."""
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
