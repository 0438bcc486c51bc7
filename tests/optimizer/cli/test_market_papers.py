"""The options of `weighout market` that write files: the list, the chart, and the sheets of the batch it found."""

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from optimizer.assess.assessment import assess
from optimizer.cli.main import main
from optimizer.sheet.work_order import weighings, work_order
from tests.optimizer.market.market_help import TWO_STORES
from tests.optimizer.market.market_papers import POOR, report_of
from tests.papers import CATALOG, Page

Run = Callable[..., Result]


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("market")
    (made / "small.toml").write_text(TWO_STORES, encoding="utf-8")
    (made / "poor.toml").write_text(POOR, encoding="utf-8")
    return made


@pytest.fixture
def run(folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Run:
    monkeypatch.chdir(tmp_path)

    def call(*options: str, scenario: str = "small") -> Result:
        return CliRunner().invoke(main, ["market", str(folder / f"{scenario}.toml"), *options, "--date", "2026-11-25"])

    return call


def test_everything_is_written_in_one_go_and_named_on_standard_error(run: Run, tmp_path: Path) -> None:
    options = {
        "--list": "list.html",
        "--sheet": "sheet.html",
        "--report": "report.html",
        "--vet": "vet.html",
        "--labels": "labels.html",
        "--calendar": "thaw.ics",
        "--chart": "sweep.svg",
        "--workbook": "batch.xlsx",
    }
    arguments = [part for option, file in options.items() for part in (option, file)]
    done = run(*arguments, "--csv", "tables", "--sweep", "turkey-ground=2..8", "--json", "--paper", "letter")
    assert done.exit_code == 0, done.stderr
    assert json.loads(done.stdout)["status"] == "planned"
    for option, file in options.items():
        assert f"{option} is in {file}" in done.stderr
        assert (tmp_path / file).stat().st_size > 500
    assert len(list((tmp_path / "tables").iterdir())) == 4
    page = (tmp_path / "list.html").read_text(encoding="utf-8")
    assert "size: letter" in page
    assert "data:image/svg+xml;base64," in page
    assert "made 2026-11-25" in page


def test_the_weigh_out_sheet_is_that_of_the_batch_that_was_bought(run: Run, tmp_path: Path) -> None:
    done = run("--sheet", "sheet.html", "--json")
    rows = Page((tmp_path / "sheet.html").read_text(encoding="utf-8")).rows
    amounts = json.loads(done.stdout)["sheet"]["amounts"]
    assert {id_: row["measure"] for id_, row in rows.items()} == {a["id"]: a["text"] for a in amounts}


def test_a_basket_holds_the_scenario_of_its_batch() -> None:
    basket = report_of("everything").trip.basket
    sheet = basket.sheet
    assert {item.id for item in basket.scenario.items} == {line.id for line in sheet.lines}
    judged = assess(basket.scenario, CATALOG, sheet.amounts)
    assert [line.status for line in judged.nutrients] == [line.status for line in sheet.assessment.nutrients]
    assert judged.totals.mass_g == pytest.approx(sheet.assessment.totals.mass_g)


def test_what_is_bought_is_weighed_out_as_finely_as_a_scale_shows() -> None:
    basket = report_of("everything").trip.basket
    [weighing] = [w for _, _, w in weighings(work_order(basket.sheet)) if w.line.id == "beef-liver"]
    assert weighing.line.grams == 120


@pytest.mark.parametrize(
    ("ending", "first"), [("md", "# Two stores"), ("txt", "Two stores"), ("csv", "store,food,name")]
)
def test_the_list_takes_its_form_from_the_ending(run: Run, ending: str, first: str, tmp_path: Path) -> None:
    assert run("--list", f"list.{ending}").exit_code == 0
    assert (tmp_path / f"list.{ending}").read_text(encoding="utf-8").startswith(first)


@pytest.mark.parametrize(
    ("options", "message"),
    [
        (
            ["--list", "l.pdf"],
            'command line: --list: read "l.pdf"; allowed: a file that ends in .html, .md, .csv or .txt',
        ),
        (["--sheet", "s.doc"], 'command line: --sheet: read "s.doc"; allowed: a file that ends in .html, .md, .csv or'),
        (["--chart", "c.gif", "--sweep", "turkey-ground=2..8"], "a file that ends in .svg or .png"),
        (["--chart", "c.svg"], "allowed: a chart of a sweep: name its price with --sweep FOOD=LOW..HIGH/UNIT"),
        (["--list", "no/such/folder/l.md"], "a file in a folder that exists"),
    ],
)
def test_what_cannot_be_written_is_one_message_and_exit_code_2(
    run: Run, options: list[str], message: str, tmp_path: Path
) -> None:
    done = run(*options)
    assert done.exit_code == 2
    assert done.stdout == ""
    assert message in done.stderr
    assert list(tmp_path.iterdir()) == []


def test_one_file_that_cannot_be_made_keeps_the_others_from_being_written(run: Run, tmp_path: Path) -> None:
    done = run("--list", "l.md", "--calendar", "c.ics", scenario="poor")  # it has no cats, so nothing to thaw
    assert done.exit_code == 2
    assert "a scenario with [[cats]]" in done.stderr
    assert list(tmp_path.iterdir()) == []


def test_out_of_reach_is_written_as_plan_writes_it_and_has_no_sweep_to_draw(run: Run, tmp_path: Path) -> None:
    done = run("--list", "l.html", "--sheet", "s.html", "--labels", "b.html", "--sweep", "beef-heart=1..9",
               "--chart", "c.svg", scenario="poor")  # fmt: skip
    assert done.exit_code == 1
    assert "--chart is not written to c.svg: nothing to draw was found." in done.stderr
    assert sorted(path.name for path in tmp_path.iterdir()) == ["b.html", "l.html", "s.html"]
    for file, words in (("l.html", "Do not feed this mix."), ("s.html", "do not feed it"), ("b.html", "NOT COMPLETE")):
        assert words in (tmp_path / file).read_text(encoding="utf-8")
