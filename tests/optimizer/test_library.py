"""The library does what the command line does, without printing, and from several threads at once."""

import ast
import json
import re
import subprocess
import sys
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

import optimizer
from catalog.records import Catalog
from optimizer.cli.main import main
from optimizer.render.papers import Papers
from optimizer.shopping import MarketQuestions
from tests.altered import demo
from tests.conftest import SCENARIOS

ROOT = Path(__file__).parents[2]
NAMES = (
    "turkey-week",
    "boneless-beef",
    "rabbit-few-jars",
    "duck-and-quail-as-usual",
)  # in reach: no search in a time limit
THREADS = 8


def without_times(data: dict[str, Any]) -> dict[str, Any]:
    return data | {"solver": None}


def planned(name: str) -> dict[str, Any]:
    catalog = optimizer.load_catalog(own=False)
    scenario = optimizer.load_scenario(SCENARIOS / f"{name}.toml", catalog)
    sheet = optimizer.plan(scenario, catalog)
    return without_times(optimizer.as_json(sheet, catalog, optimizer.portions(scenario, sheet, catalog)))


@pytest.mark.parametrize("name", NAMES[:2])
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
    papers = Papers(sheet=tmp_path / "sheet.html", chart=tmp_path / "sure.svg", chart_of="sure")
    assert optimizer.write_papers(papers, scenario, catalog, sheet) == [papers.sheet, papers.chart]
    assert "of such batches" in (tmp_path / "sheet.html").read_text("utf-8")
    with pytest.raises(optimizer.InputErrors):
        optimizer.write_papers(Papers(sheet=tmp_path / "sheet.docx"), scenario, catalog, sheet)


def test_shopping_ends_where_the_caller_cancels(catalog: Catalog) -> None:
    scenario = optimizer.load_scenario(SCENARIOS / "store-week-of-turkey.toml", catalog, shopping=True)
    lists = [SCENARIOS / "prices-four-stores.csv"]
    told: list[float] = []
    report = optimizer.shop(
        scenario,
        catalog,
        lists,
        questions=MarketQuestions(side_by_side=True),
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


def test_threads_do_not_disturb_each_other(catalog: Catalog) -> None:
    def charted(name: str) -> str:
        from optimizer.render.files.charts import limits_chart, svg_text

        own = optimizer.load_catalog(own=False)
        return svg_text(limits_chart(optimizer.check(optimizer.load_scenario(SCENARIOS / f"{name}.toml", own), own)))

    work: list[Callable[[], Any]] = [lambda n=n: planned(n) for n in NAMES] + [lambda n=n: charted(n) for n in NAMES]
    alone = [job() for job in work]
    with ThreadPoolExecutor(THREADS) as threads:
        beside = [found.result() for found in [threads.submit(job) for job in work]]
    assert beside == alone


def test_importing_the_library_loads_nothing_heavy() -> None:
    heavy = ("click", "pulp", "highspy", "pandas", "matplotlib", "rich", "numpy", "pydantic", "pint")
    code = f"import sys, optimizer; print([name for name in {heavy} if name in sys.modules])"
    assert subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, cwd=ROOT).stdout == "[]\n"


def test_only_the_command_line_prints_exits_or_looks_around() -> None:
    forbidden = {"print", "exit", "chdir", "getcwd", "cwd", "signal", "filterwarnings", "setlocale", "input"}
    found = []
    for folder in ("catalog", "optimizer"):
        for path in (ROOT / folder).rglob("*.py"):
            if "cli" in path.parts or (path.name in ("compare.py",) and "usda" in path.parts):
                continue
            for node in ast.walk(ast.parse(path.read_text("utf-8"))):
                called = node.func if isinstance(node, ast.Call) else None
                name = (
                    called.id
                    if isinstance(called, ast.Name)
                    else called.attr
                    if isinstance(called, ast.Attribute)
                    else ""
                )
                own = (
                    isinstance(called, ast.Attribute)
                    and isinstance(called.value, ast.Name)
                    and called.value.id in ("console", "out")
                )
                if name in forbidden and not own:
                    found.append((path.name, name))
    assert found == []
