"""What columns and rows are, and what a solver says: closed sets of words."""

from collections.abc import Mapping
from enum import StrEnum


class Kind(StrEnum):
    """What a column is. AMOUNT: steps of an item. USED: 1 where a jar is opened. SWITCH: 1 where a condition holds.
    CHANGE: the relative distance from a usual dose.

    Of a guard: by what it is PASSED (PASSED_TOXIC), 1 where it is passed that could be kept (GIVEN, GIVEN_TOXIC), 1
    where food passes it BY_FOOD alone. Of the nearest mix, what gives way: CEILING and CEILING_TOXIC by food; MISSED,
    UNSAFE (ceilings of what is toxic), HAND (bounds by hand), OWN (cap and budget), OWN_FOOD (the same, by food alone).
    Of a chance constraint: the DEVIATION of the room, and by what it falls SHORT. At the store: a PACKAGE, a VISIT, a
    SPECIES that is bought, what is ASKED for at a counter, what is USED_UP. Of a remedy: what is GOT, or put in LESS.
    """

    AMOUNT = "amount"
    USED = "used"
    SWITCH = "switch"
    CHANGE = "change"
    PASSED_TOXIC = "passed_toxic"
    PASSED = "passed"
    GIVEN_TOXIC = "given_toxic"
    GIVEN = "given"
    BY_FOOD = "by_food"
    CEILING_TOXIC = "ceiling_toxic"
    CEILING = "ceiling"
    MISSED = "missed"
    UNSAFE = "unsafe"
    HAND = "hand"
    OWN = "own"
    OWN_FOOD = "own_food"
    DEVIATION = "deviation"
    SHORT = "short"
    PACKAGE = "package"
    VISIT = "visit"
    SPECIES = "species"
    ASKED = "asked"
    USED_UP = "used_up"
    GOT = "got"
    LESS = "less"


class Tier(StrEnum):
    """What a row is when something has to give way: SAFETY (ceilings of toxic nutrients), GUARD (guards and common
    shares), DOSE (bounds by hand), WISH (cap and budget), TARGET (all other limits). NEVER gives way."""

    SAFETY = "safety"
    GUARD = "guard"
    DOSE = "dose"
    WISH = "wish"
    TARGET = "target"
    NEVER = ""


# What guards are passed by, the more harmful first, each with what counts those that could be kept.
PASSED: Mapping[Kind, Kind] = {Kind.PASSED_TOXIC: Kind.GIVEN_TOXIC, Kind.PASSED: Kind.GIVEN}


class Found(StrEnum):
    """What a solver says: OPTIMAL, FEASIBLE (a mix, not proven best), INFEASIBLE (there is none), OUT_OF_TIME (nobody
    knows)."""

    OPTIMAL = "optimal"
    FEASIBLE = "feasible"
    INFEASIBLE = "infeasible"
    OUT_OF_TIME = "out_of_time"
