"""Out of reach, with prices: the fewest additions and the cheapest, whole packages, stores and days."""

import json
import shlex
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from catalog.records import Catalog
from optimizer.cli.main import main
from optimizer.explain import priced_remedies
from optimizer.explain.priced_additions import known_prices
from optimizer.explain.priced_remedies import find_priced_remedies
from optimizer.journal.new_packages import bought_package
from optimizer.journal.stock import add_package
from optimizer.journal.store import writing
from optimizer.model.deadline import Deadline
from optimizer.model.solve import choose
from tests.altered import changed, demo, scenario_of, toml_text
from tests.conftest import SCENARIOS

Plan = Callable[..., Result]
HEAD = "store,food,package,price,currency,date,note,most\n"
DROPS = "Mail order,potassium-iodide-drops-150,300 drops,9.60,USD,2026-10-21,,\n"
TABLETS = "Grocery,potassium-iodide-tablet-225,180 tablets,8.40,USD,2026-11-04,,\n"


def turkey(*left_out: str, **values: Any) -> dict[str, Any]:
    """The turkey scenario, which is in reach, without some of its supplements."""
    data = demo("turkey-week")
    kept = [e for e in data["supplements"] if e["supplement"] not in left_out]
    return changed(data, supplements=kept, **values)


@pytest.fixture
def plan(tmp_path: Path) -> Plan:
    """Plans a scenario with a price list, at the command line."""

    def run(data: dict[str, Any], prices: str | None = None, *options: str) -> Result:
        (tmp_path / "batch.toml").write_text(toml_text(data), encoding="utf-8")
        command = ["plan", str(tmp_path / "batch.toml"), *options]
        if prices is not None:
            (tmp_path / "prices.csv").write_text(prices, encoding="utf-8")
            command += ["--prices", str(tmp_path / "prices.csv")]
        return CliRunner().invoke(main, command)

    return run


def helps(result: Result) -> list[str]:
    """What would help, one line each, without what to type."""
    return [line.partition(" weighout plan ")[0] for line in _with_commands(result)]


def commands(result: Result) -> list[str]:
    """What to type for each."""
    return [line.partition(" weighout ")[2] for line in _with_commands(result) if " weighout plan " in line]


def _with_commands(result: Result) -> list[str]:
    lines = result.output.partition("What would help\n")[2].partition("\n\n")[0].replace("\n  ", " ")
    return [line.removeprefix("- ") for line in lines.splitlines()]


def remedies(result: Result) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = json.loads(result.output)["reasons"]["remedies"]
    return found


def test_the_cheapest_addition_is_told_with_its_package_store_price_and_day(plan: Plan) -> None:
    result = plan(turkey("kelp-tablet-225"), HEAD + DROPS + TABLETS)
    assert result.exit_code == 1
    assert helps(result)[0] == (
        "Fewest and cheapest (of 2 foods and supplements with a known price): get potassium iodide tablet, 225 ug "
        "iodine (3 tablets; buy 1 × 180 tablets at Grocery, 8.40 USD, 2026-11-04). "
        "To pay: 8.40 USD, of which 0.14 USD goes into the batch."
    )


def test_what_counts_is_what_has_to_be_paid_not_what_of_it_goes_in(plan: Plan) -> None:
    # the large jar is cheaper by the drop, the small one is cheaper to buy
    large = "Mail order,potassium-iodide-drops-150,10000 drops,20.00,USD,,,\n"
    [first, *_] = remedies(plan(turkey("kelp-tablet-225"), HEAD + large + TABLETS, "--json"))
    assert first["bill"]["best"] == ["fewest", "cheapest"]
    assert [(a["id"], a["pay"]) for a in first["bill"]["additions"]] == [("potassium-iodide-tablet-225", "8.40")]
    others = [r["bill"] for r in remedies(plan(turkey("kelp-tablet-225"), HEAD + large + TABLETS, "--json"))[1:]]
    assert any(Decimal(bill["in_batch"]) < Decimal("0.14") for bill in others)


