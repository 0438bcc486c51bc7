"""Supplements: what a capsule, drop or spoon of each holds, and that salts and units were converted rightly."""

import csv
import gzip
import re
from pathlib import Path

import pytest

from catalog.catalog import TABLES, load_catalog
from catalog.records import Food
from catalog.units.spelling import canonical_unit, unit_kind

CATALOG, MISTAKES = load_catalog()
SUPPLEMENTS = [food for food in CATALOG.foods.values() if Path(food.file).name == "supplements.csv"]
RELEASE = Path(__file__).parents[4] / "shared" / "reference" / "sr28"

# IUPAC Commission on Isotopic Abundances and Atomic Weights, standard atomic weights 2021 (ciaaw.org),
# abridged to five figures; for elements printed as an interval the conventional value.
ATOMIC_WEIGHTS = {
    "H": 1.008,
    "C": 12.011,
    "N": 14.007,
    "O": 15.999,
    "Na": 22.990,
    "Mg": 24.305,
    "P": 30.974,
    "S": 32.06,
    "Cl": 35.45,
    "K": 39.098,
    "Ca": 40.078,
    "Zn": 65.38,
}
ELEMENT_OF = {
    "calcium": "Ca",
    "phosphorus": "P",
    "sodium": "Na",
    "chloride": "Cl",
    "potassium": "K",
    "magnesium": "Mg",
    "zinc": "Zn",
}
# What counts of a compound that is no element: the free amino acid, the choline and the thiamine ion.
COUNTED_PART = {
    "taurine": "C2H7NO3S",
    "lysine": "C6H14N2O2",
    "methionine": "C5H11NO2S",
    "choline": "C5H14NO",
    "thiamine": "C12H17N4OS",
}


def rows(table: str) -> list[dict[str, str]]:
    lines = (TABLES / table).read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


FIGURES = rows("composition/supplements.csv")


def molar_mass(formula: str) -> float:
    atoms = re.findall(r"([A-Z][a-z]?)(\d*)", formula)
    return sum(ATOMIC_WEIGHTS[element] * int(count or 1) for element, count in atoms)


def counted_mass(nutrient: str, formula: str) -> float:
    if nutrient in COUNTED_PART:
        return molar_mass(COUNTED_PART[nutrient])
    element = ELEMENT_OF[nutrient]
    count = dict(re.findall(r"([A-Z][a-z]?)(\d*)", formula))[element]
    return ATOMIC_WEIGHTS[element] * int(count or 1)


def source_of_first_figure(food: str) -> str:
    return next(row["source"] for row in FIGURES if row["food"] == food)


def per_measure(food: str, measure: str, nutrient: str) -> float:
    """What one measure of a supplement holds, in the nutrient's unit."""
    found = CATALOG.foods[food]
    return found.figures[nutrient].value * found.measures[measure].grams / 100


def test_the_tables_of_supplements_have_no_mistakes() -> None:
    assert [str(m) for m in MISTAKES if Path(m.file).name == "supplements.csv"] == []
    assert len(SUPPLEMENTS) >= 60


@pytest.mark.parametrize(
    "row",
    [row for row in FIGURES if row["source"].startswith("iupac-2021:")],
    ids=lambda row: f"{row['food']}-{row['nutrient']}",
)
def test_a_salt_holds_its_share_by_molar_mass(row: dict[str, str]) -> None:
    formula = row["source"].partition(":")[2]
    share = counted_mass(row["nutrient"], formula) / molar_mass(formula)
    # both "g per 100 g" and "mg per tablet of 100 mg" are percents
    assert float(row["value"]) == pytest.approx(100 * share, abs=0.006)


@pytest.mark.parametrize(
    ("food", "nutrient", "percent"),
    [
        # Handbook figures, written down apart from the formulas above: shared molar-mass slips would show here.
        ("calcium-carbonate", "calcium", 40.0),
        ("calcium-citrate", "calcium", 21.1),
        ("calcium-lactate", "calcium", 13.0),
        ("calcium-gluconate", "calcium", 8.9),
        ("dicalcium-phosphate", "calcium", 29.5),
        ("dicalcium-phosphate", "phosphorus", 22.8),
        ("dicalcium-phosphate-dihydrate", "calcium", 23.3),
        ("dicalcium-phosphate-dihydrate", "phosphorus", 18.0),
        ("tricalcium-phosphate", "phosphorus", 18.5),
        ("monocalcium-phosphate", "phosphorus", 24.6),
        ("potassium-chloride", "potassium", 52.4),
        ("potassium-citrate", "potassium", 36.2),
        ("potassium-gluconate", "potassium", 16.7),
        ("magnesium-oxide", "magnesium", 60.3),
        ("magnesium-citrate", "magnesium", 16.2),
        ("lite-salt", "sodium", 19.7),
        ("lite-salt", "potassium", 26.2),
        ("lite-salt", "chloride", 54.1),
    ],
)
def test_a_mineral_salt_holds_what_handbooks_print(food: str, nutrient: str, percent: float) -> None:
    assert CATALOG.foods[food].figures[nutrient].value == pytest.approx(percent, abs=0.06)


