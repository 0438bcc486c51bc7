"""Foods of a USDA release -> a person's own entries, with what is missing told and nothing made up.

Nutrients are mapped as in the shipped tables: the first number of `Nutrient.usda_numbers` that the release has
for the food, vitamin A as retinol and vitamin E as alpha-tocopherol, the undivided 20:4 of fish as half to all
arachidonic acid. A nutrient without a value stays unknown.
"""

import math
import re
import unicodedata
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path
from typing import Any, NamedTuple

import pandas as pd

from catalog.mistakes import Mistake
from catalog.nutrition.refusals import refusal
from catalog.own.food import MOST_OF_A_LABEL, PROXIMATES
from catalog.own.schema import tags_of_words
from catalog.reading.figures import convert_amount
from catalog.records import Catalog, Nutrient
from catalog.usda.fdc import fdc_release, is_fdc
from catalog.usda.release import Release, matching, numbered
from catalog.usda.roles import listing, same_food
from catalog.usda.sr import sr_release

Listed = Sequence[Mapping[str, str]]  # rows of Release.foods with the number that `import` takes


LONGEST_ID, LONGEST_NAME = 60, 200
# The form in which the release's number gives a vitamin, in the words of label_forms.csv.
FORMS = {"vitamin-a": " retinol", "vitamin-e": " d-alpha-tocopherol"}
UNDIVIDED = {"arachidonic-acid": "620"}  # n-6 and, in fish, n-3 acids under one number
KELP = "kelp-powder"  # whose iodine stands in for that of a seaweed without a figure


class ReleasedValue(NamedTuple):
    """One value of a food; sd and n are NaN where not published."""

    value: float
    unit: str
    kind: str
    sd: float
    n: float


@dataclass(frozen=True, slots=True)
class Imported:
    """A food of a release as an own entry, which `own_writing.add_entries` takes.

    `missing` are the nutrients without a value, `same_as` the catalog's own food of this NDB number or empty.
    `refused` is empty, or why the food must not go into a cat's bowl; then the entry is not to be written.
    """

    entry: Mapping[str, Any]
    number: str
    description: str
    missing: tuple[str, ...]
    same_as: str
    refused: str


def open_release(path: Path) -> Release:
    """The release in a folder or .zip, whichever layout it has. Raises ReleaseError."""
    return fdc_release(path) if is_fdc(path) else sr_release(path)


def found_foods(release: Release, words: str) -> list[dict[str, str]]:
    """The foods whose description holds all of the words: number (to import it by), and the columns of `Release`."""
    return [{"number": number, **food} for number, food in _rows(matching(release.foods, words)).items()]


def _rows(foods: pd.DataFrame) -> dict[str, dict[str, str]]:
    """Rows of `Release.foods` by number."""
    return {
        str(number): {str(column): str(cell) for column, cell in row.items()}
        for number, row in foods.to_dict("index").items()
    }


def import_foods(
    release: Release, numbers: Sequence[str], catalog: Catalog, id_: str | None = None
) -> tuple[list[Imported], list[Mistake]]:
    """The foods of some NDB numbers or FDC IDs, and a mistake for each number that is none. Raises ReleaseError.

    `id_` names the entry where there is one food; else ids are made of USDA's descriptions.
    """
    found: list[str] = []
    mistakes: list[Mistake] = []
    for number in dict.fromkeys(numbers):
        meant = numbered(release, number)
        found += meant if len(meant) == 1 and meant[0] not in found else []
        if len(meant) != 1:
            read = f'"{number}"' + (f" ({len(meant)} foods)" if meant else "")
            allowed = "one FDC ID: " + ", ".join(meant) if meant else f"an NDB number or FDC ID in {release.name}"
            mistakes.append(Mistake("command line", 0, "NUMBER", read, allowed, "" if meant else "--search finds it."))
    if id_ and len(found) > 1:
        mistakes.append(Mistake("command line", 0, "--id", f"{id_} for {len(found)} foods", "an id for one food"))
    if mistakes or not found:
        return [], mistakes
    ids = [id_] if id_ else _ids(release.foods.loc[found, "description"], catalog)
    foods = _rows(release.foods.loc[found])
    values = {str(number): rows for number, rows in release.values(found).groupby(level=0)}
    imported = []
    for number, food_id in zip(found, ids, strict=True):
        if number in values:
            imported.append(_imported(foods[number], food_id, values[number].droplevel(0), catalog))
        else:
            mistakes.append(Mistake("command line", 0, "NUMBER", f'"{number}" (no values)', "a food with values"))
    return ([] if mistakes else imported), mistakes


def _ids(descriptions: "pd.Series[str]", catalog: Catalog) -> list[str]:
    """An id of each description's words; the food's number is added where that is cut short, or taken already."""
    plain = [_hyphenated(text) for text in descriptions]
    counts = Counter(plain)
    return [
        id_
        if len(id_) <= LONGEST_ID and counts[id_] == 1 and id_ not in catalog.foods and id_ != "water"
        else f"{id_[: LONGEST_ID - len(number) - 1].rstrip('-')}-{number}".strip("-")
        for id_, number in zip(plain, map(str, descriptions.index), strict=True)
    ]


def _hyphenated(text: str) -> str:
    ascii_text = unicodedata.normalize("NFKD", _edible(text)).encode("ascii", "ignore").decode()
    return "-".join(re.findall(r"[a-z0-9]+", ascii_text.casefold()))


