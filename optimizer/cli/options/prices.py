"""The options that say what things cost."""

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from optimizer.cli.options.journal import journal_option, last_paid

if TYPE_CHECKING:
    from catalog.records import Catalog
    from optimizer.market.known_prices import KnownPrices
    from optimizer.scenario.records import Scenario

Command = TypeVar("Command", bound=Callable[..., Any])

_OPTIONS = (
    click.option(
        "--prices",
        "price_lists",
        multiple=True,
        type=click.Path(path_type=Path),
        metavar="FILE",
        help="A price list (CSV); may be repeated. Of a plan out of reach it tells what would help at the least cost.",
    ),
    click.option("--decimal-comma", is_flag=True, help="The price lists write 4,49 for 4.49."),
    click.option("--last-prices", is_flag=True, help="Add what the journal says was last paid, of what no list sells."),
    journal_option,
)


def price_options(command: Command) -> Command:
    """The options for prices."""
    for option in reversed(_OPTIONS):
        command = option(command)
    return command


def prices_for(asked: Mapping[str, Any], scenario: "Scenario", catalog: "Catalog") -> "KnownPrices | None":
    """The known prices: of the lists that were named, of the scenario's own offers and, where asked for, of the
    journal. Raises InputErrors, JournalFault."""
    if not asked["price_lists"] and not asked["last_prices"] and not scenario.market.offers:
        return None
    from optimizer.explain.priced_additions import known_prices  # a plan without prices starts faster

    journal = last_paid(catalog, asked["path"]) if asked["last_prices"] else None
    return known_prices(scenario, catalog, asked["price_lists"], asked["decimal_comma"], journal)
