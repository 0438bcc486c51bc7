"""A trip to the stores as text: what to buy where, what it costs, what goes in. It fits the width it is given."""

from rich import box
from rich.console import Console
from rich.table import Table
from rich.text import Text

from optimizer.assess.cautions import foremost
from optimizer.market.basket import Basket
from optimizer.market.market_report import MarketReport
from optimizer.render.market_rows import (
    LAST_PAID,
    StoreRows,
    batch_words,
    buy_words,
    miss_words,
    money_rows,
    named,
    offers_words,
    store_rows,
    use_rows,
    verdict,
)
from optimizer.render.sureness import sureness_lines
from optimizer.render.text.console import console_of, marked, trimmed
from optimizer.render.text.market_answers import WIDE, more_text
from optimizer.render.text.sheet import mark_of


def market_text(report: MarketReport, width: int = 100, colour: bool = False) -> str:
    """The report as text of at most `width` columns; `colour` adds terminal colours, never meaning."""
    out, console = console_of(width, colour)
    basket = report.trip.basket
    _head(console, report)
    for store in store_rows(basket):
        _store(console, store, basket.sheet.currency)
    if not basket.bought:
        console.print(Text("Nothing has to be bought."))
    if any(line.offer.line.last_known for line in basket.bought):
        console.print(Text(LAST_PAID))
    _money(console, basket)
    _mix(console, basket)
    for line in sureness_lines(basket.sheet):
        console.print(Text(line))
    _misses(console, basket)
    more_text(console, report)
    _cautions(console, basket)
    _foot(console, report)
    return trimmed(out)


def _head(console: Console, report: MarketReport) -> None:
    sheet = report.trip.basket.sheet
    console.print(Text(sheet.title, style="bold"))
    console.print(Text(f"{sheet.standard_name}; {sheet.life_stage}"))
    console.print(Text(verdict(report), style="bold"))
    console.print()


def _store(console: Console, store: StoreRows, currency: str) -> None:
    title = f"{store.name}: {store.total} {currency}"
    if console.width < WIDE:
        console.print(Text(title, style="bold"))
        console.print(marked([("[ ]", f"{row.buy} {buy_words(row)}") for row in store.rows]))
        console.print()
        return
    table = Table(box=box.SIMPLE_HEAD, title=title, title_justify="left", title_style="bold", padding=(0, 1))
    table.add_column("", no_wrap=True)
    table.add_column("Buy", no_wrap=True)
    table.add_column("Of", ratio=1)
    table.add_column("Price", no_wrap=True)
    table.add_column("per kg", justify="right", no_wrap=True)
    table.add_column("without bone", justify="right", no_wrap=True)
    table.add_column(currency, justify="right", no_wrap=True)
    for row in store.rows:
        cells = ("[ ]", row.buy, named(row), row.price, row.per_kg, row.per_edible_kg, row.cost)
        table.add_row(*(Text(cell) for cell in cells))
    console.print(table)


def _money(console: Console, basket: Basket) -> None:
    console.print()
    if console.width < WIDE:
        lines = [f"{name}: {amount}" + (f" ({words})" if words else "") for name, amount, words in money_rows(basket)]
        console.print(marked([("-", line) for line in lines]))
        return
    table = Table(box=None, show_header=False, padding=(0, 2, 0, 0))
    table.add_column()
    table.add_column(justify="right", no_wrap=True)
    table.add_column(ratio=1)
    for row in money_rows(basket):
        table.add_row(*(Text(cell) for cell in row))
    console.print(table)


def _mix(console: Console, basket: Basket) -> None:
    console.print()
    console.print(Text(f"Goes in: {batch_words(basket)}", style="bold"))
    rows = use_rows(basket)
    if console.width < WIDE:
        lines = [
            f"{row.take} {row.name} ({row.source})" + (f"; left over {row.left}" if row.left else "") for row in rows
        ]
        console.print(marked([("-", line) for line in lines]))
        return
    table = Table(box=box.SIMPLE_HEAD, padding=(0, 1))
    table.add_column("Take", no_wrap=True)
    table.add_column("Of", ratio=1)
    table.add_column("From", no_wrap=True)
    table.add_column("Left over", no_wrap=True)
    for row in rows:
        table.add_row(*(Text(cell) for cell in (row.take, row.name, row.source, row.left)))
    console.print(table)


def _misses(console: Console, basket: Basket) -> None:
    words = miss_words(basket)
    if words:
        console.print()
        console.print(Text("What is missed (nutrients per 1000 kcal)", style="bold"))
        console.print(marked([("-", line) for line in words]))


def _cautions(console: Console, basket: Basket) -> None:
    shown = foremost(basket.sheet.cautions)
    if shown:
        console.print()
        console.print(Text("Cautions", style="bold"))
        console.print(marked([(mark_of(notice), notice.text) for notice in shown]))


def _foot(console: Console, report: MarketReport) -> None:
    sheet, solution = report.trip.basket.sheet, report.trip.basket.sheet.solution
    console.print()
    how = "" if solution is None else f"; {solution.solver} through {solution.modeller}, {report.trip.seconds:.2f} s"
    words = f"{sheet.file}; {offers_words(report)}; catalog {sheet.catalog_version}{how}"
    console.print(Text(words, style="dim"))