def test_zinc_salts_hold_the_zinc_that_handbooks_print() -> None:
    # zinc sulphate monohydrate 36.4 %, heptahydrate 22.7 %: a tablet of 220 mg is 50 mg of zinc
    assert CATALOG.foods["zinc-sulphate-powder"].figures["zinc"].value == pytest.approx(36_400, rel=0.002)  # mg/100 g
    assert pytest.approx(per_measure("zinc-sulphate-50", "tablet", "zinc"), rel=0.01) == 220 * 0.227


def test_choline_salts_count_as_choline() -> None:
    assert CATALOG.foods["choline-bitartrate"].figures["choline"].value == pytest.approx(41_100, rel=0.002)  # mg/100 g
    chloride = molar_mass("C5H14NO") / molar_mass("C5H14NOCl")
    assert CATALOG.foods["choline-chloride-70"].figures["choline"].value == pytest.approx(70_000 * chloride, rel=0.001)


def test_a_thiamine_salt_counts_less_than_thiamine() -> None:
    expected = {"thiamine-hcl-100": 78.7, "thiamine-mononitrate-100": 81.1, "thiamin-100": 100}
    by_salt = {food: per_measure(food, "tablet", "thiamine") for food in expected}
    assert by_salt == pytest.approx(expected, abs=0.06)


@pytest.mark.parametrize(
    ("food", "measure", "nutrient", "amount"),
    [
        # 1 IU of vitamin E = 0.735 mg d- or 1 mg dl-alpha-tocopheryl acetate (US Pharmacopeia): a drop of 33 mg
        ("vitamin-e-oil", "drop", "vitamin-e", 33 / 0.735),
        ("vitamin-e-oil-dl", "drop", "vitamin-e", 33),
        ("vitamin-e-softgel-400", "softgel", "vitamin-e", 400),
        # 1 IU of vitamin D = 0.025 ug
        ("vitamin-d3-drops-1000", "drop", "vitamin-d", 25 / 0.025),
        ("vitamin-d3-drops-400", "drop", "vitamin-d", 10 / 0.025),
        # 1 IU of vitamin A = 0.3 ug of retinol
        ("retinyl-palmitate-drops-1000", "drop", "vitamin-a", 300 / 0.3),
        ("retinyl-palmitate-drops-5000", "drop", "vitamin-a", 1500 / 0.3),
        ("kelp-tablet-225", "tablet", "iodine", 225),
        ("taurine-capsule-1000", "capsule", "taurine", 1.0),
        ("zinc-gluconate-50", "tablet", "zinc", 50),
        ("fish-oil-softgel-1000", "softgel", "epa-dha", 0.3),
        ("eggshell-powder", "shell", "calcium", 2.07),  # Brun et al. 2013
    ],
)
def test_one_measure_holds_what_its_label_says(food: str, measure: str, nutrient: str, amount: float) -> None:
    assert per_measure(food, measure, nutrient) == pytest.approx(amount, rel=0.011)


STRENGTHS = [
    (food.id, strength)
    for food in SUPPLEMENTS
    if "fish-oil" not in food.tags  # there the name gives the oil, not its EPA and DHA
    if (strength := re.search(r"(\d+) (mg|ug|IU)\b", food.name)) and "iupac" not in source_of_first_figure(food.id)
]


@pytest.mark.parametrize(("food", "strength"), STRENGTHS, ids=[food for food, _ in STRENGTHS])
def test_the_strength_in_a_name_is_the_strength_in_the_figures(food: str, strength: re.Match[str]) -> None:
    first = next(row for row in FIGURES if row["food"] == food)
    assert (float(first["value"]), first["unit"]) == (float(strength[1]), strength[2])
    assert first["per"] in CATALOG.foods[food].measures


