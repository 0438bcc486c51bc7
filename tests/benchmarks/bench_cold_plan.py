"""A cold `weighout plan` against a cold interpreter that only imports the libraries it uses, in one run.

Run by hand:  python tests/benchmarks/bench_cold_plan.py [SCENARIO.toml] [RUNS]

Both are processes of their own, started in turn so that both see the same machine; the median of the ratios of
neighbours is printed (aim: at most 1.5), and how long each stage of a plan takes in one process.
"""

# ruff: noqa: T201  a benchmark prints its result

import os
import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
TARGET = 1.5

# Imports alone, of the names that are used (pydantic loads its parts by name): what the libraries do when they
# are used (a unit registry, data models) counts as ours.
LIBRARIES = """
import click, numpy, pulp, highspy, pint, tomllib
from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, InstanceOf, StrictStr, ValidationError
import rich.box, rich.console, rich.table, rich.text
"""
PLAN = "import sys; sys.argv = ['weighout', 'plan', {!r}]; from optimizer.cli.main import run; run()"


def seconds(program: str) -> float:
    """Seconds of a fresh interpreter that runs a program, whatever it prints."""
    start = time.perf_counter()
    done = subprocess.run([sys.executable, "-c", program], cwd=ROOT, stdout=subprocess.DEVNULL, check=False)
    taken = time.perf_counter() - start
    if done.returncode not in (0, 1):
        sys.exit(f"the program failed with {done.returncode}")
    return taken


def stages(scenario: str) -> list[tuple[str, float]]:
    """Seconds of each stage of a plan, in this process and so without the interpreter's own start."""
    found: list[tuple[str, float]] = []

    def timed(name: str, step: Callable[[], Any]) -> Any:
        start = time.perf_counter()
        result = step()
        found.append((name, time.perf_counter() - start))
        return result

    def own_modules() -> None:
        import optimizer.cli.main
        import optimizer.planning
        import optimizer.render.text.sheet
        import optimizer.scenario.read  # noqa: F401  importing is what is timed

    timed("the libraries", lambda: exec(LIBRARIES, {}))
    timed("our own modules", own_modules)
    from catalog.catalog import load_catalog
    from catalog.units.quantities import read_quantity
    from optimizer.planning import plan
    from optimizer.render.text.sheet import sheet_text
    from optimizer.scenario.read import load_scenario

    catalog, _ = timed("the catalog's tables", lambda: load_catalog(whole=False))
    timed("a registry of units", lambda: read_quantity("1 lb"))
    read = timed("the scenario file", lambda: load_scenario(Path(scenario), catalog))
    sheet = timed("problem, solver, assessment, reasons, sheet", lambda: plan(read, catalog))
    timed("the sheet as text", lambda: sheet_text(sheet))
    return found


def main() -> None:
    scenario = sys.argv[1] if len(sys.argv) > 1 else str(ROOT / "scenarios" / "turkey-week.toml")
    runs = int(sys.argv[2]) if len(sys.argv) > 2 else 15
    program = PLAN.format(scenario)
    seconds(LIBRARIES), seconds(program)  # so that files are cached and compiled
    pairs = [(seconds(LIBRARIES), seconds(program)) for _ in range(runs)]
    libraries, planned = (statistics.median(side) for side in zip(*pairs, strict=True))
    ratio = statistics.median(plan / base for base, plan in pairs)
    print(f"libraries {libraries:.3f} s, plan {planned:.3f} s, medians of {runs}; load {os.getloadavg()[0]:.1f}")
    print(f"ratio {ratio:.2f} (aim: at most {TARGET})")
    for name, taken in stages(scenario):
        print(f"  {taken:6.3f} s  {name}")


if __name__ == "__main__":
    sys.path.insert(0, str(ROOT))
    main()
