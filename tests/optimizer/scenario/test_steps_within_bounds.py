"""A least amount that no whole step reaches is a mistake of the file, not a rule to be dropped in silence."""

from pathlib import Path

import pytest

from catalog.catalog import load_catalog
from catalog.records import Catalog
from optimizer.errors import InputErrors
from optimizer.scenario.read import load_scenario

ENTRY = '[[on_hand]]\nfood = "turkey-ground"\namount = "2 kg"\n[[on_hand]]\nfood = "egg-whole"\n'


@pytest.mark.parametrize(
    ("lines", "field"),
    [
        ('up_to = "30 g"\nat_least = "10 g"\nstep = "50 g"\n', "within up_to"),
        ('up_to = "500 g"\nat_least = "60 g"\nat_most = "90 g"\nstep = "50 g"\n', "within at_most"),
    ],
)
def test_no_whole_step_lies_between(tmp_path: Path, catalog: Catalog, lines: str, field: str) -> None:
    file = tmp_path / "eggs.toml"
    file.write_text(ENTRY + lines, encoding="utf-8")
    with pytest.raises(InputErrors) as caught:
        load_scenario(file, catalog)
    [mistake] = caught.value.mistakes
    assert mistake.line == 7
    assert field in mistake.allowed


def test_where_a_step_fits_nothing_is_wrong(tmp_path: Path, catalog: Catalog) -> None:
    file = tmp_path / "eggs.toml"
    file.write_text(ENTRY + 'up_to = "60 g"\nat_least = "10 g"\nstep = "50 g"\n', encoding="utf-8")
    assert load_scenario(file, catalog)


def test_what_destroys_a_nutrient_is_a_tag_that_some_food_bears(tmp_path: Path) -> None:
    import shutil

    from catalog.catalog import TABLES

    folder = tmp_path / "tables"
    shutil.copytree(TABLES, folder)
    table = folder / "nutrients.csv"
    table.write_text(table.read_text(encoding="utf-8").replace(",thiaminase\n", ",thiaminas\n"), encoding="utf-8")
    _, mistakes = load_catalog(folder, whole=False)
    assert [(m.field, m.read) for m in mistakes] == [("thiamine.destroyed_by", "thiaminas")]
