"""Last known prices of the journal as offers of a market: dated, marked as such, and never before a store's price."""

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from catalog.prices.lines import PriceLine
from catalog.records import Catalog
from optimizer.cli.main import main
from optimizer.journal.batches import record_batch
from optimizer.journal.last_prices import LAST_PAID, last_prices, lines_of
from optimizer.journal.new_packages import bought_package
from optimizer.journal.stock import add_package
from optimizer.journal.store import reading, writing
from tests.optimizer.journal.journal_help import TURKEY, amount, sheet, told
from tests.optimizer.market.market_help import MANGANESE, SUPPLEMENTS, offer

Lines = Callable[..., list[PriceLine]]


@pytest.fixture
def journal(tmp_path: Path) -> Path:
    return tmp_path / "journal.db"


def buy(journal: Path, catalog: Catalog, food: str, text: str, price: str, bought_on: str = "2026-02-01") -> None:
    package = bought_package(
        catalog, food=food, amount=text, price=price, lot="", use_by="", bought_on=bought_on, step="", listed=None
    )
    with writing(journal) as store:
        add_package(store, package)


def make(journal: Path, food: str, grams: float, cost: str, made_on: str = "2026-03-01") -> None:
    made = sheet()
    made["amounts"] = [amount(food, food, "cut", grams, f"{grams:g} g", cost)]
    with writing(journal) as store:
        record_batch(store, made, None, {}, told(made_on), from_stock=False)


@pytest.fixture
def lines(journal: Path, catalog: Catalog) -> Lines:
    def read(currency: str = "USD", listed: set[str] | None = None) -> list[PriceLine]:
        with reading(journal) as store:
            return lines_of(last_prices(store), catalog, currency, listed or set(), str(journal))

    return read


def test_meat_has_the_rate_last_paid_and_is_sold_by_weight(journal: Path, catalog: Catalog, lines: Lines) -> None:
    buy(journal, catalog, "beef-heart", "2 lb 8 oz", "8.00 USD")
    [line] = lines()
    assert (line.store, line.loose, line.last_known, line.note) == (
        LAST_PAID,
        True,
        True,
        "stock, package 1, 2026-02-01",
    )
    assert str(line.day) == "2026-02-01"
    # 40 oz of 28.349523125 g (the international avoirdupois ounce, NIST Handbook 44, appendix C)
    assert float(line.price) / float(line.package.amount) == pytest.approx(8.00 / (40 * 28.349523125))


def test_meat_of_a_batch_counts_and_a_supplement_of_a_batch_does_not(
    journal: Path, catalog: Catalog, lines: Lines
) -> None:
    make(journal, TURKEY, 1500, "9.00")
    make(journal, "taurine-powder", 20, "2.00", "2026-03-02")
    [line] = lines("EUR")
    assert (line.food.id, str(line.price), float(line.package.amount)) == (TURKEY, "9.00", 1500)


def test_a_supplement_is_the_package_that_was_bought(journal: Path, catalog: Catalog, lines: Lines) -> None:
    buy(journal, catalog, "vitamin-e-softgel-200", "100 softgels", "9.50 USD")
    [line] = lines()
    assert (line.loose, line.package.text, str(line.price)) == (False, "100 softgels", "9.50")


def test_the_scenarios_currency_comes_first_and_what_is_on_a_list_is_left_to_it(
    journal: Path, catalog: Catalog, lines: Lines
) -> None:
    buy(journal, catalog, "beef-heart", "1 kg", "8.00 EUR", "2026-02-05")
    buy(journal, catalog, "beef-heart", "1 kg", "9.00 USD", "2026-02-01")
    buy(journal, catalog, "beef-liver", "1 kg", "6.00 EUR")
    assert [(line.food.id, line.currency) for line in lines()] == [("beef-heart", "USD"), ("beef-liver", "EUR")]
    assert [line.food.id for line in lines(listed={"beef-liver"})] == ["beef-heart"]


# Through the command.

SCENARIO = (
    'currency = "USD"\n[market]\nmeat = "2 kg"\n'
    + offer("Butcher", "turkey-neck-bone-in", "400 g", "1.90", 2)
    + offer("Butcher", "chicken-heart", "500 g", "3.10", 5)
    + offer("Butcher", "turkey-liver", "250 g", "2.10", 1)
    + MANGANESE
    + SUPPLEMENTS
)


def market(folder: Path, *options: str) -> Result:
    path = folder / "home.toml"
    path.write_text(SCENARIO, encoding="utf-8")
    return CliRunner().invoke(main, ["market", str(path), *options])


def test_a_market_buys_at_last_prices_only_when_told_to(journal: Path, catalog: Catalog, tmp_path: Path) -> None:
    buy(journal, catalog, "beef-heart", "1 kg", "1.50 USD")
    buy(journal, catalog, "chicken-heart", "1 kg", "0.10 USD")  # the butcher's list says what it costs now
    plain = json.loads(market(tmp_path, "--journal", str(journal), "--json").stdout)
    assert [store["name"] for store in plain["stores"]] == ["Butcher"]
    printed = market(tmp_path, "--journal", str(journal), "--last-prices")
    assert printed.exit_code == 0
    assert "last paid: " in printed.stdout
    assert "(stock, package 1," in " ".join(printed.stdout.split())
    assert "Prices last paid are from the journal; a store may ask another now." in printed.stdout
    data = json.loads(market(tmp_path, "--journal", str(journal), "--last-prices", "--json").stdout)
    marked = {p["id"]: (s["name"], p["last_known"]) for s in data["stores"] for p in s["packages"]}
    assert marked["beef-heart"] == ("last paid", True)
    assert marked["turkey-neck-bone-in"] == ("Butcher", False)
    assert float(data["costs"]["to_pay"]) < float(plain["costs"]["to_pay"])


def test_a_last_price_in_another_currency_needs_a_rate(journal: Path, catalog: Catalog, tmp_path: Path) -> None:
    buy(journal, catalog, "beef-heart", "1 kg", "1.50 EUR")
    printed = market(tmp_path, "--journal", str(journal), "--last-prices")
    assert printed.exit_code == 2
    assert '[rates]  EUR = "1.00 USD"' in printed.stderr


def test_without_a_journal_the_message_says_so(tmp_path: Path) -> None:
    printed = market(tmp_path, "--journal", str(tmp_path / "none.db"), "--last-prices")
    assert printed.exit_code == 2
    assert "none.db" in printed.stderr
    assert printed.stdout == ""
