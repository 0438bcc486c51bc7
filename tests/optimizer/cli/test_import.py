"""`weighout foods import`, as a person calls it, on a download of a few foods."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from catalog.records import Catalog
from optimizer.cli.main import main
from tests.catalog.usda import fdc_download as download

HEART, HERRING, ONION = download.HEART, download.HERRING, download.ONION
HEART_ID, HERRING_ID = "turkey-heart-all-classes-raw", "fish-herring-atlantic-raw"
Run = Callable[..., Result]


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, catalog: Catalog) -> Run:
    """Runs `weighout foods …` beside the folder fdc, with an empty data folder; the tables are read once."""
    monkeypatch.setattr("catalog.catalog.load_catalog", lambda **_: (catalog, []))
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("WEIGHOUT_DATA", str(tmp_path / "data"))
    download.write_folder(tmp_path / "fdc", download.files())

    def runner(*words: str, exit_code: int = 0) -> Result:
        result = CliRunner().invoke(main, ["foods", *words])
        assert result.exit_code == exit_code, result.output
        return result

    return runner


def test_search_lists_numbers_to_import_by(run: Run) -> None:
    assert run("import", "fdc", "--search", "HERRING raw").stdout == f"{HERRING}  Fish, herring, Atlantic, raw\n"
    [found] = json.loads(run("import", "fdc", "--search", "heart", "--json").stdout)
    assert (found["number"], found["ndb_no"], found["fdc_id"]) == (HEART, "05175", HEART)
    assert "No food of" in run("import", "fdc", "--search", "wheelbarrow").stdout
    assert run("import", "fdc", "--search", "wheelbarrow", "--json").stdout.strip() == "[]"


def test_foods_are_written_and_what_is_missing_is_told(run: Run, tmp_path: Path) -> None:
    text = " ".join(run("import", "fdc", "5175", HERRING).stdout.split())
    path = tmp_path / "data" / "own-foods.toml"
    assert f"{HEART_ID} is in {path}, line 4: 13 figures of USDA FoodData Central, SR Legacy" in text
    assert "Listed as fish, counts as meat; tags: fish thiaminase." in text
    assert "Not in the release, so unknown: ash," in text
    assert "The catalog has this food as turkey-heart" in text
    food = json.loads(run("show", HEART_ID, "--json").stdout)
    values = {value["nutrient"]: value for value in food["values"]}
    assert values["water"] == {
        "nutrient": "water",
        "per_100_g": 74.47,
        "unit": "g",
        "low": 74.47,
        "high": 74.47,
        "kind": "analysed",
        "confidence": "read",
        "source": f"own:{path}:4 (USDA FoodData Central, SR Legacy, published 2019-04-01, FDC ID {HEART}, NDB 05175)",
        "sd": 2.644,
        "assumed_sd": None,
        "n": 4,
    }
    assert "taurine" in food["unknown"]


def test_json_names_the_file_and_what_is_missing(run: Run) -> None:
    found = json.loads(run("import", "fdc", HEART, "--id", "hearts", "--to", "mine.toml", "--json").stdout)
    assert (found["file"], found["refused"]) == ("mine.toml", [])
    [food] = found["foods"]
    assert (food["id"], food["number"], food["figures"], food["same_as"]) == ("hearts", HEART, 13, "turkey-heart")
    assert "taurine" in food["missing"]


def test_nothing_is_written_over(run: Run, tmp_path: Path) -> None:
    run("import", "fdc", HEART)
    path = tmp_path / "data" / "own-foods.toml"
    before = path.read_text(encoding="utf-8")
    assert "has it" in run("import", "fdc", HERRING, HEART, exit_code=2).stderr
    assert path.read_text(encoding="utf-8") == before  # not even the one that is new
    assert "--replace" in run("import", "fdc", HEART, "--id", "turkey-heart", exit_code=2).stderr
    run("import", "fdc", HEART, "--id", "turkey-heart", "--replace")
    assert path.read_text(encoding="utf-8").startswith(before)


def test_what_is_unsafe_is_refused_and_the_rest_is_written(run: Run) -> None:
    result = run("import", "fdc", HEART, ONION, "--json", exit_code=1)
    found: dict[str, Any] = json.loads(result.stdout)
    assert [food["id"] for food in found["foods"]] == [HEART_ID]
    assert [food["number"] for food in found["refused"]] == [ONION]
    assert f"{ONION}, Onions, raw: refused. Onion, garlic" in result.stderr
    run("import", "fdc", ONION, exit_code=1)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["import", "fdc"], "--search WORDS"),
        (["import", "fdc", HEART, "--search", "heart"], "--search WORDS"),
        (["import", "nowhere", HEART], "allowed: a download of the Standard Reference"),
        (["import", "fdc", "12345", "heart"], 'read "heart"; allowed: an NDB number or FDC ID'),
        (["import", "fdc", HEART, HERRING, "--id", "both"], "an id for one food"),
        (["import", "fdc", HEART, "--id", "No Id"], "lower-case letters"),
    ],
)
def test_what_cannot_be_imported_is_told(run: Run, tmp_path: Path, words: list[str], said: str) -> None:
    result = run(*words, exit_code=2)
    assert result.stdout == ""
    assert said in result.stderr
    assert not (tmp_path / "data").exists()


def test_an_imported_food_can_be_weighed_out(run: Run, tmp_path: Path) -> None:
    run("import", "fdc", HEART)
    scenario = tmp_path / "week.toml"
    scenario.write_text(f'[[on_hand]]\nfood = "{HEART_ID}"\namount = "1 kg"\n', encoding="utf-8")
    result = CliRunner().invoke(main, ["check", str(scenario), "--json"])
    assert result.exit_code == 1, result.output  # hearts are no whole diet
    assert [amount["id"] for amount in json.loads(result.stdout)["amounts"]][:1] == [HEART_ID]
