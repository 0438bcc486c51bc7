"""The cheapest remedy is the cheapest: every purchase tried one by one, and scipy's own search, find no cheaper one."""

import shlex
from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from itertools import product
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from click.testing import CliRunner
from scipy.optimize import Bounds, LinearConstraint, milp

from catalog.records import Catalog
from optimizer.assess.assessment import assess
from optimizer.cli.main import main
from optimizer.explain.candidates import on_sale
from optimizer.explain.cheapest_remedy import CheapestRemedy, cheapest_remedy
from optimizer.explain.priced_additions import known_prices
from optimizer.explain.priced_remedies import find_priced_remedies
from optimizer.explain.remedy_bills import cheapest_packages, cost_of
from optimizer.explain.remedy_search import LEAST_OF_A_FOOD, MOST_THINGS, RemedySearch
from optimizer.market.known_prices import KnownPrices
from optimizer.market.offers import Offer
from optimizer.model.build import build
from optimizer.model.deadline import Deadline
from optimizer.model.problem import Problem
from optimizer.model.solve import choose
from optimizer.planning import plan
from optimizer.scenario.records import Item, Scenario
from tests.altered import changed, demo, scenario_of
from tests.conftest import SCENARIOS
from tests.optimizer.market.market_help import guarded

HEAD = "store,food,package,price,most\n"
DEMOS = [
    ("bare-cupboard", "prices-four-stores"),
    ("store-week-of-turkey", "prices-four-stores"),
    ("store-freezer-top-up", "prices-euro"),
]


def turkey(*left_out: str) -> dict[str, Any]:
    data = demo("turkey-week")
    return changed(data, supplements=[e for e in data["supplements"] if e["supplement"] not in left_out])


def prices_of(scenario: Scenario, catalog: Catalog, folder: Path, lines: str) -> KnownPrices:
    path = folder / "prices.csv"
    path.write_text(HEAD + lines, encoding="utf-8")
    found = known_prices(scenario, catalog, [path])
    assert found is not None
    return found


def added_to(scenario: Scenario, prices: KnownPrices, catalog: Catalog) -> tuple[Item, ...]:
    return on_sale(scenario, catalog, {offer.food.id for offer in prices.offers})


def cheapest_of(scenario: Scenario, prices: KnownPrices, catalog: Catalog) -> CheapestRemedy | None:
    before = assess(scenario, catalog, choose(scenario, catalog).amounts)
    search = RemedySearch(scenario, catalog, added_to(scenario, prices, catalog), False, before, Deadline.within(60))
    return cheapest_remedy(search, prices.offers, 60)


def passing_no_more(scenario: Scenario, catalog: Catalog, added: Sequence[Item]) -> Problem:
    """The arrays with what is added, in which no guard is passed and no common share but those that had to be."""
    before = assess(scenario, catalog, choose(scenario, catalog).amounts)
    assert before.above_guards == ()
    problem = build(replace(scenario, items=(*scenario.items, *added)), catalog)
    return guarded(problem, [part.of for part in before.above_shares])


def possible(scenario: Scenario, catalog: Catalog, added: Sequence[Item], grams: dict[str, Fraction]) -> bool:
    """Asked of scipy, on the arrays of a plain scenario with so much of each thing on hand."""
    there = [
        replace(item, available=min(item.available or Fraction(), grams[item.id] / item.grams_per_unit))
        for item in added
        if grams.get(item.id)
    ]
    problem = passing_no_more(scenario, catalog, there)
    answer = milp(
        np.zeros(len(problem.columns)),
        constraints=LinearConstraint(problem.matrix, problem.row_lower, problem.row_upper),
        bounds=Bounds(problem.lower, problem.upper),
        integrality=problem.integer.astype(int),
    )
    assert answer.status in (0, 2)
    return bool(answer.status == 0)


# Numbers of packages are limited, so that every purchase can be tried.
SMALL = [
    (
        turkey("kelp-tablet-225"),
        "A,potassium-iodide-tablet-225,2 tablets,1.10,2\n"
        "B,potassium-iodide-tablet-225,3 tablets,1.45,2\n"
        "A,potassium-iodide-drops-150,4 drops,2.00,2\n"
        "B,egg-yolk,100 g,0.90,2\n",
    ),
    (
        turkey("kelp-tablet-225", "taurine-powder"),
        "A,potassium-iodide-tablet-225,2 tablets,1.10,2\n"
        "B,potassium-iodide-drops-150,6 drops,2.00,1\n"
        "A,taurine-capsule-500,3 capsules,1.00,2\n"
        "B,taurine-capsule-1000,2 capsules,1.20,3\n",
    ),
    (
        changed(demo("store-week-of-turkey"), market=None),
        "A,turkey-liver,120 g,1.15,2\n"
        "A,beef-liver,60 g,0.55,2\n"
        "B,chicken-liver,150 g,0.95,2\n"
        "B,beef-spleen,50 g,0.30,3\n"
        "A,lamb-heart,100 g,0.75,1\n",
    ),
    (
        changed(demo("store-freezer-top-up"), market=None, offers=None, rates=None),
        "A,beef-spleen,50 g,0.40,3\nA,turkey-liver,110 g,0.95,2\nB,folic-acid-400,1 tablet,0.35,3\n"
        "B,chicken-liver,100 g,0.70,2\n",
    ),
]


