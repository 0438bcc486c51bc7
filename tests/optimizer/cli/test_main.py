"""The command line: what goes to which stream, exit codes, and the JSON that other programs read."""

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from catalog.records import Catalog
from optimizer.cli.main import main
from optimizer.planning import plan
from tests.altered import NAMES, UNREACHED, demo, scenario_of, toml_text, written_back
from tests.conftest import SCENARIOS

TURKEY = str(SCENARIOS / "turkey-week.toml")
BARE = str(SCENARIOS / "bare-cupboard.toml")

# The keys that the design promises; more may stand beside them.
SHEET_KEYS = "status scenario standard life_stage aim solver totals amounts nutrients ratios cautions portions reasons"
TOTAL_KEYS = (
    "mass_g meat_g non_meat_g non_meat_share bone_share energy_kcal energy_kcal_per_kg energy_method cost "
    "supplement_count"
)
AMOUNT_KEYS = "id name role fixed grams measure text cost"
NUTRIENT_KEYS = (
    "id name unit total per_1000_kcal per_kg_dry_matter minimum maximum percent_of_minimum percent_of_maximum "
    "status unknown_share source"
)


def run(*arguments: str) -> Result:
    return CliRunner().invoke(main, arguments)


def data_of(result: Result) -> Any:
    """The JSON on standard output; anything beside it is a mistake."""
    assert result.stderr == ""
    return json.loads(result.stdout)


def process(*arguments: str, **environment: str) -> subprocess.CompletedProcess[str]:
    """A process of its own, in which solvers could print past Python."""
    command = [sys.executable, "-c", "from optimizer.cli.main import main; main()", *arguments]
    env = {**os.environ, **environment}
    return subprocess.run(command, capture_output=True, text=True, encoding="utf-8", env=env, check=False)


# Exit codes: 0 done, 1 limits are missed, 2 bad input.


@pytest.mark.parametrize("name", NAMES)
def test_plan_ends_with_0_when_all_limits_are_met_and_with_1_when_none_can(name: str) -> None:
    result = run("plan", str(SCENARIOS / f"{name}.toml"), "--json")
    expected = (1, "out_of_reach") if name in UNREACHED else (0, "planned")
    assert (result.exit_code, data_of(result)["status"]) == expected


def test_check_ends_with_0_for_a_plan_written_down_and_with_1_for_meat_alone(catalog: Catalog, tmp_path: Path) -> None:
    written = tmp_path / "written.toml"
    data = demo("turkey-week")
    written.write_text(toml_text(written_back(data, plan(scenario_of(data, catalog), catalog))), encoding="utf-8")
    assert run("check", str(written)).exit_code == 0
    assert run("check", TURKEY).exit_code == 1  # no supplement there has an amount
    assert data_of(run("check", str(written), "--json"))["status"] == "assessed"


@pytest.mark.parametrize("command", ["plan", "check"])
@pytest.mark.parametrize("as_json", [[], ["--json"]])
@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("missing.toml", None),
        ("empty.toml", b""),
        ("broken.toml", b'title = "x"\naim = cost\n'),
        ("binary.toml", b"\x00\x01\x02\xff"),
        ("wrong.toml", b'[[on_hand]]\nfood = "turkey-grund"\namount = "2 kg"\n'),
    ],
)
def test_bad_files_end_with_2_and_say_why_on_standard_error_only(
    tmp_path: Path, command: str, as_json: list[str], name: str, content: bytes | None
) -> None:
    path = tmp_path / name
    if content is not None:
        path.write_bytes(content)
    result = run(command, str(path), *as_json)
    assert result.exit_code == 2
    assert result.stdout == ""
    assert name in result.stderr
    assert "allowed: " in result.stderr
    assert "Traceback" not in result.stderr


def test_a_folder_ends_with_2(tmp_path: Path) -> None:
    result = run("plan", str(tmp_path))
    assert (result.exit_code, result.stdout) == (2, "")
    assert str(tmp_path) in result.stderr


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["plan", TURKEY, "--standard", "aafko"], "aafco"),
        (["plan", TURKEY, "--aim", "cheapest"], "cost"),
        (["plan", TURKEY, "--aim", "usual"], "usual"),  # it has no usual recipe
        (["plan", TURKEY, "--seconds", "0"], "seconds"),
        (["plan"], "SCENARIO"),
        (["weigh"], "weigh"),
    ],
)
def test_a_wrong_command_line_ends_with_2(arguments: list[str], said: str) -> None:
    result = run(*arguments)
    assert (result.exit_code, result.stdout) == (2, "")
    assert said in result.stderr


def test_a_batch_without_energy_ends_with_2(tmp_path: Path) -> None:
    path = tmp_path / "salt.toml"
    path.write_text('[[on_hand]]\nfood = "salt-table"\namount = "1 kg"\ncounts_as = "meat"\n', encoding="utf-8")
    for command in ("plan", "check"):
        result = run(command, str(path))
        assert (result.exit_code, result.stdout) == (2, "")
        assert "energy" in result.stderr


# JSON.


