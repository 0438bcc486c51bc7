"""A jar of something toxic in excess went in by the handful: what to say first, and when a way back is one."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass

from catalog.kinds import Basis
from catalog.records import Nutrient
from optimizer.assess.result import OVER, Assessment
from optimizer.scenario.records import Scenario

ENOUGH = 0.5  # a way back ends at half of the ceiling at most: our own choice, no source


@dataclass(frozen=True, slots=True)
class Slip:
    """A nutrient that is past what law, guard or standard allows because of jars in the bowl, by their names.

    `amount` and `ceiling` are in its unit on the ceiling's `basis`: per_1000_kcal or per_kg_dry_matter.
    """

    nutrient: Nutrient
    jars: tuple[str, ...]
    amount: float
    ceiling: float
    basis: str
    source: str


def slips(scenario: Scenario, found: Assessment, as_planned: Assessment, done: Collection[str]) -> tuple[Slip, ...]:
    """The slips in a bowl that holds what is `done`, by ids, in the mix as it was planned and in the one that was
    `found` around them."""
    told = {slip.nutrient.id: slip for slip in (*_slips(scenario, found, done), *_slips(scenario, as_planned, done))}
    return tuple(told.values())


def _slips(scenario: Scenario, found: Assessment, done: Collection[str]) -> tuple[Slip, ...]:
    told: list[Slip] = []
    for line in found.nutrients:
        if _harms(line.nutrient) and line.status == OVER and line.maximum is not None:
            told += _slip(
                scenario,
                done,
                line.nutrient,
                line.high_per_1000_kcal,
                line.maximum,
                "per_1000_kcal",
                line.maximum_source,
            )
    for guard in found.above_guards:
        if _harms(guard.nutrient) and all(slip.nutrient is not guard.nutrient for slip in told):
            told += _slip(scenario, done, guard.nutrient, guard.amount, guard.ceiling, guard.basis, guard.source)
    return tuple(told)


def _harms(nutrient: Nutrient) -> bool:
    """Whether too much of it by a slip is a danger: what is toxic in excess, and salt."""
    return nutrient.toxic or nutrient.id == "sodium"


def _slip(
    scenario: Scenario,
    done: Collection[str],
    nutrient: Nutrient,
    amount: float,
    ceiling: float,
    basis: str,
    source: str,
) -> list[Slip]:
    jars = tuple(
        item.food.name
        for item in scenario.items
        if item.id in done and item.is_jar and nutrient.id in {*item.food.purposes, *item.food.tags}
    )
    return [Slip(nutrient, jars, amount, ceiling, basis, source)] if jars else []


def are_mended(slips: Sequence[Slip], found: Assessment) -> bool:
    """Whether a mix is well away from the ceilings that were passed."""
    there = {line.nutrient.id: line for line in found.nutrients}
    for slip in slips:
        line = there[slip.nutrient.id]
        amount = line.high_per_1000_kcal
        if slip.basis == Basis.PER_KG_DRY_MATTER:
            amount = line.total_high / found.totals.dry_matter_g * 1000
        if amount > slip.ceiling * ENOUGH * (1 + 1e-6):
            return False
    return True
