"""The library does what the command line does, without printing."""

import ast
import json
import re
import subprocess
import sys
from importlib import import_module
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

import optimizer
from catalog.records import Catalog
from optimizer.cli.main import main
from tests.altered import demo
from tests.conftest import SCENARIOS

ROOT = Path(__file__).parents[2]
HEAVY = ("click", "pulp", "highspy", "pandas", "matplotlib", "rich", "numpy", "pydantic", "pint", "jinja2", "openpyxl")


def without_times(data: dict[str, Any]) -> dict[str, Any]:
    return data | {"solver": None}


def planned(name: str) -> dict[str, Any]:
    catalog = optimizer.load_catalog()
    scenario = optimizer.load_scenario(SCENARIOS / f"{name}.toml", catalog)
    sheet = optimizer.plan(scenario, catalog)
    return without_times(optimizer.as_json(sheet, catalog, optimizer.portions(scenario, sheet, catalog)))


@pytest.mark.parametrize("name", ["turkey-week", "boneless-beef"])
def test_as_json_is_what_the_command_prints(name: str) -> None:
    printed = json.loads(CliRunner().invoke(main, ["plan", str(SCENARIOS / f"{name}.toml"), "--json"]).output)
    assert planned(name) == without_times(printed)


def test_a_scenario_may_be_plain_data(catalog: Catalog) -> None:
    data = demo("turkey-week")
    before = json.dumps(data, default=str)
    sheet = optimizer.plan(optimizer.load_scenario(data, catalog), catalog)
    assert sheet.cost == optimizer.plan(optimizer.load_scenario(SCENARIOS / "turkey-week.toml", catalog), catalog).cost
    assert json.dumps(data, default=str) == before  # what was given is left as it was


def test_mistakes_are_raised_all_at_once(catalog: Catalog) -> None:
    with pytest.raises(optimizer.InputErrors) as raised:
        optimizer.load_scenario({**demo("turkey-week"), "aim": "best", "life_stage": "old"}, catalog)
    assert len(raised.value.mistakes) == 2


def test_check_compare_and_amend(catalog: Catalog) -> None:
    path = SCENARIOS / "turkey-week.toml"
    scenario = optimizer.load_scenario(path, catalog)
    assert optimizer.check(scenario, catalog).status == "assessed"
    fewest = optimizer.load_scenario({**demo("turkey-week"), "aim": "fewest"}, catalog)
    sheets = {"cost": optimizer.plan(scenario, catalog), "fewest": optimizer.plan(fewest, catalog)}
    assert optimizer.compare(sheets).labels == ("cost", "fewest")
    assert optimizer.amend(path, catalog, ["taurine-powder=3/4 tsp"]).sheet.status == "planned"


