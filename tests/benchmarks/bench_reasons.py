"""How long all reasons of each demo scenario take, and what the live model saves against building it again.

Run by hand:  python tests/benchmarks/bench_reasons.py

For each scenario: processor seconds of every reason (aim: under 3), and the time of solving again without one
jar through the live model against building the problem anew with PuLP and solving that, as a ratio.
"""

# ruff: noqa: T201  a benchmark prints its result

import statistics
import time
from dataclasses import replace
from pathlib import Path

import numpy as np

from catalog.catalog import load_catalog
from optimizer.explain.explain import explain
from optimizer.model.solve import Choice, choose
from optimizer.model.solver import Changes, solve
from optimizer.scenario.read import load_scenario

ROOT = Path(__file__).resolve().parents[2]


def main() -> None:
    catalog, _ = load_catalog()
    ratios = []
    for path in sorted((ROOT / "scenarios").glob("*.toml")):
        choice = choose(load_scenario(path, catalog), catalog)
        start = time.process_time()
        explain(choice, catalog, doses=choice.in_reach, conflicts=choice.ruled_out)
        taken = time.process_time() - start
        line = f"{path.stem:28} all reasons {taken:5.2f} s"
        if choice.in_reach:
            ratio = statistics.median(again(choice))
            ratios.append(ratio)
            line += f"   built again / live {ratio:4.1f}"
        print(line)
    print(f"median ratio {statistics.median(ratios):.1f}")


def again(choice: Choice) -> list[float]:
    """For each jar: seconds of building and solving without it, over seconds through the live model."""
    problem = choice.problem
    found = []
    for j, column in enumerate(problem.columns):
        if column.kind != "used":
            continue
        amount = next(k for k, c in enumerate(problem.columns) if c.kind == "amount" and c.id == column.id)
        gone = {j: 0.0, amount: 0.0}
        start = time.perf_counter()
        choice.model.solve(choice.objectives[:2], changes=Changes(upper=gone))
        live = time.perf_counter() - start
        upper = np.array([gone.get(k, bound) for k, bound in enumerate(problem.upper)])
        start = time.perf_counter()
        solve(replace(problem, upper=upper), choice.objectives[:2])
        found.append((time.perf_counter() - start) / live)
    return found


if __name__ == "__main__":
    main()
