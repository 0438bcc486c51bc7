"""Our solver room against HiGHS alone on the same arrays, in one run.

Run by hand:  python tests/benchmarks/bench_solve.py [RUNS]

HiGHS alone is given the arrays directly, with the same options, and serves the same objectives in turn; what is
measured beyond it is PuLP's model and our reading of the answers. Each pair of runs is taken together and the median
of the ratios is printed for each demo scenario (aim: at most 1.5).
"""

# ruff: noqa: T201  a benchmark prints its result

import statistics
import sys
import time
from collections.abc import Sequence
from pathlib import Path

import highspy
import numpy as np

from catalog.catalog import load_catalog
from optimizer.model.build import build
from optimizer.model.objectives import Objective, of_aim
from optimizer.model.problem import Problem
from optimizer.model.solver import HELD, OPTIONS, solve
from optimizer.scenario.read import load_scenario

ROOT = Path(__file__).resolve().parents[2]
TARGET = 1.5


def model_of(problem: Problem) -> highspy.HighsLp:
    """The arrays as HiGHS takes them, by columns."""
    lp = highspy.HighsLp()
    lp.num_row_, lp.num_col_ = problem.matrix.shape
    lp.col_cost_ = np.zeros(lp.num_col_)
    lp.col_lower_, lp.col_upper_ = problem.lower, problem.upper
    lp.row_lower_, lp.row_upper_ = problem.row_lower, problem.row_upper
    columns, rows = np.nonzero(problem.matrix.T)
    lp.a_matrix_.format_ = highspy.MatrixFormat.kColwise
    lp.a_matrix_.start_ = np.searchsorted(columns, np.arange(lp.num_col_ + 1))
    lp.a_matrix_.index_ = rows
    lp.a_matrix_.value_ = problem.matrix[rows, columns]
    kinds = highspy.HighsVarType
    lp.integrality_ = [kinds.kInteger if whole else kinds.kContinuous for whole in problem.integer]
    return lp


def highs_alone(problem: Problem, objectives: Sequence[Objective]) -> list[float]:
    """The values of the objectives, each held while the next is served; none where nothing is feasible."""
    live = highspy.Highs()
    live.setOptionValue("output_flag", False)
    for name, value in OPTIONS.items():
        live.setOptionValue(name, value)
    live.passModel(model_of(problem))
    every = np.arange(len(problem.columns), dtype=np.int32)
    reached: list[float] = []
    for objective in objectives:
        live.changeColsCost(len(every), every, objective.weights)
        live.run()
        if live.getModelStatus() != highspy.HighsModelStatus.kOptimal:
            return []
        value = float(objective.weights @ np.array(live.getSolution().col_value))
        reached.append(value)
        where = np.flatnonzero(objective.weights).astype(np.int32)
        most = value + max(objective.allowance, HELD * max(1.0, abs(value)))
        live.addRow(-highspy.kHighsInf, most, len(where), where, objective.weights[where])
    return reached


def main() -> None:
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else 7
    catalog, _ = load_catalog()
    ratios: list[float] = []
    for path in sorted((ROOT / "scenarios").glob("*.toml")):
        scenario = load_scenario(path, catalog)
        problem = build(scenario, catalog)
        wanted = of_aim(scenario.aim, problem)
        alone, ours, answer, reached = [], [], None, []
        for _ in range(runs):
            start = time.perf_counter()
            reached = highs_alone(problem, wanted)
            between = time.perf_counter()
            answer = solve(problem, wanted)
            ours.append(time.perf_counter() - between)
            alone.append(between - start)
        assert answer is not None
        agree = np.allclose(answer.objectives, reached, rtol=1e-6, atol=1e-6) if reached else not answer.found
        ratio = statistics.median(mine / base for mine, base in zip(ours, alone, strict=True))
        ratios.append(ratio)
        shape = "x".join(map(str, problem.matrix.shape))
        print(
            f"{path.stem:24} {shape:>8}  alone {1000 * statistics.median(alone):7.1f} ms  "
            f"ours {1000 * statistics.median(ours):7.1f} ms  ratio {ratio:5.2f}{'' if agree else '  THEY DIFFER'}"
        )
    print(f"median ratio {statistics.median(ratios):.2f} (aim: at most {TARGET})")


if __name__ == "__main__":
    main()
