"""The order of work: bowls, tolerances, the total on the scale, reminders where they apply."""

import pytest

from optimizer.sheet.work_order import GRINDER, MIXING, PACK, PREMIX, tolerance_rule, weighings
from tests.altered import NAMES, changed, demo
from tests.papers import batch, batch_of


@pytest.mark.parametrize("name", NAMES)
def test_every_line_of_the_sheet_is_weighed_once(name: str) -> None:
    made = batch(name)
    ids = [weighing.line.id for _, _, weighing in weighings(made.order)]
    assert sorted(ids) == sorted(line.id for line in made.sheet.lines)


@pytest.mark.parametrize("name", NAMES)
def test_the_scale_shows_the_whole_mix_at_the_end(name: str) -> None:
    made = batch(name)
    mixing = next(stage for stage in made.order.stages if stage.title == MIXING)
    assert mixing.total_g == pytest.approx(made.sheet.assessment.totals.mass_g)


def test_the_running_total_starts_anew_with_each_bowl() -> None:
    for stage in batch("turkey-week").order.stages:
        running = 0.0
        for _, lines in stage.weighings:
            for weighing in lines:
                running += weighing.line.grams
                assert weighing.running_g == pytest.approx(running)


def test_the_premix_is_dry_then_liquid_then_its_wet_carrier() -> None:
    order = batch("turkey-week").order
    premix = next(stage for stage in order.stages if stage.title == PREMIX)
    assert [part for part, _ in premix.weighings] == ["dry", "liquid", "wet carrier"]
    liquid, carrier = ([weighing.line.id for weighing in lines] for _, lines in premix.weighings[1:])
    assert liquid == ["vitamin-e-softgel-200"]
    assert carrier == ["water"]


def test_premix_before_grinder_before_mixing() -> None:
    titles = [stage.title for stage in batch("turkey-week").order.stages]
    assert titles == ["Before", PREMIX, GRINDER, MIXING, "After"]


def test_without_supplements_there_is_no_premix_and_wet_things_are_stirred_in() -> None:
    bare = changed(demo("turkey-week"), supplements=None)
    order = batch_of(bare).order
    assert PREMIX not in [stage.title for stage in order.stages]
    mixing = next(stage for stage in order.stages if stage.title == MIXING)
    assert [weighing.line.id for _, lines in mixing.weighings for weighing in lines] == ["egg-yolk", "water"]
    assert mixing.first == ()


def test_poultry_is_not_to_be_rinsed_and_beef_is_not_named_so() -> None:
    assert any("Do not rinse" in text for text in batch("turkey-week").order.stages[0].first)
    assert not any("Do not rinse" in text for text in batch("boneless-beef").order.stages[0].first)


def test_a_mix_that_misses_limits_is_neither_packed_nor_said_to_keep_every_limit() -> None:
    """The sheet of a mix out of reach told to bag it and that "every limit still holds in 95 of 100 bowls"."""
    near, met = batch("bare-cupboard"), batch("turkey-week")
    assert met.order.stages[-1].first[0] == PACK
    assert PACK not in near.order.stages[-1].first
    assert "every limit still holds" in tolerance_rule(met.sheet)
    assert "every limit that the mix keeps still holds" in tolerance_rule(near.sheet)
