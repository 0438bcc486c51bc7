"""A person's own foods and labels: where their files are, and the catalog with them laid over it.

The shipped tables come first, then the files in the folders that are named, in their order; an entry replaces an
earlier one of the same id. Which folders is for a front to say: none is looked at by itself.
"""

import os
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from catalog.catalog import TABLES
from catalog.mistakes import Mistake
from catalog.reading.toml_lines import Lines, read_toml
from catalog.records import Catalog, Food

if TYPE_CHECKING:
    from catalog.own.label_amounts import Forms

FILE_NAME = "own-foods.toml"
STANDARDS_FILE = "own-standards.toml"
WHAT = "a file of own foods"
ENTRIES = "foods"
SOURCE = "A person's own entry, as written on its label or found out by them; the locator names file and line."


def data_folder() -> Path:
    """The folder of what a person keeps for all scenarios; the environment's WEIGHOUT_DATA replaces it."""
    set_by_hand = os.environ.get("WEIGHOUT_DATA")
    if set_by_hand:
        return Path(set_by_hand).expanduser()
    from platformdirs import user_data_dir

    return Path(user_data_dir("weighout", appauthor=False))


def own_entry_files(folders: Sequence[Path], name: str = FILE_NAME) -> list[Path]:
    """The files of own entries (or of another `name`) that exist, in the order in which they are laid over the
    catalog."""
    found: list[Path] = []
    for path in (folder / name for folder in folders):
        if path.is_file() and path.resolve() not in [other.resolve() for other in found]:
            found.append(path)
    return found


def is_own(food: Food) -> bool:
    """Whether a food is a person's own entry, or one of the catalog's tables."""
    return Path(food.file).suffix == ".toml"


def with_own_entries(
    catalog: Catalog, folders: Sequence[Path], without: Path | None = None
) -> tuple[Catalog, list[Mistake]]:
    """The catalog with every file of own foods in the folders but `without`, and of own standards, laid over it, the
    last folder on top; mistakes in them."""
    mistakes: list[Mistake] = []
    for path in own_entry_files(folders):
        if without is None or path.resolve() != without.resolve():
            catalog, wrong = lay_over(catalog, path)
            mistakes += wrong
    for path in own_entry_files(folders, STANDARDS_FILE):
        from catalog.own.standards import lay_standards_over  # most people have none

        catalog, wrong = lay_standards_over(catalog, path)
        mistakes += wrong
    return catalog, mistakes


def lay_over(catalog: Catalog, path: Path) -> tuple[Catalog, list[Mistake]]:
    """The catalog with the entries of one file that have no mistake, and every mistake in the file."""
    data, lines, mistakes = read_toml(path, WHAT)
    if mistakes:
        return catalog, mistakes
    return lay_over_data(catalog, data, str(path), lines)


def lay_over_data(catalog: Catalog, data: Mapping[str, Any], file: str, lines: Lines) -> tuple[Catalog, list[Mistake]]:
    """As `lay_over`, for what has been read from TOML already."""
    from catalog.own.label_amounts import read_label_forms  # most people have no file of their own

    mistakes: list[Mistake] = []
    forms = read_label_forms(TABLES / "label_forms.csv", catalog.nutrients, catalog.sources, mistakes)
    others = [key for key in data if key != ENTRIES]
    mistakes += [Mistake(file, lines[(key,)], key, f'the key "{key}"', "entries headed [[foods]]") for key in others]
    entries = data.get(ENTRIES, [])
    if not isinstance(entries, list):
        mistakes.append(Mistake(file, lines[(ENTRIES,)], ENTRIES, "no list", "entries headed [[foods]]"))
        entries = []
    catalog = replace(catalog, sources={**catalog.sources, "own": SOURCE})
    for position, raw in enumerate(entries):
        food, wrong = _read(raw, position, file, lines, catalog, forms)
        mistakes += wrong
        if food is None:
            continue
        before = catalog.foods.get(food.id)
        if before and before.file == file:
            field = f"{ENTRIES}[{position + 1}].id"
            allowed = f"each id once; it stands on line {before.line} already"
            mistakes.append(Mistake(file, food.line, field, f'"{food.id}" a second time', allowed))
            continue
        food = replace(food, replaces=before.file if before else "")
        catalog = replace(catalog, foods={**catalog.foods, food.id: food})
    return catalog, sorted(mistakes, key=lambda mistake: mistake.line)


def _read(
    raw: Any, position: int, file: str, lines: Lines, catalog: Catalog, forms: "Forms"
) -> tuple[Food | None, list[Mistake]]:
    # Imported here: pydantic takes long to load.
    from catalog.own.food import own_food
    from catalog.own.schema import read_entry

    entry = read_entry(raw, (ENTRIES, position), file, lines, catalog, forms)
    if entry is None:
        field = f"{ENTRIES}[{position + 1}]"
        return None, [Mistake(file, lines[(ENTRIES, position)], field, str(raw)[:60], "a table headed [[foods]]")]
    return own_food(entry), entry.mistakes
