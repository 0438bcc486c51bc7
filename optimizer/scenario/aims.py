"""What a plan can be best at. A new aim is one entry of AIMS, with a new goal in `model/objectives.py` where it makes
something small that no aim made small before."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum


class Goal(StrEnum):
    """Something to make as small as possible: money, the number of supplements, the distance from the usual recipe, the
    grams from jars, the grams of all that is open; ORDER uses first what stands first in the scenario."""

    COST = "cost"
    ITEMS = "items"
    CHANGE = "change"
    FROM_JARS = "from jars"
    MASS = "mass"
    ORDER = "order"


TIES = (Goal.ITEMS, Goal.FROM_JARS, Goal.MASS, Goal.ORDER)  # what decides between plans that are equally good


@dataclass(frozen=True, slots=True)
class Aim:
    """An aim: its goals in order of importance, before the ties; its words for the headline ("least cost").

    Reasons tell how each goal in `tells` changes. Under `as_sure` the mix is the surest that
    costs no more than the goals' own mix and what the person allows beyond it.
    """

    name: str
    words: str
    goals: tuple[Goal, ...]
    tells: frozenset[Goal] = frozenset({Goal.COST})
    as_sure: bool = False

    @property
    def all_goals(self) -> tuple[Goal, ...]:
        """The goals, then the ties that are not among them."""
        return (*self.goals, *(goal for goal in TIES if goal not in self.goals))


COST, FEWEST, USUAL, LIGHTEST, SUREST = "cost", "fewest", "usual", "lightest", "surest"
AIMS: Mapping[str, Aim] = {
    aim.name: aim
    for aim in (
        Aim(COST, "least cost", (Goal.COST,)),
        Aim(FEWEST, "fewest supplements", (Goal.ITEMS, Goal.COST), frozenset({Goal.COST, Goal.ITEMS})),
        Aim(USUAL, "nearest to the usual recipe", (Goal.CHANGE,), frozenset({Goal.CHANGE})),
        Aim(LIGHTEST, "least mass from jars", (Goal.FROM_JARS, Goal.COST), frozenset({Goal.COST, Goal.FROM_JARS})),
        Aim(SUREST, "surest to keep all limits", (Goal.COST,), as_sure=True),
    )
}
