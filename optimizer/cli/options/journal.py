"""What the journal's commands share: which journal, dates, reading and changing it, printing."""

import os
from collections.abc import Callable, Collection
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from optimizer.cli.common import print_page

if TYPE_CHECKING:
    from catalog.prices.lines import PriceLine
    from catalog.records import Catalog
    from optimizer.journal.recipes import Recipe
    from optimizer.journal.store import Store

Command = TypeVar("Command", bound=Callable[..., Any])

number = click.argument("number", type=click.IntRange(min=1))


def journal_option(command: Command) -> Command:
    """The option that names another journal."""
    return click.option(
        "--journal",
        "path",
        type=click.Path(path_type=Path),
        help="The journal's file; else $WEIGHOUT_JOURNAL, else journal.db in your data folder.",
    )(command)


def journal_path(path: Path | None) -> Path:
    """The journal that is meant: what was told, else the environment's, else the one in the data folder."""
    from catalog.own.overlay import data_folder

    told = path or os.environ.get("WEIGHOUT_JOURNAL")
    return Path(told).expanduser() if told else data_folder() / "journal.db"


def today() -> str:
    """Today's date here."""
    return date.today().isoformat()


def day(text: str, option: str) -> str:
    """A date that was written, checked. Raises InputErrors."""
    from catalog.bounds import DAY, read_day
    from catalog.mistakes import Mistake
    from optimizer.errors import InputErrors

    found = read_day(text)
    if found is None:
        raise InputErrors([Mistake("command line", 0, option, f'"{text}"', DAY)])
    return found.isoformat()


def show_what_is_done(done: str, as_json: bool, data: Callable[..., str], text: Callable[..., str], *what: Any) -> None:
    """As `show_or_json`, after something was done: where it cannot be printed, that is told with what was done."""
    from optimizer.errors import Unprinted

    try:
        show_or_json(as_json, data, text, *what)
    except OSError as problem:
        raise Unprinted(f"{done}; but what there is to say of it cannot be printed: {problem.strerror}.") from problem


def show_or_json(as_json: bool, data: Callable[..., str], text: Callable[..., str], *what: Any) -> None:
    """Prints what one of two renderers makes."""
    if as_json:
        click.echo(data(*what))
    else:
        print_page(text, *what)


def read_with_stock(scenario: Path, catalog: "Catalog", journal: Path) -> "Recipe":
    """A scenario's recipe, with stock in it where it asks for that."""
    from catalog.reading.toml_lines import read_toml
    from optimizer.journal.recipes import read_recipe

    data, _, _ = read_toml(scenario)
    asks = "stock" in (data.get("on_hand"), data.get("supplements"))
    return read_recipe(scenario, catalog, from_stock(data.get("currency", ""), journal) if asks else None)


def from_stock(currency: object, path: Path | None = None) -> dict[str, list[dict[str, Any]]]:
    """What is in stock, as a scenario's lists, priced where it was paid in `currency`. Raises JournalFault."""
    from optimizer.journal.stock import stock_entries
    from optimizer.journal.store import reading

    with reading(journal_path(path)) as store:
        return stock_entries(store, today(), str(currency))


def change(path: Path | None, make: Callable[["Store"], Any]) -> Any:
    """Makes a change in a journal that exists; nothing is begun by a slip in its name."""
    from optimizer.journal.store import reading, writing

    with reading(journal_path(path)):
        pass
    with writing(journal_path(path)) as store:
        return make(store)


def last_paid(catalog: "Catalog", path: Path | None = None) -> Callable[[str, Collection[str]], "list[PriceLine]"]:
    """Gives, for a currency, the journal's last known prices of foods that are on no price list. Raises
    JournalFault when it is called."""

    def lines(currency: str, listed: Collection[str]) -> "list[PriceLine]":
        from optimizer.journal.last_prices import last_prices, lines_of
        from optimizer.journal.store import reading

        journal = journal_path(path)
        with reading(journal) as store:
            return lines_of(last_prices(store), catalog, currency, listed, str(journal))

    return lines
