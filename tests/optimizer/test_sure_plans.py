"""--sure, --together, --aim surest, --extra-cost and --margin as a person types them; what a plan says of a surer one is
what that command then prints."""

import json
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from optimizer.cli.main import main
from optimizer.explain.surer import told_of_plan
from optimizer.model.deadline import Deadline
from optimizer.model.solve import choose
from optimizer.planning import plan
from optimizer.render.sureness import chance_text, help_text, sureness_lines
from optimizer.sureness.helps import Help, HelpKind
from tests.altered import changed, demo, scenario_of, toml_text
from tests.conftest import SCENARIOS
from tests.laws.planning import CATALOG

TURKEY = str(SCENARIOS / "turkey-week.toml")


def run(*words: str, code: int = 0) -> Result:
    done = CliRunner().invoke(main, list(words))
    assert done.exit_code == code, done.output
    return done


@cache
def planned(scenario: str, *options: str) -> dict[str, Any]:
    return dict(json.loads(run("plan", scenario, *options, "--json").stdout))


def cost(plan: dict[str, Any]) -> Decimal:
    return Decimal(plan["totals"]["cost"]["amount"])


def test_the_json_has_what_the_readme_promises() -> None:
    told = planned(TURKEY)["sureness"]
    assert 0 <= told["together"] <= 1
    assert {"nutrient", "bound", "chance"} == set(told["limits"][0])
    assert {one["bound"] for one in told["limits"]} == {"minimum", "maximum"}
    assert len(told["weakest"]) == 3
    least = sorted(one["chance"] for one in told["limits"])[:3]
    assert [one["chance"] for one in told["weakest"]] == least
    assert told["together"] <= least[0]
    assert all(one["together"] > told["together"] for one in told["helps"])


@pytest.mark.parametrize("name", ["turkey-week", "kittens-chicken-backs", "rabbit-few-jars", "freezer-clear-out"])
def test_what_a_plan_says_of_a_surer_one_is_what_is_printed_then(name: str) -> None:
    scenario = str(SCENARIOS / f"{name}.toml")
    surer = planned(scenario)["sureness"]["surer"]
    then = planned(scenario, "--sure", "80%")
    assert then["sureness"]["together"] == surer["together"]
    assert then["sureness"]["unsure"] == surer["unsure"]
    assert then["totals"]["supplement_count"] == surer["supplement_count"]
    assert then["totals"]["cost"]["amount"] == surer["cost"]


def test_a_step_that_helps_does_what_is_said(tmp_path: Path) -> None:
    """One step more in the bowl than on the sheet, checked."""
    plan = planned(TURKEY)
    [step] = [one for one in plan["sureness"]["helps"] if one["kind"] == "step"][:1]
    data = demo("turkey-week")
    amounts = {line["id"]: line["text"] for line in plan["amounts"]}
    counts = {line["id"]: line["measure"]["count"] for line in plan["amounts"]}
    for entry in data["supplements"]:
        id_ = entry["supplement"]
        entry["exactly"] = amounts.get(id_, "0 g")
        entry.pop("at_least", None), entry.pop("at_most", None)
        if id_ == step["id"]:
            entry["exactly"] = f"{counts[id_] + 0.25:g} {step['unit']}"
    kept = [entry for entry in data["supplements"] if entry["supplement"] in amounts]
    on_hand = [
        changed(entry, amount=amounts[entry["food"]], up_to=None)
        for entry in data["on_hand"]
        if entry["food"] in amounts
    ]
    (tmp_path / "bowl.toml").write_text(toml_text(changed(data, supplements=kept, on_hand=on_hand)), encoding="utf-8")
    done = json.loads(run("check", str(tmp_path / "bowl.toml"), "--json").stdout)
    assert step["by"] == "1/4"
    assert done["sureness"]["together"] == pytest.approx(step["together"], abs=0.02)


def test_each_limit_is_held_and_the_plan_costs_no_less() -> None:
    plain, sure = planned(TURKEY), planned(TURKEY, "--sure", "90%")
    assert sure["sureness"]["asked"] == 0.9
    assert sure["sureness"]["reached"]
    assert min(one["chance"] for one in sure["sureness"]["limits"]) >= 0.9
    assert cost(sure) >= cost(plain)


