"""A person's own foods and labels: which files there are, and that nothing in them is a fault."""

import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.mistakes import Mistake
from catalog.own.overlay import (
    FILE_NAME,
    data_folder,
    is_own,
    lay_over_data,
    own_entry_files,
    with_own_entries,
)
from catalog.own.schema import OwnFoodTable
from catalog.reading.toml_lines import Lines
from catalog.records import Catalog

Lay = Callable[[str], tuple[Catalog, list[Mistake]]]

LABEL = """[[foods]]
id = "my-multi"
name = "multivitamin"
role = "supplement"
counts_as = "non-meat"
per = "2 capsules (1.3 g)"
[foods.amounts]
taurine = "1000 mg"
"""


def test_the_file_of_the_last_folder_comes_last(tmp_path: Path, catalog: Catalog) -> None:
    data, kitchen = tmp_path / "data", tmp_path / "kitchen"
    for folder, amount in ((data, "900 mg"), (kitchen, "800 mg")):
        folder.mkdir()
        (folder / FILE_NAME).write_text(LABEL.replace("1000 mg", amount), encoding="utf-8")
    assert own_entry_files([data, kitchen]) == [data / FILE_NAME, kitchen / FILE_NAME]
    laid, mistakes = with_own_entries(catalog, [data, kitchen])
    assert mistakes == []
    food = laid.foods["my-multi"]
    assert food.figures["taurine"].value == pytest.approx(0.8 / 1.3 * 100)
    assert (food.file, food.replaces) == (str(kitchen / FILE_NAME), str(data / FILE_NAME))


def test_no_folder_is_looked_at_that_is_not_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("WEIGHOUT_DATA", str(tmp_path))
    (tmp_path / FILE_NAME).write_text(LABEL, encoding="utf-8")
    assert own_entry_files([]) == []
    assert own_entry_files([Path()]) == [Path(FILE_NAME)]
    assert own_entry_files([tmp_path, Path()]) == [tmp_path / FILE_NAME]  # the same file is read once


def test_the_data_folder_is_the_systems_unless_it_is_set(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("WEIGHOUT_DATA", "~/kitchen")
    assert data_folder() == Path.home() / "kitchen"
    monkeypatch.delenv("WEIGHOUT_DATA")
    assert data_folder().name.lower() == "weighout"


ANYTHING = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.dates() | st.text(max_size=12),
    lambda inner: st.lists(inner, max_size=2) | st.dictionaries(st.text(max_size=5), inner, max_size=2),
    max_leaves=4,
)
WORDS = st.sampled_from(
    [
        *(
            "my-food",
            "turkey-heart",
            "rabbit-whole-bone-in",
            "water",
            "kelp",
            "supplement",
            "organ",
            "meat",
            "non-meat",
        ),
        *(
            "100 g",
            "2 capsules (1.3 g)",
            "1 tsp",
            "0 g",
            "1000 mg",
            "5 %",
            "3 to 2 ug",
            "10 IU",
            "1 g/kg",
            "9e9 g",
            "label",
        ),
    ]
)
KEYS = st.sampled_from([*OwnFoodTable.model_fields, "colour"])
TABLES_OF_TEXT = st.dictionaries(st.sampled_from(["taurine", "epa-dha", "epa", "iodine", "tsp", "capsule", ""]), WORDS)


@given(st.lists(st.dictionaries(KEYS, WORDS | TABLES_OF_TEXT | ANYTHING) | ANYTHING, max_size=2) | ANYTHING)
def test_whatever_is_written_gives_foods_or_mistakes_never_a_fault(catalog: Catalog, entries: Any) -> None:
    laid, mistakes = lay_over_data(catalog, {"foods": entries}, "own-foods.toml", Lines({}))
    own = [food for food in laid.foods.values() if is_own(food)]
    assert all(mistake.allowed for mistake in mistakes)
    assert all(food.role and food.counts_as in ("meat", "non-meat") and food.name for food in own)
    assert all(0 <= figure.low <= figure.high < math.inf for food in own for figure in food.figures.values())
