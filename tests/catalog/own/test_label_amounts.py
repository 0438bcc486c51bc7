"""Amounts in the units that labels use, and what they count as."""

import csv
import math
import re
from contextlib import suppress
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.catalog import TABLES, load_catalog
from catalog.mistakes import Mistake
from catalog.own.label_amounts import plain_form, read_label_amount, read_label_forms, read_per
from catalog.units.spelling import QuantityError

CATALOG, _ = load_catalog()
MISTAKES: list[Mistake] = []
FORMS = read_label_forms(TABLES / "label_forms.csv", CATALOG.nutrients, CATALOG.sources, MISTAKES)

# IUPAC Commission on Isotopic Abundances and Atomic Weights, standard atomic weights 2021 (ciaaw.org), abridged.
ATOMIC_WEIGHTS = {
    "H": 1.008, "C": 12.011, "N": 14.007, "O": 15.999, "Na": 22.990, "Mg": 24.305, "P": 30.974, "S": 32.06,
    "Cl": 35.45, "K": 39.098, "Ca": 40.078, "Mn": 54.938, "Fe": 55.845, "Cu": 63.546, "Zn": 65.38, "Se": 78.971,
    "I": 126.90,
}  # fmt: skip
ELEMENTS = {
    "calcium": "Ca", "phosphorus": "P", "sodium": "Na", "chloride": "Cl", "potassium": "K", "magnesium": "Mg",
    "iron": "Fe", "copper": "Cu", "zinc": "Zn", "manganese": "Mn", "iodine": "I", "selenium": "Se",
}  # fmt: skip
# What counts of a compound that is no element: the molecules of it in one formula unit, and their formula.
PARTS = {
    "choline": (1, "C5H14NO"),
    "thiamine": (1, "C12H17N4OS"),
    "vitamin-b6": (1, "C8H11NO3"),
    "pantothenic-acid": (2, "C9H17NO5"),
    "lysine": (1, "C6H14N2O2"),
    "arginine": (1, "C6H14N4O2"),
    "vitamin-k": (1, "C11H8O2"),
}


def rows() -> list[dict[str, str]]:
    lines = (TABLES / "label_forms.csv").read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


def atoms(formula: str) -> dict[str, int]:
    return {element: int(count or 1) for element, count in re.findall(r"([A-Z][a-z]?)(\d*)", formula)}


def molar_mass(formula: str) -> float:
    return sum(ATOMIC_WEIGHTS[element] * count for element, count in atoms(formula).items())


def counted(text: str, nutrient: str) -> float:
    return read_label_amount(text, CATALOG.nutrients[nutrient], FORMS).value


def refused(text: object, nutrient: str) -> QuantityError:
    with pytest.raises(QuantityError) as caught:
        read_label_amount(text, CATALOG.nutrients[nutrient], FORMS)
    return caught.value


def test_the_table_of_forms_has_no_mistakes() -> None:
    assert MISTAKES == []
    assert len(FORMS) == len(rows())


@pytest.mark.parametrize(
    "row", [r for r in rows() if r["source"].startswith("iupac")], ids=lambda r: f"{r['nutrient']}-{r['form']}"
)
def test_a_salt_counts_by_molar_mass(row: dict[str, str]) -> None:
    formula = row["source"].partition(":")[2]
    if row["nutrient"] in ELEMENTS:
        element = ELEMENTS[row["nutrient"]]
        mass = ATOMIC_WEIGHTS[element] * atoms(formula)[element]
    else:
        times, part = PARTS[row["nutrient"]]
        mass = times * molar_mass(part)
    assert float(row["times"]) == pytest.approx(mass / molar_mass(formula), abs=0.00006)


@pytest.mark.parametrize(
    ("text", "nutrient", "amount"),
    [
        ("1000 mg", "taurine", 1.0),
        ("1 1/2 g", "taurine", 1.5),
        ("150 µg", "iodine", 150),
        ("0.15 mg", "iodine", 150),
        ("500 IU", "vitamin-a", 500),
        ("500 IU (as retinyl palmitate)", "vitamin-a", 500),
        ("150 mcg RAE", "vitamin-a", 500),
        ("150 ug retinol", "vitamin-a", 500),
        ("1500 mcg RAE (40% as beta-carotene)", "vitamin-a", 3000),
        ("5000 IU (100 % as beta-carotene)", "vitamin-a", 0),
        ("25 mcg D3", "vitamin-d", 1000),
        ("400 mcg DFE", "folate", 240),
        ("680 mcg dietary folate equivalents", "folate", 408),
        ("400 mcg folic acid", "folate", 400),
        ("100 mg d-alpha", "vitamin-e", 149),
        ("100 mg d-alpha-tocopheryl acetate", "vitamin-e", 136),
        ("100 mg RRR-α-tocopherol", "vitamin-e", 149),
        ("100 mg dl-alpha acetate", "vitamin-e", 100),
        ("100 mg all-rac-alpha-tocopheryl acetate", "vitamin-e", 100),
        ("100 mg DL-alpha tocopherol", "vitamin-e", 110),
        ("100 mg", "vitamin-e", 149),
        ("67 mg (as d-alpha-tocopheryl acetate)", "vitamin-e", 99.83),
        ("500 mg (as calcium carbonate)", "calcium", 0.5),
        ("500 mg calcium carbonate", "calcium", 0.2002),
        ("50 mg thiamine mononitrate", "thiamine", 40.53),
        ("1 g salt", "sodium", 0.3934),
        ("2.5 %", "protein", 2.5),
        ("2.5 % by mass", "calcium", 2.5),
        ("0 mg", "taurine", 0),
    ],
)
def test_labels_units_become_the_nutrients_own(text: str, nutrient: str, amount: float) -> None:
    assert counted(text, nutrient) == pytest.approx(amount, rel=1e-9)