def test_the_readme_s_notebook_prints_what_it_says(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    readme = (ROOT / "README.md").read_text("utf-8")
    [code] = re.findall(r"```python\n(.*?)```", readme, re.DOTALL)
    monkeypatch.chdir(ROOT)
    exec(code, {})
    assert capsys.readouterr().out == code.splitlines()[-1].removeprefix("# ") + "\n"


def test_papers_are_written_and_named(catalog: Catalog, tmp_path: Path) -> None:
    scenario = optimizer.load_scenario(SCENARIOS / "turkey-week.toml", catalog)
    sheet = optimizer.plan(scenario, catalog)
    papers = optimizer.Papers(sheet=tmp_path / "sheet.html", chart=tmp_path / "sure.svg", chart_of="sure")
    assert optimizer.write_papers(papers, scenario, catalog, sheet) == [papers.sheet, papers.chart]
    assert "of such batches" in (tmp_path / "sheet.html").read_text("utf-8")
    with pytest.raises(optimizer.InputErrors):
        optimizer.write_papers(optimizer.Papers(sheet=tmp_path / "sheet.docx"), scenario, catalog, sheet)


def test_shopping_ends_where_the_caller_cancels(catalog: Catalog) -> None:
    scenario = optimizer.load_scenario(SCENARIOS / "store-week-of-turkey.toml", catalog, shopping=True)
    lists = [SCENARIOS / "prices-four-stores.csv"]
    told: list[float] = []
    report = optimizer.shop(
        scenario,
        catalog,
        lists,
        questions=optimizer.MarketQuestions(side_by_side=True),
        tell=lambda _, share: told.append(share),
        cancelled=lambda: len(told) >= 2,
    )
    assert report.alone is not None
    assert len(report.alone) == 2
    assert report.unfinished


def test_a_plan_that_is_cancelled_is_a_plan(catalog: Catalog) -> None:
    scenario = optimizer.load_scenario(SCENARIOS / "bare-cupboard.toml", catalog)
    prices = optimizer.prices(scenario, catalog, [SCENARIOS / "prices-four-stores.csv"])
    sheet = optimizer.plan(scenario, catalog, known_prices=prices, cancelled=lambda: True)
    assert sheet.status == "out_of_reach"
    assert sheet.lines


def test_every_public_name_is_what_it_says() -> None:
    for name in optimizer.__all__:
        assert getattr(optimizer, name).__doc__, name
    for name, room in optimizer.RECORDS.items():
        assert getattr(optimizer, name) is getattr(import_module(room), name)
        assert name in optimizer.__all__
    with pytest.raises(AttributeError, match="no attribute 'Sheets'"):
        optimizer.Sheets  # noqa: B018  # type: ignore[attr-defined]


def test_own_foods_are_those_of_the_folders_that_are_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    own = '[[foods]]\nid = "mine"\nname = "taurine capsule"\nrole = "supplement"\ncounts_as = "non-meat"\n'
    own += 'per = "1 capsule (1.1 g)"\n[foods.amounts]\ntaurine = "1000 mg"\n'
    (tmp_path / "own-foods.toml").write_text(own, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("WEIGHOUT_DATA", str(tmp_path))
    assert "mine" not in optimizer.load_catalog().foods
    assert "mine" in optimizer.load_catalog([tmp_path]).foods


def test_importing_the_library_loads_nothing_heavy() -> None:
    code = f"import sys, optimizer; print([name for name in {HEAVY} if name in sys.modules])"
    assert subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, cwd=ROOT).stdout == "[]\n"


FOR_THE_COMMAND_LINE = {"print", "exit", "_exit", "input", "signal", "set_threshold"}
LOOKS_AROUND = {"chdir", "getcwd", "cwd"}
OF_THE_WHOLE_PROCESS = {"field_size_limit", "rcParams", "rc_context", "filterwarnings", "simplefilter", "setlocale"}
OF_THE_WHOLE_PROCESS |= {"getcontext", "setcontext", "resetGlobalScheduler"}
GUARDED = {  # neither csv nor matplotlib takes these any other way: one thread at a time, and all is put back
    ("optimizer/journal/export_import.py", "field_size_limit"),
    ("optimizer/render/files/charts.py", "rc_context"),
}


def names_used(path: Path) -> set[str]:
    """What a file calls or reads of others by name; the working folder as `Path()` too."""
    found = set()
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Attribute):
            # what writes into a text of its own prints nothing
            if not (node.attr == "print" and isinstance(node.value, ast.Name) and node.value.id == "console"):
                found.add(node.attr)
        elif isinstance(node, ast.Name):
            found.add(node.id)
        if isinstance(node, ast.Call) and ast.unparse(node) in ("Path()", "Path('.')", "Path('')"):
            found.add("cwd")
    return found


def test_only_the_command_line_prints_exits_looks_around_or_sets_what_is_of_the_whole_process() -> None:
    programs = {ROOT / "catalog" / "usda" / "compare.py"}  # run by hand; nothing imports it
    programs |= set((ROOT / "optimizer" / "cli").rglob("*.py"))
    forbidden = FOR_THE_COMMAND_LINE | LOOKS_AROUND | OF_THE_WHOLE_PROCESS
    found = {
        (path.relative_to(ROOT).as_posix(), name)
        for folder in ("catalog", "optimizer")
        for path in (ROOT / folder).rglob("*.py")
        if path not in programs
        for name in names_used(path) & forbidden
    }
    assert found == GUARDED
