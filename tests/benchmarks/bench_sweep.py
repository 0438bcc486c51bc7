"""What a sweep of one price costs, in four ways that give the same least costs.

Run by hand:  python tests/benchmarks/bench_sweep.py [points, 1000] [points for CBC, 60] [scenario] [price list] [food]

envelope   what `weighout market --sweep` does: a few solves for each change of the basket, then any number of prices
live       the live model, solved at every price
bare       HiGHS through highspy alone, the model passed once, only the price changed, hot-started
rebuild    the model built with PuLP and solved with CBC anew at every price (PuLP 3 brings CBC; skipped without it)
"""

# ruff: noqa: T201  a benchmark prints its result

import sys
import time
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path
from typing import Any

import numpy as np

ROOT = Path(__file__).resolve().parents[2]


def main() -> None:
    from catalog.catalog import load_catalog
    from optimizer.market.buyer import Purchase, PurchaseQuery
    from optimizer.market.prepare import prepare
    from optimizer.market.price_ranges import read_price_range
    from optimizer.market.sweep import sweep
    from optimizer.market.trip import go
    from optimizer.scenario.read import load_scenario

    points, few = (int(a) for a in (*sys.argv[1:3], "1000", "60")[:2]) if len(sys.argv) > 2 else (1000, 60)
    names = [*sys.argv[3:], *("store-freezer-top-up", "prices-euro", "chicken-heart=1..8/kg")[len(sys.argv[3:]) :]]
    catalog, _ = load_catalog()
    scenario = load_scenario(ROOT / "scenarios" / f"{names[0]}.toml", catalog, shopping=True)
    scenario, market, offers = prepare(scenario, catalog, [ROOT / "scenarios" / f"{names[1]}.csv"], {})
    trip = go(scenario, market, offers, catalog, seconds=60)
    buyer, price_range = trip.buyer, read_price_range(names[2], trip.buyer.buying.offers)
    prices = price_range.points(points)
    shape = buyer.problem.matrix.shape
    print(f"{names[0]}, {len(offers)} offers, {shape[0]} rows, {shape[1]} columns; {names[2]} at {points} prices")

    start = time.perf_counter()
    found = sweep(buyer, price_range, seconds=60)
    envelope = [float(line.at(price)) for price in prices if (line := found.at(price)) is not None]
    told("envelope", start, points, f"{found.solves} solves, {len(found.segments)} segments")

    def live(price: Fraction) -> float:
        answer = buyer.cheapest(PurchaseQuery(prices=price_range.prices(price)), 60)
        assert isinstance(answer, Purchase)
        return float(answer.cost)

    by_live = timed("live", live, prices)
    by_bare = timed("bare", bare(buyer, price_range), prices)
    worst = max(abs(a - b) for a, b in zip(by_live, by_bare, strict=True))
    print(f"           live and bare differ by at most {worst:.1e}")
    worst = max(abs(a - b) for a, b in zip(by_live, envelope, strict=True))
    print(f"           live and envelope differ by at most {worst:.1e}")
    sample = price_range.points(few)
    by_cbc = rebuild(buyer, price_range)
    if by_cbc is None:
        print("rebuild    this PuLP brings no CBC")
        return
    anew = timed("rebuild", by_cbc, sample)
    worst = max(abs(a - live(price)) for a, price in zip(anew, sample, strict=True))
    print(f"           rebuild and live differ by at most {worst:.1e}")
    for name in ("envelope", "bare", "rebuild"):
        print(f"{name} / live: {EACH[name] / EACH['live']:.3f}")
    print(f"rebuild / envelope, for {points} prices: {EACH['rebuild'] / EACH['envelope']:.0f}")


EACH: dict[str, float] = {}


def told(name: str, start: float, count: int, more: str = "") -> None:
    """Prints what a way took."""
    taken = time.perf_counter() - start
    EACH[name] = taken / count
    print(f"{name:10} {taken:8.2f} s for {count} prices, {1000 * taken / count:8.2f} ms each   {more}", flush=True)


def timed(name: str, solve: Callable[[Fraction], float], prices: list[Fraction]) -> list[float]:
    """The least costs at these prices, one after the other."""
    start = time.perf_counter()
    found = [solve(price) for price in prices]
    told(name, start, len(prices))
    return found


def bare(buyer: Any, price_range: Any) -> Callable[[Fraction], float]:
    """HiGHS with nothing around it: one model, costs of a few columns changed, run again from where it stands."""
    import highspy

    from optimizer.model.solver import FOR_PACKAGES, OPTIONS

    problem = buyer.problem
    live = highspy.Highs()
    live.setOptionValue("output_flag", False)
    for option, value in {**OPTIONS, **FOR_PACKAGES}.items():
        live.setOptionValue(option, value)
    kinds = [highspy.HighsVarType.kInteger if whole else highspy.HighsVarType.kContinuous for whole in problem.integer]
    live.addVars(len(problem.columns), problem.lower, problem.upper)
    for j, kind in enumerate(kinds):
        live.changeColIntegrality(j, kind)
        live.changeColCost(j, buyer.objective({}).weights[j])
    for i, row in enumerate(problem.matrix):
        where = np.flatnonzero(row).astype(np.int32)
        live.addRow(problem.row_lower[i], problem.row_upper[i], len(where), where, row[where])

    def solve(price: Fraction) -> float:
        for offer, each in price_range.prices(price).items():
            live.changeColCost(buyer.buying.packages[offer], float(each))
        live.run()
        return float(live.getInfo().objective_function_value)

    return solve


def rebuild(buyer: Any, price_range: Any) -> Callable[[Fraction], float] | None:
    """PuLP's model built for each price, solved by the CBC that PuLP 3 brings along."""
    import pulp

    if not hasattr(pulp, "PULP_CBC_CMD"):
        return None
    problem = buyer.problem

    def solve(price: Fraction) -> float:
        weights = buyer.objective(price_range.prices(price)).weights
        model = pulp.LpProblem("sweep", pulp.LpMinimize)
        x = [
            model.add_variable(f"x{j:05d}", float(low), float(high), cat="Integer" if whole else "Continuous")
            for j, (low, high, whole) in enumerate(zip(problem.lower, problem.upper, problem.integer, strict=True))
        ]
        model.setObjective(pulp.lpSum(float(w) * x[j] for j, w in enumerate(weights) if w))
        for i, row in enumerate(problem.matrix):
            total = pulp.lpSum(float(row[j]) * x[j] for j in np.flatnonzero(row))
            if np.isfinite(problem.row_lower[i]):
                model.addConstraint(total >= float(problem.row_lower[i]))
            if np.isfinite(problem.row_upper[i]):
                model.addConstraint(total <= float(problem.row_upper[i]))
        model.solve(pulp.PULP_CBC_CMD(msg=False, threads=1, gapRel=1e-7))
        return float(pulp.value(model.objective))

    return solve


if __name__ == "__main__":
    sys.path.insert(0, str(ROOT))
    main()
