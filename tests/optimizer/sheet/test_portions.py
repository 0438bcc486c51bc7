"""Portions: what each cat gets, what a batch comes to in scoops, trays and bags, and until when it keeps."""

from datetime import date, timedelta
from itertools import pairwise

import pytest

from optimizer.errors import InputErrors
from optimizer.render.json.portions import portions_object
from optimizer.scenario.cats import Cat
from optimizer.sheet.portions import Portions, need_of, portions_of
from tests.altered import changed, demo, scenario_of
from tests.papers import CATALOG, CATS, MADE, PORTIONS, batch, holding_times


def portions(name: str = "turkey-week", **tables: object) -> Portions:
    """A batch in portions: the turkey (3527 g, 4400 kcal) unless told."""
    scenario = scenario_of(changed(demo(name), **tables), CATALOG)
    found = portions_of(scenario, batch(name).sheet, MADE, holding_times())
    assert found is not None
    return found


def test_a_day_of_food_is_the_need_over_the_energy_of_a_gram() -> None:
    found = portions(cats=[{"weight": "4.0 kg"}])
    [cat] = found.cats
    assert cat.need.kcal == pytest.approx(189.9, abs=0.1)  # 75 x 4^0.67
    assert cat.grams_per_day * found.kcal_per_g == pytest.approx(cat.need.kcal)
    assert cat.grams_per_meal * 2 == pytest.approx(cat.grams_per_day)
    assert found.days == pytest.approx(found.net_g / cat.grams_per_day)


def test_all_of_the_mix_is_accounted_for() -> None:
    found = portions(cats=CATS, portions=PORTIONS)
    assert found.evaporation_g == pytest.approx(0.005 * found.mass_g)
    assert found.sticking_g == 40.0
    assert found.net_g + 40.0 + 0.005 * found.mass_g == pytest.approx(found.mass_g)
    assert sum(bag.grams for bag in found.bags) == pytest.approx(found.net_g)
    assert sum(bag.days for bag in found.bags) == pytest.approx(found.days)


def test_what_evaporates_is_water_and_takes_no_energy_along() -> None:
    dry, plain = portions(portions={"evaporation": "10 %"}), portions(portions={})
    assert dry.kcal_per_g == pytest.approx(plain.kcal_per_g / 0.9)


def test_what_sticks_takes_its_energy_along() -> None:
    assert portions(portions={"sticking": "10 %"}).kcal_per_g == pytest.approx(portions(portions={}).kcal_per_g)


def test_scoops_and_trays_without_cats() -> None:
    found = portions(portions={"scoop": "50 g", "tray": "1 kg"})
    assert found.scoops == pytest.approx(found.mass_g / 50)
    assert found.trays == 4
    assert (found.days, found.bags) == (None, ())


def test_other_food_leaves_less_for_this() -> None:
    [whole], [part] = (portions(cats=[{"weight": "4 kg", "share": s}]).cats for s in ("100 %", "50 %"))
    assert part.grams_per_day == pytest.approx(whole.grams_per_day / 2)


def test_bags_follow_one_another_without_a_gap() -> None:
    bags = portions(cats=CATS, portions=PORTIONS).bags
    assert bags[0].feed_from == MADE
    for bag, after in pairwise(bags):
        assert after.feed_from == bag.feed_to + timedelta(days=1)


def test_the_first_bag_stays_in_the_refrigerator_and_the_others_thaw_the_day_before() -> None:
    first, *others = portions(cats=CATS, portions=PORTIONS).bags
    assert first.thaw_on is None
    assert first.feed_to <= MADE + timedelta(days=2)
    assert [bag.thaw_on for bag in others] == [bag.feed_from - timedelta(days=1) for bag in others]
    assert [bag.thawed_use_by for bag in others] == [bag.feed_from + timedelta(days=2) for bag in others]


