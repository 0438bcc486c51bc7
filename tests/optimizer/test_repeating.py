"""A batch again with another amount of meat: in proportion where that meets the standard, corrected where not."""

from fractions import Fraction
from pathlib import Path

import pytest

from catalog.reading.toml_lines import Lines
from catalog.records import Catalog
from optimizer.checking import check
from optimizer.errors import InputErrors
from optimizer.journal.batches import batch_page, record_batch
from optimizer.journal.recipes import as_weighed, read_recipe, recipe_of
from optimizer.journal.records import BatchPage, JournalFault
from optimizer.journal.store import reading, writing
from optimizer.planning import plan
from optimizer.render.json.sheet import sheet_object
from optimizer.repeating import RepeatedLine, repeat
from tests.altered import written_back
from tests.conftest import SCENARIOS
from tests.optimizer.journal.journal_help import record, sheet, told


def recorded(tmp_path: Path, catalog: Catalog, name: str, *weighed: str) -> BatchPage:
    """A demo's batch, weighed otherwise where told."""
    recipe = read_recipe(SCENARIOS / f"{name}.toml", catalog)
    planned = sheet_object(plan(recipe.scenario, catalog))
    texts = {line["id"]: line["text"] for line in planned["amounts"]}
    made = sheet_object(as_weighed(recipe, catalog, texts, weighed)) if weighed else None
    with writing(tmp_path / "journal.db") as store:
        number = record_batch(store, planned, made, recipe.data, told()).number
        return batch_page(store, number)


@pytest.fixture(scope="module")
def turkey(tmp_path_factory: pytest.TempPathFactory, catalog: Catalog) -> BatchPage:
    """The demo's turkey with half the taurine and no salt."""
    folder = tmp_path_factory.mktemp("turkey")
    return recorded(folder, catalog, "turkey-week", "taurine-powder=1/4 tsp", "salt-table=0")


def by_id(changes: tuple[RepeatedLine, ...]) -> dict[str, RepeatedLine]:
    return {change.id: change for change in changes}


def test_the_meat_is_what_was_asked_for_in_last_times_proportion(turkey: BatchPage, catalog: Catalog) -> None:
    again = repeat(turkey, Fraction(4200), "metric", catalog)
    assert again.sheet.assessment.totals.meat_g == pytest.approx(4200, abs=3)  # each cut to the gram
    last = {line.food: line.grams for line in turkey.lines}
    for line in again.sheet.lines:
        if line.group != "Premix bowl":
            assert line.grams == pytest.approx(last[line.id] * again.factor, rel=0.002, abs=0.5), line.id


def test_doses_are_in_proportion_to_the_nearest_step(turkey: BatchPage, catalog: Catalog) -> None:
    """Twice the meat: twice each dose. The rule of three, common practice."""
    meat = sum(line.grams for line in turkey.lines if line.role in ("cut", "organ", "fat"))
    changes = by_id(repeat(turkey, Fraction(2 * meat), "metric", catalog).changes)
    assert (changes["kelp-tablet-225"].last, changes["kelp-tablet-225"].scaled) == ("4 tablets", "8 tablets")
    assert (changes["thiamin-100"].last, changes["thiamin-100"].scaled) == ("1/2 tablet", "1 tablet")
    assert (changes["taurine-powder"].last, changes["taurine-powder"].scaled) == ("1/4 tsp", "1/2 tsp")


def test_each_correction_says_what_would_be_missed_without_it(turkey: BatchPage, catalog: Catalog) -> None:
    again = repeat(turkey, Fraction(4200), "metric", catalog)
    assert again.sheet.status == "planned"
    assert {"taurine", "chloride"} <= {miss.id for miss in again.as_scaled}
    taurine = by_id(again.changes)["taurine-powder"]
    assert (taurine.scaled, taurine.now, taurine.changed) == ("1/4 tsp", "1/2 tsp", True)
    assert [miss.id for miss in taurine.misses] == ["taurine"]
    assert taurine.reason.startswith("with 1/4 tsp: taurine ")
    assert taurine.reason.endswith(" % short")


def test_what_meets_the_standard_in_proportion_is_not_changed(tmp_path: Path, catalog: Catalog) -> None:
    page = recorded(tmp_path, catalog, "duck-and-quail-as-usual")
    again = repeat(page, Fraction(5000), "metric", catalog)
    assert again.as_scaled == ()
    assert [change.id for change in again.changes if change.changed] == []
    assert by_id(again.changes)["salmon-oil-farmed"].scaled == "8 pump strokes"  # 8 times 0.98, weighed at home


def test_what_is_printed_can_be_planned_from_and_passes_a_check(turkey: BatchPage, catalog: Catalog) -> None:
    again = repeat(turkey, Fraction(4200), "us", catalog)
    assert all(line.text.endswith(("oz", "lb")) for line in again.sheet.lines if line.role in ("cut", "organ", "water"))
    settled = recipe_of(written_back(again.data, again.sheet), "again", Lines({}), catalog)
    assert check(settled.scenario, catalog).assessment.all_met


def test_bounds_for_the_batch_go_by_the_meat_and_stock_of_then_is_left_out(tmp_path: Path, catalog: Catalog) -> None:
    page = recorded(tmp_path, catalog, "freezer-clear-out")
    again = repeat(page, Fraction(2000), "metric", catalog)
    entries = {entry["supplement"]: entry for entry in again.data["supplements"]}
    assert "exactly" not in entries["taurine-powder"]
    assert entries["salt-iodised-us"]["at_most"] == "1/2 tsp per 5 lb"
    assert "meat_at_least" not in again.data
    turkey_page = recorded(tmp_path, catalog, "turkey-week")
    assert repeat(turkey_page, Fraction(2000), "metric", catalog).dropped == (
        "what was left of vitamin-e-softgel-200 then",
    )


def test_what_was_added_while_weighing_is_repeated_too(tmp_path: Path, catalog: Catalog) -> None:
    page = recorded(tmp_path, catalog, "turkey-week", "chicken-heart=200 g", "kelp-powder=1/8 tsp")
    again = repeat(page, Fraction(page.batch.meat_g), "metric", catalog)
    changes = by_id(again.changes)
    assert changes["chicken-heart"].now == "200 g"
    assert changes["kelp-powder"].scaled == "1/8 tsp"


def test_a_batch_whose_foods_are_gone_from_the_catalog_says_which(tmp_path: Path, catalog: Catalog) -> None:
    path = tmp_path / "journal.db"
    gone = sheet()
    gone["amounts"][0]["id"] = "dodo"
    with writing(path) as store:
        record_batch(store, gone, None, {"on_hand": [{"food": "dodo", "amount": "4 kg"}]}, told())
        page = batch_page(store, 1)
    with pytest.raises(InputErrors, match=r'batch 1: on_hand.*read "dodo"'):
        repeat(page, Fraction(4200), "metric", catalog)


def test_a_batch_without_meat_has_no_proportion(tmp_path: Path, catalog: Catalog) -> None:
    path = tmp_path / "journal.db"
    record(path)
    bare = sheet()
    bare["amounts"] = bare["amounts"][1:]
    with writing(path) as store:
        record_batch(store, bare, None, {}, told())
    with reading(path) as store:
        page = batch_page(store, 2)
    with pytest.raises(JournalFault, match="batch 2 holds no meat"):
        repeat(page, Fraction(4200), "metric", catalog)
