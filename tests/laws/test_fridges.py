"""Every plan of every fridge is one that a veterinary nutritionist would sign, and no better one is there.

The fridges are random and far from the demos. The ordinary run tries 40; `pytest tests/laws --fridges 1000` many more.
A fridge that fails is printed as the file that repeats it.
"""

from tests.altered import changed
from tests.laws.fridges import fridge
from tests.laws.judge import judge
from tests.laws.planning import CATALOG, faults, others, planned, planned_fridge, told


def test_a_plan_is_one_that_a_nutritionist_would_sign(number: int) -> None:
    found = judge(*planned_fridge(number))
    assert not found, told(found, fridge(number, CATALOG))


def test_no_better_mix_is_there(number: int) -> None:
    found = others(*planned_fridge(number))
    assert not found, told(found, fridge(number, CATALOG))


def test_a_fridge_is_the_same_each_time_and_some_can_be_mixed() -> None:
    assert fridge(7, CATALOG) == fridge(7, CATALOG)
    statuses = [planned_fridge(number)[1]["status"] for number in range(40)]
    assert statuses.count("planned") >= 7
    assert statuses.count("out_of_reach") >= 7


def test_nothing_takes_less_from_jars_where_that_is_the_aim(one_in_eight: int) -> None:
    data = changed(fridge(one_in_eight, CATALOG), aim="lightest", usual=None)
    found = faults(*planned(data))
    assert not found, told(found, data)
