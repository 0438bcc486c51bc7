"""Every output aimed at every input: refused with its option, and the input stays as it was, to the byte."""

from pathlib import Path

import pytest
from click.testing import CliRunner

from optimizer.cli.main import main
from tests.conftest import SCENARIOS

OUTPUTS = ["--sheet", "--report", "--vet", "--labels", "--calendar", "--chart", "--workbook"]
ENDING = {"--sheet": ".txt", "--calendar": ".ics", "--chart": ".svg", "--workbook": ".xlsx"}


@pytest.fixture
def kitchen(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with a scenario, own foods, a price list and a journal."""
    monkeypatch.setenv("WEIGHOUT_DATA", str(tmp_path / "data"))
    (tmp_path / "data").mkdir()
    for name in ("duck-and-quail-as-usual.toml", "store-freezer-top-up.toml", "prices-euro.csv"):
        (tmp_path / name).write_bytes((SCENARIOS / name).read_bytes())
    (tmp_path / "own-foods.toml").write_text("# mine\n", encoding="utf-8")
    return tmp_path


@pytest.mark.parametrize("option", OUTPUTS)
@pytest.mark.parametrize("target", ["duck-and-quail-as-usual.toml", "own-foods.toml"])
@pytest.mark.parametrize("how", ["itself", "link", "hard link"])
def test_no_output_goes_over_what_is_read(kitchen: Path, option: str, target: str, how: str) -> None:
    path = kitchen / target
    if how != "itself":
        path = kitchen / f"other{ENDING.get(option, '.html')}"
        path.symlink_to(kitchen / target) if how == "link" else path.hardlink_to(kitchen / target)
    before = (kitchen / target).read_bytes()
    scenario = str(kitchen / "duck-and-quail-as-usual.toml")
    done = CliRunner().invoke(main, ["check", scenario, option, str(path), "--overwrite"])
    assert done.exit_code == 2
    assert option in done.stderr
    assert (kitchen / target).read_bytes() == before


@pytest.mark.parametrize("option", ["--list", "--sheet"])
def test_no_shopping_list_goes_over_the_prices(kitchen: Path, option: str) -> None:
    prices = kitchen / "prices-euro.csv"
    before = prices.read_bytes()
    words = ["market", str(kitchen / "store-freezer-top-up.toml"), "--prices", str(prices)]
    done = CliRunner().invoke(main, [*words, option, str(prices), "--overwrite"])
    assert done.exit_code == 2
    assert "which is read here" in done.stderr
    assert prices.read_bytes() == before


def test_nothing_is_exported_over_the_journal(kitchen: Path) -> None:
    journal = ["--journal", str(kitchen / "j.db")]
    done = CliRunner().invoke(main, ["stock", "add", "taurine-powder", "200 g", *journal])
    assert done.exit_code == 0
    before = (kitchen / "j.db").read_bytes()
    done = CliRunner().invoke(main, ["journal", "export", "--to", str(kitchen / "j.db"), "--overwrite", *journal])
    assert done.exit_code == 2
    assert (kitchen / "j.db").read_bytes() == before


def test_two_outputs_into_one_file_are_refused(kitchen: Path) -> None:
    scenario, page = str(kitchen / "duck-and-quail-as-usual.toml"), str(kitchen / "p.html")
    done = CliRunner().invoke(main, ["check", scenario, "--sheet", page, "--report", page])
    assert done.exit_code == 2
    assert "a file of its own" in done.stderr
    assert not (kitchen / "p.html").exists()


@pytest.mark.parametrize("option", ["--report", "--vet", "--labels", "--workbook"])
def test_an_ending_that_is_not_its_own_is_refused(kitchen: Path, option: str) -> None:
    scenario = str(kitchen / "duck-and-quail-as-usual.toml")
    done = CliRunner().invoke(main, ["check", scenario, option, str(kitchen / "x.txt")])
    assert done.exit_code == 2
    assert "a file that ends in ." in done.stderr
    assert not (kitchen / "x.txt").exists()


def test_a_sheet_is_written_again_but_not_over_the_ticks_of_a_person(kitchen: Path) -> None:
    words = ["check", str(kitchen / "duck-and-quail-as-usual.toml"), "--sheet", str(kitchen / "s.md")]
    for _ in range(2):
        assert CliRunner().invoke(main, words).exit_code == 1  # this recipe misses limits
    (kitchen / "s.md").write_text("ticked\n", encoding="utf-8")
    done = CliRunner().invoke(main, words)
    assert done.exit_code == 2
    assert "--overwrite replaces it." in done.stderr
    assert (kitchen / "s.md").read_text(encoding="utf-8") == "ticked\n"
    assert CliRunner().invoke(main, [*words, "--overwrite"]).exit_code == 1
