"""`losses` of a scenario: off by default, for the whole file or one entry; told in every output."""

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from catalog.catalog import load_catalog
from catalog.reading.toml_lines import Lines
from optimizer.checking import check
from optimizer.cli.main import main
from optimizer.scenario.read import read_scenario
from tests.altered import Data, changed, demo, entry, scenario_of, toml_text

CATALOG = load_catalog()[0]


def thighs(**keys: object) -> Data:
    """Boned thighs whose thiamine just meets a target of one's own."""
    on_hand = {"food": "turkey-thigh-meat", "amount": "1 kg"}
    limit = {"nutrient": "thiamine", "at_least": "0.4 mg per 1000 kcal"}
    return {"on_hand": [on_hand], "limits": [limit], "standard": "own-limits-only", **keys}


def run(*words: str, code: int = 0) -> Result:
    done = CliRunner().invoke(main, list(words))
    assert done.exit_code == code, done.output
    return done


def written(folder: Path, data: Data) -> str:
    (folder / "batch.toml").write_text(toml_text(data), encoding="utf-8")
    return str(folder / "batch.toml")


def test_a_target_that_is_met_is_missed_once_its_loss_is_taken_off() -> None:
    [there] = [line for line in check(scenario_of(thighs(), CATALOG), CATALOG).assessment.nutrients if line.minimum]
    data = thighs(limits=[{"nutrient": "thiamine", "at_least": f"{there.per_1000_kcal * 0.95:.4f} mg per 1000 kcal"}])
    assert check(scenario_of(data, CATALOG), CATALOG).assessment.all_met
    [miss] = check(scenario_of({**data, "losses": ["thaw-drip"]}, CATALOG), CATALOG).assessment.misses
    assert miss.amount == pytest.approx(there.per_1000_kcal * (1 - 0.122))


def test_an_entry_says_for_itself_what_was_done() -> None:
    data = changed(demo("turkey-week"), losses=["thaw-drip"])
    entry(data, "turkey-heart")["losses"] = []
    entry(data, "turkey-liver")["losses"] = ["frozen-30-days"]
    done = {item.id: [one.id for one in item.food.treatments] for item in scenario_of(data, CATALOG).items}
    assert done["turkey-ground"] == ["thaw-drip"]
    assert done["turkey-heart"] == []
    assert done["turkey-liver"] == ["frozen-30-days"]
    assert done["taurine-powder"] == done["egg-yolk"] == []


@pytest.mark.parametrize(
    ("keys", "food", "read"),
    [
        ({"losses": "thaw-drip"}, "turkey-thigh-meat", "(no list)"),
        ({"losses": ["thaw-drop"]}, "turkey-thigh-meat", "(no such loss)"),
        ({"losses": ["thaw-drip", "thaw-drip"]}, "turkey-thigh-meat", "(one of them twice)"),
        ({"losses": ["roasted"]}, "turkey-thigh-bone-in", "roasted, with bone"),
    ],
)
def test_what_cannot_be_is_told(keys: Data, food: str, read: str) -> None:
    data = thighs(on_hand=[{"food": food, "amount": "1 kg"}], **keys)
    _, mistakes = read_scenario(data, "file.toml", Lines({}), CATALOG)
    assert [read in mistake.read for mistake in mistakes] == [True]


def test_cooked_food_and_eggs_cannot_lose_once_more() -> None:
    data = thighs(on_hand=[{"food": "egg-whole", "amount": "10 eggs", "losses": ["thaw-drip"]}, *thighs()["on_hand"]])
    _, mistakes = read_scenario(data, "file.toml", Lines({}), CATALOG)
    assert [mistake.field for mistake in mistakes] == ["on_hand[1].losses"]


def test_every_output_says_what_was_taken_off(tmp_path: Path) -> None:
    file = written(tmp_path, changed(demo("turkey-week"), losses=["thaw-drip"]))
    pages = {option: tmp_path / name for option, name in (("--sheet", "s.html"), ("--report", "r.html"))}
    pages |= {"--vet": tmp_path / "v.html", "--calendar": tmp_path / "c.ics"}
    del pages["--calendar"]
    text = run("plan", file, *(str(word) for pair in pages.items() for word in pair), "--why").stdout
    assert "Taken off    thaw juice poured off: turkey neck, bone-in, skinned; ground turkey;" in text
    assert "Thaw juice poured off takes 7.0 % of the taurine, 12.2 % of the thiamine," in " ".join(text.split())
    for page in pages.values():
        assert "Taken off for thaw juice poured off: turkey neck" in page.read_text(encoding="utf-8")
    told = json.loads(run("plan", file, "--json", "--why").stdout)
    assert told["losses"]["turkey-heart"] == ["thaw-drip"]
    assert [loss["id"] for loss in told["reasons"]["losses"]] == ["thaw-drip"]


def test_batches_that_lost_in_other_ways_have_no_average(tmp_path: Path) -> None:
    plain, thawed = tmp_path / "plain", tmp_path / "thawed"
    plain.mkdir(), thawed.mkdir()
    files = written(plain, demo("turkey-week")), written(thawed, changed(demo("turkey-week"), losses=["thaw-drip"]))
    done = CliRunner().invoke(main, ["vet", *files, "--to", str(tmp_path / "v.html")])
    assert done.exit_code == 2
    assert "ground turkey with other losses than in another batch" in done.stderr
