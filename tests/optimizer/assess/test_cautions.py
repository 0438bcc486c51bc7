"""Cautions that are read: those of this batch first and few of them, all of them where they are asked for."""

import json

import pytest
from click.testing import CliRunner

from catalog.catalog import load_catalog
from catalog.own.standards import lay_data_over
from catalog.reading.toml_lines import Lines
from optimizer.assess.cautions import GENERAL_LINES, MOST_OF_THIS_BATCH, Notice, foremost
from optimizer.checking import check
from optimizer.cli.main import main
from optimizer.render.headline import headline
from optimizer.render.json.sheet import sheet_object
from optimizer.scenario.read import read_scenario
from optimizer.sheet.sheet import Sheet
from tests.altered import NAMES, Data, changed, demo, scenario_of
from tests.conftest import SCENARIOS

CATALOG = load_catalog()[0]


def batch(standard: str = "aafco", life_stage: str = "adult", **doses: str) -> Data:
    """A kilogram of ground turkey with exact doses."""
    return {
        "standard": standard,
        "life_stage": life_stage,
        "on_hand": [{"food": "turkey-ground", "amount": "1 kg"}],
        "supplements": [{"supplement": id_.replace("_", "-"), "exactly": dose} for id_, dose in doses.items()],
    }


def checked(data: Data) -> Sheet:
    return check(scenario_of(data, CATALOG), CATALOG, explained=False)


def told(sheet: Sheet, code: str) -> str:
    [text] = [notice.text for notice in sheet.cautions if notice.code == code]
    return text


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("standard", ["aafco", "fediaf-75", "fediaf-100", "nrc"])
def test_at_most_seven_of_this_batch_and_three_general_ones_come_first(name: str, standard: str) -> None:
    sheet = checked(changed(demo(name), standard=standard))
    first = foremost(sheet.cautions)
    of_this_batch = [notice for notice in first if notice.of_this_batch]
    assert len(of_this_batch) <= MOST_OF_THIS_BATCH == 7
    assert len(first) - len(of_this_batch) == GENERAL_LINES == 3
    assert [n.of_this_batch for n in sheet.cautions] == sorted((n.of_this_batch for n in sheet.cautions), reverse=True)
    assert sum(len(notice.text.split()) for notice in first) <= 300


@pytest.mark.parametrize("name", NAMES)
def test_what_the_program_works_out_has_a_place_in_the_table(name: str) -> None:
    rows = {caution.code: caution for caution in CATALOG.cautions}
    for notice in checked(demo(name)).cautions:
        assert rows[notice.code].level == notice.level
        assert (rows[notice.code].when == "always") != notice.of_this_batch


def test_one_kind_of_caution_leaves_room_for_others() -> None:
    many = [Notice("warning", "above-legal-maximum", f"{n}.", "") for n in range(9)]
    first = foremost([*many, Notice("info", "iodine-steady", "Steady.", "")])
    assert [notice.text for notice in first] == ["0.", "1.", "Steady."]


@pytest.mark.parametrize(
    ("words", "shown"), [([], False), (["--cautions", "first"], False), (["--cautions", "all"], True)]
)
@pytest.mark.parametrize("command", ["plan", "check"])
def test_all_of_them_are_printed_when_asked_for(command: str, words: list[str], shown: bool) -> None:
    result = CliRunner().invoke(main, [command, str(SCENARIOS / "turkey-week.toml"), *words])
    text = " ".join(result.stdout.split())
    assert ("nobody pregnant clean the litter box" in text) is shown
    assert ("--cautions all prints them all" in text) is not shown
    assert "Not veterinary advice" in text


def test_json_has_all_of_them_and_tells_which_are_of_this_batch() -> None:
    sheet = checked(demo("turkey-week"))
    cautions = json.loads(json.dumps(sheet_object(sheet)))["cautions"]
    assert len(cautions) == len(sheet.cautions) > len(foremost(sheet.cautions))
    found = {caution["code"]: caution["of_this_batch"] for caution in cautions}
    assert found["poultry-avian-influenza"] is True
    assert found["toxoplasma"] is False


