"""Why each dose, what each limit costs, the trade-off: each claim checked by solving it another way."""

import json
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from click.testing import CliRunner
from scipy.optimize import Bounds, LinearConstraint, linprog, milp

from catalog.records import Catalog
from optimizer.cli.main import main
from optimizer.explain.doses import why_each_dose
from optimizer.explain.probe import cost_of, count_of
from optimizer.explain.shadow_prices import price_of_limits
from optimizer.model.deadline import Deadline
from optimizer.model.objectives import SMALL_COIN, items, money
from optimizer.model.problem import Problem
from optimizer.model.solve import Choice, choose
from optimizer.model.solver import Changes, Model
from optimizer.sheet.reasons import DoseReason
from optimizer.tradeoff import trade_off
from tests.altered import changed, demo, entry, scenario_of, toml_text
from tests.conftest import SCENARIOS
from tests.optimizer.market.market_help import guarded


def choice_of(data: dict[str, Any], catalog: Catalog) -> Choice:
    choice = choose(scenario_of(data, catalog), catalog)
    assert choice.in_reach
    return choice


def reasons_of(choice: Choice, catalog: Catalog) -> dict[str, DoseReason]:
    return {reason.id: reason for reason in why_each_dose(choice, catalog, Deadline.within(60))}


def scipy_cost(problem: Problem, weights: np.ndarray[Any, Any], upper: np.ndarray[Any, Any]) -> float | None:
    """The least weighted sum by scipy; None when nothing is feasible."""
    answer = milp(
        weights,
        constraints=LinearConstraint(problem.matrix, problem.row_lower, problem.row_upper),
        bounds=Bounds(problem.lower, upper),
        integrality=problem.integer.astype(int),
        options={"mip_rel_gap": 1e-9},
    )
    return float(answer.fun) if answer.status == 0 else None


def test_every_dose_names_the_target_it_answers(catalog: Catalog) -> None:
    reasons = reasons_of(choice_of(demo("turkey-week"), catalog), catalog)
    assert [m.id for m in reasons["taurine-powder"].answers] == ["taurine"]
    assert [m.id for m in reasons["kelp-tablet-225"].answers] == ["iodine"]
    assert reasons["taurine-powder"].line.startswith("taurine powder, 1/2 tsp: for taurine (")


@pytest.mark.parametrize("name", ["turkey-week", "kittens-chicken-backs"])
def test_what_the_mix_without_a_jar_costs_is_what_scipy_finds(name: str, catalog: Catalog) -> None:
    choice = choice_of(demo(name), catalog)
    problem = guarded(choice.problem)  # no guard has to be passed, with or without any one jar
    weights = money(problem).weights
    base = cost_of(problem, choice.solution.values)
    for reason in reasons_of(choice, catalog).values():
        upper = np.where(
            [c.id == reason.id and c.kind in ("amount", "used") for c in problem.columns], 0, problem.upper
        )
        cost = scipy_cost(problem, weights, upper)
        if cost is None:
            assert reason.missed
            assert "no mix on hand does without it" in reason.line
        else:
            assert reason.extra_cost is not None
            # the other plan may cost a small coin more than the least, and both costs are rounded to a cent
            assert cost - base - 0.0101 <= float(reason.extra_cost) <= cost - base + SMALL_COIN + 0.0101


@pytest.mark.parametrize(
    ("name", "aim"), [("turkey-week", "cost"), ("turkey-week", "fewest"), ("lamb-and-fish", "cost")]
)
def test_what_is_said_of_a_mix_without_a_jar_is_what_without_prints(name: str, aim: str) -> None:
    def printed(*options: str) -> dict[str, Any]:
        command = ["plan", str(SCENARIOS / f"{name}.toml"), "--aim", aim, "--json", *options]
        found: dict[str, Any] = json.loads(CliRunner().invoke(main, command).output)
        return found

    def cost(plan: dict[str, Any]) -> Decimal:
        return Decimal(plan["totals"]["cost"]["amount"])

    plan = printed("--why")
    doses = plan["reasons"]["doses"]
    assert len(doses) >= 5
    for dose in doses:
        other = printed("--without", dose["id"])
        if other["status"] != "planned":
            assert {miss["id"] for miss in dose["missed"]} == {miss["id"] for miss in other["nearest"]["misses"]}
            continue
        assert Decimal(dose["extra_cost"]) == cost(other) - cost(plan)
        assert dose["extra_items"] == other["totals"]["supplement_count"] - plan["totals"]["supplement_count"]


