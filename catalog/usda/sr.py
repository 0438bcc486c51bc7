"""Reads USDA's Standard Reference release in its own ASCII layout, as pandas tables.

A release is a folder of files such as FOOD_DES.txt (or FOOD_DES.txt.gz): one record a line, "^" between fields,
"~" around text, Latin-1. The layout is described in the documentation of Release 28, 2016. A value that is
absent from NUT_DATA is unknown, not zero.
"""

import re
from collections.abc import Iterable, Sequence
from pathlib import Path

import numpy as np
import pandas as pd

from catalog.usda.release import Release, ReleaseError, matching, with_kind_and_spread

FOOD_FIELDS = (
    "ndb_no group_no description short_description common_name manufacturer survey refuse_text refuse_percent "
    "scientific_name n_factor protein_factor fat_factor carbohydrate_factor"
).split()
VALUE_FIELDS = "ndb_no nutrient_no value n standard_error source_code".split()
NUTRIENT_FIELDS = "nutrient_no unit tag name decimals sort_order".split()
FOODS_OF_RELEASE = {8789: "28"}  # a release does not state its number; this many foods only one has


def sr_release(folder: Path) -> Release:
    """The release in a folder. Raises ReleaseError."""
    foods = read_foods(folder)
    named = re.search(r"(?<![a-z])sr[-_ ]?(\d\d)(?!\d)", str(folder.resolve().name).casefold())
    number = FOODS_OF_RELEASE.get(len(foods)) or (named[1] if named else "")
    name = f"USDA Standard Reference {number}".strip() if number else f"USDA Standard Reference in {folder.name}"
    listed = pd.DataFrame(
        {
            "ndb_no": foods.index,
            "fdc_id": "",
            "description": foods["description"],
            "group": foods["group_no"],
            "source": [f"{name}, NDB {number}" for number in foods.index],
        },
        index=foods.index,
    )

    def values(numbers: Sequence[str]) -> pd.DataFrame:
        units = read_nutrients(folder)["unit"].to_dict()
        found = with_kind_and_spread(read_values(folder, numbers))
        return found.assign(unit=found.index.get_level_values("nutrient_no").map(units))

    return Release(name, listed, values)


def read_foods(folder: Path) -> pd.DataFrame:
    """Every food of a release, by NDB number (five digits): description, refuse_text and other fields as text."""
    return _table(folder, "FOOD_DES", FOOD_FIELDS).set_index("ndb_no")


def find_foods(folder: Path, words: str) -> pd.DataFrame:
    """The foods of a release whose description holds every one of the words, in any order and case."""
    return matching(read_foods(folder), words)


def read_nutrients(folder: Path) -> pd.DataFrame:
    """Every nutrient of a release, by nutrient number: its name and its unit (g, mg, ug, IU, kcal, kJ)."""
    nutrients = _table(folder, "NUTR_DEF", NUTRIENT_FIELDS).set_index("nutrient_no")
    nutrients["unit"] = nutrients["unit"].str.replace("\N{MICRO SIGN}", "u")
    return nutrients


def read_values(folder: Path, ndb_nos: Iterable[str] | None = None) -> pd.DataFrame:
    """Values per 100 g edible part, of all foods or of some, one row per NDB number and nutrient number.

    Indexed by both numbers. `value` is in the unit of `read_nutrients`, `n` the number of data points,
    `standard_error` and `sd` (standard error x square root of n) are NaN where not published, `source_code` is
    USDA's (1, 6, 12, 13 analysed; 7 assumed zero; else calculated).
    """
    values = _table(folder, "NUT_DATA", VALUE_FIELDS)
    if ndb_nos is not None:
        values = values[values["ndb_no"].isin(list(ndb_nos))].copy()
    for column in ("value", "n", "standard_error"):
        values[column] = pd.to_numeric(values[column], errors="coerce")
    values["sd"] = values["standard_error"] * np.sqrt(values["n"])
    return values.set_index(["ndb_no", "nutrient_no"])


def food_values(folder: Path, ndb_no: str) -> pd.DataFrame:
    """One food's values by nutrient number, with the nutrient's name and unit; see `read_values`.

    Raises ReleaseError when the release has no such food.
    """
    values = read_values(folder, [ndb_no])
    if values.empty:
        raise ReleaseError(f"{folder} has no values of food {ndb_no!r}; NDB numbers have five digits")
    one = values.droplevel("ndb_no")
    return read_nutrients(folder)[["name", "unit"]].join(one, how="inner")


def _table(folder: Path, name: str, fields: Sequence[str]) -> pd.DataFrame:
    """The first fields of one file, as text. Raises ReleaseError for a file that is missing or has no such fields."""
    for path in (folder / f"{name}.txt", folder / f"{name}.txt.gz"):
        if path.is_file():
            break
    else:
        raise ReleaseError(f"{folder} has neither {name}.txt nor {name}.txt.gz")
    try:
        return pd.read_csv(
            path,
            sep="^",
            quotechar="~",
            encoding="latin-1",
            header=None,
            names=list(fields),
            usecols=range(len(fields)),
            index_col=False,
            dtype=str,
            keep_default_na=False,
        )
    except (ValueError, OSError) as problem:
        raise ReleaseError(f"{path} is no {name} file of a Standard Reference release: {problem}") from problem
