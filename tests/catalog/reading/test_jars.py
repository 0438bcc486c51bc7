"""What jars are for, how much of that is customary, and what they usually cost."""

import shutil
from dataclasses import replace
from pathlib import Path
from statistics import median

import pytest

from catalog.catalog import TABLES, load_catalog
from catalog.queries.audit import audit
from catalog.reading.jars import median_price
from catalog.records import Catalog, Customary, Food, Limit


def jars(catalog: Catalog) -> list[Food]:
    return [food for food in catalog.foods.values() if food.role in ("supplement", "oil")]


def rows_of(name: str) -> list[str]:
    lines = (TABLES / name).read_text(encoding="utf-8").splitlines()
    return [line for line in lines if not line.startswith("#")][1:]


@pytest.mark.parametrize(
    ("jar", "purposes"),
    [
        ("salt-table", {"sodium", "chloride"}),
        ("salt-iodised-us", {"sodium", "chloride", "iodine"}),
        ("fish-oil-softgel-1000", {"epa-dha"}),
        ("sardine-oil", {"epa-dha"}),
        ("cod-liver-oil", {"vitamin-a", "vitamin-d", "epa-dha"}),
        ("kelp-powder", {"iodine"}),
        ("soy-lecithin-granules", {"choline"}),
        ("bone-meal", {"calcium", "phosphorus"}),
        ("potassium-chloride", {"potassium"}),
        ("safflower-oil-linoleic", {"linoleic-acid"}),
        ("psyllium-husk", set()),
        ("chicken-fat", set()),
    ],
)
def test_a_jar_is_for_what_it_is_bought_for(catalog: Catalog, jar: str, purposes: set[str]) -> None:
    assert set(catalog.foods[jar].purposes) == purposes


@pytest.mark.parametrize("jar", ["b-complex-50", "b-complex-25"])
def test_nobody_buys_a_b_complex_for_its_choline(catalog: Catalog, jar: str) -> None:
    food = catalog.foods[jar]
    assert food.figures["choline"].low > 0
    assert "choline" not in food.purposes
    assert len(food.purposes) == 8
    most = max(target(catalog, "aafco", "adult", id_) / food.figures[id_].low for id_ in food.purposes)
    assert most * 100 / food.measures["capsule"].grams <= 2.0  # capsules in 1000 kcal


def target(catalog: Catalog, standard: str, stage: str, nutrient: str) -> float:
    """What a jar is dosed for: the target that always holds, else what is customary."""
    found = [limit.minimum for limit in catalog.standards[standard, stage].mandatory if always(limit, nutrient)]
    return max((value or 0.0 for value in found), default=0.0) or catalog.customary[nutrient].per_1000_kcal


def always(limit: Limit, nutrient: str) -> bool:
    plain = limit.basis == "per_1000_kcal" and limit.condition is None
    return limit.nutrient == nutrient and bool(limit.minimum) and plain


def test_every_supplement_and_oil_has_its_rows(catalog: Catalog) -> None:
    ids = {food.id for food in jars(catalog)}
    assert {row.partition(",")[0] for row in rows_of("purposes.csv")} == ids
    assert {row.partition(",")[0] for row in rows_of("usual_prices.csv")} == ids
    assert all(food.usual_price_per_gram for food in jars(catalog))


def test_food_has_neither_purpose_nor_usual_price(catalog: Catalog) -> None:
    for food in catalog.foods.values():
        if food.role not in ("supplement", "oil"):
            assert (food.purposes, food.usual_price_per_gram) == ((), None)


@pytest.mark.parametrize("stage", ["adult", "growth"])
@pytest.mark.parametrize("standard", ["aafco", "fediaf-75", "fediaf-100", "nrc"])
def test_every_purpose_has_a_target_or_a_customary_amount(catalog: Catalog, standard: str, stage: str) -> None:
    # Own labels may name any nutrient, so each is asked for, not only those of purposes.csv.
    for nutrient in catalog.nutrients.values():
        if nutrient.group != "proximate":
            assert target(catalog, standard, stage, nutrient.id) > 0


def test_a_jar_without_a_purpose_has_a_customary_amount_of_its_own_and_so_has_salt(catalog: Catalog) -> None:
    without = {food.id for food in jars(catalog) if not food.purposes}
    salts = {food.id for food in jars(catalog) if "salt" in food.tags}
    assert without | salts == {of for of in catalog.customary if of in catalog.foods}
    assert salts >= {"salt-table", "salt-iodised-us", "lite-salt"}


def test_what_is_customary_of_salt_stays_below_the_sodium_that_is_safe(catalog: Catalog) -> None:
    # FEDIAF 2018, text on sodium, read: 3.75 g per 1000 kcal is safe for healthy adults.
    for food in jars(catalog):
        if "salt" in food.tags:
            sodium = catalog.customary[food.id].per_1000_kcal * food.figures["sodium"].high / 100
            assert 0.5 < sodium < 3.75 / 2, food.id


