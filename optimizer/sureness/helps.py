"""What would make a mix surer, or would tell more of it: weigh what goes by the spoon, state the share of bone, have a
nutrient measured, a step more or less of one thing. Each is drawn again before it is told."""

from collections.abc import Callable, Iterator, Mapping, Sequence
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
from optimizer.sureness.causes import FIGURE, MEASURE, Source
from optimizer.sureness.chances import KEPT, Sureness, counted
from optimizer.sureness.draws import draw, draw_items
from optimizer.sureness.varying import Parts, Varying, parts_of, together

MOST = 3  # ways that are told
TRIED = 2  # steps that are told
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
    better = [one for one in found if one.together >= WORTH]
    better = [replace(one, together=min(1.0, sureness.together + one.together)) for one in better]
    return tuple(sorted(better, key=lambda one: (-one.together, one.kind, one.item))[:MOST])


Key = tuple[str, str]  # the kind of a cause, and its item or, of a figure, its nutrient


def _known(varied: Varying, numbers: Sequence[int], catalog: Catalog, amounts: Sequence[Amount]) -> Iterator[Help]:
    """What would be known better: measures, bone, one nutrient of all food; `together` is by how much surer. The best
    are found by what share of the variance they are, and then drawn."""
    items = {amount.item.id: amount.item for amount in amounts}
    rooms = draw(varied, ROUGH)
    before = float((rooms >= KEPT).all(axis=1).mean())
    variance = np.maximum(rooms.var(axis=0), 1e-300)
    causes = _causes(varied, items)
    gains: list[tuple[float, Key]] = []
    for key, sources in causes.items():
        own = np.sum([(source.spread.sd * source.moves) ** 2 for source in sources], axis=0)
        if np.any(own[list(numbers)] > 0):
            left = varied.mean + (rooms - varied.mean) * np.sqrt(np.clip(1 - own / variance, 0.0, 1.0))
            gains.append((float((left >= KEPT).all(axis=1).mean()) - before, key))
    for _, key in sorted(gains, key=lambda one: (-one[0], one[1]))[:MOST]:
        known = varied.without(*(source.cause for source in causes[key]))
        gain = counted(known, ROUGH).together - before
        if key[0] == FIGURE:
            yield Help(HelpKind.LAB, key[1], catalog.nutrients[key[1]].name, gain)
        else:
            item = items[key[1]]
            kind = HelpKind.WEIGH if key[0] == MEASURE else HelpKind.BONE
            yield Help(kind, item.id, item.food.name, gain, item.unit)


def _causes(varied: Varying, items: Mapping[str, Item]) -> dict[Key, list[Source]]:
    """What varies, by what could be known; what goes by weight is weighed already."""
    found: dict[Key, list[Source]] = {}
    for source in (source for block in varied.blocks for source in block.sources):
        if source.cause.kind == MEASURE and items[source.cause.item].unit in MASS_UNITS:
            continue
        key = source.cause.kind, source.cause.of if source.cause.kind == FIGURE else source.cause.item
        found.setdefault(key, []).append(source)
    return found


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
