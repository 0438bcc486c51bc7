"""The commands `journal`, `stock` and `amend` as a person uses them: what is printed, and the exit codes."""

import json
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import click
import pytest
from click.testing import CliRunner, Result

from optimizer.cli.amend import amend
from optimizer.cli.journal import journal
from optimizer.cli.main import main
from optimizer.cli.stock import stock
from tests.altered import toml_text
from tests.conftest import SCENARIOS

TURKEY = str(SCENARIOS / "turkey-week.toml")
GROUPS = {"journal": journal, "stock": stock, "amend": amend}

Run = Callable[..., Result]


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Run:
    """Runs a command on a journal of its own, given by the environment; expects exit code 0 unless told."""
    monkeypatch.setenv("WEIGHOUT_JOURNAL", str(tmp_path / "journal.db"))
    monkeypatch.setenv("WEIGHOUT_DATA", str(tmp_path / "data"))

    def command(*words: str, code: int = 0) -> Result:
        done = CliRunner().invoke(GROUPS[words[0]], words[1:])
        assert done.exit_code == code, done.output
        assert (done.stderr == "") == (code != 2)
        return done

    return command


@pytest.fixture
def plan_json(tmp_path: Path) -> str:
    """What `check --json` prints of four kilograms of turkey, for tests in which no figure matters."""
    scenario = {
        "title": "Turkey again",
        "standard": "own-limits-only",
        "currency": "EUR",
        "on_hand": [{"food": "turkey-ground", "amount": "4 kg", "price": "19.90 for 4 kg"}],
        "supplements": [{"supplement": "taurine-powder", "exactly": "2 g", "price": "0.10 for 2 g"}],
        "limits": [{"nutrient": "taurine", "at_least": "0.2 g per 1000 kcal"}],
    }
    (tmp_path / "turkey.toml").write_text(toml_text(scenario), encoding="utf-8")
    done = CliRunner().invoke(main, ["check", str(tmp_path / "turkey.toml"), "--json"])
    (tmp_path / "plan.json").write_text(done.stdout, encoding="utf-8")
    return str(tmp_path / "plan.json")


def data(done: Result) -> Any:
    return json.loads(done.stdout)


def test_record_a_scenario_weighed_otherwise(run: Run) -> None:
    words = ("journal", "record", TURKEY, "--made-on", "2026-03-01", "--portions", "24", "--note", "smelled fine")
    done = run(*words, "--weighed", "taurine-powder=1/4 tsp", "--weighed", "salt-table=0", "--lot", "turkey-heart=L7")
    # 3527.3 g as planned, less 1.0 g of taurine (1/4 tsp) and 1.5 g of salt
    assert done.stdout == (
        "Recorded as batch 1: Turkey, ground with necks, 3525 g, made 2026-03-01.\n"
        "- taurine powder: planned 1/2 tsp, weighed 1/4 tsp\n"
        "- table salt, iodine not stated: planned 1/4 tsp, left out\n"
        "! As weighed, it misses 2 limits: taurine short, chloride short.\n"
    )
    shown = run("journal", "show", "1").stdout
    assert "* 1/2 tsp" in shown
    assert "- 2026-03-01: smelled fine" in shown
    assert "24 of 24 portions" in shown
    page = data(run("journal", "show", "1", "--json"))
    assert page["sheet"]["status"] == "assessed"
    assert page["planned"]["status"] == "planned"
    assert page["lots"] == [{"food": "turkey-heart", "lot": "L7", "use_by": "", "package": None, "grams": None}]


def test_what_check_judges_can_be_recorded(run: Run) -> None:
    scenario = str(SCENARIOS / "duck-and-quail-as-usual.toml")
    done = run("journal", "record", scenario, "--as-written")
    assert "! As planned, it misses " in done.stdout


def test_record_list_feed_note_undo_redo(run: Run, plan_json: str) -> None:
    run("journal", "record", plan_json, "--made-on", "2026-03-01", "--portions", "8")
    assert run("journal", "feed", "1", "3").stdout == "Batch 1: 5 of 8 portions, 2501 g left.\n"
    assert run("journal", "note", "1", "went", "fast").stdout == "Noted on batch 1.\n"
    assert run("journal", "undo").stdout == 'Undone: the note "went fast" on batch 1.\n'
    assert run("journal", "undo").stdout == "Undone: 1501 g of batch 1, fed.\n"
    assert run("journal", "redo").stdout == "Counts again: 1501 g of batch 1, fed.\n"
    assert run("journal", "list").stdout.split("\n")[3] == (
        "    1   2026-03-01   Turkey again   4002 g   20.00 EUR   5 of 8 portions, 2501 g   met"
    )
    for words in ("Turkey again", "Turkey again", "fed"):
        assert words in run("journal", "history").stdout
    assert [one["undone"] for one in data(run("journal", "history", "--json"))] == [
        False,
        False,
        True,
        False,
        True,
        False,
    ]
    [batch] = data(run("journal", "list", "--json"))
    assert (batch["number"], batch["portions_left"], batch["cost"]) == (1, 5, {"amount": "20.00", "currency": "EUR"})