def _edible(description: str) -> str:
    """A description without "bone-in": the values are of what is eaten of it, without the bone."""
    return re.sub(r",? ?\(?\bbone-in\b\)?", "", description, flags=re.IGNORECASE).strip(" ,")


def _imported(food: Mapping[str, str], id_: str, values: pd.DataFrame, catalog: Catalog) -> Imported:
    """One food; `values` by nutrient number."""
    description, name = food["description"], _edible(food["description"])[:LONGEST_NAME].strip()
    own = same_food(food["ndb_no"], catalog)
    entry: dict[str, Any] = {"id": id_, "name": name}
    if own and catalog.foods[own].role != "water":
        same = catalog.foods[own]
        entry |= {"role": same.role, "counts_as": same.counts_as, "category": same.category}
        entry |= {"species": same.species} if same.species else {}
        tags = set(same.tags)
    else:
        guess = listing(description, food["group"])
        entry |= {"role": guess.role, "counts_as": guess.counts_as}
        tags = {*guess.tags, *_named_tags(name, guess.role, catalog)}
    halved = bool(tags & {"fish", "shellfish"})
    amounts, kinds, spread, samples = _amounts(values, catalog, halved)
    notes = ["USDA's figures are of the edible part, without bone"] if name != description else []
    if tags & {"kelp", "seaweed"} and "iodine" not in amounts and KELP in catalog.foods:
        amounts["iodine"], kinds["iodine"] = _seaweed_iodine(amounts, catalog), "estimated"
        tags.add("iodine-unlabelled")
        notes.append(
            "USDA has no iodine for it: it counts as none towards the target, as strong kelp towards the ceiling"
        )
    whole = sum(float(amounts[id_].split()[0]) for id_ in PROXIMATES if id_ in amounts)
    if whole > MOST_OF_A_LABEL:
        notes.append(f"USDA's own water, protein, fat, ash and carbohydrate come to {whole:.1f} g in 100 g")
    usual = Counter(kinds.values()).most_common(1)[0][0] if kinds else "calculated"
    entry |= {"tags": sorted(tags), "per": "100 g", "kind": usual, "source": food["source"]}
    entry |= {"note": "; ".join(notes)} if notes else {}
    entry |= {"amounts": amounts, "kinds": {key: kind for key, kind in kinds.items() if kind != usual}}
    entry |= {"spread": spread, "samples": samples}
    refused = refusal(name, catalog.cautions) or refusal(id_, catalog.cautions)
    return Imported(
        entry=entry,
        number=food["fdc_id"] or food["ndb_no"],
        description=description,
        missing=tuple(n.id for n in catalog.nutrients.values() if not n.sum_of and n.id not in amounts),
        same_as=own,
        refused=refused.text if refused else "",
    )


def _named_tags(name: str, role: str, catalog: Catalog) -> set[str]:
    """The tags of foods that a name speaks of, and for an oil those of oils: fish canned in oil is no fish oil."""
    known = {tag for food in catalog.foods.values() if food.role not in ("supplement", "oil") for tag in food.tags}
    known |= {"fish-oil", "cod-liver-oil"} if role == "oil" else {"kelp", "seaweed"}
    return tags_of_words(re.findall(r"[a-z0-9]+", name.casefold()), catalog) & known


def _amounts(
    values: pd.DataFrame, catalog: Catalog, halved: bool
) -> tuple[dict[str, str], dict[str, str], dict[str, str], dict[str, int]]:
    """Amounts, kinds, standard deviations and numbers of samples by nutrient id, as an own entry has them."""
    amounts: dict[str, str] = {}
    kinds: dict[str, str] = {}
    spread: dict[str, str] = {}
    samples: dict[str, int] = {}
    columns = (values[column].tolist() for column in ("value", "unit", "kind", "sd", "n"))
    rows = {str(number): ReleasedValue(*cells) for number, *cells in zip(values.index, *columns, strict=True)}
    for nutrient in catalog.nutrients.values():
        number = next((no for no in nutrient.usda_numbers if no in rows and _usable(rows[no], nutrient)), None)
        if number is None:
            continue
        row, id_ = rows[number], nutrient.id
        value, words = max(0.0, row.value), f" {row.unit}{FORMS.get(nutrient.id, '')}"
        half = halved and UNDIVIDED.get(id_) == number and value > 0
        amounts[id_] = f"{_printed(value / 2)} to {_printed(value)}{words}" if half else _printed(value) + words
        kinds[id_] = row.kind
        if not math.isnan(row.sd):
            spread[id_] = _printed(float(f"{row.sd:.4g}")) + words
        if not math.isnan(row.n):
            samples[id_] = int(row.n)
    return amounts, kinds, spread, samples


def _usable(row: ReleasedValue, nutrient: Nutrient) -> bool:
    """Whether a value is in a unit of the nutrient; only what is a difference may lie below zero, and is then none."""
    in_unit = convert_amount(1.0, row.unit, nutrient) is not None
    return in_unit and (row.value >= 0 or nutrient.id == "carbohydrate")


def _printed(value: float) -> str:
    """0.00012 as it is, without an exponent."""
    return f"{Decimal(repr(value)):f}".removesuffix(".0")


def _seaweed_iodine(amounts: Mapping[str, str], catalog: Catalog) -> str:
    """From nothing up to what the strongest kelp without a label holds in as much dry matter, per 100 g."""
    strongest = catalog.foods[KELP].figures["iodine"].high
    water = float(amounts["water"].split()[0]) if "water" in amounts else 0.0
    return f"0 to {_printed(float(round(strongest * (100 - water) / 100)))} ug"
