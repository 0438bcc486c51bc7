"""Stock: what batches take, what runs out or expires, what it is worth, a scenario that draws on it, last prices."""

from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from catalog.records import Catalog
from optimizer.errors import InputErrors
from optimizer.journal.batches import record_batch
from optimizer.journal.events import undo_last
from optimizer.journal.last_prices import last_prices
from optimizer.journal.new_packages import bought_package, grams_left
from optimizer.journal.recipes import read_recipe
from optimizer.journal.records import JournalFault, Package, Recorded
from optimizer.journal.stock import (
    add_package,
    count_package,
    days_between_batches,
    find_package,
    left_words,
    packages,
    stock_entries,
    stock_warnings,
    value_of,
)
from optimizer.journal.store import reading, writing
from optimizer.planning import plan
from tests.altered import demo
from tests.optimizer.journal.journal_help import TURKEY, amount, sheet, told

TODAY = "2026-03-01"


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "journal.db"


def buy(path: Path, catalog: Catalog, food: str, text: str, **more: Any) -> Package:
    told = {"price": None, "lot": "", "use_by": "", "bought_on": "2026-02-01", "step": "", "listed": None, **more}
    bought = bought_package(catalog, food=food, amount=text, **told)
    with writing(path) as store:
        return add_package(store, bought)


def make(path: Path, *lines: dict[str, Any], made_on: str = TODAY, **more: Any) -> Recorded:
    made = sheet()
    made["amounts"] = list(lines)
    with writing(path) as store:
        return record_batch(store, made, None, {}, told(made_on, **more))


def turkey(grams: float) -> dict[str, Any]:
    return amount(TURKEY, "ground turkey", "cut", grams, f"{grams:g} g", None)


def kelp(tablets: float) -> dict[str, Any]:
    return amount("kelp-tablet-225", "kelp tablet", "supplement", tablets * 0.3, f"{tablets:g} tablets", None)


def left(path: Path) -> list[str]:
    with reading(path) as store:
        return [left_words([package]) if package.left_g else "nothing" for package in packages(store)]


def test_a_batch_takes_first_what_spoils_first(path: Path, catalog: Catalog) -> None:
    buy(path, catalog, TURKEY, "3 lb", use_by="2026-06-01")
    buy(path, catalog, TURKEY, "1 kg", use_by="2026-04-01", lot="L7")
    recorded = make(path, turkey(1200.0))
    assert [(take.package, take.text, take.left_text) for take in recorded.takes] == [
        (2, "1 kg", "0 g"),
        (1, "7.1 oz", "2 lb 8.9 oz"),
    ]
    assert recorded.lacking == ()
    assert left(path) == ["2 lb 8.9 oz", "nothing"]


def test_undoing_a_batch_puts_back_what_it_took(path: Path, catalog: Catalog) -> None:
    buy(path, catalog, "kelp-tablet-225", "20 tablets")
    make(path, kelp(4.5))
    assert left(path) == ["15 1/2 tablets"]
    with writing(path) as store:
        undo_last(store)
    assert left(path) == ["20 tablets"]


def test_a_package_that_many_batches_emptied_is_empty(path: Path, catalog: Catalog) -> None:
    buy(path, catalog, TURKEY, "1 kg")
    for _ in range(10):
        make(path, turkey(99.99999999999))
    make(path, turkey(1000 - 10 * 99.99999999999))
    assert left(path) == ["nothing"]


def test_the_lot_that_was_told_is_the_one_that_is_taken(path: Path, catalog: Catalog) -> None:
    buy(path, catalog, TURKEY, "1 kg", use_by="2026-04-01", lot="L7")
    buy(path, catalog, TURKEY, "1 kg", use_by="2026-06-01", lot="L8")
    recorded = make(path, turkey(400.0), lots={TURKEY: "L8"})
    assert [(take.package, take.grams) for take in recorded.takes] == [(2, 400.0)]
    # a lot that is not in stock was bought for this batch: nothing in stock becomes less by it
    assert make(path, turkey(400.0), lots={TURKEY: "L99"}).takes == ()
    assert left(path) == ["1 kg", "600 g"]


def test_what_stock_lacks_is_told_and_foods_never_bought_are_not_asked_about(path: Path, catalog: Catalog) -> None:
    buy(path, catalog, TURKEY, "1 kg")
    recorded = make(path, turkey(1500.0), kelp(4))
    assert recorded.lacking == ((TURKEY, 500.0),)
    assert left(path) == ["nothing"]


