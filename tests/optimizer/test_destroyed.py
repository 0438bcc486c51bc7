"""Raw fish with thiaminase: thiamine of the mix counts for nothing (NRC 2006, chapter on vitamins: cats fed raw carp or
herring fell ill of its lack), and only what is given apart does."""

from pathlib import Path

import pytest

from catalog.library import load_catalog
from optimizer.check import check
from optimizer.plan import plan
from optimizer.scenario_file import load_scenario
from optimizer.sheet import Sheet

CATALOG, _ = load_catalog()
FRIDGE = """
[[on_hand]]
food = "herring-atlantic{state}"
{how} = "300 g"

[[on_hand]]
food = "chicken-thigh-meat-skin"
amount = "1 kg"

[[supplements]]
supplement = "thiamin-100"
apart = {apart}
exactly = "1/2 tablet"
"""


def sheet(folder: Path, verb: str = "check", state: str = "", how: str = "amount", apart: str = "false") -> Sheet:
    file = folder / "fridge.toml"
    file.write_text(FRIDGE.format(state=state, how=how, apart=apart), encoding="utf-8")
    scenario = load_scenario(file, CATALOG)
    return check(scenario, CATALOG) if verb == "check" else plan(scenario, CATALOG)


def thiamine(found: Sheet) -> float:
    return next(line.per_1000_kcal for line in found.assessment.nutrients if line.nutrient.id == "thiamine")


def test_the_thiamine_of_a_mix_with_raw_herring_counts_for_nothing_tablets_and_all(tmp_path: Path) -> None:
    found = sheet(tmp_path)
    assert thiamine(found) == 0.0
    assert "thiamine" in {miss.id for miss in found.assessment.misses}


def test_what_is_given_apart_counts_and_stands_apart_on_the_sheet(tmp_path: Path) -> None:
    found = sheet(tmp_path, apart="true")
    # half a tablet of 100 mg, and nothing else: 50 mg over the energy of the batch
    assert thiamine(found) == pytest.approx(50 / found.assessment.totals.energy_kcal * 1000)
    assert [line.group for line in found.lines if line.id == "thiamin-100"] == ["Given apart, not in the mix"]


def test_cooked_herring_destroys_none(tmp_path: Path) -> None:
    assert thiamine(sheet(tmp_path, state="-cooked")) > 10


def test_a_plan_leaves_the_raw_herring_out_where_it_may_and_keeps_the_thiamine(tmp_path: Path) -> None:
    found = sheet(tmp_path, verb="plan", how="up_to")
    assert "herring-atlantic" not in {line.id for line in found.lines}
    assert thiamine(found) > 10
