"""Whoever cancels while `weighout market` answers a long question gets what was found until then."""

import json
import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from catalog.records import Catalog
from optimizer.cli.common import ctrl_c
from optimizer.errors import Cancelled
from optimizer.market.buyer import Buyer, NoPurchase, Purchase, PurchaseQuery
from optimizer.market.prepare import prepare
from optimizer.market.trip import Trip, go
from optimizer.render.json.market import market_json
from optimizer.render.text.market import market_text
from optimizer.scenario.read import load_scenario
from optimizer.shopping import MarketQuestions, explore, price_ranges_of
from tests.conftest import SCENARIOS
from tests.optimizer.market.market_help import TWO_STORES


@pytest.fixture(scope="module")
def trip(tmp_path_factory: pytest.TempPathFactory, catalog: Catalog) -> Trip:
    path = tmp_path_factory.mktemp("market") / "small.toml"
    path.write_text(TWO_STORES, encoding="utf-8")
    scenario, market, offers = prepare(load_scenario(path, catalog, shopping=True), catalog, [], {})
    return go(scenario, market, offers, catalog, seconds=60)


class Impatient:
    """A buyer whose person wants no more at the question with this number."""

    def __init__(self, buyer: Buyer, patience: int) -> None:
        self.buyer, self.left = buyer, patience
        self.buying = buyer.buying

    def cheapest(self, asked: PurchaseQuery = PurchaseQuery(), seconds: float | None = None) -> Purchase | NoPurchase:  # noqa: B008
        self.left -= 1
        if self.left < 0:
            raise Cancelled
        return self.buyer.cheapest(asked, seconds)


def impatient(trip: Trip, patience: int) -> Trip:
    return Trip(Impatient(trip.buyer, patience), trip.catalog, trip.status, trip.best, trip.basket, 0.0)  # type: ignore[arg-type]


def test_break_evens_found_before_ctrl_c_are_printed(trip: Trip) -> None:
    report = explore(impatient(trip, 8), MarketQuestions(alternatives=True, seconds=60))
    assert report.break_evens
    assert 1 <= len(report.break_evens) < 7
    text = market_text(report, 100)
    assert "Interrupted: break-even prices; what was found until then is above." in text
    assert json.loads(market_json(report))["interrupted"]


def test_a_sweep_that_was_interrupted_has_the_segments_that_were_settled(trip: Trip) -> None:
    sweeps = price_ranges_of(trip, ["beef-heart=0.5..30/kg"])
    whole = explore(trip, MarketQuestions(sweeps=sweeps, seconds=60)).sweep
    assert whole is not None
    assert whole.solves > 5
    part = explore(impatient(trip, whole.solves - 2), MarketQuestions(sweeps=sweeps, seconds=60))
    assert part.sweep is not None
    assert not part.sweep.complete
    assert 0 < len(part.sweep.segments) < len(whole.segments)
    for segment in part.sweep.segments:
        line, same = segment.line, whole.at((segment.low + segment.high) / 2)
        assert line is not None
        assert same is not None
        assert float(line.at(segment.low)) == pytest.approx(float(same.at(segment.low)), abs=0.006)
    assert "Interrupted: the sweep" in market_text(part, 60)
    rows = explore(impatient(trip, 2 * whole.solves), MarketQuestions(sweeps=(*sweeps, *sweeps), rows=6, seconds=60))
    assert rows.price_map is not None
    assert not rows.price_map.complete
    assert 1 <= len(rows.price_map.rows) < 6


@pytest.mark.skipif(sys.platform == "win32", reason="signals differ")
def test_ctrl_c_in_the_shell_prints_what_was_found(tmp_path: Path) -> None:
    scenario = SCENARIOS / "store-freezer-top-up.toml"
    prices = SCENARIOS / "prices-euro.csv"
    command = [sys.executable, "-c", "from optimizer.cli.main import main; main()", "market", str(scenario)]
    command += ["--prices", str(prices), "--alternatives", "--json"]
    screen, behind = os.openpty()  # somebody is watching, so there is a progress bar
    with (tmp_path / "out.json").open("wb") as out:
        running = subprocess.Popen(command, stdout=out, stderr=behind, cwd=SCENARIOS.parent)
        os.close(behind)
        told = b""
        while told.count(b"%") < 3:  # 0 % and two questions answered
            told += os.read(screen, 1000)
        running.send_signal(signal.SIGINT)
        assert running.wait(timeout=60) == 0
    data = json.loads((tmp_path / "out.json").read_text(encoding="utf-8"))
    assert b"break-even prices  [" in told
    assert data["status"] == "planned"
    assert len(data["break_evens"]) < 30
    assert data["interrupted"] == ["break-even prices; what was found until then is above"]


def test_ctrl_c_is_noted_once_and_ends_the_program_the_second_time() -> None:
    with ctrl_c() as pressed:
        assert not pressed()
        signal.raise_signal(signal.SIGINT)
        assert pressed()
        with pytest.raises(KeyboardInterrupt):
            signal.raise_signal(signal.SIGINT)
