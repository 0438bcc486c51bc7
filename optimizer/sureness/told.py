"""What is told of how sure a mix is: its chances, what was asked for, what would help, what more would cost."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from catalog.records import Catalog
from optimizer.assess.batch import Amount
from optimizer.scenario.records import Scenario
from optimizer.sureness.chances import LimitChance, Sureness, sureness_of
from optimizer.sureness.helps import Help, helps


@dataclass(frozen=True, slots=True)
class Surer:
    """The plan for a chance that was not asked for: its cost and how many supplements it takes, with the chance of all
    limits that it has, and the limits that cannot be held so surely."""

    chance: float
    together: float
    cost: Decimal | None
    supplement_count: int
    unsure: tuple[LimitChance, ...]


@dataclass(frozen=True, slots=True)
class ToldSureness:
    """`asked` is the chance that was asked for, of each limit or of all `at_once`; `unsure` what cannot be held with
    it, and `reached` whether all at once were; `out_of_time` says that the search ended before it found a mix, and this
    is the plan without it. `surer` is what a surer plan would come to, of an unsure one."""

    chances: Sureness
    helps: tuple[Help, ...] = ()
    asked: float | None = None
    at_once: bool = False
    unsure: tuple[LimitChance, ...] = ()
    reached: bool = True
    out_of_time: bool = False
    surer: Surer | None = None


def unsure_of(chances: Sureness, names: Sequence[tuple[str, str]]) -> tuple[LimitChance, ...]:
    """The chances of the limits with these ids and bounds."""
    return tuple(one for one in chances.limits if (one.nutrient, one.bound) in names)


def told_of_check(scenario: Scenario, catalog: Catalog, amounts: Sequence[Amount]) -> ToldSureness:
    """Of amounts as they are written."""
    chances = sureness_of(scenario, catalog, amounts)
    return ToldSureness(chances, helps(scenario, catalog, amounts, chances))
