"""A line may be off by its tolerance, and every limit that was kept still is: alone, and with all lines off at random."""

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest

from catalog.records import Limit
from optimizer.assess.assessment import assess
from optimizer.assess.batch import Amount
from optimizer.sheet.numbers import tolerance_text
from optimizer.sheet.tolerances import MOST, tolerances
from tests.altered import NAMES, UNREACHED
from tests.papers import CATALOG, Batch, batch

REACHED = [name for name in NAMES if name not in UNREACHED]
BOWLS = 200


def off_by(amount: Amount, grams: float) -> Amount:
    return Amount(amount.item, amount.count + Fraction(grams) / amount.item.grams_per_unit)


def broken(made: Batch, amounts: Sequence[Amount]) -> set[str]:
    """What the amounts miss or pass that the sheet's own do not; not the cap and the budget, which are no limits."""
    found = assess(made.scenario, CATALOG, amounts)
    before = made.sheet.assessment
    misses = {miss.id for miss in found.misses} - {miss.id for miss in before.misses} - {"non-meat-cap", "budget"}
    guards = {g.nutrient.id for g in found.above_guards}
    return misses | (guards - {g.nutrient.id for g in before.above_guards})


@pytest.mark.parametrize("name", REACHED)
def test_a_line_that_is_off_by_its_tolerance_breaks_nothing(name: str) -> None:
    made = batch(name)
    within = {line.id: line.within_g for line in made.sheet.lines}
    for amount in made.sheet.amounts:
        for side in (1, -1):
            moved = off_by(amount, side * within[amount.item.id])
            amounts = [moved if other is amount else other for other in made.sheet.amounts]
            assert broken(made, amounts) == set(), amount.item.id


@pytest.mark.parametrize("name", ["turkey-week", "lamb-and-fish"])
def test_with_all_lines_off_at_random_nineteen_bowls_of_twenty_keep_every_limit(name: str) -> None:
    made = batch(name)
    within = {line.id: line.within_g for line in made.sheet.lines}
    random = np.random.default_rng(5)
    kept = 0
    for _ in range(BOWLS):
        amounts = [off_by(a, random.uniform(-1, 1) * within[a.item.id]) for a in made.sheet.amounts]
        kept += not broken(made, amounts)
    assert kept >= 0.92 * BOWLS  # 95 of 100 for each limit, less what 200 bowls may be off by


def test_a_wider_tolerance_would_break_a_limit_somewhere() -> None:
    """The test above could fail: with a tenth for every line it does."""
    made = batch("turkey-week")
    assert any(
        broken(
            made, [off_by(other, side * MOST * other.grams) if other is a else other for other in made.sheet.amounts]
        )
        for a in made.sheet.amounts
        for side in (1, -1)
    )


def test_a_limit_without_room_leaves_no_line_that_moves_it_any() -> None:
    made = batch("turkey-week")
    iron = next(line for line in made.sheet.assessment.nutrients if line.nutrient.id == "iron")
    just = Limit("iron", "per_1000_kcal", iron.per_1000_kcal, None, "scenario", "read")
    found = tolerances(replace(made.scenario, limits=(just,)), CATALOG, made.sheet.amounts)
    assert found["turkey-liver"] == pytest.approx(0.0, abs=1e-3)
    assert found["water"] > 1  # water moves no iron


@pytest.mark.parametrize(
    ("within", "grams", "text"),
    [
        (12.97, 510.0, "± 12 g"),
        (0.99, 510.0, "exactly"),
        (0.39, 70.9, "± 0.3 g"),
        (0.099, 70.9, "exactly"),
        (0.1251, 1.75, "± 0.12 g"),
        (0.009, 1.75, "exactly"),
    ],
)
def test_a_tolerance_is_rounded_down_to_what_the_scale_shows(within: float, grams: float, text: str) -> None:
    assert tolerance_text(within, grams) == text
