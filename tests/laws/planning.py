"""Plans for the laws to be tried on: as JSON prints them, beside their scenario as arrays."""

import shlex
from collections.abc import Sequence
from functools import cache
from typing import Any

from catalog.catalog import load_catalog
from catalog.records import Catalog
from optimizer.assess.assessment import assess
from optimizer.model.solve import choose
from optimizer.render.json.sheet import sheet_object
from optimizer.scenario.edit import WhatIf, altered
from optimizer.sheet.sheet import OUT_OF_REACH, OUT_OF_TIME, PLANNED, Sheet, make_sheet
from tests.altered import Data, changed, scenario_of
from tests.laws.better import better
from tests.laws.figures import Kitchen
from tests.laws.fridges import fridge, text_of
from tests.laws.judge import judge
from tests.laws.weighing import amounts_of

CATALOG: Catalog = load_catalog()[0]
SECONDS = 20.0
Plan = dict[str, Any]


def planned(data: Data) -> tuple[Kitchen, Plan]:
    """A scenario's plan without reasons, which take longer to find than the plan itself."""
    scenario = scenario_of(data, CATALOG)
    choice = choose(scenario, CATALOG, SECONDS)
    assessment = assess(scenario, CATALOG, choice.amounts)
    status = PLANNED if choice.in_reach else OUT_OF_REACH if choice.ruled_out else OUT_OF_TIME
    sheet = make_sheet(scenario, CATALOG, choice.amounts, assessment, status, choice.solution)
    return Kitchen(scenario, CATALOG), sheet_object(sheet)


@cache
def planned_fridge(number: int) -> tuple[Kitchen, Plan]:
    """The plan of a random fridge."""
    return planned(fridge(number, CATALOG))


def others(kitchen: Kitchen, plan: Plan) -> list[str]:
    """The mixes that the optimizer should have found instead, in words."""
    return [str(found) for found in better(kitchen, amounts_of(kitchen, plan), plan["status"] == "planned")]


def faults(kitchen: Kitchen, plan: Plan) -> list[str]:
    """All that is wrong with a plan, and what should have been found instead, in words."""
    return [*map(str, judge(kitchen, plan)), *others(kitchen, plan)]


def sheet_faults(data: Data, sheet: Sheet) -> list[str]:
    """The faults of a sheet that was made of a scenario."""
    return [str(fault) for fault in judge(Kitchen(scenario_of(data, CATALOG), CATALOG), sheet_object(sheet))]


def told(found: Sequence[Any], data: Data) -> str:
    """Faults, and the file that repeats them."""
    return "\n".join([*map(str, found), "", text_of(data)])


def doses(plan: Plan) -> dict[str, str]:
    """What goes in, by id, in its measure."""
    return {line["id"]: line["text"] for line in plan["amounts"]}


def counts(plan: Plan) -> dict[str, float]:
    """How many of its measure go in, by id."""
    return {line["id"]: line["measure"]["count"] for line in plan["amounts"]}


def per_1000_kcal(plan: Plan) -> dict[str, float]:
    """What there may be at most of each nutrient, in its unit, for 1000 kcal of food."""
    return {line["id"]: line["high_per_1000_kcal"] for line in plan["nutrients"]}


def typed(data: Data, options: Sequence[str]) -> Data:
    """A scenario with what is typed behind `plan`: --with, --without, --set, --cap and --budget."""
    words = [word for option in options for word in shlex.split(option)]
    given: dict[str, list[str]] = {}
    for key, value in zip(words[::2], words[1::2], strict=True):
        given.setdefault(key, []).append(value)
    what_if = WhatIf(
        without=tuple(given.pop("--without", ())),
        added=tuple(given.pop("--with", ())),
        amounts=tuple(given.pop("--set", ())),
        cap=next(iter(given.pop("--cap", [])), None),
        budget=next(iter(given.pop("--budget", [])), None),
    )
    assert not given, f"no option of a remedy: {given}"
    found, mistakes = altered(data, what_if, CATALOG)
    assert mistakes == []
    lists = {key: [e for e in found.get(key, []) if e is not None] for key in ("on_hand", "supplements")}
    return changed(found, **lists)