def test_beside_iron_stands_which_standard_asks_for_it_and_what_the_others_ask() -> None:
    # ground turkey has 8.6 mg of iron in 1000 g and 1339 kcal or so: the rest of 20 mg per 1000 kcal is AAFCO's wish.
    # Iron for adult cats per 1000 kcal: AAFCO 2016 20 mg; FEDIAF 2021 26.7 mg at 75 and 20 mg at 100 kcal per kg^0.67
    # (both recollected); NRC 2006 20 mg.
    text = told(checked(batch(iron_bisglycinate="1 capsule")), "iron-veterinarian")
    assert "AAFCO's 20 mg per 1000 kcal is what asks for it: without this jar there are " in text
    assert text.endswith("Others ask: FEDIAF-75 26.7, FEDIAF-100 20, NRC 20 mg.")
    assert "veterinarian says so" not in text
    text = told(checked(batch("fediaf-75", iron_bisglycinate="1 capsule")), "iron-veterinarian")
    assert "FEDIAF-75's 26.7 mg per 1000 kcal is what asks for it" in text
    assert "AAFCO 20, " in text


def test_a_jar_that_nothing_asks_for_is_told_as_such() -> None:
    text = told(checked(batch(selenium_yeast_50="1 tablet")), "selenium-margin")
    assert (
        "Nothing asks for it: AAFCO wants 75 ug per 1000 kcal, and there are " in text
    )  # AAFCO 2016: 0.3 mg/kg at 4 kcal/g


def test_of_bone_either_its_range_is_told_or_that_it_has_none() -> None:
    codes = {notice.code for notice in checked(demo("bare-cupboard")).cautions}
    assert "bone-share-uncertain" in codes
    assert "bone-uncertain" not in codes
    codes = {notice.code for notice in checked(demo("turkey-week")).cautions}
    assert "bone-uncertain" in codes
    assert "bone-share-uncertain" not in codes


def test_guards_passed_are_one_caution_that_names_each() -> None:
    # 30 tablets of 100 mg and 40 softgels of 400 IU: far past every publication
    sheet = checked(
        batch(thiamin_100="30 tablets", vitamin_e_softgel_400="40 softgels", vitamin_d3_drops_1000="20 drops")
    )
    passed = [line.nutrient.name for line in sheet.assessment.above_guards if line.kind != "legal"]
    assert len(passed) >= 2
    text = told(sheet, "above-another-ceiling")
    assert all(name in text for name in passed)
    assert sheet.cautions[0].code == "above-another-ceiling"


def test_growth_of_the_nrc_is_said_to_be_for_kittens_and_not_for_queens() -> None:
    sheet = checked(batch("nrc", "growth"))
    assert told(sheet, "growth-queens").startswith("Growth of the NRC is for kittens after weaning.")
    assert "growth-queens" in [notice.code for notice in foremost(sheet.cautions)]


@pytest.mark.parametrize(("standard", "stage"), [("aafco", "growth"), ("fediaf-75", "growth"), ("nrc", "adult")])
def test_no_other_standard_warns_of_the_growth_of_the_nrc(standard: str, stage: str) -> None:
    assert "growth-queens" not in [notice.code for notice in checked(batch(standard, stage)).cautions]


def test_an_own_standard_warns_as_the_one_that_it_started_from() -> None:
    data = {
        "standards": [
            {"id": "mine", "from": "nrc", "limits": [{"nutrient": "zinc", "at_least": "20 mg per 1000 kcal"}]}
        ]
    }
    catalog, mistakes = lay_data_over(CATALOG, data, "own-standards.toml", Lines({}))
    assert mistakes == []
    sheet = check(scenario_of(batch("mine", "growth"), catalog), catalog, explained=False)
    assert {"growth-queens", "own-standard"} <= {notice.code for notice in sheet.cautions}


def test_without_a_standard_it_is_said_that_nobody_looked() -> None:
    data = {**batch("own-limits-only"), "limits": [{"nutrient": "protein", "at_least": "10 g per 1000 kcal"}]}
    sheet = checked(data)
    assert headline(sheet).startswith("As written: No standard was asked for. Every limit of your own is met")
    assert "nobody looked whether this feeds a cat" in told(sheet, "no-standard")


def test_a_batch_of_which_nothing_is_asked_is_refused() -> None:
    _, mistakes = read_scenario(batch("own-limits-only"), "file.toml", Lines({}), CATALOG)
    assert [mistake.field for mistake in mistakes] == ["standard"]
