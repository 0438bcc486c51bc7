"""The order of work: bowls, what goes into each with its tolerance and the total on the scale, and what to do between.

Every printed form of the weigh-out sheet shows this and computes nothing.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from optimizer.assess.cautions import Notice, foremost
from optimizer.sheet.sheet import GROUPS, Sheet, SheetLine, is_liquid

CARRIERS = ("water", "egg", "dairy")  # wet: they wash the premix into the meat

PREMIX, GRINDER, MIXING = "Premix bowl", "Grinder and tub", "Mixing"
SOURCES = ("fsis-handling", "fda-raw-pet-food-2018", "fsis-wash-2019")  # of the reminders below
BEFORE = (
    "Wash hands 20 seconds with soap. Chill meat, tub and grinder parts.",
    "Meat above 4 °C (40 °F): 2 hours at most in all, grinding included; 1 hour on a hot day (32 °C, 90 °F).",
)
NO_RINSING = "Do not rinse poultry: it spreads germs."
PACK = "Into bags or trays, flat; label; into the refrigerator or freezer at once."
NOT_YET = "Not to be fed as it is: mend the batch first, then plan and weigh it again."
AFTER = (
    "Take the grinder apart. Scrub all in hot soapy water and rinse; only then sanitise: 15 ml (1 tbsp) unscented "
    "bleach in 4 l (1 gallon) water. Air dry. Wash hands.",
)


@dataclass(frozen=True, slots=True)
class Weighing:
    """One line to weigh out: `tolerance_g` either way, `running_g` on the scale once it is in the bowl."""

    line: SheetLine
    tolerance_g: float
    running_g: float


@dataclass(frozen=True, slots=True)
class Stage:
    """A bowl or a task, in the order of work: what to do first, what to weigh into it, what to do then."""

    title: str
    first: tuple[str, ...]
    weighings: tuple[tuple[str, tuple[Weighing, ...]], ...]
    then: tuple[str, ...]
    total_g: float | None


@dataclass(frozen=True, slots=True)
class WorkOrder:
    """The whole sheet in the order of work, and the cautions for its first page; all of them are on the sheet."""

    stages: tuple[Stage, ...]
    warnings: tuple[Notice, ...]


def tolerance_rule(sheet: Sheet) -> str:
    """What the tolerances mean: of a mix that misses limits, they keep the others."""
    kept = " that the mix keeps" if sheet.assessment.misses else ""
    return f"so far off, every limit{kept} still holds in 95 of 100 bowls, all lines off at random; a tenth at most"


def work_order(sheet: Sheet) -> WorkOrder:
    """The order of work for a sheet."""
    premix = [line for line in sheet.lines if line.group == GROUPS[0]]
    stirred = [line for line in sheet.lines if line.group == GROUPS[2]]
    carriers = [line for line in stirred if line.role in CARRIERS] if premix else []
    grinder = [line for line in sheet.lines if line.group == GROUPS[1]]
    rest = [line for line in stirred if line not in carriers]
    liquid = [line for line in premix if is_liquid(line)]
    dry = [line for line in premix if line not in liquid]
    poultry = any(notice.code == "poultry-avian-influenza" for notice in sheet.cautions)

    bowl = _weighed((("dry", dry), ("liquid", liquid), ("wet carrier", carriers)), 0.0)
    bowl_g = _last(bowl, 0.0)
    order = "bone-in first, while it is cold" if any(line.bone_share for line in grinder) else "cut small, cold"
    tub = _weighed(((order, grinder),), 0.0)
    tub_g = _last(tub, 0.0)
    mixed = _weighed((("stir in", rest),), tub_g + bowl_g)
    stages = [Stage("Before", (*BEFORE, *([NO_RINSING] if poultry else [])), (), (), None)]
    if premix:
        crush = "Crush tablets, open capsules, prick softgels; stir until even."
        stages.append(Stage(PREMIX, ("Bowl on the scale, set to zero.",), bowl, (crush,), bowl_g))
    if grinder:
        stages.append(Stage(GRINDER, ("Tub on the scale, set to zero.",), tub, ("Grind into the tub.",), tub_g))
    mix = "Pour the premix over the meat in parts, mixing after each; rinse the bowl with a little of the mix."
    done = "Mix until no streak is left, 5 minutes or more by hand."
    stages.append(Stage(MIXING, (mix,) if premix else (), mixed, (done,), _last(mixed, tub_g + bowl_g)))
    stages.append(Stage("After", (NOT_YET if sheet.is_nearest else PACK, *AFTER), (), (), None))
    return WorkOrder(tuple(stages), foremost(sheet.cautions))


def _weighed(
    parts: Sequence[tuple[str, Sequence[SheetLine]]], start_g: float
) -> tuple[tuple[str, tuple[Weighing, ...]], ...]:
    """The lines of each part with tolerances and the total so far; parts without lines are left out."""
    running = start_g
    found = []
    for name, lines in parts:
        weighings = []
        for line in lines:
            running += line.grams
            weighings.append(Weighing(line, line.within_g, running))
        if weighings:
            found.append((name, tuple(weighings)))
    return tuple(found)


def _last(weighed: Sequence[tuple[str, Sequence[Weighing]]], start_g: float) -> float:
    return weighed[-1][1][-1].running_g if weighed else start_g


def weighings(order: WorkOrder) -> Iterator[tuple[Stage, str, Weighing]]:
    """Every line to weigh, with its stage and part, in the order of work."""
    for stage in order.stages:
        for part, lines in stage.weighings:
            for weighing in lines:
                yield stage, part, weighing
