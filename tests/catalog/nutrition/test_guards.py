"""Guards: what a plan keeps below although its standard does not ask for it."""

import shutil
from dataclasses import replace
from pathlib import Path

import pytest

from catalog.catalog import TABLES, load_catalog
from catalog.nutrition.guards import MOST_TIMES_THE_TARGET, RULE_OF_THUMB, guards
from catalog.records import Catalog, Condition, Guard, Limit, Standard

LEGAL = {
    "iron": 681.8,
    "copper": 28.0,
    "manganese": 170.0,
    "zinc": 227.0,
    "iodine": 11000.0,
    "selenium": 568.0,
    "vitamin-d": 2270.0,
}  # in the nutrient's unit per kg of dry matter
# What the EU allows in all in a kg of complete feed of 12 % moisture: Implementing Regulations 2020/1795, 2018/1039,
# 2021/967, 2019/1125, 2015/861 and 2020/2117, read; vitamin D 2019/849, from memory.
REGULATIONS = {
    "iron": 600.0,
    "copper": 25.0,
    "manganese": 150.0,
    "zinc": 200.0,
    "iodine": 10000.0,
    "selenium": 500.0,
    "vitamin-d": 2000.0,
}
STANDARDS = ["aafco", "fediaf-75", "fediaf-100", "nrc"]
STAGES = ["adult", "growth"]


def published(catalog: Catalog, standard: Standard) -> dict[str, float]:
    """The guards of other publications, by nutrient, per 1000 kcal."""
    return {
        guard.nutrient: guard.maximum or 0.0
        for guard in guards(catalog, standard)
        if guard.basis == "per_1000_kcal" and guard.source != RULE_OF_THUMB
    }


def of(catalog: Catalog, nutrient: str) -> list[Guard]:
    return [guard for guard in catalog.guards if guard.limit.nutrient == nutrient]


def legal(catalog: Catalog, standard: Standard) -> list[Limit]:
    return [guard for guard in guards(catalog, standard) if guard.maximum_kind == "legal"]


@pytest.mark.parametrize("life_stage", STAGES)
@pytest.mark.parametrize("standard", [*STANDARDS, "own-limits-only"])
def test_the_legal_maxima_of_the_eu_guard_every_standard_where_a_jar_of_the_substance_goes_in(
    catalog: Catalog, standard: str, life_stage: str
) -> None:
    found = legal(catalog, catalog.standards[standard, life_stage])
    assert sorted((guard.nutrient, guard.maximum) for guard in found) == sorted(LEGAL.items())  # each of them once
    assert {guard.basis for guard in found} == {"per_kg_dry_matter"}
    assert {guard.condition for guard in found} == {Condition(nutrient, 0.0, "mass") for nutrient in LEGAL}


@pytest.mark.parametrize("nutrient", LEGAL)
def test_legal_maxima_are_those_of_the_regulations_in_dry_matter(nutrient: str) -> None:
    # The regulations give feed of 12 % moisture. FEDIAF rounds, to the cautious side (iodine: 11 for 11.4).
    assert LEGAL[nutrient] == pytest.approx(REGULATIONS[nutrient] / 0.88, rel=0.04)
    assert LEGAL[nutrient] <= round(REGULATIONS[nutrient] / 0.88, 1)


@pytest.mark.parametrize("life_stage", STAGES)
@pytest.mark.parametrize("standard", [*STANDARDS, "own-limits-only"])
def test_the_iodine_that_cats_tolerate_guards_every_standard_whatever_it_comes_from(
    catalog: Catalog, standard: str, life_stage: str
) -> None:
    # EFSA Journal 2013;11(2):3099, read: 5 mg per kg of complete feed, of 88 % dry matter.
    [guard] = [
        guard
        for guard in guards(catalog, catalog.standards[standard, life_stage])
        if (guard.nutrient, guard.basis, guard.maximum_kind) == ("iodine", "per_kg_dry_matter", "nutritional")
    ]
    assert guard.condition is None
    assert guard.maximum == pytest.approx(5000 / 0.88, rel=0.001)