def test_a_recall(run: Run, plan_json: str) -> None:
    run("stock", "add", "turkey-ground", "6 kg", "--lot", "L2231", "--use-by", "2099-01-01")
    run("journal", "record", plan_json, "--made-on", "2026-03-01", "--portions", "8")
    run("journal", "feed", "1", "3")
    shown = run("journal", "find", "--lot", "l2231").stdout
    assert "! In stock: 2000 g of ground turkey are left of package 1." in shown
    assert "! Not fed yet: batch 1, 5 of 8 portions, 2501 g." in shown
    found = data(run("journal", "find", "--lot", "L2231", "--json"))
    assert [(one["number"], one["portions_left"]) for one in found["batches"]] == [(1, 5)]
    assert run("journal", "find", "--lot", "L1").stdout == "No batch and no package in stock has the lot L1.\n"


def test_stock_lists_warns_and_values(run: Run, plan_json: str) -> None:
    soon = (date.today() + timedelta(days=3)).isoformat()
    assert run("stock", "add", "turkey-ground", "6 kg", "--price", "4.00 EUR/kg", "--use-by", soon).stdout == (
        "In stock as package 1: 6 kg of ground turkey for 24.00 EUR.\n"
    )
    run("journal", "record", plan_json)
    shown = run("stock").stdout
    assert f"! ground turkey, package 1: use by {soon}." in shown
    assert "! ground turkey: 2 kg left; batch 1 took 4 kg." in shown
    assert "Worth 8.00 EUR at what was paid." in shown
    assert data(run("stock", "--json"))["value"] == [{"amount": "8.00", "currency": "EUR"}]
    assert run("stock", "count", "1", "0").stdout == "Package 1, ground turkey: nothing left.\n"
    assert "nothing" not in run("stock", "--days", "1").stdout.partition("!")[0]
    assert "nothing" in run("stock", "--all").stdout


def test_prices_trend_compare(run: Run, plan_json: str) -> None:
    run("stock", "add", "turkey-ground", "6 kg", "--price", "24.00 EUR", "--bought", "2026-03-02")
    run("journal", "record", plan_json, "--made-on", "2026-03-01")
    run("journal", "record", plan_json, "--made-on", "2026-03-08")
    [price] = data(run("journal", "prices", "--json"))
    assert (price["food"], price["amount"], price["on"]) == ("turkey-ground", "19.90", "2026-03-08")
    assert "19.90 EUR" in run("journal", "prices").stdout
    assert "Taurine\ng per 1000 kcal\n" in run("journal", "trend", "taurine").stdout
    assert [p["value"] for p in data(run("journal", "trend", "cost", "--json"))["points"]] == [20.0, 20.0]
    assert "The same in both: 2 amounts, " in run("journal", "compare", "1", "2").stdout
    assert data(run("journal", "compare", "1", "2", "--json"))["same_amounts"] == 2


def test_a_trend_as_a_chart(run: Run, plan_json: str, tmp_path: Path) -> None:
    for day in ("2026-03-01", "2026-03-08"):
        run("journal", "record", plan_json, "--made-on", day)
    chart = tmp_path / "taurine.svg"
    run("journal", "trend", "taurine", "--chart", str(chart))
    assert chart.read_text(encoding="utf-8").startswith("<?xml")
    chart.write_text("mine", encoding="utf-8")
    assert "which exists" in run("journal", "trend", "cost", "--chart", str(chart), code=2).stderr
    assert "ends in .svg or .png" in run("journal", "trend", "cost", "--chart", "cost.gif", code=2).stderr
    run("journal", "trend", "cost", "--chart", str(tmp_path / "cost.png"))
    assert (tmp_path / "cost.png").read_bytes().startswith(b"\x89PNG")


