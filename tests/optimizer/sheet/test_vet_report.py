"""What a veterinarian gets: every standard, how figures are known, their sources; and several batches as one."""

import pytest

from optimizer.assess.assessment import assess
from optimizer.pooling import pooled
from optimizer.sheet.vet_report import keys_of, vet_report_of
from tests.altered import changed, demo, entry, scenario_of
from tests.papers import CATALOG, batch, batch_of


def test_the_chosen_standard_comes_first_and_then_all_others_of_the_life_stage() -> None:
    made = batch("turkey-week")
    found = vet_report_of(made.scenario, CATALOG, made.sheet).judgements
    assert [j.standard.id for j in found] == ["aafco", "fediaf-100", "fediaf-75", "nrc"]
    assert found[0].assessment == made.sheet.assessment
    assert {j.standard.life_stage for j in found} == {"adult"}


@pytest.mark.parametrize("name", ["turkey-week", "freezer-clear-out", "bare-cupboard"])
def test_the_amounts_on_the_sheet_are_those_that_were_assessed(name: str) -> None:
    made = batch(name)
    again = assess(made.scenario, CATALOG, made.sheet.amounts)
    for line, other in zip(made.sheet.assessment.nutrients, again.nutrients, strict=True):
        assert other.per_1000_kcal == pytest.approx(line.per_1000_kcal, rel=1e-6)
        assert other.status == line.status


def test_a_bone_in_cut_is_told_as_flesh_and_bone() -> None:
    made = batch("turkey-week")
    neck = next(
        i for i in vet_report_of(made.scenario, CATALOG, made.sheet).ingredients if i.line.id == "turkey-neck-bone-in"
    )
    assert sum(facts.share for facts in neck.foods) == pytest.approx(1.0)
    bone = next(facts for facts in neck.foods if "bone" in facts.food.tags)
    assert bone.share == pytest.approx(0.6)
    assert "biotin" in bone.unknown


def test_every_source_is_cited_once() -> None:
    made = batch("turkey-week")
    found = vet_report_of(made.scenario, CATALOG, made.sheet)
    keys = [key for key, _ in found.citations]
    assert keys == sorted(set(keys))
    assert {"sr28", "aafco-2016", "nrc-2006"} <= set(keys)
    assert all(set(facts.sources) <= set(keys) for i in found.ingredients for facts in i.foods)


def test_source_cells_name_one_or_more_keys() -> None:
    assert keys_of("sr28:05096 + cofid-2021:18-1") == ["sr28", "cofid-2021"]
    assert keys_of("aafco-2016:Table 1 ; nrc-2006") == ["aafco-2016", "nrc-2006"]
    assert keys_of("") == []


def test_one_batch_twice_is_the_same_batch() -> None:
    made = batch("turkey-week")
    scenario, sheet = pooled([(made.scenario, made.sheet)] * 2, CATALOG)
    assert sheet.assessment.totals.mass_g == pytest.approx(2 * made.sheet.assessment.totals.mass_g)
    for line, other in zip(made.sheet.assessment.nutrients, sheet.assessment.nutrients, strict=True):
        assert other.per_1000_kcal == pytest.approx(line.per_1000_kcal)
    assert scenario.title.startswith("Average of 2 batches")


def test_two_batches_average_by_mass() -> None:
    one, other = batch("turkey-week"), batch("lamb-and-fish")
    _, sheet = pooled([(one.scenario, one.sheet), (other.scenario, other.sheet)], CATALOG)
    kcal = [b.sheet.assessment.totals.energy_kcal for b in (one, other)]
    zinc = [next(n.total for n in b.sheet.assessment.nutrients if n.nutrient.id == "zinc") for b in (one, other)]
    together = next(n for n in sheet.assessment.nutrients if n.nutrient.id == "zinc")
    assert together.per_1000_kcal == pytest.approx(sum(zinc) / sum(kcal) * 1000)


def test_bone_weighed_at_home_once_is_averaged_with_the_published_share() -> None:
    data = demo("turkey-week")
    weighed = changed(data)
    entry(weighed, "turkey-neck-bone-in")["bone_share"] = "50 %"
    one, other = batch("turkey-week"), batch_of(weighed)
    scenario, _ = pooled([(one.scenario, one.sheet), (other.scenario, other.sheet)], CATALOG)
    neck = next(item for item in scenario.items if item.id == "turkey-neck-bone-in")
    assert neck.bone_share == pytest.approx(0.55)  # the same mass of both; published: 60 %
    assert scenario_of(data, CATALOG).items[0].bone_share is None