@pytest.mark.parametrize("nutrient", LEGAL)
def test_only_jars_are_tagged_by_what_they_bring(catalog: Catalog, nutrient: str) -> None:
    tagged = [food for food in catalog.foods.values() if nutrient in food.tags]
    assert tagged
    assert {food.role for food in tagged if "fish-oil" not in food.tags} == {"supplement"}


def test_cod_liver_oil_is_a_jar_of_vitamins_a_and_d(catalog: Catalog) -> None:
    for food in catalog.foods.values():
        assert ("cod-liver-oil" in food.tags) <= ({"vitamin-a", "vitamin-d"} <= food.tags)


@pytest.mark.parametrize("stage", STAGES)
def test_guards_are_the_lowest_published_ceilings_of_minerals_vitamins_and_fat(catalog: Catalog, stage: str) -> None:
    lowest: dict[str, float] = {}
    for stages in (STAGES, [stage]):  # those of the same life stage count before any
        found: dict[str, float] = {}
        for (_, of), standard in catalog.standards.items():
            for limit in standard.mandatory:
                if of in stages and limit.maximum is not None and limit.basis == "per_1000_kcal":
                    found[limit.nutrient] = min(limit.maximum, found.get(limit.nutrient, limit.maximum))
        lowest |= found
    groups = {id_: nutrient.group for id_, nutrient in catalog.nutrients.items()}
    guarded = {id_ for id_ in lowest if groups[id_] in ("mineral", "vitamin")} | {"fat"}
    table = [
        (g.limit.nutrient, g.limit.maximum)
        for g in catalog.guards
        if (g.life_stage, g.limit.basis, g.limit.maximum_kind) == (stage, "per_1000_kcal", "nutritional")
    ]
    assert sorted(table) == sorted((id_, lowest[id_]) for id_ in guarded)
    assert lowest["fat"] == 330 / 4  # NRC 2006, Table 15-12, from memory: 330 g per kg of dry matter at 4 kcal per g


def test_a_guard_stays_where_the_own_ceiling_is_laxer_and_falls_away_where_it_is_not(catalog: Catalog) -> None:
    # FEDIAF adult: vitamin A 100 000, vitamin D 7500, sodium 3.75, none of fat.
    # NRC adult: vitamin A 83 333, vitamin D 7520, zinc 150, fat 82.5.
    fediaf = published(catalog, catalog.standards["fediaf-75", "adult"])
    assert fediaf == {"iodine": 2250, "vitamin-a": 83325, "zinc": 150, "fat": 82.5}
    nrc = published(catalog, catalog.standards["nrc", "adult"])
    assert nrc == {"iodine": 2250, "vitamin-a": 83325, "vitamin-d": 7500}


@pytest.mark.parametrize("life_stage", STAGES)
@pytest.mark.parametrize("standard", STANDARDS)
def test_every_mineral_and_vitamin_with_a_target_has_a_ceiling_or_a_guard(
    catalog: Catalog, standard: str, life_stage: str
) -> None:
    asked = catalog.standards[standard, life_stage]
    own = {limit.nutrient for limit in asked.mandatory if limit.maximum is not None and limit.basis == "per_1000_kcal"}
    found = {guard.nutrient: guard for guard in guards(catalog, asked) if guard.basis == "per_1000_kcal"}
    for limit in asked.limits:
        group = catalog.nutrients[limit.nutrient].group
        if limit.minimum is None or limit.basis != "per_1000_kcal" or group not in ("mineral", "vitamin"):
            continue
        assert limit.nutrient in {*own, *found}
        guard = found.get(limit.nutrient)
        if guard and guard.source == RULE_OF_THUMB:
            assert guard.maximum == pytest.approx(MOST_TIMES_THE_TARGET * limit.minimum)
    assert all(guard.minimum is None for guard in found.values())


