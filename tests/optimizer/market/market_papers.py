"""Trips to small markets and to the demo ones, with what was asked of them, to be put on paper."""

from datetime import date
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

from optimizer.market.market_report import MarketReport
from optimizer.market.prepare import prepare
from optimizer.market.trip import Trip, go
from optimizer.render.origin import Origin
from optimizer.scenario.read import load_scenario
from optimizer.shopping import MarketQuestions, explore, price_ranges_of
from tests.conftest import SCENARIOS
from tests.optimizer.market.market_help import SUPPLEMENTS, TWO_STORES, offer
from tests.papers import CATALOG

MADE = date(2026, 11, 25)
POOR = (
    'title = "Poor <b>"\ncurrency = "USD"\n[market]\nmeat = "1 kg"\nkinds_at_least = 2\n'
    + offer("Butcher", "beef-heart", "500 g", "4.20", 9)
    + SUPPLEMENTS
)
DEMOS = {"store-week-of-turkey": "prices-four-stores", "store-freezer-top-up": "prices-euro"}
KINDS = ["everything", "map", "poor"]


def trip_of(path: Path, *prices: Path) -> Trip:
    scenario, market, offers = prepare(load_scenario(path, CATALOG, shopping=True), CATALOG, prices, {})
    return go(scenario, market, offers, CATALOG, seconds=60)


@cache
def small_trip(text: str) -> Trip:
    with TemporaryDirectory() as folder:
        path = Path(folder) / "small.toml"
        path.write_text(text, encoding="utf-8")
        return trip_of(path)


@cache
def report_of(kind: str) -> MarketReport:
    """A report by its kind: one of KINDS."""
    trip = small_trip(POOR if kind == "poor" else TWO_STORES)
    if kind == "everything":
        one = price_ranges_of(trip, ["turkey-ground=2..8/package"])
        return explore(trip, MarketQuestions(side_by_side=True, alternatives=True, sweeps=one, seconds=60))
    if kind == "map":
        return explore(
            trip, MarketQuestions(sweeps=price_ranges_of(trip, ["turkey-ground=2..8", "chicken-heart=1..6"]), rows=3)
        )
    return explore(trip, MarketQuestions())


@cache
def demo(name: str) -> MarketReport:
    return explore(trip_of(SCENARIOS / f"{name}.toml", SCENARIOS / f"{DEMOS[name]}.csv"), MarketQuestions())


def origin(report: MarketReport) -> Origin:
    return Origin(report.trip.basket.sheet.file, CATALOG.version, "weighout 0", MADE)
