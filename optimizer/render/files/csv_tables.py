"""The sheet, the nutrients, the matrix and the prices as CSV: full figures, one header line, remarks after "#"."""

import csv
from collections.abc import Iterable, Sequence
from io import StringIO

from catalog.bounds import no_formula
from optimizer.render.origin import Origin
from optimizer.sheet.contributions import Contributions, per_kg_as_fed
from optimizer.sheet.sheet import Sheet
from optimizer.sheet.work_order import WorkOrder, weighings

Cell = str | float | int | None


def sheet_csv(order: WorkOrder, origin: Origin) -> str:
    """What to weigh out, in the order of work."""
    header = "stage part id name measure grams tolerance_g running_g really lot".split()
    rows = [
        (stage.title, part, w.line.id, w.line.name, w.line.text, w.line.grams, w.tolerance_g, w.running_g, "", "")
        for stage, part, w in weighings(order)
    ]
    return _csv(header, rows, origin)


def nutrients_csv(sheet: Sheet, origin: Origin) -> str:
    """Every nutrient with its limits, per 1000 kcal, per kg of dry matter and as fed."""
    header = (
        "id name unit total total_high per_1000_kcal high_per_1000_kcal minimum maximum status per_kg_dry_matter "
        "per_kg_as_fed unknown_share source"
    ).split()
    totals = sheet.assessment.totals
    rows: list[Sequence[Cell]] = [
        (
            n.nutrient.id,
            n.nutrient.name,
            n.nutrient.unit,
            n.total,
            n.total_high,
            n.per_1000_kcal,
            n.high_per_1000_kcal,
            n.minimum,
            n.maximum,
            n.status,
            n.per_kg_dry_matter,
            per_kg_as_fed(n, totals),
            n.unknown_share,
            n.source,
        )
        for n in sheet.assessment.nutrients
    ]
    rows += [
        (r.id, r.name, "", None, None, r.value, r.value, r.minimum, r.maximum, r.status, None, None, None, r.source)
        for r in sheet.assessment.ratios
    ]
    return _csv(header, rows, origin)


def matrix_csv(sheet: Sheet, contributions: Contributions, origin: Origin) -> str:
    """What each ingredient brings of each nutrient, in the nutrient's unit, counted as towards targets.

    An empty cell is a nutrient of which the ingredient has no figure.
    """
    nutrients = [line.nutrient for line in sheet.assessment.nutrients]
    header = ["id", "name", "grams", "kcal", *(f"{n.id} ({n.unit})" for n in nutrients)]
    rows: list[Sequence[Cell]] = [
        (
            i.line.id,
            i.line.name,
            i.line.grams,
            i.line.grams * i.kcal_per_g,
            *(i.brings(n.id) if i.has_figure(n.id) else None for n in nutrients),
        )
        for i in contributions.ingredients
    ]
    return _csv(header, rows, origin)


def prices_csv(sheet: Sheet, contributions: Contributions, origin: Origin) -> str:
    """What each ingredient costs; an empty cell where no price is known."""
    header = "id name grams price_per_kg cost currency".split()
    rows = [
        (
            i.line.id,
            i.line.name,
            i.line.grams,
            None if i.price_per_g is None else round(i.price_per_g * 1000, 6),
            None if i.cost is None else str(i.cost),
            sheet.currency,
        )
        for i in contributions.ingredients
    ]
    return _csv(header, rows, origin)


def _csv(header: Sequence[str], rows: Iterable[Sequence[Cell]], origin: Origin) -> str:
    out = StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(header)
    writer.writerows([safe(cell) for cell in row] for row in rows)
    return f"{out.getvalue()}# {origin.text}\n"


def safe(cell: Cell) -> Cell:
    """Text that a spreadsheet would take for a formula gets an apostrophe before it."""
    return no_formula(cell) if isinstance(cell, str) else cell
