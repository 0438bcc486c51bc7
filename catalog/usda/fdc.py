"""Reads a FoodData Central download in CSV: SR Legacy and Foundation, alone or in the full download.

A download is a folder or a .zip of files such as food.csv, food_nutrient.csv and nutrient.csv: a header row,
every cell in quotation marks, UTF-8. Read for the layout: the field definitions of USDA's "Download & API Field
Descriptions" (April 2019), and header and sample rows of the SR Legacy download of April 2018 and of Foundation
downloads, as printed in the documentation and tests of public importers. What they say and what is used:

food            fdc_id, data_type (sr_legacy_food, foundation_food, others), description, food_category_id,
                publication_date
food_nutrient   fdc_id, nutrient_id, amount per 100 g "in the unit defined in the nutrient table", data_points,
                derivation_id; standard_error in the definitions of 2019, absent from the downloads seen
nutrient        id, name, unit_name (G, MG, UG, IU …), nutrient_nbr: the Standard Reference's nutrient number
sr_legacy_food, foundation_food     fdc_id, NDB_number (without leading zeros)
food_category   id, code: the Standard Reference's food group
food_nutrient_derivation, food_nutrient_source      id, source_id; id, code: the Standard Reference's source code

An amount that is absent or empty is unknown, not zero.
"""

import zipfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import IO, Any

import pandas as pd

from catalog.usda.release import Release, ReleaseError, with_kind_and_spread

DATA_TYPES = {"sr_legacy_food": "SR Legacy", "foundation_food": "Foundation"}
CHUNK_ROWS = 1_000_000  # food_nutrient.csv of the full download has tens of millions
VALUE_COLUMNS = "fdc_id nutrient_id amount data_points derivation_id standard_error".split()
# The ids of food_category.csv as documented, for a download without that file: 1 is group 0100.
GROUPS = [*range(1, 23), 25, 35, 36]
ANALYTICAL_DERIVATION = "1"  # the id of derivation code A in every download documented


def is_fdc(path: Path) -> bool:
    """Whether a folder or .zip holds a food.csv."""
    return _place(path, "food.csv") is not None


def fdc_release(path: Path) -> Release:
    """The SR Legacy and Foundation foods of a download. Raises ReleaseError."""
    foods = _table(path, "food", "fdc_id data_type description".split(), ["food_category_id", "publication_date"])
    foods = foods[foods["data_type"].isin(list(DATA_TYPES))].drop_duplicates("fdc_id").set_index("fdc_id", drop=False)
    if foods.empty:
        raise ReleaseError(f"{path} has no food of SR Legacy or Foundation in food.csv")
    ndb_no = foods["fdc_id"].map(_ndb_numbers(path)).fillna("")
    parts = [
        "USDA FoodData Central, " + foods["data_type"].map(DATA_TYPES),
        foods["publication_date"].map(lambda date: f"published {date}" if date else ""),
        "FDC ID " + foods["fdc_id"],
        ndb_no.map(lambda number: f"NDB {number}" if number else ""),
    ]
    listed = pd.DataFrame(
        {
            "ndb_no": ndb_no,
            "fdc_id": foods["fdc_id"],
            "description": foods["description"].map(lambda text: " ".join(text.split())),
            "group": foods["food_category_id"].map(_groups(path)).fillna(""),
            "source": [", ".join(filter(None, cells)) for cells in zip(*parts, strict=True)],
        }
    )
    return Release(f"USDA FoodData Central in {path.name}", listed, lambda numbers: _values(path, numbers))


def _values(path: Path, fdc_ids: Sequence[str]) -> pd.DataFrame:
    """The values of some foods by FDC ID and nutrient number, as `Release.values` describes them."""
    nutrients = _table(path, "nutrient", "id unit_name nutrient_nbr".split())
    nutrients = nutrients.drop_duplicates("id").set_index("id")
    wanted = set(fdc_ids)
    rows = pd.concat([chunk[chunk["fdc_id"].isin(wanted)] for chunk in _value_chunks(path)])
    found = pd.DataFrame(
        {
            "number": rows["fdc_id"],
            "nutrient_no": rows["nutrient_id"].map(nutrients["nutrient_nbr"]).str.removesuffix(".0"),
            "value": pd.to_numeric(rows["amount"], errors="coerce"),
            "unit": rows["nutrient_id"].map(nutrients["unit_name"]).map(_unit),
            "n": pd.to_numeric(rows["data_points"], errors="coerce"),
            "standard_error": pd.to_numeric(rows["standard_error"], errors="coerce"),
            "source_code": rows["derivation_id"].map(_source_codes(path)).fillna(""),
        }
    )
    found = found.dropna(subset=["nutrient_no", "value"]).set_index(["number", "nutrient_no"])
    return with_kind_and_spread(found[~found.index.duplicated()])