@pytest.mark.parametrize(("data", "lines"), SMALL)
def test_no_purchase_that_can_be_made_is_cheaper(
    data: dict[str, Any], lines: str, catalog: Catalog, tmp_path: Path
) -> None:
    scenario = scenario_of(data, catalog)
    prices = prices_of(scenario, catalog, tmp_path, lines)
    added = added_to(scenario, prices, catalog)
    found = cheapest_of(scenario, prices, catalog)
    best: Fraction | None = None
    for counts in product(*(range((offer.line.most or 0) + 1) for offer in prices.offers)):
        cost = sum((n * offer.price for n, offer in zip(counts, prices.offers, strict=True)), Fraction())
        if best is not None and cost >= best:
            continue
        grams: dict[str, Fraction] = {}
        for n, offer in zip(counts, prices.offers, strict=True):
            grams[offer.food.id] = grams.get(offer.food.id, Fraction()) + n * offer.grams
        if possible(scenario, catalog, added, grams):
            best = cost
    assert best is not None
    assert best > 0
    assert found is not None
    assert found.proven
    assert found.pay == best


def by_scipy(scenario: Scenario, prices: KnownPrices, catalog: Catalog) -> float:
    """The least payment, on rows of this test's own: what goes in comes out of packages, by weight not less than is
    worth asking for; of few things, and of a food not less than a person would buy."""
    added = added_to(scenario, prices, catalog)
    problem = passing_no_more(scenario, catalog, added)
    old, offers = len(problem.columns), list(prices.offers)
    of_offers = old + 2 * len(offers)  # packages of each offer, then whether any are bought
    width = of_offers + len(added)  # whether anything of each thing goes in
    matrix = np.hstack([problem.matrix, np.zeros((len(problem.rows), width - old))])
    rows, uppers = [], []
    for j, column in enumerate(problem.columns):
        if column.kind == "amount" and column.id in {item.id for item in added}:
            row = np.zeros(width)
            row[j] = column.grams
            for k, offer in enumerate(offers):
                row[old + k] = -float(offer.grams) if offer.food.id == column.id else 0.0
            rows.append(row)
            uppers.append(0.0)
    many = 1e4
    few = np.zeros(width)
    for n, item in enumerate(added):
        [j] = [j for j, column in enumerate(problem.columns) if column.kind == "amount" and column.id == item.id]
        in_it, enough = np.zeros(width), np.zeros(width)
        few[of_offers + n] = 1.0
        in_it[j], in_it[of_offers + n] = 1.0, -problem.upper[j]
        enough[j], enough[of_offers + n] = -problem.columns[j].grams, 0.0 if item.is_supplement else LEAST_OF_A_FOOD
        rows += [in_it, enough]
        uppers += [0.0, 0.0]
    rows.append(few)
    uppers.append(float(MOST_THINGS))
    for k, offer in enumerate(offers):
        any_, least = np.zeros(width), np.zeros(width)
        any_[old + k], any_[old + len(offers) + k] = 1.0, -many
        least[old + k], least[old + len(offers) + k] = -1.0, float(offer.least_grams / offer.grams)
        rows += [any_, least]
        uppers += [0.0, 0.0]
    answer = milp(
        np.concatenate([np.zeros(old), [float(offer.price) for offer in offers], np.zeros(width - old - len(offers))]),
        constraints=[
            LinearConstraint(matrix, problem.row_lower, problem.row_upper),
            LinearConstraint(np.array(rows), -np.inf, np.array(uppers)),
        ],
        bounds=Bounds(
            np.concatenate([problem.lower, np.zeros(width - old)]),
            np.concatenate([problem.upper, [o.line.most or many for o in offers], np.ones(width - old - len(offers))]),
        ),
        integrality=np.concatenate([problem.integer.astype(int), np.ones(width - old)]),
        options={"mip_rel_gap": 1e-9},
    )
    assert answer.status == 0
    return float(answer.fun)


