"""What is said to help does what was said when somebody does it by hand: one step more in the bowl, a jar weighed, a
bone share stated, and `--sure 80%`; on random fridges, each written back as a file and checked."""

from functools import cache

import pytest

from catalog.units.quantities import write_count
from optimizer.checking import check
from optimizer.planning import plan
from optimizer.sheet.sheet import PLANNED, Sheet
from optimizer.sureness.helps import Help, HelpKind
from tests.altered import Data, entry, scenario_of, written_back
from tests.laws.fridges import fridge, text_of
from tests.laws.planning import CATALOG

OFF = 0.02  # what is said of a way is drawn 2,000 times, a plan 10,000 times


@cache
def planned(number: int) -> tuple[Data, Sheet]:
    data = fridge(number, CATALOG)
    return data, plan(scenario_of(data, CATALOG), CATALOG)


def done_by_hand(data: Data, sheet: Sheet, way: Help) -> Data:
    """The batch as printed, with what was said done to it."""
    batch = written_back(data, sheet)
    line = next(line for line in sheet.lines if line.id == way.item)
    item = entry(batch, way.item)
    key = "exactly" if "supplement" in item else "amount"
    if way.kind is HelpKind.STEP:
        item[key] = write_count(line.count + way.by, line.unit)
    elif way.kind is HelpKind.WEIGH:
        item |= {"measure": "g", "step": "0.01 g", key: f"{float(line.grams):.2f} g"}
    else:
        item["bone_share"] = f"{100 * line.bone_share:.2f} %"
    return batch


def test_what_helps_does_so_when_it_is_done(one_in_eight: int) -> None:
    data, sheet = planned(one_in_eight)
    if sheet.status != PLANNED or sheet.sureness is None:
        pytest.skip("no mix meets every limit")
    for way in sheet.sureness.helps:
        line = next((line for line in sheet.lines if line.id == way.item), None)
        if line is None or not line.count + way.by:
            continue  # a laboratory cannot be played; less than a step is nothing, which no file can say
        batch = done_by_hand(data, sheet, way)
        found = check(scenario_of(batch, CATALOG), CATALOG).sureness
        assert found is not None, f"{way}\n{text_of(batch)}"
        assert found.chances.together == pytest.approx(way.together, abs=OFF), f"{way}\n{text_of(batch)}"
