"""The rows of a problem and the assessment are written apart from each other and have to say the same.

Amounts about those of a plan, some too much and some too little: a row is kept exactly when the assessment finds its
limit met, and the row of a guard or a common share without its slack exactly when the assessment does not tell of it.
"""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from catalog.catalog import load_catalog
from catalog.records import Limit
from optimizer.assess.assessment import assess
from optimizer.assess.result import MET, Assessment
from optimizer.model.build import build
from optimizer.model.problem import OPTIMAL, Floats, Problem, Solution
from optimizer.model.solve import amounts_of, choose
from optimizer.scenario.records import Scenario
from tests.altered import NAMES, UNREACHED, changed, demo, scenario_of

CATALOG = load_catalog()[0]
REACHED = [name for name in NAMES if name not in UNREACHED]
CLOSE = 1e-7  # nothing is concluded from a row that is met this exactly
TRIES = 40

# A limit of each basis, beside those of the standard.
OWN = [
    {"nutrient": "taurine", "at_least": "3 g per kg of dry matter"},
    {"nutrient": "sodium", "at_most": "1.1 g per kg"},
    {"nutrient": "iron", "at_most": "110 mg per batch"},
    {"nutrient": "calcium-phosphorus", "at_least": "1.1", "at_most": "1.4"},
]
FOR_PROTEIN = Limit("choline", "increment", 20.0, None, "scenario", "read", of="protein", above=100.0)


@cache
def opened(name: str, energy: str) -> tuple[Scenario, Problem, Floats]:
    """A scenario with limits of every basis and every cut "up to", its problem, and the plan that it had before."""
    data = demo(name)
    plan = choose(scenario_of(changed(data, energy=energy, aim="cost", usual=None), CATALOG), CATALOG)
    cuts = [{("up_to" if key == "amount" else key): value for key, value in cut.items()} for cut in data["on_hand"]]
    data = changed(data, energy=energy, on_hand=cuts, limits=OWN, water="1500 ml", meat_at_least="100 g")
    scenario = scenario_of(data, CATALOG)
    scenario = replace(scenario, limits=(*scenario.limits, FOR_PROTEIN))
    problem = build(scenario, CATALOG)
    doses = {amount.item.id: amount.grams for amount in plan.amounts if amount.item.fixed is None}
    steps = [
        doses[c.id] / c.grams if c.id in doses and c.grams else problem.upper[j] for j, c in enumerate(problem.columns)
    ]
    return scenario, problem, np.array(steps)


def about(problem: Problem, plan: Floats, random: np.random.Generator) -> Floats:
    """Steps about those of a plan, within the columns' bounds; each switch as its own row asks."""
    times = np.exp2(random.uniform(-1.5, 1.5, len(plan)))
    amounts = np.array([column.kind == "amount" for column in problem.columns])
    found = np.where(amounts, np.clip(np.round(plan * times), problem.lower, problem.upper), 0.0)
    for i, row in enumerate(problem.rows):
        if (row.id.startswith("switch:") or row.id.endswith(":added")) and problem.matrix[i] @ found > 0:
            [switch] = [j for j in np.flatnonzero(problem.matrix[i]) if problem.columns[j].kind == "switch"]
            found[switch] = 1.0
    return found


def by_rows(problem: Problem, found: Floats) -> dict[str, bool | None]:
    """Whether the rows of each nutrient, of the ratio, of the cap, of guards and of common shares are kept; None where
    one is too close to tell."""
    kept: dict[str, bool | None] = {}
    for i, row in enumerate(problem.rows):
        if row.rule not in ("", row.id) or row.id.endswith(":added"):
            continue  # what jars may add beside a guard is no limit of the batch
        if row.id == "cap" or row.id.startswith("common:"):
            name = row.id
        elif row.limit is None:
            continue
        elif row.tier == "guard":
            name = guard_name(row.limit.nutrient, row.limit.basis)
        else:
            name = "ratio" if row.limit.basis == "ratio" else row.limit.nutrient
        value = problem.matrix[i] @ found
        room = min(value - problem.row_lower[i], problem.row_upper[i] - value)
        if abs(room) < CLOSE:
            kept[name] = None
        elif kept.get(name, True) is not None:
            kept[name] = bool(kept.get(name, True)) and room > 0
    return kept


def guard_name(nutrient: str, basis: str) -> str:
    return f"guard:{nutrient}:{basis}"


def by_assessment(assessed: Assessment) -> dict[str, bool]:
    limited = [n for n in assessed.nutrients if n.minimum is not None or n.maximum is not None]
    kept = {n.nutrient.id: n.status == MET for n in limited}
    return {**kept, "ratio": all(r.status == MET for r in assessed.ratios), "cap": assessed.cap_kept}


def passed(assessed: Assessment) -> set[str]:
    """The guards and common shares that the assessment tells of."""
    guards = {guard_name(line.nutrient.id, line.basis) for line in assessed.above_guards}
    return guards | {f"common:{part.of}" for part in assessed.above_shares}


@pytest.mark.parametrize("energy", ["modified-atwater", "natural-foods"])
@pytest.mark.parametrize("name", REACHED)
def test_a_row_is_kept_exactly_when_its_limit_is_met(name: str, energy: str) -> None:
    scenario, problem, plan = opened(name, energy)
    random = np.random.default_rng([1945, REACHED.index(name)])
    seen = set()
    for _ in range(TRIES):
        found = about(problem, plan, random)
        solution = Solution(OPTIMAL, found, (), 0.0, 0.0, "", "")
        rows = by_rows(problem, found)
        assessed = assess(scenario, CATALOG, amounts_of(scenario, problem, solution))
        verdicts, told = by_assessment(assessed), passed(assessed)
        for limit, kept in rows.items():
            if kept is None:
                continue
            if limit in verdicts:
                assert (limit, kept) == (limit, verdicts[limit])
            elif limit.startswith(("guard:", "common:")) and not stricter(limit, scenario):
                assert (limit, kept) == (limit, limit not in told)
            seen.add((limit, kept))
        assert set(verdicts) <= set(rows)
        assert told <= set(rows)
    both = {limit for limit, _ in seen if {(limit, True), (limit, False)} <= seen}
    assert len(both) >= 8  # and each of these was sometimes kept and sometimes not


def stricter(guard: str, scenario: Scenario) -> bool:
    """Whether the standard has a ceiling of that nutrient itself: who passes the guard may miss that, and is told so."""
    nutrient = guard.split(":")[1]
    return any(limit.nutrient == nutrient and limit.maximum is not None for limit in scenario.standard.mandatory)