def test_a_count_corrects_what_the_journal_thought(path: Path, catalog: Catalog) -> None:
    buy(path, catalog, "kelp-tablet-225", "20 tablets")
    make(path, kelp(4))
    with writing(path) as store:
        package = find_package(store, 1)
        count_package(store, 1, grams_left(package, "13 tablets"), "fell down")
    assert left(path) == ["13 tablets"]
    with writing(path) as store:
        count_package(store, 1, grams_left(find_package(store, 1), "0"), "")
    assert left(path) == ["nothing"]
    with pytest.raises(JournalFault, match="there is no package 9 in stock"), reading(path) as store:
        find_package(store, 9)


def test_warned_of_what_expires_or_runs_out_before_the_next_batch(path: Path, catalog: Catalog) -> None:
    buy(path, catalog, TURKEY, "5 kg", use_by="2026-03-10")
    buy(path, catalog, "turkey-heart", "1 kg", use_by="2026-02-20")
    buy(path, catalog, "kelp-tablet-225", "10 tablets", use_by="2027-01-01")
    make(path, kelp(6), made_on="2026-02-15")
    with reading(path) as store:
        assert [(w.code, w.food) for w in stock_warnings(store, TODAY, 14)] == [
            ("expires", TURKEY),
            ("expired", "turkey-heart"),
            ("runs_out", "kelp-tablet-225"),
        ]
        assert "4 tablets left; batch 1 took 6 tablets" in stock_warnings(store, TODAY, 14)[2].text
        assert [w.code for w in stock_warnings(store, TODAY, 3)] == ["expired", "runs_out"]


def test_an_expired_package_does_not_count_for_the_next_batch(path: Path, catalog: Catalog) -> None:
    buy(path, catalog, TURKEY, "5 kg", use_by="2026-02-20")
    make(path, turkey(400.0), made_on="2026-02-15")
    with reading(path) as store:
        assert [w.code for w in stock_warnings(store, TODAY, 14)] == ["expired", "runs_out"]


@pytest.mark.parametrize(
    ("days", "expected"),
    [
        ([], 14),
        (["2026-01-01"], 14),
        (["2026-01-01", "2026-01-01"], 14),
        (["2026-01-11", "2026-01-01"], 10),
        (["2026-01-01", "2026-01-08", "2026-01-15", "2026-03-15"], 7),
    ],
)
def test_the_usual_time_between_batches(days: list[str], expected: int) -> None:
    assert days_between_batches(days) == expected


def test_stock_is_worth_what_was_paid_for_what_is_left(path: Path, catalog: Catalog) -> None:
    buy(path, catalog, TURKEY, "2 kg", price="16.00 EUR")
    buy(path, catalog, "kelp-tablet-225", "200 tablets", price="6.80 USD")
    buy(path, catalog, "turkey-heart", "1 kg")
    make(path, turkey(500.0), kelp(50))
    with reading(path) as store:
        assert value_of(packages(store)) == {"EUR": Decimal("12.00"), "USD": Decimal("5.10")}


@pytest.mark.parametrize(
    ("price", "paid"),
    [
        ("14.00 USD", "14.00"),
        ("2.49 USD/lb", "5.49"),
        ("£4 per kg", "4.00"),
        ("10.00 EUR for 500 g", "20.00"),
    ],
)
def test_a_price_for_the_package_or_by_weight(path: Path, catalog: Catalog, price: str, paid: str) -> None:
    assert buy(path, catalog, TURKEY, "1 kg", price=price).price == Decimal(paid)


@pytest.mark.parametrize(
    ("food", "text", "more", "message"),
    [
        ("turkey-hart", "1 kg", {}, "Did you mean turkey-heart"),
        (TURKEY, "some", {}, "AMOUNT: read"),
        (TURKEY, "3 capsules", {}, "no such measure"),
        ("kelp-tablet-225", "60 g", {}, "a mass where a count is needed"),
        (TURKEY, "1 kg", {"price": "3.00"}, "Write the currency in three capital letters"),
        (TURKEY, "1 kg", {"price": "free EUR"}, "--price: read"),
        ("taurine-powder", "200 g", {"step": "a pinch"}, "--step: read"),
    ],
)
def test_what_cannot_be_put_in_stock_is_refused(
    path: Path, catalog: Catalog, food: str, text: str, more: dict[str, Any], message: str
) -> None:
    with pytest.raises(InputErrors) as caught:
        buy(path, catalog, food, text, **more)
    assert message in str(caught.value)
    assert not path.exists()


