"""`weighout market` as a person meets it: what is printed at every width, JSON, exit codes, an interruption."""

import json
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from catalog.records import Catalog
from optimizer.cli.main import main
from optimizer.market.buyer import Purchase, PurchaseQuery
from optimizer.market.market_report import MarketReport
from optimizer.market.prepare import prepare
from optimizer.market.trip import Trip, go
from optimizer.render.text.market import market_text
from optimizer.scenario.read import load_scenario
from optimizer.shopping import MarketQuestions, explore, price_ranges_of
from tests.conftest import SCENARIOS
from tests.optimizer.market.market_help import SUPPLEMENTS, TWO_STORES, offer

Run = Callable[..., Result]


@pytest.fixture(scope="module")
def small(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("market") / "small.toml"
    path.write_text(TWO_STORES, encoding="utf-8")
    return path


@pytest.fixture
def run(small: Path) -> Run:
    def call(*options: str, scenario: Path | None = None) -> Result:
        return CliRunner().invoke(main, ["market", str(scenario or small), *options])

    return call


@pytest.fixture(scope="module")
def trip(small: Path, catalog: Catalog) -> Trip:
    scenario, market, offers = prepare(load_scenario(small, catalog, shopping=True), catalog, [], {})
    return go(scenario, market, offers, catalog, seconds=60)


@pytest.fixture(scope="module")
def everything(trip: Trip) -> MarketReport:
    sweeps = price_ranges_of(trip, ["turkey-ground=2..8/package"])
    return explore(trip, MarketQuestions(side_by_side=True, alternatives=True, sweeps=sweeps, seconds=60))


# What is printed.


def test_the_shopping_list_stands_first_and_its_sums_below(run: Run) -> None:
    printed = run()
    assert printed.exit_code == 0
    lines = printed.stdout.splitlines()
    assert lines[0].rstrip() == "Two stores"
    assert lines[1].startswith("AAFCO cat food nutrient profiles, Official Publication 2016")
    first = " ".join(printed.stdout.partition("Butcher: ")[0].split())
    assert "adult Every limit is met on average figures, all at once in " in first
    assert "; bone is 24 % of the meat, more than the usual 15 %" in first
    assert first.endswith("Nothing cheaper does, to within 0.06%.")
    assert [line for line in lines if line.startswith(("Butcher:", "Grocery:"))] == [
        "Butcher: 6.90 USD",
        "Grocery: 5.46 USD",
    ]
    [neck] = [line for line in lines if "[ ]" in line and "turkey neck" in line]
    assert neck.split() == "[ ] 2 × 400 g turkey neck, bone-in, skinned 1.90 4.75 11.88 3.80".split()
    starts = ("At the stores", "Going there", "To pay, USD", "From on hand", "Left over", "In this batch, USD")
    assert [line.split("  ")[0] for line in lines if line.startswith(starts)] == list(starts)
    assert "Cautions" in lines
    assert "gap 0.06%" in " ".join(lines[-2:])  # a small coin, for less from jars
    heart = "281 g beef heart 8.40 per kg 8.40 2.36"
    assert any(heart in " ".join(line.split()) for line in lines)


@pytest.mark.parametrize("width", [40, 46, 60, 80, 120])
def test_no_line_is_wider_than_the_screen(everything: MarketReport, width: int) -> None:
    for line in market_text(everything, width).splitlines():
        assert len(line) <= width, line


@pytest.mark.parametrize("width", [46, 100])
def test_everything_asked_for_is_there_at_any_width(everything: MarketReport, width: int) -> None:
    text = " ".join(market_text(everything, width).split())
    for words in (
        "Stores side by side",
        "Bought: the price up to which it stays",
        "Not bought: the price at which it would be",
        "This for that",
        "turkey-ground: where the mix changes",
        "solves, to half a cent",
        "Goes in:",
    ):
        assert words in text


def test_two_prices_make_a_map(trip: Trip) -> None:
    sweeps = price_ranges_of(trip, ["turkey-ground=2..8", "chicken-heart=1..6"])
    report = explore(trip, MarketQuestions(sweeps=sweeps, rows=5, seconds=60))
    found = report.price_map
    assert found is not None
    assert found.complete
    assert [len(letters) for _, letters in found.rows] == [len(found.prices)] * 5
    assert [str(price) for price, _ in found.rows] == ["6.00", "4.75", "3.50", "2.25", "1.00"]
    # each letter's mix is the best one at its prices: asked again at some of them
    words = dict(found.mixes)
    buying, (across, down) = trip.buyer.buying, sweeps
    for row, column in ((0, 0), (4, 29), (2, 15)):
        prices = {**across.prices(across.points(30)[column]), **down.prices(down.points(5)[4 - row])}
        best = trip.buyer.cheapest(PurchaseQuery(prices=prices))
        assert isinstance(best, Purchase)
        names = {o.food.name for o in buying.offers if best.count(o.id)}
        letter = words[found.rows[row][1][column]]
        assert all(any(name in word for word in letter) for name in names)
    text = market_text(report, 60)
    assert "chicken-heart (down, USD per 500 g) against turkey-ground (across, USD per 545 g)" in " ".join(text.split())


def test_a_substitution_says_what_goes_what_comes_and_what_it_does_to_the_doses(everything: MarketReport) -> None:
    without = {s.found.offer.food.id: s for s in everything.substitutions if s.found.bought}
    with_ = {s.found.offer.food.id: s for s in everything.substitutions if not s.found.bought}
    spleen = without["beef-spleen"]
    assert spleen.extra > 0
    assert "1 × 300 g beef spleen (Grocery)" in spleen.out
    assert "1 × 500 g chicken heart (Butcher)" in spleen.instead
    assert any(dose == "potassium chloride (salt substitute) none -> 1/2 tsp" for dose in spleen.doses)
    assert "chicken-heart" not in without  # nothing else will do
    assert with_["turkey-liver"].out == ("1 × 250 g beef liver (Grocery)",)
    assert with_["turkey-liver"].instead == ("1 × 250 g turkey liver (Butcher)",)
    assert all(substitution.extra >= 0 for substitution in everything.substitutions)


# JSON.


def test_json_says_the_same_as_the_text(run: Run, trip: Trip) -> None:
    printed = run("--json", "--side-by-side", "--alternatives", "--sweep", "turkey-ground=2..8", "--points", "1000")
    assert printed.exit_code == 0
    data: dict[str, Any] = json.loads(printed.stdout)
    basket = trip.basket
    assert (data["status"], data["currency"], data["proven_cheapest"]) == ("planned", "USD", True)
    assert data["size"] == {"measure": "meat", "at_least": 2000.0, "unit": "g"}
    assert data["costs"]["to_pay"] == str(basket.spent)
    assert data["costs"]["batch_rates"].keys() == {"per_kg", "per_1000_kcal", "per_cat_and_day"}
    packages = [package for store in data["stores"] for package in store["packages"]]
    assert [package["id"] for package in packages] == [line.offer.food.id for line in basket.bought]
    assert all(package["price_per_edible_kg"] >= package["price_per_kg"] for package in packages)
    assert {use["id"] for use in data["uses"]} == {use.item.id for use in basket.uses}
    assert [alone["store"] for alone in data["stores_alone"]] == ["Butcher", "Grocery"]
    assert len(data["break_evens"]) == 7
    assert len(data["sweep"]["points"]) == 1000
    costs = [point["cost"] for point in data["sweep"]["points"]]
    assert costs == sorted(costs)  # a dearer package never makes the batch cheaper
    assert data["sweep"]["rows"][0]["from"] == "2.00"
    assert data["sheet"]["status"] == "planned"
    assert all(line["status"] in ("met", "no_limit") for line in data["sheet"]["nutrients"])
    assert data["interrupted"] == []


def test_json_of_two_prices(run: Run) -> None:
    printed = run("--json", "--sweep", "turkey-ground=2..8", "--sweep", "chicken-heart=1..6", "--rows", "3")
    data = json.loads(printed.stdout)["price_map"]
    assert len(data["rows"]) == 3
    assert set("".join(row["mixes"] for row in data["rows"])) == set(data["mixes"])


# Exit codes and messages.


def test_out_of_reach_is_exit_code_1_and_says_what_is_missed(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "poor.toml"
    path.write_text(
        'currency = "USD"\n[market]\nmeat = "1 kg"\n' + offer("Butcher", "beef-heart", "500 g", "4.20", 9) + SUPPLEMENTS
    )
    printed = run(scenario=path)
    assert printed.exit_code == 1
    assert "do not feed it" in printed.stdout
    assert "- vitamin A (retinol): 0 IU, the limit is 833 IU" in printed.stdout
    asked = run("--json", "--alternatives", scenario=path)
    assert asked.exit_code == 1
    data = json.loads(asked.stdout)
    assert (data["status"], data["gap"], data["break_evens"]) == ("out_of_reach", None, None)


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (["--prices", "none.csv"], "none.csv: read No such file or directory"),
        (["--meat", "2 litres"], "--meat: read '2 litres'"),
        (["--meat", "2 kg", "--energy", "900 kcal"], "--meat and --energy"),
        (["--store", "Deli"], "--store: read 'Deli'"),
        (["--of", "beef-hart"], "Did you mean beef-heart"),
        (["--sweep", "beef-heart=3..1/kg"], "a lower price and a higher one"),
        (["--gap", "half"], 'a share such as "0.5%"'),
        (["--sweep", "a=1..2", "--sweep", "b=1..2", "--sweep", "c=1..2"], "one price or two"),
    ],
)
def test_bad_input_is_exit_code_2_with_one_clear_message(run: Run, options: list[str], words: str) -> None:
    printed = run(*options)
    assert printed.exit_code == 2
    assert printed.stdout == ""
    assert words in printed.stderr
    assert "Traceback" not in printed.stderr