def test_a_heavy_bag_thaws_longer() -> None:
    # duck and quail, some 5.4 kg: four days for these cats are over 1.8 kg, and 4 lb thaw in a day
    bags = portions("duck-and-quail-as-usual", cats=CATS, portions={"bag_days": 4}).bags
    assert bags[1].grams == pytest.approx(1827, abs=1)
    assert bags[1].thaw_on == bags[1].feed_from - timedelta(days=2)


@pytest.mark.parametrize(
    ("made", "use_by"),
    [
        (date(2026, 11, 25), date(2027, 2, 25)),
        (date(2026, 11, 30), date(2027, 2, 28)),
        (date(2026, 5, 31), date(2026, 8, 31)),
    ],
)
def test_frozen_bags_are_best_for_three_months(made: date, use_by: date) -> None:
    scenario = scenario_of(changed(demo("turkey-week"), cats=CATS), CATALOG)
    found = portions_of(scenario, batch("turkey-week").sheet, made, holding_times())
    assert found is not None
    assert found.frozen_use_by == use_by


def test_a_batch_that_lasts_too_long_says_so() -> None:
    found = portions(cats=[{"weight": "2 kg", "share": "10 %"}])
    assert any("make a smaller batch" in note for note in found.notes)
    assert not any("make a smaller batch" in note for note in portions(cats=CATS).notes)


def test_bags_for_more_days_than_thawed_food_keeps_say_so() -> None:
    assert any("thawed food keeps 1 to 2" in note for note in portions(cats=CATS, portions={"bag_days": 3}).notes)
    assert not any("thawed food keeps" in note for note in portions(cats=CATS, portions={"bag_days": 2}).notes)


def test_a_kitten_beside_an_adult_standard_says_so() -> None:
    kitten = {"name": "Fips", "weight": "1 kg", "stage": "kitten", "mature_weight": "4 kg"}
    notes = portions(cats=[kitten]).notes
    assert any("not: Fips" in note for note in notes)
    assert any("change from week to week: Fips" in note for note in notes)


def test_feeding_before_the_batch_is_made_says_so() -> None:
    early, later = (portions(cats=CATS, portions={"feed_from": day}).notes for day in ("2026-11-24", "2026-11-26"))
    assert "Feeding is to start before the batch is made." in early
    assert "Feeding is to start before the batch is made." not in later


def test_losses_that_leave_nothing_are_refused() -> None:
    with pytest.raises(InputErrors, match="less than the mix, 3527 g"):
        portions(portions={"sticking": "4 kg"})


def test_losses_that_are_not_stated_are_not_zero() -> None:
    found = portions(cats=CATS)
    assert (found.evaporation_g, found.sticking_g) == (None, None)
    assert any("A loss that is not stated" in note for note in found.notes)


@pytest.mark.parametrize(
    ("cat", "equation"),
    [
        (Cat("a", 4.0), "75 x kg^0.67"),
        (Cat("a", 4.0, neutered=False), "100 x kg^0.67"),
        (Cat("a", 4.0, neutered=False, activity="quiet"), "75 x kg^0.67"),
        (Cat("a", 4.0, activity="active"), "100 x kg^0.67"),
        (Cat("a", 9.0, activity="active", condition="overweight"), "130 x kg^0.40"),
        (Cat("a", 6.0, condition="overweight"), "75 x kg^0.67"),
        (Cat("a", 4.0, stage="pregnant"), "140 x kg^0.67"),
        (Cat("a", 4.0, stage="nursing", kittens=4, week=3), "100 x kg^0.67 + 60 x kg x 1.2"),
        (Cat("a", 4.0, kcal_per_day=222.0), "as stated in the scenario"),
    ],
)
def test_each_cat_gets_the_equation_for_its_life(cat: Cat, equation: str) -> None:
    assert need_of(cat).equation == equation


def test_as_plain_data() -> None:
    data = portions_object(portions(cats=CATS, portions=PORTIONS), CATALOG.sources)
    assert data["cats"][0]["name"] == "Minka"
    assert data["cats"][0]["source"].startswith("FEDIAF")
    assert data["bags"][1]["thaw_on"] == "2026-11-26"
    assert portions_object(None, CATALOG.sources) == {}
