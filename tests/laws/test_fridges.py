"""Every plan of every fridge is one that a veterinary nutritionist would sign, and none better is there.

The fridges are random and far from the demos. The ordinary run tries 40; `pytest tests/laws --fridges 1000` many more.
A fridge that fails is printed as the file that repeats it.
"""

from functools import cache
from typing import Any

from catalog.library import load_catalog
from catalog.records import Catalog
from optimizer.plan import plan
from optimizer.render.json_text import sheet_object
from tests.altered import scenario_of
from tests.laws.figures import Kitchen
from tests.laws.fridges import fridge, text_of
from tests.laws.judge import amounts_of, judge
from tests.laws.rebuild import better

CATALOG: Catalog = load_catalog()[0]
SECONDS = 20.0


@cache
def planned(number: int) -> tuple[Kitchen, dict[str, Any]]:
    """A fridge and its plan as JSON prints it."""
    scenario = scenario_of(fridge(number, CATALOG), CATALOG)
    return Kitchen(scenario, CATALOG), sheet_object(plan(scenario, CATALOG, SECONDS))


def told(number: int, faults: list[Any]) -> str:
    """The faults, and the file that repeats the fridge."""
    return "\n".join([*map(str, faults), "", text_of(fridge(number, CATALOG))])


def test_a_plan_is_one_that_a_nutritionist_would_sign(number: int) -> None:
    faults = judge(*planned(number))
    assert not faults, told(number, faults)


def test_no_better_mix_is_there(number: int) -> None:
    kitchen, found = planned(number)
    others = list(better(kitchen, amounts_of(kitchen, found), found["status"] == "planned"))
    assert not others, told(number, others)


def test_a_fridge_is_the_same_each_time_and_mixes_can_be_had_from_many() -> None:
    assert fridge(7, CATALOG) == fridge(7, CATALOG)
    statuses = [planned(number)[1]["status"] for number in range(40)]
    assert statuses.count("planned") >= 8
    assert statuses.count("out_of_reach") >= 8
