"""Slips that were once read as something else, each as a person types it: told now, with where and what is allowed."""

import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from optimizer.cli.main import main
from tests.altered import changed, demo, toml_text
from tests.conftest import SCENARIOS

TURKEY = str(SCENARIOS / "turkey-week.toml")
HEAD = "store,food,package,price,currency,date,note,most\n"


def run(*words: str) -> Result:
    return CliRunner().invoke(main, list(words))


def test_nothing_of_a_large_unit_and_some_of_a_small_one_is_some(tmp_path: Path) -> None:
    journal = ("--journal", str(tmp_path / "j.db"))
    done = run("journal", "record", TURKEY, "--weighed", "turkey-liver=0 lb 5 oz", *journal)
    assert "As weighed, every limit is met." in done.stdout
    assert run("stock", "add", "taurine-powder", "200 g", *journal).exit_code == 0
    assert "150 g left" in run("stock", "count", "1", "0 kg 150 g", *journal).stdout
    assert "nothing left" in run("stock", "count", "1", "0 kg 0 g", *journal).stdout


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("A,beef-heart,1 kg,4,49,2026-11-01,,", "currency: read '49'"),
        ("A,beef-heart,1 kg,4.49,EUR,2026-11-01,49,", "note: read '49'; allowed: words, or an empty cell."),
        ("A,taurine-capsule-500,50 g,4.49,EUR,2026-11-01,,", 'allowed: a count such as "60 capsules"'),
        ("A,beef-heart,1 Mg,4.49,EUR,2026-11-01,,", "could be mg or a tonne"),
        ("A,beef-heart,1 kg,0,EUR,2026-11-01,,", 'allowed: a price above zero, or 0 with "free" in the note'),
        ("A,beef-heart,1 kg,123456789012345678901234567890,EUR,2026-11-01,,", "far more than anything costs"),
        ("A,beef-heart,1 kg,4.49,EUR,2026-11-01x,,", "date: read '2026-11-01x'"),
        ("A,beef-heart,1 kg,4.49,EUR,2126-11-01,,", "date: read '2126-11-01'"),
    ],
)
def test_a_price_list_says_what_its_words_can_say(tmp_path: Path, line: str, told: str) -> None:
    (tmp_path / "prices.csv").write_text(HEAD + line + "\n", encoding="utf-8")
    done = run("market", str(SCENARIOS / "store-freezer-top-up.toml"), "--prices", str(tmp_path / "prices.csv"))
    assert done.exit_code == 2
    assert told in done.stderr


def test_what_is_free_costs_nothing(tmp_path: Path) -> None:
    text = HEAD + "Freezer,beef-heart,1 kg,0,EUR,2026-11-01,free from a friend,1\n"
    (tmp_path / "prices.csv").write_text(text, encoding="utf-8")
    done = run("market", str(SCENARIOS / "store-freezer-top-up.toml"), "--prices", str(tmp_path / "prices.csv"))
    assert done.exit_code in (0, 1)


@pytest.mark.parametrize("written", ["1_2", "-1", "١", "0", "1e3", "1/0", "nan"])
def test_a_ratio_has_one_grammar(tmp_path: Path, written: str) -> None:
    limit = {"nutrient": "calcium-phosphorus", "at_least": written}
    (tmp_path / "s.toml").write_text(toml_text(changed(demo("turkey-week"), limits=[limit])), encoding="utf-8")
    done = run("check", str(tmp_path / "s.toml"))
    assert done.exit_code == 2
    assert "limits[1].at_least" in done.stderr
    assert "allowed: a ratio such as 1.2" in done.stderr


@pytest.mark.parametrize(("cap", "told"), [("1", "1 may be 1 % or all of it"), ("0.9", "more than half of the mix")])
def test_a_cap_of_all_is_written_with_its_sign(tmp_path: Path, cap: str, told: str) -> None:
    text = f"non_meat_cap = {cap}\n" + toml_text(demo("turkey-week"))
    (tmp_path / "s.toml").write_text(text, encoding="utf-8")
    done = run("check", str(tmp_path / "s.toml"))
    assert done.exit_code == 2
    assert told in done.stderr


@pytest.mark.parametrize("seconds", ["nan", "inf", "-1", "0", "1e9"])
@pytest.mark.parametrize("command", ["plan", "tradeoff"])
def test_a_time_limit_is_a_number_of_seconds(command: str, seconds: str) -> None:
    done = run(command, TURKEY, "--seconds", seconds)
    assert done.exit_code == 2
    assert "is no number of seconds from 0.01 to 86400" in done.stderr


def test_a_file_in_utf_16_is_read(tmp_path: Path) -> None:
    (tmp_path / "s.toml").write_bytes(toml_text(demo("turkey-week")).encode("utf-16"))
    assert run("check", str(tmp_path / "s.toml")).exit_code == 1


def test_an_empty_file_is_no_journal(tmp_path: Path) -> None:
    (tmp_path / "j.db").touch()
    done = run("journal", "list", "--journal", str(tmp_path / "j.db"))
    assert done.exit_code == 2
    assert "an empty file, no journal" in done.stderr
    assert (tmp_path / "j.db").stat().st_size == 0


def test_a_day_that_toml_reads_as_a_date_can_be_recorded(tmp_path: Path) -> None:
    text = toml_text(demo("turkey-week")) + "\n[portions]\nfeed_from = 2026-11-30\n"
    (tmp_path / "s.toml").write_text(text, encoding="utf-8")
    assert run("journal", "record", str(tmp_path / "s.toml"), "--journal", str(tmp_path / "j.db")).exit_code == 0


def test_a_name_with_escapes_moves_no_cursor(tmp_path: Path) -> None:
    done = run("plan", str(tmp_path / "a\x1b[31m\u202eb.toml"))
    assert done.exit_code == 2
    assert "a\\x1b[31m\\u202eb.toml" in done.stderr


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no /dev/full on this system")
def test_what_is_recorded_is_said_to_be_though_it_cannot_be_printed(tmp_path: Path) -> None:
    command = "from optimizer.cli.main import run; run()"
    journal = ["--journal", str(tmp_path / "j.db")]
    with Path("/dev/full").open("w") as full:
        words = [sys.executable, "-c", command, "stock", "add", "taurine-powder", "200 g", *journal]
        done = subprocess.run(words, stdout=full, stderr=subprocess.PIPE, text=True, check=False)
    assert done.returncode == 2
    assert done.stderr.startswith("In stock as package 1; but what there is to say of it cannot be printed: No space")
    assert "taurine powder" in run("stock", *journal).stdout