def test_stock_as_a_scenario_lists_it(path: Path, catalog: Catalog) -> None:
    buy(path, catalog, TURKEY, "3 lb", use_by="2026-06-01", price="9.00 USD")
    buy(path, catalog, TURKEY, "1 kg", use_by="2026-04-01", price="8.00 USD")
    buy(path, catalog, "turkey-heart", "1 kg", use_by="2026-02-20")
    buy(path, catalog, "taurine-powder", "200 g", price="14.00 EUR", step="1/4 tsp")
    buy(path, catalog, "kelp-tablet-225", "20 tablets", price="1.00 USD")
    make(path, kelp(4.5))
    with reading(path) as store:
        assert stock_entries(store, TODAY, "USD") == {
            # both packages, at the price of the one that is used first
            "on_hand": [{"food": TURKEY, "up_to": "2.36 kg", "price": "8.00 for 1 kg"}],
            "supplements": [
                {"supplement": "taurine-powder", "left": "200 g", "step": "1/4 tsp"},
                {"supplement": "kelp-tablet-225", "left": "15 1/2 tablets", "price": "1.00 for 20 tablets"},
            ],
        }


def test_a_scenario_draws_on_stock(path: Path, catalog: Catalog, tmp_path: Path) -> None:
    """The demo's turkey, bought twice over: a plan that never uses more than there is, in the measures told."""
    data = demo("turkey-week")
    there: dict[str, float] = {}
    for entry in data["on_hand"]:
        package = buy(path, catalog, entry["food"], entry.get("amount") or entry["up_to"], price="3.00 USD")
        there[package.food] = package.grams
    for entry in data["supplements"]:
        food = catalog.foods[entry["supplement"]]
        labelled = next((unit for unit, measure in food.measures.items() if measure.labelled), None)
        package = buy(path, catalog, food.id, f"90 {labelled}s" if labelled else "90 g", step=entry.get("step", ""))
        there[package.food] = package.grams
    scenario = tmp_path / "from-stock.toml"
    scenario.write_text(
        'currency = "USD"\nmeat_at_least = "3 kg"\non_hand = "stock"\nsupplements = "stock"\n', encoding="utf-8"
    )
    with reading(path) as store:
        recipe = read_recipe(scenario, catalog, stock_entries(store, TODAY, "USD"))
    made = plan(recipe.scenario, catalog)
    assert made.status == "planned"
    assert made.assessment.totals.meat_g >= 3000
    assert all(line.grams <= there[line.id] * (1 + 1e-9) for line in made.lines)
    assert {line.id: line.unit for line in made.lines}["taurine-powder"] == "tsp"
    assert all(line.cost is not None for line in made.lines if line.group == "Grinder")


def test_stock_without_a_journal_is_a_mistake_of_the_scenario(catalog: Catalog, tmp_path: Path) -> None:
    scenario = tmp_path / "from-stock.toml"
    scenario.write_text('on_hand = "stock"\n', encoding="utf-8")
    with pytest.raises(InputErrors, match='on_hand: read "stock"'):
        read_recipe(scenario, catalog)


def test_last_known_prices_are_those_of_the_latest_day(path: Path, catalog: Catalog) -> None:
    buy(path, catalog, TURKEY, "1 kg", price="9.00 EUR", bought_on="2026-01-05")
    buy(path, catalog, TURKEY, "2 kg", price="15.00 EUR", bought_on="2026-02-05")
    buy(path, catalog, TURKEY, "1 lb", price="4.00 USD", bought_on="2026-01-20")
    with writing(path) as store:
        record_batch(store, sheet(), None, {}, told("2026-02-05"), from_stock=False)
    with reading(path) as store:
        found = [(p.food, str(p.amount), p.currency, str(p.per_kg), p.on, p.source) for p in last_prices(store)]
    assert found == [
        (TURKEY, "15.00", "EUR", "7.50", "2026-02-05", "stock, package 2"),
        (TURKEY, "4.00", "USD", "8.82", "2026-01-20", "stock, package 3"),
        # 0.10 EUR of taurine is too little to tell a price from
    ]
    with writing(path) as store:
        record_batch(store, sheet(), None, {}, told("2026-02-06"), from_stock=False)
    with reading(path) as store:
        latest = last_prices(store)[0]
        assert (latest.currency, latest.on, latest.source) == ("EUR", "2026-02-06", "batch 2")