@pytest.mark.parametrize(("name", "prices"), DEMOS)
def test_scipy_finds_the_same_least_payment_also_at_other_prices(name: str, prices: str, catalog: Catalog) -> None:
    scenario = scenario_of(demo(name), catalog)
    known = known_prices(scenario, catalog, [SCENARIOS / f"{prices}.csv"])
    assert known is not None
    random = np.random.default_rng(1871)
    for times in (0.0, 1.0):
        factors = [Fraction(round(1000 * 2.0 ** (times * random.uniform(-1, 1))), 1000) for _ in known.offers]
        offers = [replace(o, price=o.price * f) for o, f in zip(known.offers, factors, strict=True)]
        asked = replace(known, offers=offers)
        found = cheapest_of(scenario, asked, catalog)
        assert found is not None
        assert found.proven
        assert float(found.pay) == pytest.approx(by_scipy(scenario, asked, catalog), rel=1e-6)


@pytest.mark.parametrize(("name", "prices"), DEMOS)
def test_every_fix_works_with_what_was_bought_and_costs_what_is_said(name: str, prices: str, catalog: Catalog) -> None:
    data = demo(name)
    scenario = scenario_of(data, catalog)
    known = known_prices(scenario, catalog, [SCENARIOS / f"{prices}.csv"])
    assert known is not None
    remedies, note = find_priced_remedies(choose(scenario, catalog), catalog, known, Deadline.within(60))
    assert note == ""
    costs = []
    for remedy in remedies:
        assert remedy.bill is not None
        jars = [{"supplement": i, "left": t} for i, t in remedy.changes if catalog.foods[i].role == "supplement"]
        cuts = [{"food": i, "up_to": t} for i, t in remedy.changes if catalog.foods[i].role != "supplement"]
        bought = changed(data, on_hand=[*data["on_hand"], *cuts], supplements=[*data["supplements"], *jars])
        assert plan(scenario_of(bought, catalog), catalog).status == "planned"
        assert remedy.options
        typed = shlex.split(" ".join(remedy.options))
        assert CliRunner().invoke(main, ["plan", str(SCENARIOS / f"{name}.toml"), *typed]).exit_code == 0
        for addition in remedy.bill.additions:
            assert sum((p.pay for p in addition.packages), Decimal()) == (addition.pay or 0)
            assert addition.in_batch is None or Decimal() <= addition.in_batch <= (addition.pay or 0)
        if remedy.bill.known:
            costs.append(remedy.bill.to_pay)
    [best] = [r.bill for r in remedies if r.bill and "cheapest" in r.bill.best]
    assert best.to_pay == min(costs)
    found = cheapest_of(scenario, known, catalog)
    assert found is not None
    assert float(best.to_pay) == pytest.approx(float(found.pay), abs=0.005 * len(best.additions))


def test_fixes_really_differ(catalog: Catalog) -> None:
    scenario = scenario_of(demo("bare-cupboard"), catalog)
    known = known_prices(scenario, catalog, [SCENARIOS / "prices-four-stores.csv"])
    assert known is not None
    remedies, _ = find_priced_remedies(choose(scenario, catalog), catalog, known, Deadline.within(60))
    sets = [{id_ for id_, _ in remedy.changes} for remedy in remedies]
    assert len(sets) == 3
    for number, later in enumerate(sets):
        for earlier in sets[:number]:
            assert earlier - later


def offers_of(catalog: Catalog, folder: Path, lines: str) -> list[Offer]:
    return list(prices_of(scenario_of(turkey(), catalog), catalog, folder, lines).offers)


def test_packages_for_an_amount(catalog: Catalog, tmp_path: Path) -> None:
    lines = "A,beef-liver,500 g,4.00,\nB,beef-liver,200 g,1.90,\nC,beef-liver,,12.00/kg,\n"
    offers = offers_of(catalog, tmp_path, lines)

    def taken(grams: int) -> tuple[list[tuple[str, int]], Fraction]:
        found = cheapest_packages(Fraction(grams), offers)
        assert found is not None
        return [(offer.store, count) for offer, count in found], cost_of(found)

    assert taken(30) == ([("C", 50)], Fraction("0.6"))  # nobody is asked for less than 50 g
    assert taken(150) == ([("C", 150)], Fraction("1.8"))
    assert taken(200) == ([("B", 1)], Fraction("1.9"))
    assert taken(220) == ([("B", 1), ("C", 50)], Fraction("2.5"))
    assert taken(450) == ([("A", 1)], Fraction(4))
    assert taken(700) == ([("A", 1), ("B", 1)], Fraction("5.9"))


def test_there_may_not_be_enough_packages(catalog: Catalog, tmp_path: Path) -> None:
    offers = offers_of(catalog, tmp_path, "A,beef-liver,200 g,4.00,2\n")
    assert cheapest_packages(Fraction(400), offers) == ((offers[0], 2),)
    assert cheapest_packages(Fraction(401), offers) is None