@pytest.mark.parametrize("command", ["plan", "check"])
@pytest.mark.parametrize("scenario", [TURKEY, BARE])
def test_the_json_has_the_promised_keys(command: str, scenario: str) -> None:
    sheet = data_of(run(command, scenario, "--json"))
    assert isinstance(sheet, dict)
    assert set(SHEET_KEYS.split()) <= set(sheet)
    assert set(TOTAL_KEYS.split()) <= set(sheet["totals"])
    assert set(sheet["totals"]["cost"]) == {"amount", "currency", "unpriced"}
    for amount in sheet["amounts"]:
        assert set(AMOUNT_KEYS.split()) <= set(amount)
        assert set(amount["measure"]) == {"count", "unit"}
    for nutrient in sheet["nutrients"]:
        assert set(NUTRIENT_KEYS.split()) <= set(nutrient)
        assert nutrient["status"] in ("met", "short", "over", "unknown", "no_limit")
    for caution in sheet["cautions"]:
        assert {"level", "code", "text", "source"} <= set(caution)
    assert (sheet["solver"] is None) is (command == "check")
    if command == "plan":
        assert {"name", "version", "seconds", "gap"} <= set(sheet["solver"])


def test_money_is_decimal_text_and_sums_up() -> None:
    sheet = data_of(run("plan", TURKEY, "--json"))
    cents = [round(float(amount["cost"]) * 100) for amount in sheet["amounts"] if amount["cost"] is not None]
    cost = sheet["totals"]["cost"]
    assert (cost["currency"], cost["unpriced"]) == ("USD", [])
    # the exact sum is rounded once, so the lines as rounded may be half a cent each away from it
    assert abs(round(float(cost["amount"]) * 100) - sum(cents)) <= len(cents) / 2


def test_the_nearest_mix_names_what_it_misses_by_amount_and_percent() -> None:
    sheet = data_of(run("plan", BARE, "--json"))
    misses = {miss["id"]: miss for miss in sheet["nearest"]["misses"]}
    assert {"iron", "copper", "zinc"} <= set(misses)
    for miss in misses.values():
        assert miss["by"] == pytest.approx(abs(miss["amount"] - miss["limit"]))
        assert miss["percent"] == pytest.approx(100 * miss["by"] / miss["limit"])
    assert data_of(run("plan", TURKEY, "--json"))["nearest"] == {}


def test_options_replace_what_the_scenario_says() -> None:
    sheet = data_of(run("plan", TURKEY, "--aim", "fewest", "--standard", "nrc", "--json"))
    assert (sheet["aim"], sheet["standard"]) == ("fewest", "nrc")


# Lists.


def test_foods_lists_what_a_search_finds() -> None:
    result = run("foods", "turkey")
    assert (result.exit_code, result.stderr) == (0, "")
    assert "turkey-heart" in result.stdout
    assert "beef-heart" not in result.stdout
    found = [food["id"] for food in _rows(data_of(run("foods", "turkey", "--json")), "foods")]
    assert "turkey-heart" in found
    assert "beef-heart" not in found
    assert len(found) < len(_rows(data_of(run("foods", "--json")), "foods"))


def test_every_food_that_a_scenario_names_is_listed() -> None:
    listed = {food["id"] for food in _rows(data_of(run("foods", "--json")), "foods")}
    named = {
        found.get("food") or found.get("supplement")
        for name in NAMES
        for found in [*demo(name)["on_hand"], *demo(name)["supplements"]]
    }
    assert named <= listed


def test_standards_are_listed_with_their_limits() -> None:
    standards = _rows(data_of(run("standards", "--json")), "standards")
    assert {("aafco", "adult"), ("aafco", "growth")} <= {(s["id"], s["life_stage"]) for s in standards}
    assert all(len(s["limits"]) > 40 for s in standards if s["id"] != "own-limits-only")
    assert "aafco" in run("standards").stdout


def _rows(data: Any, key: str) -> list[dict[str, Any]]:
    rows: list[dict[str, Any]] = data[key] if isinstance(data, dict) else data
    return rows


# A real process.


@pytest.mark.parametrize(("scenario", "code"), [(TURKEY, 0), (BARE, 1)])
def test_standard_output_carries_nothing_but_the_result(scenario: str, code: int) -> None:
    done = process("plan", scenario, "--json")
    assert (done.returncode, done.stderr) == (code, "")
    assert json.loads(done.stdout)["status"] in ("planned", "out_of_reach")
    assert done.stdout.startswith("{")
    assert done.stdout.endswith("}\n")


def test_a_plan_as_text_goes_to_a_pipe_without_colours_or_banners() -> None:
    done = process("plan", TURKEY)
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.startswith(demo("turkey-week")["title"])
    assert "\x1b" not in done.stdout
    assert max(len(line) for line in done.stdout.splitlines()) <= 100


def test_a_file_that_cannot_be_used_gives_no_traceback(tmp_path: Path) -> None:
    done = process("plan", str(tmp_path / "missing.toml"))
    assert (done.returncode, done.stdout) == (2, "")
    assert len(done.stderr.splitlines()) == 1


def test_the_plan_does_not_hang_on_the_order_of_sets() -> None:
    first, second = (json.loads(process("plan", TURKEY, "--json", PYTHONHASHSEED=seed).stdout) for seed in "12")
    for sheet in (first, second):
        sheet["solver"].pop("seconds")
    assert first == second
