"""What is wrong with a market is told at once: with its file and line, what was read and what is allowed."""

from collections.abc import Callable, Sequence
from pathlib import Path

import pytest

from catalog.records import Catalog
from optimizer.errors import InputErrors
from optimizer.market.prepare import known_foods, prepare
from optimizer.market.price_ranges import read_price_range
from optimizer.market.trip import go
from optimizer.scenario.read import load_scenario
from optimizer.shopping import price_ranges_of
from tests.optimizer.market.market_help import MANGANESE, SUPPLEMENTS, offer

HEAD = 'currency = "USD"\n'
SOLD = offer("Butcher", "beef-heart", "500 g", "4.20", 9) + offer("Grocery", "turkey-ground", "545 g", "5.49", 9)
Wrong = Callable[..., list[str]]


@pytest.fixture
def wrong(tmp_path: Path, catalog: Catalog) -> Wrong:
    """The mistakes that come of reading a scenario and what it is asked with, without the folder."""

    def reader(
        text: str, sizes: dict[str, object] | None = None, stores: Sequence[str] = (), prices: str | None = None
    ) -> list[str]:
        path = tmp_path / "market.toml"
        path.write_text(text, encoding="utf-8")
        lists = []
        if prices is not None:
            lists = [tmp_path / "prices.csv"]
            lists[0].write_text(prices, encoding="utf-8")
        with pytest.raises(InputErrors) as caught:
            prepare(load_scenario(path, catalog, shopping=True), catalog, lists, sizes or {}, stores)
        return [str(m).replace(str(tmp_path) + "/", "") for m in caught.value.mistakes]

    return reader


def test_every_mistake_in_the_market_table_is_told_with_its_line(wrong: Wrong) -> None:
    text = (
        HEAD
        + "[market]\n"
        + 'meat = "6 litres"\n'
        + "days = 0\n"
        + 'stores = "Butcher"\n'
        + 'visit_cost = "two"\n'
        + "kinds_at_least = 2.5\n"
        + 'leave_out = ["prok"]\n'
        + "budgett = 3\n"
        + "[market.visits]\n"
        + 'Butcher = "x"\n'
        + "[[market.shares]]\n"
        + 'of = "livers"\n'
        + 'at_least = "120 %"\n'
        + "[rates]\n"
        + 'EUR = "1.08 CHF"\n'
        + 'euro = "1.08 USD"\n'
        + SOLD
    )
    found = wrong(text)
    assert [mistake.split(": ")[:2] for mistake in found] == [
        ["market.toml:3", "market.meat"],
        ["market.toml:4", "market.days"],
        ["market.toml:4", "market.days"],
        ["market.toml:5", "market.stores"],
        ["market.toml:6", "market.visit_cost"],
        ["market.toml:7", "market.kinds_at_least"],
        ["market.toml:8", "market.leave_out"],
        ["market.toml:9", "market.budgett"],
        ["market.toml:11", "market.visits.Butcher"],
        ["market.toml:13", "market.shares[1].of"],
        ["market.toml:14", "market.shares[1].at_least"],
        ["market.toml:16", "rates.EUR"],
        ["market.toml:17", "rates.euro"],
    ]
    assert found[6].endswith("Did you mean pork?")
    assert "meat and days" in found[2]


@pytest.mark.parametrize(
    ("table", "words"),
    [
        ('[[market.shares]]\nof = "liver"\n', "market.shares[1].at_least: read nothing"),
        ('[[market.shares]]\nat_most = "5 %"\n', "market.shares[1].of: read nothing"),
        ('[[market.shares]]\nof = "liver"\nat_least = "5 %"\nat_most = "3 %"\n', "not less than at_least, 5 %"),
        ('[[offers]]\nstore = "A"\nfood = "beef-heart"\nprize = "3/kg"\n', 'the key "prize"'),
        ('[[offers]]\nstore = "A"\nfood = "beef-heart"\nprice = "3/kg"\nmost = "few"\n', "offers[3].most: read 'few'"),
        ("rates = 3\n", "a table headed [rates]"),
        ("market = 3\n", "a table headed [market]"),
        ('[[offers]]\nstore = "A"\nfood = "onion"\nprice = "3/kg"\n', "refused"),
        ('[[offers]]\nstore = "A"\nfood = "beef-heart"\nprice = "1.00/egg"\n', "no such measure of beef-heart"),
    ],
)
def test_a_table_that_says_nothing_or_two_things(wrong: Wrong, table: str, words: str) -> None:
    text = HEAD + table + SOLD if table.endswith("= 3\n") else HEAD + SOLD + table
    assert any(words in mistake for mistake in wrong(text, {"meat": "3 kg"}))


def test_mixing_currencies_without_a_rate_is_refused_and_says_what_to_write(wrong: Wrong) -> None:
    text = HEAD + '[market]\nmeat = "3 kg"\n' + SOLD
    prices = "store,food,package,price,currency\nAbroad,beef-heart,1 kg,7.20,EUR\nAbroad,beef-liver,1 kg,£3.00,\n"
    prices += "Abroad,beef-kidney,1 kg,5.20,EUR\n"  # of each currency the first line is told
    assert wrong(text, prices=prices) == [
        "prices.csv:2: currency: read '7.20' in EUR, with a scenario in USD; allowed: one currency, or a rate for each "
        'other one. Add to the scenario:  [rates]  EUR = "1.00 USD"  with the true rate.',
        "prices.csv:3: currency: read '£3.00' in GBP, with a scenario in USD; allowed: one currency, or a rate for each "
        'other one. Add to the scenario:  [rates]  GBP = "1.00 USD"  with the true rate.',
    ]


