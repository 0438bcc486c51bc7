"""What was asked beside the shopping list, as text: stores alone, break-even prices, substitutions, sweeps."""

from collections.abc import Sequence

from rich import box
from rich.console import Console
from rich.table import Table
from rich.text import Text

from optimizer.market.market_report import MarketReport
from optimizer.market.sweep_tables import PriceMap
from optimizer.render.market_answers import (
    ALONE,
    BOUGHT,
    NOT_BOUGHT,
    SUBSTITUTIONS,
    alone_rows,
    break_even_rows,
    map_title,
    solves_words,
    substitution_rows,
    sweep_cells,
    sweep_title,
)
from optimizer.render.text.console import marked

WIDE = 72  # columns from which tables have room; below, lines are written out


def more_text(console: Console, report: MarketReport) -> None:
    """Prints what was asked for besides."""
    currency = report.trip.basket.sheet.currency
    if report.alone is not None:
        _table(console, "Stores side by side", ("From", currency, ""), alone_rows(report), (1,))
        console.print(Text(ALONE))
    if report.break_evens is not None:
        _break_evens(console, report, currency)
    if report.substitutions:
        _substitutions(console, report)
    if report.sweep is not None:
        cells = [cells[1:] for cells in sweep_cells(report)]
        _table(console, sweep_title(report), ("Price", f"Costs {currency}", ""), cells, ())
        console.print(Text(solves_words(report.sweep.solves, report.sweep.proven)))
    if report.price_map is not None:
        _map(console, report.price_map, currency)
    for words in report.unfinished:
        console.print()
        console.print(Text(f"Interrupted: {words}.", style="bold"))


def _break_evens(console: Console, report: MarketReport, currency: str) -> None:
    for title, head, bought in ((BOUGHT, "Stays up to", True), (NOT_BOUGHT, "Bought at", False)):
        heads = ("What", "At", f"Price {currency}", head, "per kg")
        _table(console, title, heads, break_even_rows(report, bought), (2, 3, 4))
    if report.never_bought:
        console.print(Text("On hand in any amount, and so never bought: " + ", ".join(report.never_bought) + "."))


def _substitutions(console: Console, report: MarketReport) -> None:
    _title(console, SUBSTITUTIONS)
    rows, left_out = substitution_rows(report)
    lines: list[tuple[str, str]] = []
    for row in rows:
        lines.append(("-" if row.title.startswith("without") else "+", f"{row.title}: {row.extra}"))
        lines += [("", f"{label}: {words}") for label, words in row.changes]
    console.print(marked(lines))
    if left_out:
        console.print(Text(left_out))


def _map(console: Console, found: PriceMap, currency: str) -> None:
    _title(console, map_title(found, currency))
    for price, letters in found.rows:
        console.print(Text(f"{price:>8} {letters}"))
    ends = f"{found.prices[0]} to {found.prices[-1]} {currency} per {found.across.unit}"
    console.print(Text(f"{'':8} {ends}"))
    console.print(marked([(letter, ", ".join(words)) for letter, words in found.mixes]))
    console.print(Text(solves_words(found.solves, found.proven)))


def _title(console: Console, title: str) -> None:
    console.print()
    console.print(Text(title, style="bold"))


def _table(
    console: Console, title: str, heads: Sequence[str], rows: Sequence[Sequence[str]], right: Sequence[int]
) -> None:
    """A table, or on a narrow screen its rows as lines."""
    if not rows:
        return
    _title(console, title)
    if console.width < WIDE:
        console.print(marked([("-", _sentence(heads, row)) for row in rows]))
        return
    table = Table(box=box.SIMPLE_HEAD, padding=(0, 1))
    for number, head in enumerate(heads):
        wide = number in (0, len(heads) - 1) and number not in right
        table.add_column(head, justify="right" if number in right else "left", no_wrap=not wide)
    for row in rows:
        table.add_row(*(Text(cell) for cell in row))
    console.print(table)


def _sentence(heads: Sequence[str], row: Sequence[str]) -> str:
    """A row as a sentence: its first cell, then each other with its heading."""
    words = [f"{_small(head)} {cell}".strip() for head, cell in zip(heads[1:], row[1:], strict=True) if cell]
    return f"{row[0]}: " + ", ".join(words)


def _small(head: str) -> str:
    """A heading within a sentence: currencies stay in capitals."""
    return head if head.isupper() else head[:1].lower() + head[1:]