@pytest.mark.parametrize("food", SUPPLEMENTS, ids=lambda food: food.id)
def test_each_supplement_can_be_measured_in_a_kitchen(food: Food) -> None:
    assert food.role == "supplement"
    assert food.figures
    kinds = {unit_kind(canonical_unit(unit)) for unit in food.measures}
    assert kinds
    assert kinds <= {"count", "volume"}
    for unit, measure in food.measures.items():
        assert canonical_unit(unit) == unit
        assert (measure.grams_low or measure.grams) <= measure.grams <= (measure.grams_high or measure.grams)


@pytest.mark.parametrize("food", SUPPLEMENTS, ids=lambda food: food.id)
def test_every_figure_has_a_source_with_a_citation(food: Food) -> None:
    known = [(figure.source, figure.confidence) for figure in food.figures.values()]
    known += [(measure.source, measure.confidence) for measure in food.measures.values()]
    for source, confidence in known:
        assert all(CATALOG.sources[key.partition(":")[0]] for key in source.split(" + "))
        assert confidence in ("read", "memory")


@pytest.mark.parametrize("food", SUPPLEMENTS, ids=lambda food: food.id)
def test_no_supplement_holds_more_than_itself(food: Food) -> None:
    grams = {"g": 1.0, "mg": 1e-3, "ug": 1e-6}
    for id_, figure in food.figures.items():
        unit = CATALOG.nutrients[id_].unit
        assert 0 <= figure.low <= figure.value <= figure.high
        if unit in grams:
            assert figure.value * grams[unit] <= 100


def test_a_claim_of_a_label_is_never_marked_as_read() -> None:
    assert {row["confidence"] for row in FIGURES if row["source"] == "label-typical"} == {"memory"}


def test_kelp_without_a_label_counts_low_towards_the_target_and_high_towards_the_ceiling() -> None:
    iodine = CATALOG.foods["kelp-powder"].figures["iodine"]
    assert (iodine.low, iodine.high) == (1600, 816_500)  # Teas et al. 2004: 16 to 8165 ug/g
    unlabelled = [food for food in SUPPLEMENTS if "kelp" in food.tags and "tablet" not in food.measures]
    assert unlabelled
    assert all("iodine-unlabelled" in food.tags for food in unlabelled)
    assert all(food.figures["iodine"].high >= 4 * food.figures["iodine"].low for food in unlabelled)


def test_every_marine_oil_asks_for_vitamin_e() -> None:
    marine = {food.id for food in SUPPLEMENTS if food.figures.keys() & {"epa", "dha"} and food.ndb_no is None}
    marine |= {food.id for food in SUPPLEMENTS if food.category in ("fish-oil", "liver-oil")}
    assert marine >= {"fish-oil-softgel-1000", "krill-oil-softgel-500", "salmon-oil-farmed", "cod-liver-oil-double"}
    assert [id_ for id_ in marine if "fish-oil" not in CATALOG.foods[id_].tags] == []


def test_animal_tissue_among_supplements_counts_as_meat() -> None:
    meat = {food.id for food in SUPPLEMENTS if food.counts_as == "meat"}
    assert meat >= {"gelatin", "bone-meal", "fish-oil-softgel-1000", "krill-oil-softgel-500", "egg-yolk-lecithin"}
    assert meat.isdisjoint({"eggshell-powder", "algal-oil-softgel-dha-200", "salt-table", "kelp-powder"})


@pytest.mark.skipif(not RELEASE.is_dir(), reason="the USDA SR28 release is not beside the project")
def test_usda_figures_are_as_usda_prints_them() -> None:
    wanted = {row["source"].partition(":")[2] for row in FIGURES if row["source"].startswith("sr28:")}
    with gzip.open(RELEASE / "NUT_DATA.txt.gz", "rt", encoding="latin-1") as lines:
        cells = (line.split("^") for line in lines)
        printed = {(c[0].strip("~"), c[1].strip("~")): c[2] for c in cells if c[0].strip("~") in wanted}
    checked = 0
    for row in FIGURES:
        key, _, ndb_no = row["source"].partition(":")
        if key == "sr28":
            numbers = CATALOG.nutrients[row["nutrient"]].usda_numbers
            assert row["value"] == next(printed[ndb_no, n] for n in numbers if (ndb_no, n) in printed), row
            checked += 1
    assert checked > 200
