"""`weighout standards`: the list, one of them, all side by side."""

import json
from dataclasses import replace

import pytest
from click.testing import CliRunner, Result

from catalog.records import Catalog, Condition, Limit
from optimizer.cli.main import main

LIMIT_KEYS = {
    *("life_stage", "nutrient", "unit", "basis", "minimum", "maximum", "maximum_kind", "of", "above"),
    *("condition", "source", "confidence", "note"),
}


@pytest.fixture(autouse=True)
def tables_are_read_once(monkeypatch: pytest.MonkeyPatch, catalog: Catalog) -> None:
    monkeypatch.setattr("catalog.catalog.load_catalog", lambda **_: (catalog, []))


def run(*words: str, exit_code: int = 0) -> Result:
    result = CliRunner().invoke(main, ["standards", *words])
    assert result.exit_code == exit_code, result.output
    return result


def test_the_list_has_every_standard(catalog: Catalog) -> None:
    text = run().stdout
    assert all(id_ in text for id_, _ in catalog.standards)
    assert "--compare" in text


def test_the_list_as_json_has_an_entry_for_each_life_stage(catalog: Catalog) -> None:
    listed = json.loads(run("--json").stdout)
    assert [(entry["id"], entry["life_stage"]) for entry in listed] == list(catalog.standards)
    assert all(set(limit) == LIMIT_KEYS - {"life_stage"} for entry in listed for limit in entry["limits"])


@pytest.mark.parametrize("id_", ["aafco", "fediaf-75", "fediaf-100", "nrc"])
def test_one_standard_has_both_life_stages(catalog: Catalog, id_: str) -> None:
    found = json.loads(run(id_, "--json").stdout)
    assert found["id"] == id_
    assert found["life_stages"] == ["adult", "growth"]
    assert all(limit.keys() == LIMIT_KEYS for limit in found["limits"])
    limits = [limit for stage in ("adult", "growth") for limit in catalog.standards[id_, stage].limits]
    assert [(row["nutrient"], row["minimum"], row["maximum"]) for row in found["limits"]] == [
        (limit.nutrient, limit.minimum, limit.maximum) for limit in limits
    ]


@pytest.mark.parametrize("id_", ["aafco", "fediaf-75", "fediaf-100", "nrc"])
def test_a_limit_can_be_rebuilt_from_its_json(catalog: Catalog, id_: str) -> None:
    for row in json.loads(run(id_, "--json").stdout)["limits"]:
        condition = Condition(**row["condition"]) if row["condition"] else None
        limit = Limit(
            nutrient=row["nutrient"],
            basis=row["basis"],
            minimum=row["minimum"],
            maximum=row["maximum"],
            source=row["source"],
            confidence=row["confidence"],
            of=row["of"] or "",
            above=row["above"] or 0.0,
            condition=condition,
            maximum_kind=row["maximum_kind"] or "",
            note=row["note"],
        )
        told = [replace(known, file="", line=0) for known in catalog.standards[id_, row["life_stage"]].limits]
        assert limit in told
        assert row["unit"] == catalog.nutrients[row["nutrient"]].unit


def test_one_standard_as_text_shows_conditions_sources_and_confidence() -> None:
    text = " ".join(run("aafco").stdout.split())
    assert "AAFCO cat food nutrient profiles" in text
    assert "[1]*" in text  # a limit entered from memory
    assert "* entered from memory" in text
    assert "[1] aafco-2016:" in text
    assert "more for each g" in text
    assert "Notes, growth" in text


def test_one_life_stage_alone() -> None:
    assert json.loads(run("nrc", "--life-stage", "growth", "--json").stdout)["life_stages"] == ["growth"]
    text = run("nrc", "--life-stage", "growth").stdout
    assert "Notes, growth" in text
    assert "Notes, adult" not in text


def test_side_by_side_as_json() -> None:
    found = json.loads(run("--compare", "--json").stdout)
    ids = [standard["id"] for standard in found["standards"]]
    assert ids == ["aafco", "fediaf-75", "fediaf-100", "nrc"]  # what has no limits has no column
    assert all(list(row["by_standard"]) == ids for row in found["rows"])
    [taurine] = [r for r in found["rows"] if (r["life_stage"], r["nutrient"]) == ("adult", "taurine")]
    # AAFCO 2016, wet food: 0.5 g; NRC 2006: 1.7 g per kg of dry matter, canned food
    assert taurine["by_standard"]["aafco"]["minimum"] == 0.5
    assert taurine["by_standard"]["nrc"]["minimum"] == 0.43
    assert any(row["by_standard"]["aafco"] is None for row in found["rows"])


def test_side_by_side_as_text() -> None:
    text = run("--compare", "--life-stage", "adult").stdout
    assert "adult, per 1000 kcal" in text
    assert "growth, per 1000 kcal" not in text
    [header] = [line for line in text.splitlines() if "fediaf-75" in line]
    assert header.split() == ["Nutrient", "Unit", "aafco", "fediaf-75", "fediaf-100", "nrc"]
    [vitamin_d] = [line.split() for line in text.splitlines() if "7520" in line]
    assert vitamin_d[:6] == ["vitamin", "D", "IU", "70.0", "to", "7520"]
    assert "growth, per 1000 kcal" in run("--compare").stdout


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (["afco"], "Did you mean aafco?"),
        (["aafco", "--compare"], "leave out the ID"),
        (["--life-stage", "adult"], "with an ID or with --compare"),
        (["aafco", "--life-stage", "old"], "'adult', 'growth'"),
    ],
)
def test_what_cannot_be_printed(words: list[str], message: str) -> None:
    result = run(*words, exit_code=2)
    assert result.stdout == ""
    assert message in result.stderr