def test_what_no_mix_does_without_is_said_with_the_target_that_fails(catalog: Catalog) -> None:
    reasons = reasons_of(choice_of(demo("turkey-week"), catalog), catalog)
    assert {m.id for m in reasons["vitamin-e-softgel-200"].missed} == {"vitamin-e"}


def test_a_dose_set_by_hand_says_so_and_where(catalog: Catalog) -> None:
    data = demo("turkey-week")
    entry(data, "taurine-powder")["exactly"] = "1 tsp"
    reasons = reasons_of(choice_of(data, catalog), catalog)
    assert "set by hand (line" in reasons["taurine-powder"].line


def test_what_stops_a_larger_dose_is_a_ceiling_a_stock_or_a_bound(catalog: Catalog) -> None:
    data = demo("turkey-week")
    entry(data, "taurine-powder")["left"] = "1/2 tsp"
    reasons = reasons_of(choice_of(data, catalog), catalog)
    assert reasons["taurine-powder"].step_more == ("there is no more of it on hand",)
    data = changed(demo("turkey-week"), limits=[{"nutrient": "manganese", "at_most": "2.5 mg per 1000 kcal"}])
    reasons = reasons_of(choice_of(data, catalog), catalog)
    assert reasons["manganese-bisglycinate"].step_more == ("manganese at most 2.5 mg per 1000 kcal",)
    duck = reasons_of(choice_of(demo("duck-and-quail-as-usual"), catalog), catalog)
    assert duck["bone-meal"].step_more == ("bone-meal at most 1 tsp per 1 kg",)


def test_equals_are_told_as_equals(catalog: Catalog) -> None:
    # two jars that do the same at the same price: without the one, the other at no extra cost
    data = demo("turkey-week")
    twin = {"supplement": "taurine-capsule-1000", "price": "0.00 for 100 capsules"}
    entry(data, "taurine-powder")["price"] = "0.00 for 200 g"
    data = changed(data, supplements=[*data["supplements"], twin])
    reasons = reasons_of(choice_of(data, catalog), catalog)
    [taurine] = [r for r in reasons.values() if any(m.id == "taurine" for m in r.answers)]
    assert taurine.extra_items == 0
    assert taurine.extra_cost == 0
    assert "without it at the same cost" in taurine.line


def fine_steps(catalog: Catalog) -> dict[str, Any]:
    """A scenario with steps so fine and prices so high that the cents of a percent are seen."""
    data = demo("boneless-beef")
    for e in data["supplements"]:
        food = catalog.foods[e["supplement"]]
        if not any(measure.labelled for measure in food.measures.values()):
            e.update(measure="g", step="0.001 g", price="900.00 for 100 g")
    return data


def test_the_price_of_a_limit_is_the_dual_of_the_relaxation_where_steps_are_fine(catalog: Catalog) -> None:
    choice = choice_of(fine_steps(catalog), catalog)
    problem = replace(choice.problem, integer=np.zeros(len(choice.problem.columns), dtype=bool))
    low, high = np.isfinite(problem.row_lower), np.isfinite(problem.row_upper)
    relaxed = linprog(
        money(problem).weights,
        A_ub=np.vstack([-problem.matrix[low], problem.matrix[high]]),
        b_ub=np.concatenate([-problem.row_lower[low], problem.row_upper[high]]),
        bounds=list(zip(problem.lower, problem.upper, strict=True)),
    )
    duals = dict(zip(np.flatnonzero(low), -relaxed.ineqlin.marginals[: low.sum()], strict=True))
    prices = {price.id: price for price in price_of_limits(choice, Deadline.within(60))}
    compared = 0
    for i, row in enumerate(problem.rows):
        fine = row.id.startswith(("minimum", "maximum")) and row.id in prices and i in duals
        if not fine or row.id.split(":")[-1] not in ("taurine", "choline"):
            continue
        percent = 0.01 * problem.limit_size(i, choice.solution.values)
        tighter = prices[row.id].tighter_cost
        assert tighter is not None
        assert float(tighter) == pytest.approx(duals[i] * percent, rel=0.05, abs=0.02)
        compared += 1
    assert compared


