"""What is told of how sure a mix is: its chances, what was asked for, what would help, what more would cost."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from optimizer.sureness.chances import LimitChance, Sureness
from optimizer.sureness.helps import Help


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
    it, and `reached` whether all at once were. `surer` is what a surer plan would come to, of an unsure one."""

    chances: Sureness
    helps: tuple[Help, ...] = ()
    asked: float | None = None
    at_once: bool = False
    unsure: tuple[LimitChance, ...] = ()
    reached: bool = True
    surer: Surer | None = None


def unsure_of(chances: Sureness, names: Sequence[tuple[str, str]]) -> tuple[LimitChance, ...]:
    """The chances of the limits with these ids and bounds."""
    return tuple(one for one in chances.limits if (one.nutrient, one.bound) in names)