def test_fewest_and_cheapest_are_two_lines_where_they_differ(plan: Plan) -> None:
    # one liver is enough, in a large package; two kinds of offal by weight cost less
    prices = (
        HEAD
        + "Grocery,turkey-liver,1.25 lb,2.49,USD,,,\n"
        + "Butcher,beef-liver,,7.00/kg,USD,,,\n"
        + "Butcher,beef-spleen,,5.00/kg,USD,,,\n"
    )
    data = changed(demo("store-week-of-turkey"), market=None)
    fewest, cheapest, *_ = remedies(plan(data, prices, "--json"))
    assert (fewest["bill"]["best"], cheapest["bill"]["best"]) == (["fewest"], ["cheapest"])
    assert [change["id"] for change in fewest["changes"]] == ["turkey-liver"]
    assert [change["id"] for change in cheapest["changes"]] == ["beef-liver", "beef-spleen"]
    assert fewest["cost"] == "2.49"
    assert cheapest["cost"] == "0.60"


def test_a_price_that_is_not_known_is_no_zero(plan: Plan) -> None:
    data = turkey("kelp-tablet-225", "taurine-powder")
    found = plan(data, HEAD + TABLETS)
    lines = helps(found)
    assert not any("heapest" in line for line in lines)
    assert "price not known)" in lines[0]
    assert "potassium iodide tablet, 225 ug iodine (3 tablets; buy 1 × 180 tablets at Grocery" in lines[0]
    assert lines[0].endswith("To pay: 8.40 USD, and 1 price not known, of which 0.14 USD goes into the batch.")
    assert "No way to help was found that only takes what has a known price (1 food or supplement)." in found.output
    first = remedies(plan(data, HEAD + TABLETS, "--json"))[0]
    assert first["cost"] is None
    assert not first["bill"]["known"]
    assert sorted(str(a["pay"]) for a in first["bill"]["additions"]) == ["8.40", "None"]


def test_where_no_price_is_known_that_is_all_that_is_said(plan: Plan) -> None:
    lines = helps(plan(turkey("kelp-tablet-225"), HEAD + "Butcher,beef-heart,1 lb,4.00,USD,,,\n"))
    assert lines
    assert all(line.endswith("price not known). What it costs is not known.") for line in lines)


def test_packages_are_whole_and_the_cheapest_of_them_together(plan: Plan) -> None:
    # 3 tablets: two packages of 2 at the grocery, or one of 180 in the mail
    small = "Grocery,potassium-iodide-tablet-225,2 tablets,1.00,USD,,,\n"
    large = "Mail order,potassium-iodide-tablet-225,180 tablets,8.40,USD,,,\n"
    first = helps(plan(turkey("kelp-tablet-225"), HEAD + small + large))[0]
    assert "(3 tablets; buy 2 × 2 tablets at Grocery, 2.00 USD, no date)" in first
    assert "To pay: 2.00 USD, of which 1.50 USD goes into the batch." in first


def test_a_dose_worth_less_than_a_cent_is_not_called_nothing(plan: Plan) -> None:
    many = "Mail order,potassium-iodide-tablet-225,10000 tablets,8.40,USD,,,\n"
    first = helps(plan(turkey("kelp-tablet-225"), HEAD + many))[0]
    assert first.endswith("To pay: 8.40 USD, of which less than 0.01 USD goes into the batch.")


def test_no_more_packages_are_bought_than_there_are(plan: Plan) -> None:
    small = "Grocery,potassium-iodide-tablet-225,2 tablets,1.00,USD,,,1\n"
    large = "Mail order,potassium-iodide-tablet-225,180 tablets,8.40,USD,,,\n"
    first = helps(plan(turkey("kelp-tablet-225"), HEAD + small + large))[0]
    assert "1 × 180 tablets at Mail order, 8.40 USD" in first


def test_what_is_sold_by_weight_is_bought_in_no_less_than_is_worth_asking_for(plan: Plan) -> None:
    prices = HEAD + "Butcher,beef-liver,,10.00/kg,USD,,,\nButcher,beef-spleen,,10.00/kg,USD,,,\n"
    data = changed(demo("store-week-of-turkey"), market=None)
    [first] = [r for r in remedies(plan(data, prices, "--json")) if "cheapest" in r["bill"]["best"]]
    grams = {change["id"]: int(change["text"].removesuffix(" g")) for change in first["changes"]}
    paid = {addition["id"]: Decimal(addition["pay"]) for addition in first["bill"]["additions"]}
    assert paid == {food: Decimal(max(weight, 50)) / 100 for food, weight in grams.items()}