def with_made_up_standard(folder: Path) -> Path:
    """A copy of the tables with one more standard, of three rows with ceilings below all others."""
    tables = Path(shutil.copytree(TABLES, folder / "tables"))
    with (tables / "standards" / "index.csv").open("a", encoding="utf-8") as index:
        index.write("made-up,a made-up standard,1,nobody,modified-atwater,\n")
    head = "\n".join(
        line for line in (tables / "standards" / "nrc.csv").read_text().splitlines() if "life_" in line[:6]
    )
    rows = [
        "adult,zinc,per-1000-kcal,10,20,mg,,,,nutritional,,,,common-practice,memory,",
        "adult,copper,per-1000-kcal,1,2,mg,,,,nutritional,,,,common-practice,memory,",
        "growth,vitamin-d,per-kg-dry-matter,,100,IU,,,,legal,,,,common-practice,memory,",
    ]
    (tables / "standards" / "made-up.csv").write_text("\n".join([head, *rows]) + "\n", encoding="utf-8")
    return tables


def test_another_standard_in_the_tables_changes_no_guard(catalog: Catalog, tmp_path: Path) -> None:
    more, mistakes = load_catalog(with_made_up_standard(tmp_path))
    assert mistakes == []
    assert ("made-up", "adult") in more.standards
    for key, standard in catalog.standards.items():
        here = [replace(guard, file="") for guard in guards(catalog, standard)]
        assert [replace(guard, file="") for guard in guards(more, more.standards[key])] == here
    assert published(more, more.standards["made-up", "adult"]).keys() == {
        *("iodine", "vitamin-a", "vitamin-d", "sodium", "fat")
    }


def test_every_mistake_in_guards_is_told_with_its_line(tmp_path: Path) -> None:
    tables = Path(shutil.copytree(TABLES, tmp_path / "tables"))
    with (tables / "guards.csv").open("a", encoding="utf-8") as file:
        file.write("kitten,zinc,per-1000-kcal,1,mg,,nutritional,common-practice,memory,\n")
        file.write("adult,zinc,per-1000-kcal,0,mg,,nutritional,common-practice,memory,\n")
        file.write("adult,copper,per-1000-kcal,1,IU,,nutritional,common-practice,memory,\n")
        file.write("any,zinc,per-1000-kcal,1,mg,,nutritional,nobody,memory,\n")
        file.write("adult,calcium,per-kg-dry-matter,1,mg,,legal,common-practice,guess,\n")
        file.write("any,iron,per-kg-dry-matter,1,mg,iron > 0 % of mass,legal,common-practice,memory,\n")
        file.write("any,choline,per-1000-kcal,1,mg,iron > 0 % of mass,nutritional,common-practice,memory,\n")
    _, mistakes = load_catalog(tables)
    first = len((TABLES / "guards.csv").read_text(encoding="utf-8").splitlines()) + 1
    found = {(mistake.line - first, mistake.field) for mistake in mistakes}
    assert found == {
        (0, "life_stage"),
        (1, "maximum"),
        (2, "unit"),
        (3, "nutrient"),
        (3, "source"),
        (4, "condition"),
        (4, "confidence"),
        (5, "nutrient"),
        (6, "condition"),
    }
    assert {Path(mistake.file).name for mistake in mistakes} == {"guards.csv"}


def test_a_nutrient_has_one_guard_of_each_life_stage_kind_and_basis(tmp_path: Path) -> None:
    tables = Path(shutil.copytree(TABLES, tmp_path / "tables"))
    with (tables / "guards.csv").open("a", encoding="utf-8") as file:
        file.write("adult,selenium,per-1000-kcal,80,ug,,nutritional,common-practice,memory,\n")
        file.write("adult,selenium,per-kg-dry-matter,320,ug,,nutritional,common-practice,memory,\n")
        file.write("growth,selenium,per-1000-kcal,70,ug,,nutritional,common-practice,memory,\n")
    more, mistakes = load_catalog(tables)
    assert mistakes == []
    found = {(g.life_stage, g.limit.maximum_kind, g.limit.basis): g.limit.maximum for g in of(more, "selenium")}
    assert len(found) == len(of(more, "selenium"))
    assert found == {
        ("adult", "legal", "per_kg_dry_matter"): 568,
        ("growth", "legal", "per_kg_dry_matter"): 568,
        ("adult", "nutritional", "per_1000_kcal"): 80,
        ("adult", "nutritional", "per_kg_dry_matter"): 320,
        ("growth", "nutritional", "per_1000_kcal"): 70,
    }