@pytest.mark.parametrize(
    ("text", "grams"), [("45 %", 100), ("2 g/kg", 1000), ("2 g per 100 g", 100), ("2000 ppm", 1000), ("2 g", None)]
)
def test_an_amount_may_name_the_mass_it_is_in(text: str, grams: float | None) -> None:
    assert read_label_amount(text, CATALOG.nutrients["taurine"], FORMS).in_grams == grams


@pytest.mark.parametrize("text", ["150 to 700 ug", "150-700 ug", "150 – 700 mcg"])
def test_a_range_keeps_both_ends(text: str) -> None:
    amount = read_label_amount(text, CATALOG.nutrients["iodine"], FORMS)
    assert (amount.low, amount.value, amount.high) == (150, 425, 700)


@pytest.mark.parametrize(
    ("text", "nutrient", "why"),
    [
        ("500 mcg beta-carotene", "vitamin-a", "cats do not turn carotene into vitamin A"),
        ("500 mcg (as beta-carotene)", "vitamin-a", "cats do not turn carotene into vitamin A"),
        ("2 mg (as copper oxide)", "copper", "does not count"),
        ("100 % DV", "zinc", "share of a daily value"),
        ("100 %", "zinc", "may be a share of a daily value"),
        ("5 IU", "zinc", "no IU"),
        ("5 mg gluconic dust", "zinc", "no form"),
        ("5 mg zinc gluconate", "copper", "no form"),
        ("100 mg mixed tocopherols", "vitamin-e", "only the alpha-tocopherol"),
        ("700 to 150 ug", "iodine", "from more to less"),
        ("5 kilos", "zinc", "no unit of a nutrient"),
        ("five mg", "zinc", "no amount"),
        ("1,000 mg", "zinc", "comma"),
        ("-5 mg", "zinc", "negative"),
        ("5", "zinc", "no amount with a unit"),
        ("", "zinc", "nothing"),
        (5, "zinc", "no text"),
        (True, "zinc", "no text"),
    ],
)
def test_what_is_no_amount_is_refused_with_the_reason(text: object, nutrient: str, why: str) -> None:
    error = refused(text, nutrient)
    assert why in str(error)
    assert error.allowed


def test_how_it_was_counted_is_told() -> None:
    assert "beta-carotene" in read_label_amount("150 mcg RAE", CATALOG.nutrients["vitamin-a"], FORMS).note
    assert "0.6 ug" in read_label_amount("400 mcg DFE", CATALOG.nutrients["folate"], FORMS).note
    assert "beta-carotene" in read_label_amount("500 IU", CATALOG.nutrients["vitamin-a"], FORMS).note
    assert read_label_amount("500 IU retinol", CATALOG.nutrients["vitamin-a"], FORMS).note == ""


def test_a_form_has_one_spelling() -> None:
    assert plain_form("(as D-α-Tocopheryl Acetate)") == plain_form("as d-alpha acetate") == "as d alpha acetate"
    assert plain_form("all-racemic alpha-tocopherol") == "dl alpha"


@pytest.mark.parametrize(
    ("text", "unit", "count", "grams"),
    [
        ("100 g", "g", 100, 100),
        ("1 kg", "kg", 1, 1000),
        ("2 capsules (1.3 g)", "capsule", 2, 1.3),
        ("1 1/4 tsp (5 g)", "tsp", 1.25, 5),
        ("5 ml (4.6 g)", "ml", 5, 4.6),
        ("1 scoop", "scoop", 1, None),
    ],
)
def test_what_amounts_are_in(text: str, unit: str, count: float, grams: float | None) -> None:
    per = read_per(text)
    assert (per.quantity.unit, float(per.quantity.count)) == (unit, count)
    assert (None if per.grams is None else float(per.grams)) == grams


@pytest.mark.parametrize("text", ["capsule", "2 capsules (1.3)", "2 capsules (3 ml)", "100 g (3 g)", "", 100])
def test_what_amounts_cannot_be_in(text: object) -> None:
    with pytest.raises(QuantityError):
        read_per(text)


def test_a_bad_row_of_the_table_is_told(tmp_path: Path) -> None:
    path = tmp_path / "label_forms.csv"
    header = "nutrient,form,unit,times,note,source,confidence\n"
    path.write_text(header + "zink,zinc oxide,,x,,iupac-2021:ZnO,seen\nzinc,zinc oxide,mg,0.8,,nobody,read\n")
    mistakes: list[Mistake] = []
    read_label_forms(path, CATALOG.nutrients, CATALOG.sources, mistakes)
    assert [(m.line, m.field) for m in mistakes] == [
        (2, "nutrient"),
        (2, "confidence"),
        (2, "times"),
        (3, "source"),
        (3, "unit"),
    ]


@given(st.text(max_size=30) | st.from_regex(r"[0-9]{1,3}( to [0-9]{1,3})? ?(mg|%|IU|ppm)[ /(]?[a-z0-9 %)-]{0,20}"))
def test_any_text_is_an_amount_or_refused(text: str) -> None:
    for id_ in ("vitamin-a", "vitamin-e", "zinc", "protein"):
        with suppress(QuantityError):
            amount = read_label_amount(text, CATALOG.nutrients[id_], FORMS)
            assert 0 <= amount.low <= amount.value <= amount.high < math.inf
