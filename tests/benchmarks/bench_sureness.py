"""What knowing how sure a plan is costs, and a sure plan, as ratios to the plain plan; and how that grows.

Run by hand:  python tests/benchmarks/bench_sureness.py

For each demo: seconds of 10,000 draws over its plan (aim: under 0.2) and their peak memory (aim: under 250 MB), and of a
plan that holds each limit with 90 % over the plain one, both with their chances (aim: 3). Then the same for made-up batches
of so many foods and jars.
"""

# ruff: noqa: T201  a benchmark prints its result

import statistics
import time
import tracemalloc
from collections.abc import Callable
from pathlib import Path
from typing import Any

from catalog.catalog import load_catalog
from catalog.reading.toml_lines import Lines
from catalog.records import Catalog
from optimizer.model.deadline import Deadline
from optimizer.model.solve import choose
from optimizer.model.sure import surely
from optimizer.scenario.read import load_scenario, read_scenario
from optimizer.scenario.records import Scenario
from optimizer.sureness.chances import sureness_of

ROOT = Path(__file__).resolve().parents[2]
SIZES = ((5, 10), (10, 20), (20, 40), (40, 60))


def main() -> None:
    catalog, _ = load_catalog()
    ratios = []
    for path in sorted((ROOT / "scenarios").glob("*.toml")):
        if not path.stem.startswith("store"):
            ratios += measured(path.stem, load_scenario(path, catalog), catalog)
    print(f"median sure / plain {statistics.median(ratios):.1f}")
    for foods, jars in SIZES:
        measured(f"{foods} foods, {jars} jars", made_up(foods, jars, catalog), catalog)


def measured(name: str, scenario: Scenario, catalog: Catalog) -> list[float]:
    choice = choose(scenario, catalog)
    plain = best_of(lambda: choose(scenario, catalog))
    draws = best_of(lambda: sureness_of(scenario, catalog, choice.amounts))
    tracemalloc.start()
    sureness_of(scenario, catalog, choice.amounts)
    peak = tracemalloc.get_traced_memory()[1] / 1e6
    tracemalloc.stop()
    line = f"{name:28} plain {plain:6.3f} s   10,000 draws {draws:6.3f} s, {peak:4.0f} MB"
    ratio = []
    if choice.in_reach:
        sure = plain + best_of(lambda: surely(choice, catalog, 0.9, False, Deadline.within(60.0)))
        ratio = [sure / (plain + draws)]
        line += f"   sure {sure:6.3f} s, {ratio[0]:4.1f} times"
    print(line)
    return ratio


def made_up(foods: int, jars: int, catalog: Catalog) -> Scenario:
    """A batch of so many foods, all of each, and so many jars."""
    meat = [f.id for f in catalog.foods.values() if f.role in ("cut", "organ") and "cooked" not in f.tags]
    pills = [f.id for f in catalog.foods.values() if f.role == "supplement" and f.purposes]
    data = {
        "on_hand": [{"food": id_, "up_to": "500 g"} for id_ in meat[:: max(1, len(meat) // foods)][:foods]],
        "supplements": [{"supplement": id_} for id_ in pills[:: max(1, len(pills) // jars)][:jars]],
        "meat_at_least": "2 kg",
    }
    scenario = read_scenario(data, "made-up.toml", Lines({}), catalog)[0]
    assert scenario is not None
    return scenario


def best_of(run: Callable[[], Any], times: int = 3) -> float:
    found = []
    for _ in range(times):
        start = time.perf_counter()
        run()
        found.append(time.perf_counter() - start)
    return min(found)


if __name__ == "__main__":
    main()
