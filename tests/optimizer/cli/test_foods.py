"""`weighout foods`: search, show, add and audit, as a person calls them."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from catalog.records import Catalog
from optimizer.cli.main import main

Run = Callable[..., Result]

LABEL = [
    *("--id", "my-multi", "--name", "multivitamin", "--role", "supplement", "--counts-as", "non-meat"),
    *("--per", "2 capsules (1.3 g)", "--amount", "taurine=1000 mg", "--amount", "vitamin-a=150 mcg RAE"),
]
VALUE_KEYS = set("nutrient per_100_g unit low high kind confidence source sd assumed_sd n".split())
FOOD_KEYS = set(
    "id name role counts_as ndb_no parts measures values unknown category tags purposes usual_price_per_gram "
    "simple_parts energy_kcal_per_100_g dry_matter_g_per_100_g bone_share tag_shares counted class_values "
    "cautions".split()
)


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, catalog: Catalog) -> Run:
    """Runs `weighout foods …` in an empty folder and with an empty data folder; the tables are read once."""
    monkeypatch.setattr("catalog.catalog.load_catalog", lambda **_: (catalog, []))
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("WEIGHOUT_DATA", str(tmp_path / "data"))

    def runner(*words: str, answers: str | None = None, exit_code: int = 0) -> Result:
        result = CliRunner().invoke(main, ["foods", *words], input=answers)
        assert result.exit_code == exit_code, result.output
        return result

    return runner


def shown(run: Run, id_: str) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(run("show", id_, "--json").stdout)
    return found


@pytest.mark.parametrize(
    ("words", "found"),
    [
        (["turkey", "gizzard"], {"turkey-gizzard", "turkey-giblets"}),
        (["egg-yolk"], {"egg-yolk"}),
        (["wheelbarrow"], set()),
    ],
)
def test_words_that_are_no_command_are_searched_for(run: Run, words: list[str], found: set[str]) -> None:
    listed = {food["id"] for food in json.loads(run(*words, "--json").stdout)}
    assert listed >= found
    assert bool(listed) == bool(found)
    assert listed == {food["id"] for food in json.loads(run("--json", *words).stdout)}


def test_without_words_all_are_listed(run: Run, catalog: Catalog) -> None:
    assert len(json.loads(run("--json").stdout)) == len(catalog.foods)
    text = run().stdout
    assert "turkey-heart" in text
    assert "taurine-powder" in text


@pytest.mark.parametrize("words", [["--help"], ["-h"], ["turkey", "--help"]])
def test_help_names_the_commands(run: Run, words: list[str]) -> None:
    text = run(*words).stdout
    assert all(command in text for command in ("show", "add", "audit"))


def test_show_as_json_has_every_figure_and_names_what_is_unknown(run: Run, catalog: Catalog) -> None:
    food = shown(run, "turkey-heart")
    assert food.keys() == FOOD_KEYS
    assert (food["name"], food["role"], food["counts_as"], food["ndb_no"]) == ("turkey heart", "organ", "meat", "05175")
    assert food["parts"] == []
    assert [(m["unit"], m["grams"]) for m in food["measures"]] == [("heart", 24.0)]
    assert all(value.keys() == VALUE_KEYS for value in food["values"])
    values = {value["nutrient"]: value for value in food["values"]}
    assert values["water"] == {
        "nutrient": "water",
        "per_100_g": 74.47,
        "unit": "g",
        "low": 74.47,
        "high": 74.47,
        "kind": "analysed",
        "confidence": "read",
        "source": "sr28:05175",
        "sd": 2.644,
        "assumed_sd": None,
        "n": 4,
    }
    assert values["arginine"]["sd"] is None  # none was published; what is assumed is no figure of this food
    assert values["arginine"]["assumed_sd"] > 0
    assert values.keys() | set(food["unknown"]) == catalog.nutrients.keys()


@pytest.mark.parametrize("id_", ["chicken-wing-bone-in", "turkey-neck-bone-in", "turkey-heart", "kelp-powder"])
def test_what_is_counted_of_a_food_can_be_worked_out_from_the_json_of_its_parts(run: Run, id_: str) -> None:
    food = shown(run, id_)
    parts = [(shown(run, part["food"]), part["share"]) for part in food["simple_parts"]]
    stand_in = {(row["food"], row["nutrient"]): row["high_per_100_g"] for row in food["class_values"]}
    for counted in food["counted"]:
        nutrient, low, high = counted["nutrient"], 0.0, 0.0
        for part, share in parts:
            value = next((v for v in part["values"] if v["nutrient"] == nutrient), None)
            class_high = stand_in.get((part["id"], nutrient), 0.0)
            low += share * value["low"] if value else 0.0
            high += share * (max(value["high"], class_high) if value else class_high)
        assert counted["low"] == pytest.approx(low, abs=1e-12)
        assert counted["high"] == pytest.approx(high, abs=1e-12)
    extract = {c["nutrient"]: c["value"] for c in food["counted"]}
    # AAFCO regulation PF9: 3.5, 8.5 and 3.5 kcal per gram of protein, fat and nitrogen-free extract
    kcal = 3.5 * extract["protein"] + 8.5 * extract["fat"]
    kcal += 3.5 * max(0.0, extract["carbohydrate"] - extract["fibre"])
    assert food["energy_kcal_per_100_g"]["modified-atwater"] == pytest.approx(kcal)
    assert food["dry_matter_g_per_100_g"] == pytest.approx(100 - extract["water"])


def test_show_as_json_of_a_composite_has_parts_and_unknown_shares(run: Run) -> None:
    food = shown(run, "chicken-wing-bone-in")
    assert food.keys() == FOOD_KEYS
    assert sum(part["share"] for part in food["parts"]) == pytest.approx(1)
    assert all(value.keys() == VALUE_KEYS | {"unknown_share"} for value in food["values"])
    assert food["ndb_no"] is None
    partly = {value["nutrient"] for value in food["values"] if value["unknown_share"] > 0}
    assert partly
    assert partly <= set(food["unknown"])


def test_show_says_what_a_jar_is_dosed_for(run: Run) -> None:
    assert "dosed for: vitamin A (retinol), vitamin D, EPA + DHA\n" in run("show", "cod-liver-oil").output
    assert json.loads(run("show", "cod-liver-oil", "--json").output)["purposes"] == [
        "vitamin-a",
        "vitamin-d",
        "epa-dha",
    ]


def test_what_is_refused_is_said_to_be(run: Run) -> None:
    assert "Refused: Alcohol poisons cats in very small amounts." in run("wine").output


def test_a_list_into_a_pipe_has_one_food_a_line(run: Run) -> None:
    lines = [line for line in run("softgel").output.splitlines() if "softgel" in line]
    assert all(line.split()[0].count("-") for line in lines)


def test_show_as_text(run: Run) -> None:
    text = run("show", "turkey-heart").stdout
    assert "USDA NDB 05175" in text
    assert "1 heart = 24 g [1]" in text
    assert "Not known" in text
    assert "[1] sr28:05175: " in text


@pytest.mark.parametrize(
    ("id_", "message"), [("turkey-hart", "Did you mean turkey-heart"), ("onion", "refused: Onion"), ("", 'read ""')]
)
def test_show_of_what_is_not_there(run: Run, id_: str, message: str) -> None:
    result = run("show", id_, exit_code=2)
    assert result.stdout == ""
    assert message in result.stderr


def test_add_by_options_then_list_show_and_plan_with_it(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "data" / "own-foods.toml"
    assert f"my-multi is in {path}, line 4" in run("add", *LABEL).stdout
    food = shown(run, "my-multi")
    values = {value["nutrient"]: value for value in food["values"]}
    assert values["vitamin-a"]["per_100_g"] == pytest.approx(500 / 1.3 * 100)
    assert values["vitamin-a"]["kind"] == "label"
    assert values["vitamin-a"]["source"] == f"own:{path}:4"
    [listed] = json.loads(run("my-multi", "--json").stdout)
    assert (listed["own_file"], listed["replaces"]) == (str(path), None)
    assert "own entry" in run("my-multi").stdout


def test_an_entry_beside_the_scenario_is_planned_with(run: Run, tmp_path: Path) -> None:
    kitchen = tmp_path / "kitchen"
    run("add", *LABEL, "--to", str(kitchen / "own-foods.toml"))
    scenario = kitchen / "week.toml"
    scenario.write_text(
        '[[on_hand]]\nfood = "turkey-heart"\namount = "1 kg"\n'
        '[[supplements]]\nsupplement = "my-multi"\nexactly = "3 capsules"\n',
        encoding="utf-8",
    )
    result = CliRunner().invoke(main, ["check", str(scenario), "--json"])
    assert result.exit_code == 1, result.output  # hearts and a pill are no whole diet
    amounts = {amount["id"]: amount["grams"] for amount in json.loads(result.stdout)["amounts"]}
    assert amounts["my-multi"] == pytest.approx(3 * 0.65)
    assert run("my-multi", "--json").stdout.strip() == "[]"  # it is that scenario's alone


def test_add_replaces_a_food_of_the_catalog_only_when_told_to(run: Run, tmp_path: Path) -> None:
    mine = ["add", "--id", "turkey-heart", "--name", "my hearts", "--like", "turkey-heart"]
    mine += ["--per", "100 g", "--amount", "taurine=150 mg"]
    assert "--replace" in run(*mine, exit_code=2).stderr
    assert not (tmp_path / "data").exists()
    run(*mine, "--replace")
    assert "replaces the catalog's entry" in run("show", "turkey-heart").stdout
    assert "has it" in run(*mine, "--replace", exit_code=2).stderr  # its own id is never written twice


def test_add_tells_every_mistake_and_writes_nothing(run: Run, tmp_path: Path) -> None:
    words = [word.replace("taurine=1000 mg", "taurin=1 g").replace("supplement", "pill") for word in LABEL]
    result = run("add", *words, "--amount", "zinc=100 %", exit_code=2)
    assert result.stdout == ""
    assert [line.split(": ")[1] for line in result.stderr.splitlines()] == ["role", "amounts.taurin", "amounts.zinc"]
    assert not (tmp_path / "data").exists()


@pytest.mark.parametrize("amount", ["taurine", "taurine=", "=1 g"])
def test_an_amount_needs_a_nutrient_and_a_value(run: Run, amount: str) -> None:
    assert 'taurine="1000 mg"' in run("add", *LABEL, "--amount", amount, exit_code=2).stderr


def test_add_asks_for_what_is_missing_and_asks_again_after_a_mistake(run: Run) -> None:
    answers = [
        *("My Kelp", "my-kelp", "kelp granules", "", "", "1 tsp", "1 tsp (3 g)"),
        *("iodine 5", "iodine = 5 bushels", "iodine = 150 to 700 ug", ""),
    ]
    result = run("add", answers="\n".join(answers) + "\n")
    assert result.stderr.count("Error: ") == 4
    assert result.stdout.startswith("my-kelp is in ")
    food = shown(run, "my-kelp")
    assert (food["role"], food["counts_as"]) == ("supplement", "non-meat")
    assert any("kelp" in caution["text"].lower() for caution in food["cautions"])


def test_add_asks_before_it_lays_an_entry_over_the_catalog(run: Run) -> None:
    words = ["add", "--name", "hearts", "--role", "organ", "--counts-as", "meat", "--per", "100 g"]
    words += ["--amount", "taurine=150 mg"]
    assert "has it" in run(*words, answers="turkey-heart\nn\n", exit_code=2).stderr
    run(*words, answers="turkey-heart\ny\n")
    assert shown(run, "turkey-heart")["name"] == "hearts"


def test_add_without_an_answer_writes_nothing(run: Run, tmp_path: Path) -> None:
    assert "nothing was written" in run("add", "--id", "mine", answers="", exit_code=2).stderr
    assert not (tmp_path / "data").exists()


def test_a_place_that_cannot_be_written_to(run: Run, tmp_path: Path) -> None:
    (tmp_path / "a-file").write_text("", encoding="utf-8")
    result = run("add", *LABEL, "--to", str(tmp_path / "a-file" / "own.toml"), exit_code=2)
    assert "nothing was written" in result.stderr


def test_a_folder_in_place_of_a_file(run: Run, tmp_path: Path) -> None:
    assert "Is a directory" in run("add", *LABEL, "--to", str(tmp_path), exit_code=2).stderr


def test_a_bad_file_of_own_foods_is_told_by_every_command(run: Run, tmp_path: Path) -> None:
    (tmp_path / "own-foods.toml").write_text('[[foods]]\nid = "mine"\ncolour = "red"\n', encoding="utf-8")
    for words in (["turkey"], ["show", "turkey-heart"], ["audit"], ["add", *LABEL]):
        result = run(*words, exit_code=2)
        assert 'own-foods.toml:3: foods[1].colour: read the key "colour"; allowed: the keys id' in result.stderr


def test_the_audit_is_clean(run: Run) -> None:
    assert "0 out of line" in run("audit").stdout
    found = json.loads(run("audit", "--json").stdout)
    assert found["clean"]
    assert len(found["checks"]) == 13
    assert all(finding["reason"] for finding in found["findings"])


def test_the_audit_finds_what_is_out_of_line_in_own_entries(run: Run) -> None:
    run("add", *LABEL, "--amount", "protein=10 %", "--amount", "leucine=9 %", "--amount", "lysine=9 %")
    result = run("audit", exit_code=1)
    assert "my-multi, amino-acids-within-protein" in result.stdout
    found = json.loads(run("audit", "--json", exit_code=1).stdout)
    assert not found["clean"]