def test_the_duals_agree_with_moving_the_row_of_the_relaxation(catalog: Catalog) -> None:
    problem = choice_of(demo("turkey-week"), catalog).problem
    problem = replace(problem, integer=np.zeros(len(problem.columns), dtype=bool))
    model = Model(problem)
    cost = money(problem)
    base = model.solve([cost]).objectives[0]
    moved = 0
    for i, row in enumerate(problem.rows):
        if not row.tier or not np.isfinite(problem.row_lower[i]):
            continue
        step = 1e-5
        more = model.solve([cost], changes=Changes(row_lower={i: problem.row_lower[i] + step})).objectives[0]
        much = model.solve([cost], changes=Changes(row_lower={i: problem.row_lower[i] + 2 * step})).objectives[0]
        assert more >= base - 1e-9
        assert much - base >= 2 * (more - base) - 1e-8  # convex: the second step costs no less
        moved += more > base + 1e-9
    assert moved >= 3


def test_limits_move_the_cost_in_the_right_direction(catalog: Catalog) -> None:
    for name in ("turkey-week", "kittens-chicken-backs"):
        for price in price_of_limits(choice_of(demo(name), catalog), Deadline.within(60)):
            assert price.tighter_cost is None or price.tighter_cost >= 0
            assert price.looser_cost is None or price.looser_cost <= 0


@pytest.mark.parametrize("name", ["turkey-week", "boneless-beef"])
def test_the_front_is_what_scipy_finds_for_each_number_of_supplements(name: str, catalog: Catalog) -> None:
    scenario = scenario_of(demo(name), catalog)
    points = trade_off(scenario, catalog).points
    problem = guarded(choose(scenario, catalog).problem)
    assert [p.supplements for p in points] == sorted({p.supplements for p in points})
    assert [p.cost for p in points] == sorted({p.cost for p in points}, reverse=True)
    counting = items(problem).weights
    for point in points:
        limited = replace(
            problem,
            matrix=np.vstack([problem.matrix, counting]),
            row_lower=np.append(problem.row_lower, -np.inf),
            row_upper=np.append(problem.row_upper, point.supplements),
        )
        assert scipy_cost(limited, money(problem).weights, problem.upper) == pytest.approx(float(point.cost), abs=0.006)


def test_no_number_of_supplements_is_paid_for_with_more_liver_than_has_to_be(catalog: Catalog) -> None:
    """Copper from all the liver there is would spare the jar of copper."""
    data = demo("kittens-chicken-backs")
    entry(data, "beef-liver").pop("amount", None)
    entry(data, "beef-liver")["up_to"] = "1.5 kg"
    scenario = scenario_of(data, catalog)
    problem = choose(scenario, catalog).problem
    points = trade_off(scenario, catalog).points
    fewest = scipy_cost(guarded(problem), items(problem).weights, guarded(problem).upper)
    assert points[0].supplements == fewest
    assert fewest > scipy_cost(problem, items(problem).weights, problem.upper)


def test_changes_to_the_live_model_do_not_outlast_their_solve(catalog: Catalog) -> None:
    choice = choice_of(demo("turkey-week"), catalog)
    before = choice.model.solve(choice.objectives)
    choice.model.solve(choice.objectives, changes=Changes(upper={0: 0.0}, held=((items(choice.problem), 1.0),)))
    after = choice.model.solve(choice.objectives)
    assert after.objectives == pytest.approx(before.objectives)
    assert count_of(choice.problem, after.values) == count_of(choice.problem, before.values)


def test_a_front_that_time_cuts_short_says_so_and_rules_nothing_out(tmp_path: Path, catalog: Catalog) -> None:
    data = demo("turkey-week")
    listed = {found["supplement"] for found in data["supplements"]}
    data["supplements"] += [
        {"supplement": food.id}
        for food in catalog.foods.values()
        if food.role == "supplement" and food.id not in listed
    ]
    assert not trade_off(scenario_of(data, catalog), catalog, 1.0).complete
    (tmp_path / "s.toml").write_text(toml_text(data), encoding="utf-8")
    done = CliRunner().invoke(main, ["tradeoff", str(tmp_path / "s.toml"), "--seconds", "1"])
    assert "Time ran out before every number of supplements was looked at" in done.stderr
    assert "No mix of what is on hand" not in done.stdout
