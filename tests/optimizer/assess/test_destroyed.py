"""Raw fish with thiaminase: thiamine of the mix counts for nothing (NRC 2006, chapter on vitamins: cats fed raw carp or
herring fell ill of its lack), and only what is given apart does."""

from pathlib import Path

import pytest

from catalog.catalog import load_catalog
from optimizer.checking import check
from optimizer.planning import plan
from optimizer.scenario.read import load_scenario
from optimizer.sheet.sheet import Sheet

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
    return check(scenario, CATALOG, explained=False) if verb == "check" else plan(scenario, CATALOG, explained=False)


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


CHOICE = """
standard = "own-limits-only"
meat_at_least = "1.2 kg"

[[on_hand]]
food = "herring-atlantic"
up_to = "300 g"

[[on_hand]]
food = "chicken-thigh-meat-skin"
amount = "1 kg"

[[on_hand]]
food = "chicken-heart"
up_to = "300 g"

[[limits]]
nutrient = "thiamine"
at_least = "{least} mg per 1000 kcal"
"""


@pytest.mark.parametrize(("least", "expected"), [("0.0001", "chicken-heart"), ("0.3", "chicken-heart")])
def test_a_plan_leaves_the_raw_herring_out_where_thiamine_is_asked_for(
    tmp_path: Path, least: str, expected: str
) -> None:
    file = tmp_path / "fridge.toml"
    file.write_text(CHOICE.format(least=least), encoding="utf-8")
    found = plan(load_scenario(file, CATALOG), CATALOG)
    assert found.status == "planned"
    assert {line.id for line in found.lines} == {"chicken-thigh-meat-skin", expected}
    file.write_text(CHOICE.format(least=least).partition("[[limits]]")[0] + OTHER_LIMIT, encoding="utf-8")
    without = plan(load_scenario(file, CATALOG), CATALOG)
    assert "herring-atlantic" in {line.id for line in without.lines}  # it stands first, and nothing speaks against it


OTHER_LIMIT = """
[[limits]]
nutrient = "protein"
at_least = "1 g per 1000 kcal"
"""
