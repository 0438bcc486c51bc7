"""Price lists, a scenario's own offers and what was last paid -> the lines of them all, or the prices of additions."""

from collections.abc import Callable, Collection, Sequence
from dataclasses import replace
from pathlib import Path

from catalog.mistakes import Mistake
from catalog.prices.lines import PriceLine
from catalog.prices.lists import read_price_list
from catalog.records import Catalog
from optimizer.errors import InputErrors
from optimizer.scenario.records import Scenario

LastPaid = Callable[[str, Collection[str]], list[PriceLine]]  # the scenario's currency, the foods on lists


def all_lines(
    scenario: Scenario,
    catalog: Catalog,
    price_lists: Sequence[Path],
    decimal_comma: bool = False,
    last_paid: LastPaid | None = None,
) -> tuple[Scenario, list[PriceLine], list[Mistake]]:
    """The scenario with the currency of its prices, the lines of all of them and the mistakes in the price lists;
    `last_paid` gives lines for foods that are on no list."""
    mistakes: list[Mistake] = []
    lines: list[PriceLine] = list(scenario.market.offers)
    for path in price_lists:
        found, wrong = read_price_list(path, catalog, scenario.currency, decimal_comma)
        lines += found
        mistakes += wrong
    if last_paid is not None and not mistakes:
        lines += last_paid(scenario.currency, {line.food.id for line in lines})
    if not scenario.currency:
        named = {line.currency for line in lines}
        scenario = replace(scenario, currency=named.pop() if len(named) == 1 else "")
    return scenario, lines, mistakes


def no_currency(scenario: Scenario) -> Mistake:
    """What to say where neither the scenario nor its prices name a currency."""
    allowed = 'a currency for each price, or currency = "USD" in the scenario'
    return Mistake(scenario.file, 0, "currency", "no currency", allowed)


def by_place(mistakes: Sequence[Mistake]) -> InputErrors:
    """Mistakes as one error, in the order in which they stand in their files."""
    return InputErrors(sorted(mistakes, key=lambda mistake: (mistake.file, mistake.line)))
