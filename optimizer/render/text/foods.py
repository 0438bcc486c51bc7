"""The foods that can be named in a scenario, as text; what listings share."""

from collections.abc import Sequence
from pathlib import Path

from rich import box
from rich.table import Table
from rich.text import Text

from catalog.catalog import TABLES
from catalog.own.overlay import is_own
from catalog.records import Food
from optimizer.render.text.console import NARROW, printed


def foods_text(foods: Sequence[Food], width: int = 100, colour: bool = False, notes: Sequence[str] = ()) -> str:
    """The foods, one entry each: id, name, what it counts as, its measures with their grams.

    `notes` say where a food only comes near a word that was asked for, or why there is none.
    """
    remarks = [Text(f"{note[0].upper()}{note[1:]}.") for note in notes]
    if not foods:
        nothing = "No food or supplement has all of these words. `weighout foods` lists them all."
        return printed([Text(nothing), *remarks], width, colour)
    table = Table(box=box.SIMPLE_HEAD, padding=(0, 1))
    table.add_column("Id", no_wrap=True)
    table.add_column("Role", no_wrap=True)
    table.add_column("Name", ratio=1)
    table.add_column("Measures", ratio=1)
    lines: list[Table | Text] = []
    for food in foods:
        measures = ", ".join(f"1 {m.unit} = {m.grams:g} g" for m in food.measures.values())
        name = f"{food.name} ({origin_text(food)})" if origin_text(food) else food.name
        table.add_row(*(Text(cell) for cell in (food.id, food.role, name, measures)))
        lines += [Text(food.id), Text("  " + "; ".join(filter(None, (name, food.role, measures))))]
    return printed([*(lines if width < NARROW else [table]), *remarks], width, colour)


def origin_text(food: Food) -> str:
    """Where a person's own entry stands and what it is laid over; empty for what is shipped."""
    if not is_own(food):
        return ""
    shipped = "the catalog's entry" if Path(food.replaces).parent == TABLES else f"the one in {food.replaces}"
    return f"own entry, {food.file}:{food.line}" + (f"; replaces {shipped}" if food.replaces else "")
