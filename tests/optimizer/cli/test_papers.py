"""The options that write files, on a command of their own."""

from pathlib import Path
from typing import Any

import click
import pytest
from click.testing import CliRunner, Result

from optimizer.cli.common import answers_for_errors
from optimizer.cli.main import main
from optimizer.cli.options.papers import paper_options, papers_and_portions
from optimizer.cli.vet import vet
from tests.conftest import SCENARIOS
from tests.papers import CATALOG, batch


@click.command()
@click.argument("name")
@click.option("--cats", is_flag=True)
@paper_options
@answers_for_errors
def write(name: str, cats: bool, **papers: Any) -> None:
    made = batch(name, cats)
    papers_and_portions(papers, made.scenario, CATALOG, made.sheet)


def run(*arguments: str | Path) -> Result:
    return CliRunner().invoke(write, [str(argument) for argument in arguments])


def test_everything_is_written_in_one_go_and_named_on_standard_error(tmp_path: Path) -> None:
    options = {
        "--sheet": "sheet.html",
        "--report": "report.html",
        "--vet": "vet.html",
        "--labels": "labels.html",
        "--calendar": "thaw.ics",
        "--chart": "limits.svg",
        "--workbook": "batch.xlsx",
    }
    arguments = [part for option, file in options.items() for part in (option, tmp_path / file)]
    done = run("turkey-week", "--cats", *arguments, "--csv", tmp_path / "tables", "--date", "2026-11-25")
    assert done.exit_code == 0
    assert done.stdout == ""
    for option, file in options.items():
        assert f"{option} is in {tmp_path / file}" in done.stderr
        assert (tmp_path / file).stat().st_size > 1000
    assert sorted(p.name for p in (tmp_path / "tables").iterdir()) == [
        "matrix.csv",
        "nutrients.csv",
        "prices.csv",
        "sheet.csv",
    ]
    for file in ("sheet.html", "report.html", "vet.html", "labels.html", "limits.svg"):
        assert "2026-11-25" in (tmp_path / file).read_text(encoding="utf-8") or file == "limits.svg"


def test_the_same_day_gives_the_same_files(tmp_path: Path) -> None:
    for folder in ("a", "b"):
        (tmp_path / folder).mkdir()
        run("turkey-week", "--report", tmp_path / folder / "r.html", "--workbook", tmp_path / folder / "w.xlsx",
            "--date", "2026-11-25")  # fmt: skip
    for file in ("r.html", "w.xlsx"):
        assert (tmp_path / "a" / file).read_bytes() == (tmp_path / "b" / file).read_bytes()


@pytest.mark.parametrize(("ending", "first"), [("md", "# Turkey"), ("txt", "Turkey"), ("csv", "stage,part,id")])
def test_the_sheet_takes_its_form_from_the_ending(ending: str, first: str, tmp_path: Path) -> None:
    assert run("turkey-week", "--sheet", tmp_path / f"s.{ending}").exit_code == 0
    assert (tmp_path / f"s.{ending}").read_text(encoding="utf-8").startswith(first)


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (["--sheet", "s.doc"], 'command line: --sheet: read "s.doc"; allowed: a file that ends in .html, .md'),
        (["--calendar", "c.ics"], "a scenario with [[cats]]"),
        (["--chart", "c.gif"], "a file that ends in .svg or .png"),
        (["--sheet", "no/such/folder/s.md"], "a file in a folder that exists"),
        (["--label-grid", "99x1"], "no grid of 1 to 12 rows and 1 to 5 columns"),
        (["--date", "soon"], '"soon" is not a date'),
    ],
)
def test_what_cannot_be_written_is_one_message_and_exit_code_2(
    arguments: list[str], message: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    done = run("turkey-week", *arguments)
    assert done.exit_code == 2
    assert message in done.stderr
    assert list(tmp_path.iterdir()) == []


def test_one_file_that_cannot_be_made_keeps_the_others_from_being_written(tmp_path: Path) -> None:
    assert run("turkey-week", "--sheet", tmp_path / "s.html", "--calendar", tmp_path / "c.ics").exit_code == 2
    assert list(tmp_path.iterdir()) == []


def test_the_front_between_cost_and_jars_as_a_chart(tmp_path: Path) -> None:
    assert run("turkey-week", "--chart", tmp_path / "front.png", "--chart-of", "front").exit_code == 0
    assert (tmp_path / "front.png").read_bytes().startswith(b"\x89PNG")


def test_a_report_on_the_average_of_two_batches(tmp_path: Path) -> None:
    files = [str(SCENARIOS / f"{name}.toml") for name in ("turkey-week", "lamb-and-fish")]
    done = CliRunner().invoke(vet, [*files, "--to", str(tmp_path / "vet.html"), "--date", "2026-11-25"])
    assert done.exit_code == 0
    text = (tmp_path / "vet.html").read_text(encoding="utf-8")
    assert "the average of 2 batches by mass" in text
    assert "made 2026-11-25" in text


# `check` writes the same files of what is written in the scenario.

AS_USUAL = str(SCENARIOS / "duck-and-quail-as-usual.toml")


def check(*arguments: str | Path) -> Result:
    return CliRunner().invoke(main, ["check", AS_USUAL, *map(str, arguments), "--date", "2026-11-25"])


def test_check_writes_files_that_say_what_is_missed(tmp_path: Path) -> None:
    says = {
        "--sheet": ("sheet.html", "Not complete: manganese"),
        "--report": ("report.html", "these amounts miss some limits"),
        "--vet": ("vet.html", "manganese (short"),
        "--labels": ("labels.html", "NOT COMPLETE"),
    }
    files = [part for option, (file, _) in says.items() for part in (option, tmp_path / file)]
    done = check(*files, "--chart", tmp_path / "c.svg", "--workbook", tmp_path / "w.xlsx", "--csv", tmp_path / "csv")
    assert done.exit_code == 1
    assert "As written, these amounts miss some limits." in done.stdout
    for file, words in says.values():
        assert words in (tmp_path / file).read_text(encoding="utf-8")
    assert (tmp_path / "c.svg").stat().st_size > 1000
    assert (tmp_path / "w.xlsx").stat().st_size > 1000
    assert (tmp_path / "csv" / "nutrients.csv").read_text(encoding="utf-8").count(
        ",short,"
    ) == 6  # five nutrients and the ratio


def test_check_has_no_chart_of_plans(tmp_path: Path) -> None:
    done = check("--chart", tmp_path / "front.svg", "--chart-of", "front")
    assert done.exit_code == 2
    assert done.stdout == ""
    assert (
        'command line: --chart-of: read "front"; allowed: limits, sources or cost: check plans nothing' in done.stderr
    )
    assert list(tmp_path.iterdir()) == []
    usage = " ".join(CliRunner().invoke(main, ["check", "--help"]).stdout.split())
    assert "Files are written even where limits are missed" in usage
    assert "--chart-of front is refused" in usage
