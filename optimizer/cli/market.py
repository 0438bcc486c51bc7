"""`weighout market`: at the store."""

import re
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import click

from optimizer.cli.common import answers_for_errors, as_json, ctrl_c, load_all, print_page
from optimizer.cli.options.journal import from_stock, last_paid
from optimizer.cli.options.market_papers import check_papers, market_paper_options, write_market_papers
from optimizer.cli.options.prices import price_options
from optimizer.cli.options.seconds import checked_seconds


def _percent(_: click.Context, __: click.Parameter, value: str | None) -> float | None:
    """A share such as "0.5%"."""
    if value is None:
        return None
    match = re.fullmatch(r"([0-9]{1,2}(?:\.[0-9]+)?) ?%", value.strip())
    if match is None:
        raise click.BadParameter(f'{value!r}; allowed: a share such as "0.5%"')
    return float(match[1]) / 100


@click.command()
@click.argument("scenario", type=click.Path(path_type=Path))
@price_options
@click.option("--meat", metavar="MASS", help='The size of the batch by its meat, such as "12 lb".')
@click.option("--energy", metavar="KCAL", help='The size of the batch by its energy, such as "9000 kcal".')
@click.option(
    "--days", type=click.IntRange(1, 366), help="The size of the batch by the days it feeds the scenario's cats."
)
@click.option("--store", "stores", multiple=True, metavar="NAME", help="Buy from this store only; may be repeated.")
@click.option("--side-by-side", is_flag=True, help="Add what the batch costs from each store alone.")
@click.option("--alternatives", is_flag=True, help="Add at which price each offer enters or leaves, and what for what.")
@click.option("--of", "foods", multiple=True, metavar="FOOD", help="Alternatives for this food only; may be repeated.")
@click.option(
    "--sweep", "sweeps", multiple=True, metavar="FOOD=LOW..HIGH/UNIT", help="Vary a price; two of them make a map."
)
@click.option(
    "--points", type=click.IntRange(0, 100_000), default=0, help="With --json: give so many prices of a sweep."
)
@click.option("--rows", type=click.IntRange(2, 1000), default=24, show_default=True, help="Prices down a map.")
@click.option(
    "--seconds", type=float, callback=checked_seconds, default=10.0, show_default=True, help="Limit of each solve."
)
@click.option("--gap", callback=_percent, metavar="SHARE", help='Good enough within this share of the least, "0.5%".')
@market_paper_options
@as_json
@answers_for_errors
def market(
    scenario: Path,
    price_lists: tuple[Path, ...],
    decimal_comma: bool,
    last_prices: bool,
    path: Path | None,
    meat: str | None,
    energy: str | None,
    days: int | None,
    stores: tuple[str, ...],
    side_by_side: bool,
    alternatives: bool,
    foods: tuple[str, ...],
    sweeps: tuple[str, ...],
    points: int,
    rows: int,
    seconds: float,
    gap: float | None,
    as_json: bool,
    **papers: Any,
) -> None:
    """What to buy where for the cheapest batch that meets every limit, in whole packages.

    What is on hand in SCENARIO goes in first. Ctrl-C ends a long question and prints what was found.

    Exit code 0: every limit is met; 1: nothing on sale makes such a batch, and the nearest is printed; 2: bad input.
    """
    from optimizer.market.prepare import known_foods, prepare
    from optimizer.market.trip import go
    from optimizer.scenario.read import load_scenario
    from optimizer.sheet.sheet import PLANNED
    from optimizer.shopping import MarketQuestions, explore, price_ranges_of

    if len(sweeps) > 2:
        raise click.UsageError("--sweep: one price or two")
    check_papers(papers, sweeps)
    catalog = load_all(scenario)
    read = load_scenario(scenario, catalog, stock=lambda currency: from_stock(currency, path), shopping=True)
    sizes = {"meat": meat, "energy": energy, "days": days}
    read, shopping, offers = prepare(
        read, catalog, price_lists, sizes, stores, decimal_comma, last_paid(catalog, path) if last_prices else None
    )
    known_foods(foods, offers)
    trip = go(read, shopping, offers, catalog, seconds, gap)
    questions = MarketQuestions(
        side_by_side, alternatives or bool(foods), foods, price_ranges_of(trip, sweeps), rows, seconds
    )
    with ctrl_c() as pressed, _progress() as tell:
        report = explore(trip, questions, tell, pressed)
    write_market_papers(papers, report, catalog)
    if as_json:
        from optimizer.render.json.market import market_json

        click.echo(market_json(report, points))
    else:
        from optimizer.render.text.market import market_text

        print_page(market_text, report)
    sys.exit(0 if trip.status == PLANNED else 1)


@contextmanager
def _progress() -> Iterator[Callable[[str, float], None]]:
    """A bar on standard error for what takes long, where somebody is watching."""
    if not sys.stderr.isatty():
        yield lambda *_: None
        return
    bars: dict[str, Any] = {}
    steps = 1000

    def tell(doing: str, share: float) -> None:
        if doing not in bars:
            bars[doing] = click.progressbar(length=steps, label=doing, file=sys.stderr)
            bars[doing].__enter__()
        bar = bars[doing]
        bar.update(max(0, round(share * steps) - bar.pos))
        if bar.pos >= steps:
            bars.pop(doing).render_finish()

    try:
        yield tell
    finally:
        for bar in bars.values():
            bar.render_finish()
