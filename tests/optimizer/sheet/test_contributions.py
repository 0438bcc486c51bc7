"""Which ingredient brings which nutrient: the parts add up to what was assessed."""

from math import sqrt

import pytest

from optimizer.sheet.contributions import contributions_of, per_kg_as_fed
from tests.papers import CATALOG, batch


@pytest.mark.parametrize("name", ["turkey-week", "duck-and-quail-as-usual", "bare-cupboard"])
def test_the_parts_add_up_to_the_batch(name: str) -> None:
    made = batch(name)  # duck and quail: a share of bone weighed at home
    found = contributions_of(made.scenario, CATALOG, made.sheet)
    totals = made.sheet.assessment.totals
    for line in made.sheet.assessment.nutrients:
        parts = [ingredient.brings(line.nutrient.id) for ingredient in found.ingredients]
        assert sum(parts) == pytest.approx(line.total, rel=1e-9, abs=1e-12)
    assert sum(i.line.grams * i.kcal_per_g for i in found.ingredients) == pytest.approx(totals.energy_kcal)
    assert sum(i.line.grams * i.dry_matter_per_g for i in found.ingredients) == pytest.approx(totals.dry_matter_g)
    assert sum(i.share_of_mass for i in found.ingredients) == pytest.approx(1.0)


def test_shares_are_of_the_total() -> None:
    made = batch("turkey-week")
    found = contributions_of(made.scenario, CATALOG, made.sheet)
    taurine = dict(zip((i.line.id for i in found.ingredients), found.shares("taurine"), strict=True))
    assert sum(taurine.values()) == pytest.approx(1.0)
    assert taurine["taurine-powder"] > 0.5
    assert taurine["water"] == 0.0


def test_the_spread_of_a_batch_is_less_than_that_of_its_parts_together() -> None:
    made = batch("turkey-week")
    found = contributions_of(made.scenario, CATALOG, made.sheet)
    parts = [i.line.grams * i.contents["iron"].sd for i in found.ingredients]
    assert found.spread("iron") == pytest.approx(sqrt(sum(part**2 for part in parts)))
    assert max(parts) < found.spread("iron") < sum(parts)


def test_a_label_would_say_moisture_protein_fat_fibre_and_ash() -> None:
    made = batch("turkey-week")
    analysis = {line.name: line for line in contributions_of(made.scenario, CATALOG, made.sheet).analysis}
    totals = made.sheet.assessment.totals
    assert analysis["moisture"].as_fed == pytest.approx(100 * (1 - totals.dry_matter_g / totals.mass_g))
    protein = next(line for line in made.sheet.assessment.nutrients if line.nutrient.id == "protein")
    assert analysis["crude protein"].as_fed == pytest.approx(per_kg_as_fed(protein, totals) / 10)
    assert analysis["crude protein"].of_dry_matter == pytest.approx(protein.per_kg_dry_matter / 10)


def test_what_has_no_figure_is_told_from_zero() -> None:
    made = batch("turkey-week")
    taurine = next(
        i for i in contributions_of(made.scenario, CATALOG, made.sheet).ingredients if i.line.id == "taurine-powder"
    )
    assert taurine.has_figure("taurine")
    assert not taurine.has_figure("iodine")