def test_the_stores_and_what_the_market_leaves_out_hold_here_too(plan: Plan) -> None:
    data = turkey("kelp-tablet-225", market={"stores": ["Mail order"]})
    assert "at Mail order, 9.60 USD" in helps(plan(data, HEAD + DROPS + TABLETS))[0]
    data = turkey("kelp-tablet-225", market={"leave_out": ["potassium-iodide-tablet-225"]})
    assert "at Mail order, 9.60 USD" in helps(plan(data, HEAD + DROPS + TABLETS))[0]


def test_a_scenarios_own_offers_are_prices_too(plan: Plan) -> None:
    offer = {"store": "Grocery", "food": "potassium-iodide-tablet-225", "package": "180 tablets", "price": "8.40"}
    assert "180 tablets at Grocery, 8.40 USD" in helps(plan(turkey("kelp-tablet-225", offers=[offer])))[0]


def test_other_currencies_by_the_scenarios_rates(plan: Plan) -> None:
    prices = HEAD + TABLETS.replace("USD", "EUR")
    first = helps(plan(turkey("kelp-tablet-225", rates={"EUR": "1.10 USD"}), prices))[0]
    assert "180 tablets at Grocery, 9.24 USD" in first
    result = plan(turkey("kelp-tablet-225"), prices)
    assert result.exit_code == 2
    assert "prices.csv:2: currency: read '8.40' in EUR, with a scenario in USD; allowed: one currency" in result.output
    assert 'EUR = "1.00 USD"' in result.output


def test_decimal_commas(plan: Plan) -> None:
    prices = 'store;food;package;price\nGrocery;potassium-iodide-tablet-225;180 tablets;"8,40"\n'
    assert "8.40 USD" in helps(plan(turkey("kelp-tablet-225"), prices, "--decimal-comma"))[0]
    assert plan(turkey("kelp-tablet-225"), prices).exit_code == 2


def test_mistakes_in_a_list_are_told_even_where_nothing_has_to_be_got(plan: Plan) -> None:
    result = plan(turkey(), HEAD + "Grocery,kelp-tablt-225,200 tablets,6.80,USD,,,\n")
    assert result.exit_code == 2
    assert "prices.csv:2: food: read 'kelp-tablt-225'" in result.output
    assert "Did you mean kelp-tablet-225" in result.output
    assert "no such file" in plan(turkey(), None, "--prices", "nowhere.csv").output.casefold()


def test_without_a_currency_anywhere_a_price_means_nothing(plan: Plan) -> None:
    data = changed(turkey("kelp-tablet-225"), currency=None, budget=None)
    for entry in (*data["on_hand"], *data["supplements"]):
        entry.pop("price", None)
    result = plan(data, HEAD + TABLETS.replace("USD", ""))
    assert result.exit_code == 2
    assert "currency: read no currency" in result.output
    assert "8.40 USD" in helps(plan(data, HEAD + TABLETS))[0]


def bought(path: Path, catalog: Catalog, food: str, amount: str, price: str, on: str) -> None:
    package = bought_package(
        catalog, food=food, amount=amount, price=price, lot="", use_by="", bought_on=on, step="", listed=None
    )
    with writing(path) as store:
        add_package(store, package)


def test_last_prices_come_from_the_journal_and_only_when_asked_for(
    plan: Plan, tmp_path: Path, catalog: Catalog
) -> None:
    journal = tmp_path / "journal.db"
    bought(journal, catalog, "potassium-iodide-tablet-225", "180 tablets", "7.95 USD", "2026-09-12")
    told = ("--last-prices", "--journal", str(journal))
    first = helps(plan(turkey("kelp-tablet-225"), None, *told))[0]
    assert "(3 tablets; buy 1 × 180 tablets, last known price 7.95 USD, 2026-09-12)" in first
    assert first.startswith("Fewest and cheapest (of 1 food or supplement with a known price): ")
    # what a store asks now stands before what was once paid
    assert "at Grocery, 8.40 USD, 2026-11-04" in helps(plan(turkey("kelp-tablet-225"), HEAD + TABLETS, *told))[0]
    assert "price" not in helps(plan(turkey("kelp-tablet-225"), None, "--journal", str(journal)))[0]
    [remedy, *_] = remedies(plan(turkey("kelp-tablet-225"), None, *told, "--json"))
    [packages] = remedy["bill"]["additions"][0]["packages"]
    assert (packages["last_known"], packages["day"], packages["pay"]) == (True, "2026-09-12", "7.95")