def test_repeat_and_record_what_it_planned(run: Run, tmp_path: Path) -> None:
    run("journal", "record", TURKEY, "--weighed", "taurine-powder=1/4 tsp")
    shown = run("journal", "repeat", "1", "--meat", "4.2 kg").stdout
    assert "Last time's doses in proportion would miss: taurine" in shown
    assert "* taurine powder: 1/2 tsp, not 1/4 tsp: with 1/4 tsp: taurine" in shown
    assert "Every limit is met on average figures" in shown
    assert "Aim: nearest to the usual recipe." in " ".join(shown.split())
    again = tmp_path / "again.json"
    again.write_text(run("journal", "repeat", "1", "--meat", "4.2 kg", "--json").stdout, encoding="utf-8")
    assert "As planned, every limit is met." in run("journal", "record", str(again)).stdout
    # and once more, from the batch that was recorded from JSON: its jars are all still there
    assert data(run("journal", "repeat", "2", "--meat", "9 lb", "--json"))["plan"]["status"] == "planned"


def test_amend_and_record_what_it_planned(run: Run, tmp_path: Path) -> None:
    done = run("amend", TURKEY, "--done", "salmon-oil=9 g")
    assert done.stdout.startswith("With this in the bowl every limit can be met.\n")
    out = tmp_path / "amended.json"
    out.write_text(run("amend", TURKEY, "--done", "salmon-oil=9 g", "--json").stdout, encoding="utf-8")
    assert "As planned, every limit is met." in run("journal", "record", str(out)).stdout
    done = run("amend", TURKEY, "--done", "taurine=1/4 tsp", code=1)
    assert "Every limit is met when this is added to what is in the bowl: 1/4 tsp of taurine powder." in done.stdout
    assert "The sheet with 1/4 tsp more of taurine powder" in done.stdout


def test_export_and_import(run: Run, plan_json: str, tmp_path: Path) -> None:
    run("journal", "record", plan_json)
    for options, name in (((), "out.jsonl"), (("--csv",), "out.csv")):
        target, copy = str(tmp_path / name), str(tmp_path / f"{name}.db")
        assert run("journal", "export", *options, "--to", target).stdout == f"{target}: 1 events.\n"
        assert run("journal", "export", *options, "--to", target).stdout == f"{target}: 1 events.\n"
        assert run("journal", "import", target, "--journal", copy).stdout == "1 events added, 0 were there already.\n"
        both = [
            run("journal", "export", *options, "--journal", path).stdout_bytes
            for path in (copy, str(tmp_path / "journal.db"))
        ]
        assert both[0] == both[1] == Path(target).read_bytes()


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (("journal", "record", "absent.toml"), "absent.toml"),
        (("journal", "record", "absent.json"), "absent.json: read No such file or directory"),
        (("journal", "record", TURKEY, "--made-on", "1.3.2026"), '--made-on: read "1.3.2026"; allowed: a date from'),
        (("journal", "record", TURKEY, "--lot", "turkey-heart"), "--lot: read"),
        (("journal", "record", TURKEY, "--use-by", "turkey-heart=soon"), '--use-by: read "soon"'),
        (("journal", "record", TURKEY, "--lot", "beef-tongue=L7"), '--lot: read "beef-tongue"'),
        (("journal", "record", TURKEY, "--weighed", "taurine"), "--weighed: read"),
        (("journal", "repeat", "1", "--meat", "4 cups"), "--meat: read"),
        (("journal", "show", "1"), "there is no journal here yet"),
        (("journal", "import", "absent.jsonl"), "absent.jsonl: read No such file or directory"),
        (("stock", "add", "unicorn", "1 kg"), "FOOD: read"),
        (("stock",), "there is no journal here yet"),
        (("amend", TURKEY), "--done: read nothing"),
    ],
)
def test_bad_input_is_one_message_and_begins_no_journal(
    run: Run, tmp_path: Path, words: tuple[str, ...], message: str
) -> None:
    done = run(*words, code=2)
    assert message in done.stderr
    assert done.stdout == ""
    assert not (tmp_path / "journal.db").exists()


def test_the_journal_is_in_the_data_folder_unless_told(
    run: Run, plan_json: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("WEIGHOUT_JOURNAL")
    run("journal", "record", plan_json)
    assert (tmp_path / "data" / "journal.db").is_file()


def every_command() -> list[tuple[str, click.Command]]:
    named = [(f"{group.name} {name}", c) for group in (journal, stock) for name, c in group.commands.items()]
    return [*named, ("amend", amend), ("stock", stock)]


@pytest.mark.parametrize(("name", "command"), every_command())
def test_every_command_and_option_has_help(name: str, command: click.Command) -> None:
    assert command.help
    assert [o.name for o in command.params if isinstance(o, click.Option) and not o.help] == []