def test_customary_amounts_are_those_of_the_publications(catalog: Catalog) -> None:
    def of(standard: str, stage: str, nutrient: str) -> float:
        limits = catalog.standards[standard, stage].limits
        return next(x.minimum or 0.0 for x in limits if (x.nutrient, x.basis) == (nutrient, "per_1000_kcal"))

    found = {id_: entry.per_1000_kcal for id_, entry in catalog.customary.items()}
    # NRC 2006, Table 15-12; AAFCO Cat Food Nutrient Profiles
    assert found["epa-dha"] == of("nrc", "adult", "epa-dha")
    assert found["alpha-linolenic-acid"] == of("aafco", "growth", "alpha-linolenic-acid")
    assert found["vitamin-k"] == of("aafco", "adult", "vitamin-k")
    assert found["biotin"] == of("aafco", "adult", "biotin")
    assert found["cystine"] == pytest.approx(
        of("nrc", "adult", "methionine-cystine") - of("nrc", "adult", "methionine"), abs=0.011
    )
    assert found["tyrosine"] == pytest.approx(
        of("nrc", "adult", "phenylalanine-tyrosine") - of("nrc", "adult", "phenylalanine")
    )


def test_prices_are_per_gram(catalog: Catalog) -> None:
    def grams(jar: str, unit: str) -> float:
        return catalog.foods[jar].measures[unit].grams

    softgel, powder = catalog.foods["fish-oil-softgel-1000"], catalog.foods["taurine-powder"]
    assert softgel.usual_price_per_gram == pytest.approx(9.50 / 100 / grams("fish-oil-softgel-1000", "softgel"))
    assert powder.usual_price_per_gram == pytest.approx(16.00 / 250)
    for food in jars(catalog):  # nothing in a jar for a cat is dearer than saffron or cheaper than table salt
        assert 0.001 < (food.usual_price_per_gram or 0.0) < 1.0


def test_the_median_is_of_the_category_else_of_all(catalog: Catalog) -> None:
    foods = list(catalog.foods.values())
    prices = sorted(f.usual_price_per_gram or 0.0 for f in jars(catalog) if f.category == "amino-acid")
    assert median_price("amino-acid", foods) == pytest.approx(median(prices))
    every = median_price("no such category", foods) or 0.0
    above = [food for food in jars(catalog) if (food.usual_price_per_gram or 0.0) > every]
    assert abs(2 * len(above) - len(jars(catalog))) <= 4
    assert median_price("vitamin", []) is None


def test_every_mistake_in_the_tables_of_jars_is_told_with_its_line(tmp_path: Path) -> None:
    tables = Path(shutil.copytree(TABLES, tmp_path / "tables"))
    added = {
        "purposes.csv": ["salt-table,sodium,", "salt-table,,", "no-jar,iodine,", "gelatin,zinc,", "lysine,zink,"],
        "customary.csv": [
            "zinc,1,IU,1000 kcal,common-practice,memory,",
            "copper,,mg,1000 kcal,common-practice,memory,",
            "gelatin,1,g,kg,nobody,memory,",
            "taurine-powder,1,mg,1000 kcal,common-practice,guess,",
            "salt-table,1,g,1000 kcal,common-practice,memory,",
        ],
        "usual_prices.csv": [
            "salt-table,1,EUR,740 g,common-practice,memory",
            "beef-heart,0,USD,3 stones,common-practice,memory",
            "beef-liver,1,USD,a jar,nobody,guess",
        ],
    }
    first: dict[str, int] = {}
    for name, lines in added.items():
        text = (tables / name).read_text(encoding="utf-8")
        first[name] = len(text.splitlines()) + 1
        (tables / name).write_text(text + "\n".join(lines) + "\n", encoding="utf-8")
    _, mistakes = load_catalog(tables)
    found = {(Path(m.file).name, m.line - first[Path(m.file).name], m.field) for m in mistakes}
    assert found == {
        ("purposes.csv", 0, "nutrient"),
        ("purposes.csv", 1, "note"),
        ("purposes.csv", 1, "nutrient"),
        ("purposes.csv", 2, "food"),
        ("purposes.csv", 3, "nutrient"),
        ("purposes.csv", 4, "nutrient"),
        ("customary.csv", 0, "unit"),
        ("customary.csv", 1, "amount"),
        ("customary.csv", 2, "of"),
        ("customary.csv", 2, "per"),
        ("customary.csv", 2, "source"),
        ("customary.csv", 3, "unit"),
        ("customary.csv", 4, "of"),
        ("usual_prices.csv", 0, "currency"),
        ("usual_prices.csv", 0, "food"),
        ("usual_prices.csv", 1, "price"),
        ("usual_prices.csv", 1, "per"),
        ("usual_prices.csv", 2, "per"),
        ("usual_prices.csv", 2, "source"),
        ("usual_prices.csv", 2, "confidence"),
    }


def found_by_the_audit(catalog: Catalog) -> set[tuple[str, str]]:
    findings, _ = audit(catalog)
    return {(finding.food, finding.check) for finding in findings if not finding.reason}


def test_the_audit_finds_what_the_tables_of_jars_lack(catalog: Catalog) -> None:
    salt, fibre = catalog.foods["salt-table"], catalog.foods["psyllium-husk"]
    customary: dict[str, Customary] = {of: amount for of, amount in catalog.customary.items() if of != "epa-dha"}
    del customary["psyllium-husk"]
    foods = {
        **catalog.foods,
        salt.id: replace(salt, purposes=("taurine",), usual_price_per_gram=None),
        fibre.id: fibre,
    }
    found = found_by_the_audit(replace(catalog, foods=foods, customary=customary))
    assert {
        ("salt-table", "every-jar-has-a-usual-price"),
        ("salt-table", "purposes-have-figures"),
        ("psyllium-husk", "every-jar-says-what-it-is-for"),
        ("salmon-oil", "purposes-have-an-amount"),
    } <= found
    assert found_by_the_audit(catalog) == set()
