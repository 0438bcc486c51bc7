"""Stock as text: packages, what they are worth, what to see to."""

from collections.abc import Sequence

from rich.text import Text

from optimizer.journal.records import Package
from optimizer.journal.stock import StockWarning, left_words, value_of
from optimizer.render.text.console import console_of, say, table_of, trimmed
from optimizer.sheet.numbers import money_text


def stock_text(
    packages: Sequence[Package], warnings: Sequence[StockWarning], days: int, width: int = 100, colour: bool = False
) -> str:
    """A line a package, the warnings, the value by currency."""
    if not packages and not warnings:
        return "Nothing is in stock; `weighout stock add` puts a package there.\n"
    out, console = console_of(width, colour)
    table = table_of("")
    table.add_column("No.", justify="right", no_wrap=True)
    table.add_column("Of", ratio=1)
    table.add_column("Left", justify="right", no_wrap=True)
    table.add_column("Of a package of", no_wrap=True)
    for name in ("Lot", "Use by"):
        table.add_column(name, no_wrap=True)
    table.add_column("Worth", justify="right", no_wrap=True)
    for package in packages:
        left = left_words([package]) if package.left_g > 0 else "nothing"
        worth = "" if package.value is None else money_text(package.value, package.currency)
        cells = (
            str(package.number),
            package.name,
            left,
            package.text,
            package.lot or "-",
            package.use_by or "-",
            worth,
        )
        table.add_row(*(Text(cell) for cell in cells))
    console.print(table)
    for warning in warnings:
        say(console, f"! {warning.text}")
    if not warnings:
        say(console, f"Nothing runs out or expires within {days} days, the usual time to the next batch.")
    values = [money_text(amount, currency) for currency, amount in sorted(value_of(packages).items())]
    unpriced = sum(1 for package in packages if package.value is None and package.left_g > 0)
    rest = f", without {unpriced} package{'s' * (unpriced > 1)} of unknown price" if unpriced else ""
    if values:
        say(console, f"Worth {' and '.join(values)} at what was paid{rest}.")
    return trimmed(out)


def package_text(package: Package, width: int = 100, colour: bool = False) -> str:
    """A package that was put in stock."""
    out, console = console_of(width, colour)
    price = "" if package.price is None else f" for {money_text(package.price, package.currency)}"
    say(console, f"In stock as package {package.number}: {package.text} of {package.name}{price}.")
    return trimmed(out)
