"""In the middle of a batch: too much of something in the bowl leads to no other mistake, and what poisons is told first."""

from itertools import count
from random import Random

import numpy as np

from catalog.reading.toml_lines import Lines
from optimizer.amending import Amendment, amend
from optimizer.journal.recipes import recipe_of
from optimizer.more_meat import WayBack
from optimizer.render.json.sheet import sheet_object
from tests.altered import Data, changed, demo, entry, scenario_of
from tests.laws.figures import Kitchen
from tests.laws.fridges import fridge
from tests.laws.planning import CATALOG, per_1000_kcal, planned_fridge, sheet_faults, told
from tests.laws.weighing import amounts_of, guarded

TOXIC = ("vitamin-a", "vitamin-d", "iodine", "selenium", "iron", "zinc", "copper")


def slip(number: int) -> tuple[Data, list[str]]:
    """The next fridge that can be mixed, and too much or too little of one or two of its jars in the bowl."""
    number = next(n for n in count(number) if planned_fridge(n)[1]["status"] == "planned")
    data, random = fridge(number, CATALOG), Random(f"slip {number}")
    kitchen, found = planned_fridge(number)
    used = [line for line in found["amounts"] if kitchen.open_jar[kitchen.place[line["id"]]]]
    done = []
    for line in random.sample(used, min(len(used), random.choice((1, 1, 2)))):
        times = random.choice((0.5, 2, 4, 10, 40, 100))
        done.append(f"{line['id']}={max(1, round(line['measure']['count'] * times))} {line['measure']['unit']}")
    return data, done


def test_what_is_in_the_bowl_by_mistake_leads_to_no_other_mistake(one_in_eight: int) -> None:
    data, done = slip(one_in_eight)
    amendment = amend(recipe_of(data, "slip", Lines({}), CATALOG), CATALOG, done)
    found = [*not_told(amendment), *sheet_faults(amendment.data, amendment.sheet)]
    for way in amendment.ways:
        found += [f"{way.kind} {way.text} {way.name}: {fault}" for fault in way_faults(amendment, way)]
    assert not found, told([done, *found], data)


def not_told(amendment: Amendment) -> list[str]:
    """What is past its guard or ceiling mostly by what is in the bowl, and is not told as a slip."""
    kitchen = Kitchen(scenario_of(amendment.data, CATALOG), CATALOG)
    x = amounts_of(kitchen, sheet_object(amendment.sheet))
    told_of = {slip.nutrient.id for slip in amendment.slips}
    found = []
    for guard in guarded(kitchen, x):
        if guard.id not in TOXIC or not guard.passed or guard.limit is None:
            continue
        by_jars = float((kitchen.counted(guard.limit, "maximum") * kitchen.jar) @ np.where(kitchen.settled, x, 0.0))
        if by_jars > guard.allowed and guard.id not in told_of:
            found.append(f"{guard.kind} of {guard.id} is passed by what is in the bowl, and nothing says so")
    return found


def way_faults(amendment: Amendment, way: WayBack) -> list[str]:
    """The faults of a way back: foods and what is in the bowl as it has them, the other jars as they were written."""
    texts = {line.id: line.text for line in way.sheet.lines}
    data = amendment.data
    on_hand = [
        {k: v for k, v in e.items() if k not in ("up_to", "at_least", "step")} | {"amount": texts[e["food"]]}
        for e in data["on_hand"]
        if e["food"] in texts
    ]
    jars = [
        {**e, "exactly": texts[e["supplement"]]} if " per " not in e.get("exactly", " per ") else dict(e)
        for e in data.get("supplements", [])
        if "exactly" not in e or e["supplement"] in texts
    ]
    found = sheet_faults(changed(data, on_hand=on_hand, supplements=jars, meat_at_least=None), way.sheet)
    high = per_1000_kcal(sheet_object(way.sheet))
    for slip in amendment.slips:
        if slip.basis == "per_1000_kcal" and high[slip.nutrient.id] > slip.ceiling / 2 * (1 + 1e-6):
            found.append(f"{slip.nutrient.id} is {high[slip.nutrient.id]:.4g}, more than half of {slip.ceiling:g}")
    return found


def test_two_hundred_drops_of_vitamin_d_are_thrown_away_first() -> None:
    """Once answered with more meat until 7,498 of 7,500 IU, and that every limit can be met."""
    data = demo("turkey-week")
    liver = entry(data, "turkey-liver")
    del liver["amount"]
    liver["up_to"] = "8 oz"
    amendment = amend(recipe_of(data, "drops", Lines({}), CATALOG), CATALOG, ["vitamin-d3-drops-400=200 drops"])
    assert [slip.nutrient.id for slip in amendment.slips] == ["vitamin-d"]
    assert not amendment.may_be_fed
    for way in amendment.ways:
        assert per_1000_kcal(sheet_object(way.sheet))["vitamin-d"] <= 7520 / 2
        assert not way_faults(amendment, way)
