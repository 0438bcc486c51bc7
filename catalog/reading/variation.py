"""The tables of variation/ -> Variation."""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from pathlib import Path

from catalog.mistakes import Mistake
from catalog.reading.csv_tables import CONFIDENCE, TableRow, checked_source, choice, number, read_table
from catalog.reading.figures import KINDS
from catalog.records import Food, Nutrient
from catalog.variation import ANY, AssumedSpread, Each, MeasuringError, Shape, ShapeOf, Tie, Variation

ASSUMED_COLUMNS = "of kind nutrient cv source confidence".split()
SHAPE_COLUMNS = "of nutrient shape source confidence".split()
TIE_COLUMNS = "of nutrient other correlation source confidence".split()
ERROR_COLUMNS = "unit each share source confidence".split()
WIDE = ("mass", "volume")  # what goes by weight, or by volumes that no row names
Known = Callable[[TableRow], tuple[str, str]]  # source and confidence of a row


def read_variation(
    folder: Path,
    foods: Mapping[str, Food],
    nutrients: Mapping[str, Nutrient],
    sources: Mapping[str, str],
    mistakes: list[Mistake],
) -> Variation:
    """All four tables; mistakes in them are added."""
    groups = {ANY, *(group for food in foods.values() for group in food.groups)}
    simple = [id_ for id_, nutrient in nutrients.items() if not nutrient.sum_of]

    def known(row: TableRow) -> tuple[str, str]:
        return checked_source(row, sources, mistakes), choice(row, "confidence", CONFIDENCE, mistakes)

    assumed = [
        AssumedSpread(
            choice(row, "of", groups, mistakes),
            choice(row, "kind", KINDS, mistakes),
            choice(row, "nutrient", nutrients, mistakes) if row["nutrient"] else "",
            _share(row, "cv", mistakes),
            *known(row),
        )
        for row in read_table(folder / "assumed.csv", ASSUMED_COLUMNS, mistakes)
    ]
    shapes = [
        ShapeOf(
            choice(row, "of", groups, mistakes),
            choice(row, "nutrient", simple, mistakes),
            Shape(choice(row, "shape", list(Shape), mistakes) or Shape.NORMAL),
            *known(row),
        )
        for row in read_table(folder / "shapes.csv", SHAPE_COLUMNS, mistakes)
    ]
    return Variation(
        tuple(assumed),
        tuple(shapes),
        tuple(_ties(folder / "ties.csv", groups, simple, known, mistakes)),
        _errors(folder / "measuring.csv", foods, known, mistakes),
    )


def _ties(
    path: Path, groups: Iterable[str], simple: Sequence[str], known: Known, mistakes: list[Mistake]
) -> Iterator[Tie]:
    found = set[tuple[str, frozenset[str]]]()
    for row in read_table(path, TIE_COLUMNS, mistakes):
        of = choice(row, "of", groups, mistakes)
        pair = (choice(row, "nutrient", simple, mistakes), choice(row, "other", simple, mistakes))
        if pair[0] == pair[1] or (of, frozenset(pair)) in found:
            mistakes.append(row.mistake("other", f"each pair of two nutrients once for {of}"))
        found.add((of, frozenset(pair)))
        yield Tie(of, *pair, _correlation(row, mistakes), *known(row))


def _correlation(row: TableRow, mistakes: list[Mistake]) -> float:
    value = number(row, "correlation", mistakes, least=-0.99)
    if value is None or value > 0.99:
        mistakes.append(row.mistake("correlation", "a number from -0.99 to 0.99"))
        return 0.0
    return value


def _errors(
    path: Path, foods: Mapping[str, Food], known: Known, mistakes: list[Mistake]
) -> dict[tuple[str, Each], MeasuringError]:
    units = {*WIDE, *(unit for food in foods.values() for unit in food.measures)}
    found: dict[tuple[str, Each], MeasuringError] = {}
    for row in read_table(path, ERROR_COLUMNS, mistakes):
        unit, each = choice(row, "unit", units, mistakes), choice(row, "each", list(Each), mistakes)
        if unit and each:
            if (unit, each) in found:
                mistakes.append(row.mistake("each", f"one error of {unit} for each {each}"))
            found[unit, Each(each)] = MeasuringError(unit, Each(each), _share(row, "share", mistakes), *known(row))
    return found


def _share(row: TableRow, column: str, mistakes: list[Mistake]) -> float:
    value = number(row, column, mistakes)
    if value is None or value >= 1:
        mistakes.append(row.mistake(column, "a share from 0 to 1, such as 0.1"))
        return 0.0
    return value
