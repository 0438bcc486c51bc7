"""How often each limit is kept, and all of them at once."""

from collections.abc import Sequence
from dataclasses import dataclass

from catalog.records import Catalog
from optimizer.assess.batch import Amount
from optimizer.scenario.records import Scenario
from optimizer.sureness.draws import DRAWS, draw
from optimizer.sureness.forms import Floats
from optimizer.sureness.varying import Varying, varying

KEPT = -1e-6  # of the limit: as the assessment has it
WEAKEST = 3
SURE_ENOUGH = 0.995  # what is surer than this is not among the weakest


@dataclass(frozen=True, slots=True)
class LimitChance:
    """The chance, from 0 to 1, that one side of what is asked of a nutrient is kept, whatever limits ask it. `nutrient`
    is its id, of a ratio both ("calcium-phosphorus"); `bound` is minimum or maximum."""

    nutrient: str
    name: str
    bound: str
    chance: float


@dataclass(frozen=True, slots=True)
class Sureness:
    """The chance that all limits are kept at once, that of each, the weakest first among `weakest`, and the share of
    what moves the weakest whose spread is assumed for want of a published one."""

    together: float
    limits: tuple[LimitChance, ...]
    weakest: tuple[LimitChance, ...]
    assumed: float


def sureness_of(scenario: Scenario, catalog: Catalog, amounts: Sequence[Amount], draws: int = DRAWS) -> Sureness:
    """How sure these amounts are to keep the limits of the standard and the person's own."""
    return counted(varying(scenario, catalog, amounts), draws)


def counted(varied: Varying, draws: int = DRAWS) -> Sureness:
    """The chances of what varies, counted over draws."""
    return counted_in(varied, draw(varied, draws))


def counted_in(varied: Varying, rooms: Floats) -> Sureness:
    """The chances of what varies, counted in these draws of the room in each limit."""
    kept = rooms >= KEPT
    groups: dict[tuple[str, str], list[int]] = {}
    for number, form in enumerate(varied.forms):
        groups.setdefault((form.id, form.bound), []).append(number)
    limits = tuple(
        LimitChance(id_, varied.forms[of[0]].name, bound, float(kept[:, of].all(axis=1).mean()))
        for (id_, bound), of in groups.items()
    )
    weakest = tuple(sorted((one for one in limits if one.chance < SURE_ENOUGH), key=lambda one: one.chance)[:WEAKEST])
    numbers = [n for one in weakest for n in groups[one.nutrient, one.bound]]
    together = float(kept.all(axis=1).mean()) if len(varied.forms) else 1.0
    return Sureness(together, limits, weakest, _assumed(varied, numbers))


def _assumed(varied: Varying, numbers: Sequence[int]) -> float:
    """The share of the variance of these limits that rests on assumed spreads."""
    total = assumed = 0.0
    for block in varied.blocks:
        for source in block.sources:
            variance = float(((source.spread.sd * source.moves[list(numbers)]) ** 2).sum())
            total += variance
            assumed += variance if source.cause.assumed or source.cause.kind == "measure" else 0.0
    return assumed / total if total else 0.0
