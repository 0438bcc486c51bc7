"""What the journal knows over several batches, as text: trends, comparison, recall, prices, history."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from rich.console import Console
from rich.text import Text

from optimizer.comparing import Difference
from optimizer.journal.history import HistoryEntry, LotInBatch, SideBySide, Trend
from optimizer.journal.last_prices import LastPrice
from optimizer.journal.records import Package
from optimizer.render.text.console import console_of, say, table_of, trimmed
from optimizer.render.text.journal import left_text
from optimizer.sheet.numbers import amount_text, grams_text, money_text

if TYPE_CHECKING:
    pass

BAR = 20  # columns of the longest bar


def trend_text(trend: Trend, width: int = 100, colour: bool = False) -> str:
    """A row a batch, with a bar from zero; `|` marks the target where there is one."""
    out, console = console_of(width, colour)
    console.print(Text(f"{trend.name[:1].upper()}{trend.name[1:]}", style="bold"))
    say(console, trend.unit)
    table = table_of("")
    table.add_column("No.", justify="right", no_wrap=True)
    table.add_column("Made", no_wrap=True)
    table.add_column("Batch", ratio=1)
    least = any(point.minimum is not None for point in trend.points)
    most = any(point.maximum is not None for point in trend.points)
    for name in ("There was", *(["At least"] if least else []), *(["At most"] if most else [])):
        table.add_column(name, justify="right", no_wrap=True)
    table.add_column("", no_wrap=True)
    table.add_column("", no_wrap=True)
    longest = max((max(point.value or 0.0, point.minimum or 0.0) for point in trend.points), default=0.0)
    for point in trend.points:
        asked = ([point.minimum] if least else []) + ([point.maximum] if most else [])
        bounds = ["" if bound is None else amount_text(bound) for bound in asked]
        there = "not known" if point.value is None else amount_text(point.value)
        cells = [str(point.batch), point.made_on, point.title, there, *bounds]
        mark = {"short": "SHORT", "over": "OVER", "unknown": "UNKNOWN"}.get(point.status, "")
        table.add_row(*(Text(cell) for cell in (*cells, _bar(point.value, point.minimum, longest), mark)))
    console.print(table)
    return trimmed(out)


def _bar(value: float | None, minimum: float | None, longest: float) -> str:
    if value is None or longest <= 0:
        return ""
    bar = list(("#" * round(BAR * value / longest)).ljust(BAR))
    if minimum is not None:
        bar[min(round(BAR * minimum / longest), BAR - 1)] = "|"
    return "".join(bar)


def side_by_side_text(beside: SideBySide, width: int = 100, colour: bool = False) -> str:
    """What differs between two batches, a column each."""
    out, console = console_of(width, colour)
    for number, label in enumerate(beside.labels, start=1):
        say(console, f"[{number}] {label}")
    _differences(console, "", beside.overall)
    _differences(console, "Amounts that differ", beside.amounts)
    _differences(console, "Per 1000 kcal, where it differs", beside.nutrients)
    say(console, f"The same in both: {beside.same_amounts} amounts, {beside.same_nutrients} nutrients within 2 %.")
    return trimmed(out)


def _differences(console: Console, title: str, rows: Sequence[Difference]) -> None:
    if not rows:
        return
    table = table_of(title)
    table.add_column("", ratio=2)
    for number in (1, 2):
        table.add_column(f"[{number}]", justify="right", ratio=1)
    for row in rows:
        table.add_row(*(Text(cell) for cell in (row.name + (f" ({row.unit})" if row.unit else ""), *row.values)))
    console.print(table)


def held_text(
    lot: str, held: Sequence[LotInBatch], packages: Sequence[Package], width: int = 100, colour: bool = False
) -> str:
    """Where a lot went, and what of it can still be kept from being fed."""
    out, console = console_of(width, colour)
    if not held and not packages:
        return f"No batch and no package in stock has the lot {lot}.\n"
    if held:
        table = table_of(f"Batches that hold the lot {lot}")
        table.add_column("No.", justify="right", no_wrap=True)
        table.add_column("Made", no_wrap=True)
        table.add_column("Batch", ratio=1)
        table.add_column("Of", no_wrap=True)
        table.add_column("Left", justify="right", no_wrap=True)
        for found in held:
            foods = ", ".join(dict.fromkeys(one.food for one in found.lots))
            batch = found.batch
            cells = (str(batch.number), batch.made_on, batch.title, foods, left_text(batch))
            table.add_row(*(Text(cell) for cell in cells))
        console.print(table)
    for package in packages:
        words = f"{grams_text(package.left_g)} of {package.name} are left of package {package.number}"
        say(console, f"! In stock: {words}.")
    left = [found.batch for found in held if found.batch.left_g > 0]
    if left:
        say(console, f"! Not fed yet: {', '.join(f'batch {batch.number}, {left_text(batch)}' for batch in left)}.")
    return trimmed(out)


def prices_text(prices: Sequence[LastPrice], width: int = 100, colour: bool = False) -> str:
    """What each food last cost."""
    if not prices:
        return "No price is known yet.\n"
    out, console = console_of(width, colour)
    table = table_of("Last known prices")
    table.add_column("Of", ratio=1)
    for name, right in (("Paid", True), ("For", False), ("Per kg", True), ("On", False), ("Known from", False)):
        table.add_column(name, justify="right" if right else "left", no_wrap=True)
    for price in prices:
        paid = money_text(price.amount, price.currency)
        cells = (price.name, paid, price.text, str(price.per_kg), price.on, price.source)
        table.add_row(*(Text(cell) for cell in cells))
    console.print(table)
    return trimmed(out)


def history_text(happenings: Sequence[HistoryEntry], width: int = 100, colour: bool = False) -> str:
    """All that happened, a line each."""
    out, console = console_of(width, colour)
    table = table_of("")
    table.add_column("Recorded (UTC)", no_wrap=True)
    table.add_column("What", ratio=1)
    table.add_column("", no_wrap=True)
    for one in happenings:
        at = one.at[:19].replace("T", " ")
        table.add_row(*(Text(cell) for cell in (at, one.words, "undone" if one.undone else "")))
    console.print(table)
    return trimmed(out)
