"""What one unit of a form on a label counts as, against published factors, written down apart from the tables.

Vitamin units: US Pharmacopeia and WHO definitions, stated as mass per IU (the tables hold IU per mass). Salts:
percentages of the element as handbooks and feed additive lists print them; the tables hold shares by molar mass.
"""

import pytest

from catalog.catalog import TABLES
from catalog.own.label_amounts import read_label_amount, read_label_forms
from catalog.records import Catalog

# nutrient, form, mass of one IU with its unit
ONE_IU = [
    ("vitamin-a", "retinol", "0.3 ug"),
    ("vitamin-a", "retinyl acetate", "0.344 ug"),
    ("vitamin-a", "retinyl palmitate", "0.55 ug"),
    ("vitamin-d", "D3", "0.025 ug"),
    ("vitamin-e", "d-alpha-tocopherol", "0.671 mg"),
    ("vitamin-e", "d-alpha-tocopheryl acetate", "0.735 mg"),
    ("vitamin-e", "d-alpha-tocopheryl succinate", "0.826 mg"),
    ("vitamin-e", "dl-alpha-tocopherol", "0.909 mg"),
    ("vitamin-e", "dl-alpha-tocopheryl acetate", "1 mg"),
]
# nutrient, form, per cent of the nutrient in the form
PER_CENT = [
    ("calcium", "calcium carbonate", 40.0),
    ("calcium", "calcium citrate", 21.1),
    ("calcium", "dicalcium phosphate", 29.5),
    ("phosphorus", "dicalcium phosphate", 22.8),
    ("sodium", "sodium chloride", 39.3),
    ("chloride", "sodium chloride", 60.7),
    ("potassium", "potassium chloride", 52.4),
    ("magnesium", "magnesium oxide", 60.3),
    ("iron", "ferrous sulfate heptahydrate", 20.1),
    ("iron", "ferrous fumarate", 32.9),
    ("copper", "copper sulfate pentahydrate", 25.5),
    ("copper", "copper gluconate", 14.0),
    ("zinc", "zinc oxide", 80.3),
    ("zinc", "zinc sulfate heptahydrate", 22.7),
    ("zinc", "zinc gluconate", 14.3),
    ("manganese", "manganese sulfate monohydrate", 32.5),
    ("manganese", "manganese gluconate", 12.3),
    ("iodine", "potassium iodide", 76.45),
    ("iodine", "potassium iodate", 59.3),
    ("selenium", "sodium selenite", 45.7),
    ("choline", "choline bitartrate", 41.1),
    ("choline", "choline chloride", 74.6),
    ("thiamine", "thiamine hydrochloride", 78.7),
    ("thiamine", "thiamine mononitrate", 81.1),
    ("pantothenic-acid", "calcium pantothenate", 92.0),
    ("vitamin-b6", "pyridoxine hydrochloride", 82.3),
]


def counted(text: str, id_: str, catalog: Catalog) -> float:
    """A label's amount in the nutrient's own unit."""
    forms = read_label_forms(TABLES / "label_forms.csv", catalog.nutrients, catalog.sources, [])
    return read_label_amount(text, catalog.nutrients[id_], forms).value


@pytest.mark.parametrize(("id_", "form", "mass"), ONE_IU, ids=[form for _, form, _ in ONE_IU])
def test_the_mass_of_a_unit_counts_as_one_unit(id_: str, form: str, mass: str, catalog: Catalog) -> None:
    assert counted(f"{mass} {form}", id_, catalog) == pytest.approx(1, rel=0.002)
    assert counted(f"1 IU {form}", id_, catalog) == 1


@pytest.mark.parametrize(("id_", "form", "percent"), PER_CENT, ids=[f"{id_} of {form}" for id_, form, _ in PER_CENT])
def test_a_salt_counts_as_its_share_of_the_nutrient(id_: str, form: str, percent: float, catalog: Catalog) -> None:
    per_100 = counted(f"100 mg {form}", id_, catalog) / counted("1 mg", id_, catalog)
    assert per_100 == pytest.approx(percent, abs=0.06)
    assert counted(f"100 mg (as {form})", id_, catalog) == counted("100 mg", id_, catalog)  # the law of labels


def test_folic_acid_and_its_equivalents(catalog: Catalog) -> None:
    # 21 CFR 101.9: 1 ug of dietary folate equivalents is 0.6 ug of folic acid
    assert counted("400 mcg DFE", "folate", catalog) == pytest.approx(240)
