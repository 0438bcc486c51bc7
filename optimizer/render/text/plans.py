"""Plans side by side, and the front between cost and number of supplements, as text."""

from collections.abc import Sequence

from rich import box
from rich.console import Console
from rich.table import Table
from rich.text import Text

from optimizer.comparing import Comparison, Difference
from optimizer.render.sureness import asked_text, chance_text
from optimizer.render.text.console import console_of, trimmed
from optimizer.tradeoff import FrontPoint, SurePoint


def comparison_text(comparison: Comparison, width: int = 100, colour: bool = False) -> str:
    """What differs between plans, a column each."""
    out, console = console_of(width, colour)
    for number, label in enumerate(comparison.labels, start=1):
        console.print(Text(f"[{number}] {label}"))
    console.print()
    _table(console, "", comparison.overall, len(comparison.labels))
    _table(console, "Amounts that differ", comparison.amounts, len(comparison.labels))
    _table(console, "Per 1000 kcal, where it differs", comparison.nutrients, len(comparison.labels))
    console.print(
        Text(f"The same in all: {comparison.same_amounts} amounts, {comparison.same_nutrients} nutrients within 2 %.")
    )
    return trimmed(out)


def front_text(points: Sequence[FrontPoint], currency: str, width: int = 100, colour: bool = False) -> str:
    """The front as a table: each number of supplements, its least cost, and what changes from the row before."""
    if not points:
        return "No mix of what is on hand meets every limit, so there is nothing to trade off.\n"
    out, console = console_of(width, colour)
    table = Table(box=box.SIMPLE_HEAD, padding=(0, 1))
    table.add_column("Supplements", justify="right", no_wrap=True)
    table.add_column(f"Least cost {currency}".strip(), justify="right", no_wrap=True)
    table.add_column("What changes", ratio=1)
    before: dict[str, str] = {}
    for point in points:
        used = dict(point.used)
        changes = ["+ " + name for id_, name in used.items() if id_ not in before]
        changes += ["- " + name for id_, name in before.items() if id_ not in used]
        words = "; ".join(changes) if before else ", ".join(used.values())
        cost = str(point.cost) if point.proven else f"{point.cost} at most"
        table.add_row(str(point.supplements), cost, Text(words))
        before = used
    console.print(table)
    console.print(Text("The cost is that of what is open: what goes in whole costs the same in every row."))
    return trimmed(out)


def sure_front_text(points: Sequence[SurePoint], currency: str, width: int = 100, colour: bool = False) -> str:
    """What sureness costs, as a table: how sure of each limit was asked, what that comes to, and what changes."""
    if not points:
        return "No mix of what is on hand meets every limit, so there is nothing to trade off.\n"
    out, console = console_of(width, colour)
    table = Table(box=box.SIMPLE_HEAD, padding=(0, 1))
    table.add_column("Each limit", no_wrap=True)
    table.add_column("All at once", justify="right", no_wrap=True)
    table.add_column(f"Cost {currency}".strip(), justify="right", no_wrap=True)
    table.add_column("Supplements", justify="right", no_wrap=True)
    table.add_column("What changes, and what cannot be held so", ratio=1)
    before: dict[str, str] = {}
    for point in points:
        used = dict(point.used)
        changes = ["+ " + name for id_, name in used.items() if id_ not in before] if before else []
        changes += ["- " + name for id_, name in before.items() if id_ not in used]
        changes += [f"not held so: {', '.join(point.unsure)}"] if point.unsure else []
        cost = "-" if point.cost is None else str(point.cost)
        cells = (asked_text(point.asked), chance_text(point.together), cost, str(point.supplements))
        table.add_row(*cells, Text("; ".join(changes)))
        before = used
    console.print(table)
    console.print(Text("Chances rest on spreads that are partly assumed; README, How sure a plan is."))
    return trimmed(out)


def _table(console: Console, title: str, rows: Sequence[Difference], count: int) -> None:
    if not rows:
        return
    table = Table(box=box.SIMPLE_HEAD, title=title or None, title_justify="left", title_style="bold", padding=(0, 1))
    table.add_column("", ratio=2)
    for number in range(1, count + 1):
        table.add_column(f"[{number}]", justify="right", ratio=1)
    for row in rows:
        unit = f" ({row.unit})" if row.unit else ""
        table.add_row(*(Text(cell) for cell in (row.name + unit, *row.values)))
    console.print(table)
