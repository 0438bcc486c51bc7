"""An entry is written whole and right, or not at all."""

from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.own.overlay import lay_over
from catalog.own.writing import add_entry, answer_mistakes, entry_text
from catalog.reading.toml_lines import parse_toml
from catalog.records import Catalog

ENTRY: dict[str, Any] = {
    "id": "my-multi",
    "name": 'multi "plus" \\ 50 %',
    "role": "supplement",
    "counts_as": "non-meat",
    "tags": ["zinc"],
    "per": "2 capsules (1.3 g)",
    "amounts": {"taurine": "1000 mg", "vitamin-e": "30 mg d-alpha"},
    "measures": {"pump stroke": "1.4 g"},
}


@given(
    st.dictionaries(
        st.text(min_size=1, max_size=12).filter(lambda key: key not in ("id", "amounts") and max(key) < "\ud800"),
        st.text(st.characters(codec="utf-8"), max_size=30),
        max_size=4,
    )
)
def test_what_is_written_reads_back_as_it_was(texts: dict[str, str]) -> None:
    entry = {"id": "x", **texts, "amounts": {**texts, "taurine": "1 g"}}
    data, _, mistakes = parse_toml(entry_text(entry), "x.toml")
    assert mistakes == []
    assert data == {"foods": [entry]}


def test_a_new_file_has_a_head_and_the_entry(catalog: Catalog, tmp_path: Path) -> None:
    path = tmp_path / "new" / "own-foods.toml"
    food, mistakes = add_entry(catalog, ENTRY, path)
    assert mistakes == []
    assert food is not None
    assert path.read_text(encoding="utf-8").startswith("# Own foods")
    assert [p.name for p in path.parent.iterdir()] == ["own-foods.toml"]
    laid, mistakes = lay_over(catalog, path)
    assert mistakes == []
    assert laid.foods["my-multi"] == food
    assert food.name == 'multi "plus" \\ 50 %'


def test_what_stands_in_the_file_stays_as_it_is(catalog: Catalog, tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    before = '# by hand\n[[foods]]\nid = "a"   # mine\nlike = "turkey-heart"'
    path.write_text(before, encoding="utf-8")
    food, _ = add_entry(catalog, {**ENTRY, "id": "my-other"}, path)
    assert food is not None
    assert path.read_text(encoding="utf-8").startswith(before + "\n\n[[foods]]\n")
    again, _ = add_entry(catalog, {"id": "my-third", "like": "my-other"}, path)
    assert again is not None
    assert lay_over(catalog, path)[0].foods.keys() >= {"a", "my-other", "my-third"}


@pytest.mark.parametrize(
    ("entry", "field"),
    [
        ({**ENTRY, "id": "No Id"}, "id"),
        ({**ENTRY, "amounts": {"taurin": "1 g"}}, "amounts.taurin"),
        ({**ENTRY, "name": "garlic"}, "name"),
        ({**ENTRY, "per": "2 capsules"}, "per"),
        ({**ENTRY, "id": "turkey-heart"}, "id"),
    ],
)
def test_nothing_is_written_while_something_is_wrong(
    catalog: Catalog, tmp_path: Path, entry: dict[str, Any], field: str
) -> None:
    path = tmp_path / "mine.toml"
    food, [mistake] = add_entry(catalog, entry, path)
    assert food is None
    assert (mistake.file, mistake.field) == ("command line", field)
    assert not path.exists()


def test_an_id_is_never_written_twice(catalog: Catalog, tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    add_entry(catalog, ENTRY, path)
    before = path.read_text(encoding="utf-8")
    food, [mistake] = add_entry(catalog, {**ENTRY, "name": "other"}, path, replaces=True)
    assert food is None
    assert mistake.allowed == f"another id: line 4 of {path} has it"
    assert path.read_text(encoding="utf-8") == before


def test_a_food_of_the_catalog_is_replaced_only_when_that_is_wanted(catalog: Catalog, tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    entry = {"id": "turkey-heart", "like": "turkey-heart", "per": "100 g", "amounts": {"taurine": "150 mg"}}
    food, [mistake] = add_entry(catalog, entry, path)
    assert food is None
    assert "--replace" in mistake.allowed
    food, mistakes = add_entry(catalog, entry, path, replaces=True)
    assert mistakes == []
    assert food is not None
    assert food.replaces == catalog.foods["turkey-heart"].file


@pytest.mark.parametrize("text", ["[[foods]\n", "stray = 1\n", 'foods = [{id = "a", like = "turkey-heart"}]\n'])
def test_a_file_that_cannot_be_added_to_stays_as_it_is(catalog: Catalog, tmp_path: Path, text: str) -> None:
    path = tmp_path / "mine.toml"
    path.write_text(text, encoding="utf-8")
    food, mistakes = add_entry(catalog, ENTRY, path)
    assert food is None
    assert mistakes[0].file == str(path)
    assert path.read_text(encoding="utf-8") == text


def test_one_answer_is_judged_by_itself(catalog: Catalog) -> None:
    assert answer_mistakes(catalog, per="2 capsules (1.3 g)") == []
    assert answer_mistakes(catalog, id="my-multi") == []
    assert [m.field for m in answer_mistakes(catalog, per="2 capsules")] == ["per"]
    assert [m.field for m in answer_mistakes(catalog, amounts={"zinc": "5"})] == ["amounts.zinc"]
