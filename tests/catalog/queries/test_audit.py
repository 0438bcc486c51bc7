"""The audit: clean for what ships, and every check finds what it is for."""

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from catalog.catalog import TABLES
from catalog.queries.audit import CHECKS, Audited, UsdaEnergy, audit, name_of
from catalog.reading.names import read_synonyms
from catalog.records import Catalog, Figure, Food, Part


def with_figures(catalog: Catalog, id_: str, changes: Mapping[str, Any]) -> Catalog:
    """The catalog with some figures of one food changed: by a number, or by fields of the figure."""
    food = catalog.foods[id_]
    figures = dict(food.figures)
    for nutrient, change in changes.items():
        fields = change if isinstance(change, dict) else {"value": change, "low": change, "high": change}
        figures[nutrient] = replace(figures[nutrient], **fields)
    return with_food(catalog, replace(food, figures=figures))


def with_food(catalog: Catalog, food: Food) -> Catalog:
    return replace(catalog, foods={**catalog.foods, food.id: food})


def new_findings(catalog: Catalog) -> set[tuple[str, str]]:
    findings, mistakes = audit(catalog)
    assert mistakes == []
    return {(finding.food, finding.check) for finding in findings if not finding.reason}


def test_what_ships_is_clean_but_for_exceptions_with_reasons(catalog: Catalog) -> None:
    findings, mistakes = audit(catalog)
    assert mistakes == []
    assert [f"{f.food} {f.check}: {f.there_is}; allowed {f.allowed}" for f in findings if not f.reason] == []
    assert len(findings) < 20


@pytest.mark.parametrize(
    ("changes", "check"),
    [
        ({"water": 64.47}, "mass-balance"),
        ({"leucine": 12.0}, "amino-acids-within-protein"),
        ({"linoleic-acid": 7.4}, "fatty-acids-within-fat"),
        ({"potassium": 1.79}, "minerals-within-ash"),
        ({"epa-dha": 0.5}, "sums-are-of-their-terms"),
        ({"zinc": {"source": "hearsay"}}, "everything-has-a-source"),
        ({"zinc": {"source": ""}}, "everything-has-a-source"),
        ({"zinc": {"kind": "guessed"}}, "everything-has-a-source"),
        ({"zinc": {"high": 123_000.0}}, "figures-are-possible"),
        ({"zinc": {"low": 5.0}}, "figures-are-possible"),
        ({"vitamin-d": {"high": 5e9}}, "figures-are-possible"),
        ({"fat": 9.0}, "energy-is-as-usda-has-it"),
    ],
)
def test_a_slip_in_a_figure_is_found(catalog: Catalog, changes: dict[str, Any], check: str) -> None:
    assert ("turkey-heart", check) in new_findings(with_figures(catalog, "turkey-heart", changes))


def test_a_thousandfold_slip_of_a_unit_is_found(catalog: Catalog) -> None:
    sodium = catalog.foods["turkey-heart"].figures["sodium"].value
    assert new_findings(with_figures(catalog, "turkey-heart", {"sodium": 1000 * sodium}))


@pytest.mark.parametrize(
    ("parts", "there_is"),
    [
        ([("turkey-heart", 0.5, 0.5, 0.5)], "shares that sum to 0.5"),
        ([("turkey-heart", 1.0, 1.1, 1.2)], "turkey-heart of 1.1, 1, 1.2"),
    ],
)
def test_shares_that_are_no_whole_are_found(
    catalog: Catalog, parts: list[tuple[str, float, float, float]], there_is: str
) -> None:
    made = tuple(Part(food, share, low, high, "sr28", "read") for food, share, low, high in parts)
    mix = Food("mix", "mix", "cut", "meat", "bone-in", parts=made)
    findings, _ = audit(with_food(catalog, mix))
    assert [(f.check, f.there_is) for f in findings if f.food == "mix"] == [("shares-are-a-whole", there_is)]


