"""What would make a mix surer, or would tell more of it: weigh what goes by the spoon, state the share of bone, have a
nutrient measured, a step more or less of one thing. Each is drawn again before it is told."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from fractions import Fraction

import numpy as np

from catalog.records import Catalog
from optimizer.assess.assessment import assess
from optimizer.assess.batch import Amount
from optimizer.assess.result import Assessment
from optimizer.scenario.items import MASS_UNITS
from optimizer.scenario.records import Item, Scenario
from optimizer.sureness.causes import BONE, FIGURE, MEASURE, Cause
from optimizer.sureness.chances import KEPT, Sureness, counted
from optimizer.sureness.draws import draw_items
from optimizer.sureness.varying import Parts, Varying, parts_of, together

MOST = 3  # ways that are told
TRIED = 2  # of each kind, those that move the weakest limits most
ROUGH = 2_000  # draws: what is told is a difference, of the same draws
WORTH = 0.01  # of a chance: what helps less is not told


class HelpKind(StrEnum):
    """WEIGH what goes by another measure; BONE: state the share that was weighed at home; LAB: have a nutrient of the
    batch measured; STEP: more or less of one thing."""

    WEIGH = "weigh"
    BONE = "bone"
    LAB = "lab"
    STEP = "step"


@dataclass(frozen=True, slots=True)
class Help:
    """One way: of which item (of LAB: none) and nutrient (of LAB alone), by how many of the item's measure (of STEP
    alone, less is negative), and the chance of all limits with it. Weighing and measuring are judged at the means: what
    they show may also be bad news."""

    kind: HelpKind
    item: str
    name: str
    together: float
    unit: str = ""
    by: Fraction = Fraction()


Allowed = Callable[[Item, Fraction], bool]


def helps(
    scenario: Scenario,
    catalog: Catalog,
    amounts: Sequence[Amount],
    sureness: Sureness,
    allowed: Allowed = lambda *_: True,
) -> tuple[Help, ...]:
    """What helps most, the best first. `allowed` says whether so many of an item may go in with all else as it is."""
    used = [amount for amount in amounts if amount.count > 0]
    parts = parts_of(scenario, catalog, used)
    varied = together(parts)
    weak = {(one.nutrient, one.bound) for one in sureness.weakest}
    numbers = [n for n, form in enumerate(varied.forms) if (form.id, form.bound) in weak]
    found = [*_known(varied, numbers, catalog, used), *_steps(scenario, catalog, used, parts, allowed)]
    better = [
        replace(one, together=min(1.0, sureness.together + one.together)) for one in found if one.together >= WORTH
    ]
    return tuple(sorted(better, key=lambda one: (-one.together, one.kind, one.item))[:MOST])


def _known(varied: Varying, numbers: Sequence[int], catalog: Catalog, amounts: Sequence[Amount]) -> Iterator[Help]:
    """What would be known better: measures, bone, and one nutrient of all food; `together` is by how much surer."""
    items = {amount.item.id: amount.item for amount in amounts}
    before = counted(varied, ROUGH).together
    shares: dict[tuple[str, str], float] = {}
    causes: dict[tuple[str, str], set[Cause]] = {}
    for block in varied.blocks:
        for source in block.sources:
            key = source.cause.kind, source.cause.of if source.cause.kind == FIGURE else source.cause.item
            if source.cause.kind == MEASURE and items[source.cause.item].unit in MASS_UNITS:
                continue
            variance = float(((source.spread.sd * source.moves[numbers]) ** 2).sum())
            shares[key] = shares.get(key, 0.0) + variance
            causes.setdefault(key, set()).add(source.cause)
    for kind in (MEASURE, BONE, FIGURE):
        own = sorted((key for key in shares if key[0] == kind and shares[key] > 0), key=lambda key: -shares[key])
        for key in own[:TRIED]:
            gain = counted(varied.without(*causes[key]), ROUGH).together - before
            if kind == FIGURE:
                yield Help(HelpKind.LAB, key[1], catalog.nutrients[key[1]].name, gain)
            else:
                item = items[key[1]]
                how = HelpKind.WEIGH if kind == MEASURE else HelpKind.BONE
                yield Help(how, item.id, item.food.name, gain, item.unit)


def _steps(
    scenario: Scenario, catalog: Catalog, amounts: Sequence[Amount], parts: Parts, allowed: Allowed
) -> Iterator[Help]:
    """The single steps of what is open that help most."""
    rooms = draw_items(parts, ROUGH)
    total = np.sum(rooms, axis=0) + np.array([form.constant for form in parts.forms]) / parts.scale
    at_first = float((total >= KEPT).all(axis=1).mean())
    tried: list[tuple[float, Amount, Fraction]] = []
    for amount, room in zip(amounts, rooms, strict=True):
        item = amount.item
        if item.fixed is not None or item.exactly is not None or not item.step:
            continue
        for by in (item.step, -item.step):
            if amount.count + by >= 0 and (item.available is None or amount.count + by <= item.available):
                kept = float(((total + float(by / amount.count) * room) >= KEPT).all(axis=1).mean())
                if kept >= at_first + WORTH:
                    tried.append((kept - at_first, amount, by))
    before = assess(scenario, catalog, amounts) if tried else None
    told = 0
    for gain, amount, by in sorted(tried, key=lambda one: (-one[0], one[1].item.id, one[2])):
        if told == TRIED or before is None:
            break
        changed = [replace(a, count=a.count + by) if a is amount else a for a in amounts]
        if allowed(amount.item, amount.count + by) and _keeps(before, assess(scenario, catalog, changed)):
            told += 1
            yield Help(HelpKind.STEP, amount.item.id, amount.item.food.name, gain, amount.item.unit, by)


def _keeps(before: Assessment, after: Assessment) -> bool:
    """Whether a change misses nothing and passes no guard or common share that was not missed or passed before."""
    misses = {miss.id for miss in after.misses} <= {miss.id for miss in before.misses}
    guards = {g.nutrient.id for g in after.above_guards} <= {g.nutrient.id for g in before.above_guards}
    return misses and guards and {s.of for s in after.above_shares} <= {s.of for s in before.above_shares}