def test_all_at_once() -> None:
    sure = planned(TURKEY, "--sure", "80%", "--together")
    assert sure["sureness"]["together"] >= 0.8
    assert sure["sureness"]["reached"]


def test_what_cannot_be_held_is_named() -> None:
    text = " ".join(run("plan", str(SCENARIOS / "boneless-beef.toml"), "--sure", "95%").stdout.split())
    assert "Not held with 95 %, but as surely as what is on hand can: " in text
    assert "iron at least (about 60 %)" in text


@pytest.mark.parametrize(("extra", "most"), [("0.50", Decimal("0.50")), ("5%", Decimal("1.06"))])
def test_the_surest_costs_no_more_than_was_allowed(extra: str, most: Decimal) -> None:
    plain, surest = planned(TURKEY), planned(TURKEY, "--aim", "surest", "--extra-cost", extra)
    assert surest["sureness"]["together"] > 5 * plain["sureness"]["together"]
    assert cost(surest) <= cost(plain) + most
    assert "Aim: surest to keep all limits." in surest["headline"]


def test_a_margin_is_seen_in_the_limits() -> None:
    plain, wide = planned(TURKEY), planned(TURKEY, "--margin", "5%")
    for one, other in zip(plain["nutrients"], wide["nutrients"], strict=True):
        if one["minimum"] and one["id"] != "vitamin-e":  # it follows the fish oil, which is another amount then
            assert other["minimum"] == pytest.approx(1.05 * one["minimum"])
    assert wide["sureness"]["together"] > plain["sureness"]["together"]


@pytest.mark.parametrize(
    ("options", "message"),
    [
        (("--sure", "40%"), 'sure: read "40%"'),
        (("--sure", "100%"), "a chance from 50 % to 99.9 %"),
        (("--sure", "soon"), 'sure: read "soon"'),
        (("--margin", "60%"), "a margin of up to 50 %"),
        (("--extra-cost", "lots"), 'extra_cost: read "lots"'),
        (("--aim", "surest", "--sure", "90%"), "sure: read a chance, for the aim surest"),
    ],
)
def test_what_cannot_be_asked_is_refused(options: tuple[str, ...], message: str) -> None:
    assert message in run("plan", TURKEY, *options, code=2).stderr


def test_the_keys_of_the_file_say_the_same(tmp_path: Path) -> None:
    data = changed(demo("turkey-week"), sure="90 %")
    (tmp_path / "sure.toml").write_text(toml_text(data), encoding="utf-8")
    here, there = planned(str(tmp_path / "sure.toml")), planned(TURKEY, "--sure", "90%")
    assert here["amounts"] == there["amounts"]
    assert here["sureness"] == there["sureness"]


def test_reasons_are_those_of_the_plan_without_it() -> None:
    text = " ".join(run("plan", TURKEY, "--sure", "80%", "--why").stdout.split())
    assert "These are the reasons of the plan as it is without sureness asked for." in text


def test_what_sureness_costs(tmp_path: Path) -> None:
    done = run("tradeoff", TURKEY, "--sure", "--json", "--chart", str(tmp_path / "sure.svg"))
    points = json.loads(done.stdout)
    assert points[0]["asked"] is None
    costs = [Decimal(point["cost"]["amount"]) for point in points]
    chances = [point["together"] for point in points]
    assert costs == sorted(costs)
    assert chances == sorted(chances)
    assert chances[-1] > 0.8
    assert (tmp_path / "sure.svg").read_text("utf-8").startswith("<?xml")


def test_a_basket_and_a_check_say_how_sure_they_are() -> None:
    lists = ("--prices", str(SCENARIOS / "prices-euro.csv"))
    basket = json.loads(run("market", str(SCENARIOS / "store-freezer-top-up.toml"), *lists, "--json").stdout)
    assert 0 < basket["sheet"]["sureness"]["together"] < 1
    checked = json.loads(run("check", str(SCENARIOS / "duck-and-quail-as-usual.toml"), "--json", code=1).stdout)
    assert checked["sureness"]["together"] < 0.01


def test_an_option_that_would_change_nothing_is_a_mistake() -> None:
    """Both were ignored in silence."""
    assert "--together" in run("plan", TURKEY, "--together", code=2).output
    assert "--aim surest" in run("plan", TURKEY, "--extra-cost", "2.00", code=2).output


