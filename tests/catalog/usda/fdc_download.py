"""A FoodData Central download of a few foods, written by hand from figures of USDA's Standard Reference 28.

Columns and their order are those of the SR Legacy download of April 2018; what was read of them is named in
catalog/usda/fdc.py. The amounts, data points and standard errors are those of NUT_DATA for NDB 05175 (turkey
heart), 15039 (Atlantic herring) and 11282 (onions). The FDC IDs, row ids and dates are made up, and so are the
amounts of `EXTRA`, which try what no such food has.
"""

import zipfile
from collections.abc import Mapping
from pathlib import Path

HEART, HERRING, ONION, MADE_UP = "170001", "170002", "170003", "170004"

FOOD = """"fdc_id","data_type","description","food_category_id","publication_date"
"170001","sr_legacy_food","Turkey, heart, all classes, raw","5","2019-04-01"
"170002","foundation_food","Fish, herring, Atlantic, raw","15","2020-10-30"
"170003","sr_legacy_food","Onions, raw","11","2019-04-01"
"170004","sr_legacy_food","Test food, ""quoted"", bone-in","10","2019-04-01"
"170009","sample_food","Fish, herring, one sample","15","2020-10-30"
"""
SR_LEGACY_FOOD = """"fdc_id","NDB_number"
"170001","5175"
"170003","11282"
"170004","99999"
"""
FOUNDATION_FOOD = """"fdc_id","NDB_number","footnote"
"170002","15039",""
"""
FOOD_CATEGORY = """"id","code","description"
"5","0500","Poultry Products"
"10","1000","Pork Products"
"11","1100","Vegetables and Vegetable Products"
"15","1500","Finfish and Shellfish Products"
"""
NUTRIENT = """"id","name","unit_name","nutrient_nbr","rank"
"1003","Protein","G","203","600.0"
"1004","Total lipid (fat)","G","204","800.0"
"1005","Carbohydrate, by difference","G","205","1110.0"
"1007","Ash","G","207","1000.0"
"1051","Water","G","255","100.0"
"1087","Calcium, Ca","MG","301","5300.0"
"1091","Phosphorus, P","MG","305","5600.0"
"1100","Iodine, I","UG","314","6150.0"
"1103","Selenium, Se","UG","317","6200.0"
"1105","Retinol","UG","319","7430.0"
"1109","Vitamin E (alpha-tocopherol)","MG","323","7905.0"
"1114","Vitamin D (D2 + D3)","UG","328","8700.0"
"1158","Vitamin E","MG_ATE","340","7910.0"
"1269","PUFA 18:2","G","618","13100.0"
"1271","PUFA 20:4","G","620","14100.0"
"1316","PUFA 18:2 n-6 c,c","G","675","13300.0"
"""
DERIVATION = """"id","code","description","source_id"
"1","A","Analytical","1"
"4","AS","Analytical; derived by summation","1"
"46","MA","Manufacturer supplied; analytical","9"
"49","NC","Calculated","2"
"50","Z","Assumed zero","5"
"""
SOURCE = """"id","code","description"
"1","1","Analytical or derived from analytical"
"2","4","Calculated or imputed"
"5","7","Assumed zero"
"9","12","Manufacturer's analytical; partial documentation"
"""
VALUES_HEAD = (
    '"id","fdc_id","nutrient_id","amount","data_points","derivation_id","standard_error","min","max","median",'
    '"footnote","min_year_acquired"\n'
)
# fdc_id, nutrient_id, amount, data_points, derivation_id, standard_error
VALUES = [
    (HEART, "1051", "74.47", "4", "1", "1.322"),
    (HEART, "1003", "16.70", "5", "1", "0.324"),
    (HEART, "1004", "7.44", "4", "1", "1.398"),
    (HEART, "1007", "0.99", "4", "1", "0.033"),
    (HEART, "1005", "0.40", "0", "49", ""),
    (HEART, "1087", "18", "4", "1", "0.521"),
    (HEART, "1091", "183", "4", "1", "3.332"),
    (HEART, "1103", "35.4", "2", "1", ""),
    (HEART, "1105", "80", "1", "1", ""),
    (HEART, "1109", "0.31", "1", "1", ""),
    (HEART, "1114", "0.4", "1", "4", ""),
    (HEART, "1269", "1.792", "0", "4", ""),
    (HEART, "1316", "1.762", "2", "1", ""),
    (HEART, "1271", "0.205", "2", "1", ""),
    (HERRING, "1051", "72.05", "138", "1", "0.496"),
    (HERRING, "1003", "17.96", "59", "1", "0.235"),
    (HERRING, "1004", "9.04", "2524", "1", "0.091"),
    (HERRING, "1005", "0.00", "0", "50", ""),
    (HERRING, "1269", "0.130", "22", "1", "0.005"),
    (HERRING, "1271", "0.060", "21", "1", "0.004"),
    (ONION, "1003", "1.10", "65", "1", "0.030"),
]
EXTRA = [
    (MADE_UP, "1003", "20", "0", "49", ""),
    (MADE_UP, "1005", "-0.2", "0", "49", ""),
    (MADE_UP, "1004", "", "0", "49", ""),
    (MADE_UP, "1158", "0.3", "0", "49", ""),
    (MADE_UP, "1100", "2.5", "3", "1", ""),
]


def files(*, without: tuple[str, ...] = (), changed: Mapping[str, str] | None = None) -> dict[str, str]:
    """The download's files as text by name."""
    rows = "".join(
        ",".join(f'"{cell}"' for cell in (number, *row, "", "", "", "", "")) + "\n"
        for number, row in enumerate([*VALUES, *EXTRA], start=1)
    )
    found = {
        "food.csv": FOOD,
        "sr_legacy_food.csv": SR_LEGACY_FOOD,
        "foundation_food.csv": FOUNDATION_FOOD,
        "food_category.csv": FOOD_CATEGORY,
        "nutrient.csv": NUTRIENT,
        "food_nutrient_derivation.csv": DERIVATION,
        "food_nutrient_source.csv": SOURCE,
        "food_nutrient.csv": VALUES_HEAD + rows,
    }
    return {name: text for name, text in {**found, **(changed or {})}.items() if name not in without}


def write_folder(folder: Path, contents: Mapping[str, str]) -> Path:
    """The download as a folder."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, text in contents.items():
        (folder / name).write_text(text, encoding="utf-8")
    return folder


def write_zip(path: Path, contents: Mapping[str, str]) -> Path:
    """The download as it comes: a .zip with one folder in it."""
    with zipfile.ZipFile(path, "w") as archive:
        for name, text in contents.items():
            archive.writestr(f"{path.stem}/{name}", text)
    return path