def test_without_a_journal_that_is_said(plan: Plan, tmp_path: Path) -> None:
    result = plan(turkey("kelp-tablet-225"), None, "--last-prices", "--journal", str(tmp_path / "none.db"))
    assert result.exit_code == 2
    assert "there is no journal here yet" in result.output


def test_without_prices_nothing_is_said_of_them(plan: Plan) -> None:
    result = plan(turkey("kelp-tablet-225"))
    assert helps(result)[0] == "Get potassium iodide drops, 150 ug iodine a drop (5 drops)."
    data = turkey("kelp-tablet-225")
    for drops, code in (("5 drops", 0), ("3 drops", 1)):  # 4 would do with all the yolks, which are dearer
        jar = {"supplement": "potassium-iodide-drops-150", "left": drops}
        assert plan(changed(data, supplements=[*data["supplements"], jar])).exit_code == code
    plain = remedies(plan(turkey("kelp-tablet-225"), None, "--json"))
    assert all(set(remedy) == {"changes", "cost", "line", "options"} and remedy["cost"] is None for remedy in plain)
    # the offers of a scenario that are nothing to add change nothing either
    offer = {"store": "Farm", "food": "goat-meat", "package": "1 kg", "price": "12.50"}
    assert remedies(plan(turkey("kelp-tablet-225", offers=[offer]), None, "--json")) == plain


def test_a_plan_in_reach_is_the_same_with_prices(plan: Plan) -> None:
    with_prices, without = (json.loads(plan(turkey(), prices, "--json").output) for prices in (HEAD + DROPS, None))
    assert with_prices["amounts"] == without["amounts"]
    assert with_prices["reasons"] == without["reasons"]


def test_whoever_cancels_gets_what_was_found(catalog: Catalog, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    scenario = scenario_of(turkey("kelp-tablet-225"), catalog)
    (tmp_path / "prices.csv").write_text(HEAD + TABLETS, encoding="utf-8")
    known = known_prices(scenario, catalog, [tmp_path / "prices.csv"])
    assert known is not None
    pressed: list[bool] = []
    monkeypatch.setattr(priced_remedies, "cheapest_remedy", lambda *_: pressed.append(True))
    deadline = Deadline.within(60.0, lambda: bool(pressed))
    found, note = find_priced_remedies(choose(scenario, catalog), catalog, known, deadline)
    [remedy] = found
    assert remedy.line.startswith("Fewest: get ")
    assert note == priced_remedies.STOPPED


def test_when_time_runs_out_that_is_said(plan: Plan) -> None:
    result = plan(demo("bare-cupboard"), (SCENARIOS / "prices-four-stores.csv").read_text("utf-8"), "--seconds", "0.3")
    assert priced_remedies.NO_TIME in result.output.replace("\n", " ")
    assert len(helps(result)) < 3


def test_text_and_json_say_the_same(plan: Plan) -> None:
    data = turkey("kelp-tablet-225", "choline-bitartrate")
    prices = HEAD + TABLETS + DROPS + "Grocery,choline-bitartrate,250 g,17.50,USD,,,\n"
    shown, told = plan(data, prices), remedies(plan(data, prices, "--json"))
    assert helps(shown) == [remedy["line"] for remedy in told]
    options = [shlex.split(" ".join(remedy["options"])) for remedy in told]
    assert [shlex.split(command)[2:] for command in commands(shown)] == options


def test_what_is_told_to_type_does_it(plan: Plan) -> None:
    found = plan(turkey("kelp-tablet-225", "choline-bitartrate"), HEAD + TABLETS + DROPS)
    assert len(commands(found)) >= 2
    for command in commands(found):
        assert CliRunner().invoke(main, shlex.split(command)).exit_code == 0