def test_a_list_without_any_currency_is_refused(wrong: Wrong) -> None:
    prices = "store,food,package,price\nButcher,beef-heart,1 kg,7.20\n"
    [mistake] = wrong('[market]\nmeat = "3 kg"\n', prices=prices)
    assert mistake.startswith("market.toml: currency: read no currency")


def test_the_same_package_twice_on_one_day_is_refused(wrong: Wrong) -> None:
    prices = (
        "store,food,package,price,date\nButcher,beef-heart,1 kg,7.20,2026-11-01\n"
        "butcher,beef-heart,1000 g,6.90,2026-11-01\n"
    )
    [mistake] = wrong(HEAD + '[market]\nmeat = "3 kg"\n', prices=prices)
    assert mistake.startswith("prices.csv:3: food: read beef-heart at Butcher, the same package a second time")
    assert "prices.csv:2 already" in mistake


@pytest.mark.parametrize(
    ("text", "sizes", "words"),
    [
        (SOLD, {}, "market: read no size"),
        (SOLD, {"meat": "3 kg", "days": 3}, "--meat and --days"),
        (SOLD, {"meat": "3"}, "--meat: read '3'"),
        (SOLD, {"energy": "lots"}, "--energy: read 'lots'"),
        (SOLD, {"days": 7}, "days: read days, but no cats"),
        ("", {"meat": "3 kg"}, "offers: read nothing on sale"),
    ],
)
def test_a_batch_has_a_size_and_something_is_on_sale(
    wrong: Wrong, text: str, sizes: dict[str, object], words: str
) -> None:
    assert any(words in mistake for mistake in wrong(HEAD + text, sizes))


def test_stores_that_sell_nothing_are_a_slip_of_the_pen(wrong: Wrong) -> None:
    text = HEAD + '[market]\nmeat = "3 kg"\nstores = ["Bucher"]\n[market.visits]\nGrocer = "1.00"\n' + SOLD
    assert wrong(text) == [
        "market.toml:4: stores: read 'Bucher'; allowed: Butcher, Grocery. Did you mean Butcher?",
        "market.toml:4: visits: read 'Grocer'; allowed: Butcher, Grocery. Did you mean Grocery?",
    ]
    [mistake] = wrong(HEAD + SOLD, {"meat": "3 kg"}, ["Grocery", "Grcery"])
    assert mistake == "command line: --store: read 'Grcery'; allowed: Butcher, Grocery. Did you mean Grocery?"


def test_a_plan_without_meat_is_refused_as_before_but_shopping_is_not(tmp_path: Path, catalog: Catalog) -> None:
    path = tmp_path / "market.toml"
    path.write_text(HEAD + '[market]\nmeat = "3 kg"\n' + SOLD + SUPPLEMENTS, encoding="utf-8")
    with pytest.raises(InputErrors, match="no meat with an amount"):
        load_scenario(path, catalog)
    assert load_scenario(path, catalog, shopping=True).market.meat_grams == 3000


# What --sweep and --of ask for.


@pytest.fixture
def refused(tmp_path: Path, catalog: Catalog) -> Callable[[str], str]:
    """Why a price cannot be varied as asked, in a market with two sizes of one food."""
    path = tmp_path / "market.toml"
    more = offer("Farm", "beef-heart", "1 kg", "8.00", 9) + MANGANESE
    path.write_text(HEAD + '[market]\nmeat = "3 kg"\n' + SOLD + more + SUPPLEMENTS, encoding="utf-8")
    _, _, offers = prepare(load_scenario(path, catalog, shopping=True), catalog, [], {})

    def ask(text: str) -> str:
        with pytest.raises(InputErrors) as caught:
            read_price_range(text, offers)
        return str(caught.value)

    return ask


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("beef-heart", "FOOD=LOW..HIGH/UNIT"),
        ("beef-heart=3", "FOOD=LOW..HIGH/UNIT"),
        ("beef-hart=1..3/kg", "Did you mean beef-heart?"),
        ("beef-heart@Deli=1..3/kg", "a store that sells it: Butcher, Farm"),
        ("beef-heart=3..1/kg", "a lower price and a higher one"),
        ("beef-heart=1..3", "a unit, such as beef-heart=1..3/kg"),
        ("beef-heart=1..3/yard", "kg, lb, 100 g, package or a measure of this food"),
    ],
)
def test_a_sweep_that_cannot_be_understood(refused: Callable[[str], str], text: str, words: str) -> None:
    assert words in refused(text)


def test_what_is_not_on_sale_has_no_alternatives(tmp_path: Path, catalog: Catalog) -> None:
    path = tmp_path / "market.toml"
    liver = offer("Grocery", "beef-liver", "250 g", "1.70", 2)
    path.write_text(HEAD + '[market]\nmeat = "2 kg"\n' + SOLD + liver + MANGANESE + SUPPLEMENTS, encoding="utf-8")
    scenario, market, offers = prepare(load_scenario(path, catalog, shopping=True), catalog, [], {})
    with pytest.raises(InputErrors, match="--of: read 'beef-hart'"):
        known_foods(["beef-heart", "beef-hart"], offers)
    [price_range] = price_ranges_of(go(scenario, market, offers, catalog), ["beef-heart = 1.50 .. 3.00 per 100 g"])
    assert (price_range.label, price_range.unit, price_range.low, price_range.priced_grams) == (
        "beef-heart",
        "100 g",
        1.5,
        100,
    )