def test_nothing_is_portioned_of_a_mix_that_is_not_to_be_fed(tmp_path: Path) -> None:
    """Bags and days for feeding stood under "do not feed it as it is"."""
    cats = [{"name": "Mo", "weight": "4 kg"}]
    file = tmp_path / "short.toml"
    file.write_text(toml_text(changed(demo("turkey-week"), supplements=[], cats=cats)))
    found = run("plan", str(file), code=1).output
    assert "do not feed it" in found
    assert "Portions" not in found


def test_the_aim_surest_takes_the_place_of_a_chance_in_the_file_and_a_chance_that_of_the_aim(tmp_path: Path) -> None:
    file = tmp_path / "sure.toml"
    file.write_text(toml_text(changed(demo("turkey-week"), sure="90 %", together=True)), encoding="utf-8")
    assert "Aim: surest" in planned(str(file), "--aim", "surest")["headline"]
    file.write_text(toml_text(changed(demo("turkey-week"), aim="surest")), encoding="utf-8")
    assert planned(str(file), "--sure", "90%")["amounts"] == planned(TURKEY, "--sure", "90%")["amounts"]


def test_all_at_once_without_a_chance_is_a_mistake_of_the_file(tmp_path: Path) -> None:
    file = tmp_path / "together.toml"
    file.write_text(toml_text(changed(demo("turkey-week"), together=True)), encoding="utf-8")
    assert "together: read true, without sure" in run("plan", str(file), code=2).stderr


def test_all_at_once_without_a_chance_is_told_once_on_the_command_line() -> None:
    """It was told of the option, and again as if it stood in the file."""
    assert run("plan", TURKEY, "--together", code=2).stderr.count("sure beside it") == 1


@pytest.mark.parametrize(
    ("chance", "below", "words"),
    [
        (0.8996, 0.9, "just under 90 %"),
        (0.8996, None, "about 90 %"),
        (0.7, 0.9, "about 70 %"),
        (0.86, 0.9, "about 85 %"),
        (0.951, 0.999, "about 95 %"),
        (0.991, 0.999, "just under 99.9 %"),
        (0.004, 0.9, "under 1 %"),
    ],
)
def test_what_is_missed_by_a_hair_is_not_rounded_to_what_was_asked(
    chance: float, below: float | None, words: str
) -> None:
    assert chance_text(chance, below) == words


def test_a_help_is_not_told_by_the_chance_that_there_is() -> None:
    """It read "1 capsule more (about 70 % then)" beside "all limits at once in about 70 %"."""
    help_ = Help(HelpKind.STEP, "kelp-powder", "kelp powder", 0.712, "tsp", Fraction(1, 4))
    assert help_text(help_, 0.7) == "1/4 tsp more of the kelp powder (a little more often then)"
    assert help_text(help_, 0.6) == "1/4 tsp more of the kelp powder (about 70 % then)"


def test_time_that_ran_out_is_not_called_the_surest_mix() -> None:
    """The plain plan was shown as "the surest found"."""
    scenario = scenario_of(changed(demo("turkey-week"), sure="90 %"), CATALOG)
    told = told_of_plan(choose(scenario, CATALOG), CATALOG, None, Deadline.within(0.0))
    assert told.out_of_time
    assert not told.reached
    text = " ".join(sureness_lines(replace(plan(scenario, CATALOG), sureness=told)))
    assert "Time ran out before a mix was found that holds each limit with 90 %" in text
    assert "surest" not in text


@pytest.mark.parametrize("name", ["boneless-beef", "rabbit-few-jars", "duck-and-quail-as-usual"])
def test_where_the_aim_surest_is_named_it_holds_all_at_once_no_less_often(name: str) -> None:
    scenario = str(SCENARIOS / f"{name}.toml")
    sure = CliRunner().invoke(main, ["plan", scenario, "--sure", "80%"])
    assert "--aim surest looks for the mix" in " ".join(sure.output.split())
    now = planned(scenario, "--sure", "80%")["sureness"]["together"]
    assert planned(scenario, "--aim", "surest")["sureness"]["together"] >= now
