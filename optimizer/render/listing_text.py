"""What can be named in a scenario, as text."""

from collections.abc import Sequence
from io import StringIO

from rich import box
from rich.console import Console
from rich.table import Table
from rich.text import Text

from catalog.records import Catalog, Food, Limit
from optimizer.render.numbers import amount_text


def foods_text(foods: Sequence[Food], width: int = 100, colour: bool = False) -> str:
    """The foods, one line each: id, name, what it counts as, its measures with their grams."""
    if not foods:
        return "No food or supplement has all of these words. `weighout foods` lists them all.\n"
    table = Table(box=box.SIMPLE_HEAD, padding=(0, 1))
    table.add_column("Id", no_wrap=True)
    table.add_column("Role", no_wrap=True)
    table.add_column("Name", ratio=1)
    table.add_column("Measures", ratio=1)
    for food in foods:
        measures = ", ".join(f"1 {m.unit} = {m.grams:g} g" for m in food.measures.values())
        table.add_row(*(Text(cell) for cell in (food.id, food.role, food.name, measures)))
    return _printed([table], width, colour)


def standards_text(catalog: Catalog, width: int = 100, colour: bool = False) -> str:
    """Every standard and life stage with its limits."""
    parts: list[Table | Text] = []
    for standard in catalog.standards.values():
        title = f"{standard.id}: {standard.name}, {standard.edition}; {standard.life_stage}"
        table = Table(box=box.SIMPLE_HEAD, title=title, title_justify="left", title_style="bold", padding=(0, 1))
        table.add_column("Nutrient", ratio=1)
        for name in ("At least", "At most"):
            table.add_column(name, justify="right", no_wrap=True)
        table.add_column("Unit", no_wrap=True)
        table.add_column("Basis", ratio=1)
        table.add_column("Known by", no_wrap=True)
        for limit in standard.limits:
            table.add_row(*(Text(cell) for cell in _cells(limit, catalog)))
        parts += [table, Text(standard.note), Text()]
    return _printed(parts, width, colour)


def _cells(limit: Limit, catalog: Catalog) -> list[str]:
    nutrient = catalog.nutrients[limit.nutrient]
    return [
        nutrient.name,
        "" if limit.minimum is None else amount_text(limit.minimum),
        "" if limit.maximum is None else amount_text(limit.maximum),
        "" if limit.basis == "ratio" else nutrient.unit,
        basis_text(limit),
        limit.confidence,
    ]


def basis_text(limit: Limit) -> str:
    """A limit's basis and condition in words."""
    words = {
        "per_1000_kcal": "per 1000 kcal",
        "per_kg_dry_matter": "per kg dry matter",
        "per_kg": "per kg of mix",
        "per_batch": "per batch",
        "ratio": f"for 1 of {limit.of}",
        "increment": f"more for each g of {limit.of}"
        + (f" above {limit.above:g} g per 1000 kcal" if limit.above else ""),
    }[limit.basis]
    if limit.condition:
        of = limit.condition.of.replace("_", " ")
        words += f", if {limit.condition.tag} is more than {100 * limit.condition.share:g} % of {of}"
    return words


def _printed(parts: Sequence[Table | Text], width: int, colour: bool) -> str:
    out = StringIO()
    console = Console(file=out, width=max(width, 40), force_terminal=colour, no_color=not colour, highlight=False)
    for part in parts:
        console.print(part)
    return "\n".join(line.rstrip() for line in out.getvalue().splitlines()) + "\n"