def test_time_that_runs_out_is_told(run: Run) -> None:
    scenario = SCENARIOS / "store-week-of-turkey.toml"
    prices = str(SCENARIOS / "prices-four-stores.csv")
    printed = run("--prices", prices, "--seconds", "0.05", "--json", scenario=scenario)
    data = json.loads(printed.stdout)
    assert data["proven_cheapest"] is False
    assert (printed.exit_code, data["status"]) in ((0, "planned"), (1, "out_of_time"))
    assert data["gap"] is None or data["gap"] > 0


def test_a_gap_that_is_good_enough_ends_the_search(run: Run) -> None:
    data = json.loads(run("--json", "--gap", "20%").stdout)
    assert data["status"] == "planned"
    assert 0 <= data["gap"] <= 0.2


def test_a_pipe_gets_no_progress_bar(small: Path) -> None:
    command = [
        sys.executable,
        "-c",
        "from optimizer.cli.main import main; main()",
        "market",
        str(small),
        "--side-by-side",
    ]
    done = subprocess.run(command, capture_output=True, text=True, cwd=SCENARIOS.parent, check=True)
    assert done.stderr == ""
    assert max(map(len, done.stdout.splitlines())) <= 100


def test_a_substitution_of_what_is_sold_by_weight_is_of_a_pound(small: Path, catalog: Catalog, tmp_path: Path) -> None:
    path = tmp_path / "dear.toml"
    path.write_text(small.read_text(encoding="utf-8").replace("8.40/kg", "14.00/lb"), encoding="utf-8")
    scenario, market, offers = prepare(load_scenario(path, catalog, shopping=True), catalog, [], {})
    found = go(scenario, market, offers, catalog, seconds=60)
    [substitution] = explore(found, MarketQuestions(alternatives=True, foods=("beef-heart",), seconds=60)).substitutions
    assert any(word.startswith("1 lb") and "beef heart (Grocery)" in word for word in substitution.instead)