def _unit(unit_name: object) -> str:
    """G -> g, UG -> ug, IU -> IU; what no nutrient is counted in (MG_ATE) stays a unit that converts to nothing."""
    return "IU" if unit_name == "IU" else str(unit_name).lower()


def _ndb_numbers(path: Path) -> dict[str, str]:
    """NDB numbers, five digits, by FDC ID."""
    found: dict[str, str] = {}
    for name in DATA_TYPES:
        if _place(path, f"{name}.csv"):
            table = _table(path, name, ["fdc_id", "NDB_number"])
            table = table[table["NDB_number"] != ""]
            found |= dict(zip(table["fdc_id"], table["NDB_number"].str.removesuffix(".0").str.zfill(5), strict=True))
    return found


def _groups(path: Path) -> dict[str, str]:
    """USDA's food group codes by food_category_id."""
    if _place(path, "food_category.csv"):
        table = _table(path, "food_category", ["id", "code"])
        return dict(zip(table["id"], table["code"].str.zfill(4), strict=True))
    return {str(position): f"{group:02d}00" for position, group in enumerate(GROUPS, start=1)}


def _source_codes(path: Path) -> dict[str, str]:
    """USDA's source codes by derivation_id; without the two files only what is analytical is known."""
    if not (_place(path, "food_nutrient_derivation.csv") and _place(path, "food_nutrient_source.csv")):
        return {ANALYTICAL_DERIVATION: "1"}
    derivations = _table(path, "food_nutrient_derivation", ["id", "source_id"])
    sources = _table(path, "food_nutrient_source", ["id", "code"]).set_index("id")["code"]
    return dict(zip(derivations["id"], derivations["source_id"].map(sources).fillna(""), strict=True))


def _table(path: Path, name: str, columns: Sequence[str], optional: Sequence[str] = ()) -> pd.DataFrame:
    """Columns of one file as text; an optional one that is absent is empty. Raises ReleaseError."""
    (table,) = _read(path, name, columns, optional, None)
    return table


def _value_chunks(path: Path) -> Iterator[pd.DataFrame]:
    return _read(path, "food_nutrient", VALUE_COLUMNS[:3], VALUE_COLUMNS[3:], CHUNK_ROWS)


def _read(
    path: Path, name: str, columns: Sequence[str], optional: Sequence[str], rows: int | None
) -> Iterator[pd.DataFrame]:
    """One file in chunks of `rows` rows, or whole."""
    wanted = [*columns, *optional]
    options: dict[str, Any] = {"dtype": str, "keep_default_na": False, "encoding": "utf-8-sig"}
    try:
        with _opened(path, f"{name}.csv") as file:
            read = pd.read_csv(file, usecols=lambda column: column in wanted, chunksize=rows, **options)
            for table in [read] if isinstance(read, pd.DataFrame) else read:
                absent = [column for column in columns if column not in table.columns]
                if absent:
                    raise ReleaseError(f"{name}.csv in {path} has no column {absent[0]}")
                yield table.assign(**{column: "" for column in optional if column not in table.columns})
    except ReleaseError:
        raise
    except (ValueError, OSError, zipfile.BadZipFile) as problem:
        raise ReleaseError(f"{name}.csv in {path} is no file of a FoodData Central download: {problem}") from problem


@contextmanager
def _opened(path: Path, name: str) -> Iterator[IO[bytes]]:
    place = _place(path, name)
    if place is None:
        raise ReleaseError(f"{path} has no {name}")
    if isinstance(place, Path):
        with place.open("rb") as file:
            yield file
    else:
        with zipfile.ZipFile(path) as archive, archive.open(place) as file:
            yield file


def _place(path: Path, name: str) -> Path | str | None:
    """Where a file is: in the folder or one folder below it, or the name within the .zip; None where it is not."""
    if path.is_dir():
        below = sorted(path.glob(f"*/{name}"))
        return path / name if (path / name).is_file() else below[0] if below else None
    if not path.is_file() or not zipfile.is_zipfile(path):
        return None
    with zipfile.ZipFile(path) as archive:
        found = [member for member in archive.namelist() if member.rpartition("/")[2] == name]
    return min(found, key=lambda member: (member.count("/"), member), default=None)