def test_a_measure_without_a_source_is_found(catalog: Catalog) -> None:
    heart = catalog.foods["turkey-heart"]
    measures = {unit: replace(measure, source="hearsay") for unit, measure in heart.measures.items()}
    changed = with_food(catalog, replace(heart, measures=measures))
    assert new_findings(changed) == {("turkey-heart", "everything-has-a-source")}


def test_a_food_may_have_gaps_but_no_check_fails_on_them(catalog: Catalog) -> None:
    bare = Food("bare", "bare", "cut", "meat", "red-muscle", figures={"protein": figure(20.0)})
    assert new_findings(with_food(catalog, bare)) == set()


def figure(value: float) -> Figure:
    return Figure(value, value, value, "analysed", "sr28", "read")


def test_an_exception_that_nothing_needs_is_reported(catalog: Catalog, tmp_path: Path) -> None:
    exceptions = (TABLES / "audit_exceptions.csv").read_text(encoding="utf-8")
    (tmp_path / "audit_exceptions.csv").write_text(exceptions + "turkey-heart,mass-balance,no need\n", encoding="utf-8")
    (tmp_path / "usda_energy.csv").write_bytes((TABLES / "usda_energy.csv").read_bytes())
    findings, _ = audit(catalog, tmp_path)
    [unneeded] = [finding for finding in findings if not finding.reason]
    assert (unneeded.food, unneeded.check, unneeded.there_is) == ("turkey-heart", "mass-balance", "nothing out of line")


def test_bad_rows_of_the_audits_own_tables_are_told(catalog: Catalog, tmp_path: Path) -> None:
    (tmp_path / "audit_exceptions.csv").write_text("food,check,reason\nturkey-hart,mass,\n", encoding="utf-8")
    energy = "ndb_no,kcal,protein,fat,carbohydrate,source\n05175,,4.27,x,3.87,sr28:05175\n"
    (tmp_path / "usda_energy.csv").write_text(energy, encoding="utf-8")
    (tmp_path / "treatments.csv").write_text("id,name,cooks\nthaw-drip,poured off,maybe\n", encoding="utf-8")
    losses = "treatment,nutrient,share,low,high,source,confidence,note\nthaw-drip,taurin,1.2,,,hearsay,read,\n"
    (tmp_path / "losses.csv").write_text(losses, encoding="utf-8")
    synonyms = "word,means,note\nturkey-hart,turkey hart,\nblood,,no figure\n"
    (tmp_path / "synonyms.csv").write_text(synonyms, encoding="utf-8")
    catalog = replace(catalog, synonyms=read_synonyms(tmp_path / "synonyms.csv", []))
    _, mistakes = audit(catalog, tmp_path)
    assert [(Path(m.file).name, m.line, m.field) for m in mistakes] == [
        ("audit_exceptions.csv", 2, "food"),
        ("audit_exceptions.csv", 2, "check"),
        ("audit_exceptions.csv", 2, "reason"),
        ("synonyms.csv", 2, "means"),
        ("losses.csv", 2, "nutrient"),
        ("losses.csv", 2, "source"),
        ("treatments.csv", 2, "cooks"),
        ("usda_energy.csv", 2, "kcal"),
    ]


def test_an_own_entry_is_not_excused_by_the_exception_of_the_food_it_replaces(catalog: Catalog) -> None:
    quail = replace(catalog.foods["quail-meat"], replaces=catalog.foods["quail-meat"].file, file="own-foods.toml")
    assert ("quail-meat", "mass-balance") in new_findings(with_food(catalog, quail))


def test_energy_is_compared_for_every_food_that_usda_has(catalog: Catalog) -> None:
    lines = (TABLES / "usda_energy.csv").read_text(encoding="utf-8").splitlines()
    listed = {line.partition(",")[0] for line in lines}
    missing = {food.ndb_no for food in catalog.foods.values() if food.ndb_no} - listed
    assert missing == set()
    audited = Audited(catalog, dict.fromkeys(listed, UsdaEnergy(1e6, {})))
    energy = next(check for check in CHECKS if name_of(check) == "energy-is-as-usda-has-it")
    assert len(list(energy(audited))) > 200
