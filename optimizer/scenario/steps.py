"""The steps in which an item can be measured: how many there may be, and the nearest one."""

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from catalog.units.quantities import half_up
from optimizer.scenario.records import Item

# Where a supplement's stock is not stated: no mix holds more than this share of one supplement.
MOST_OF_ONE_SUPPLEMENT = Fraction(3, 100)


MOST_STEPS = 1_000_000  # of one item: the solver's tolerances are finer than one in so many


def in_countable_steps(items: Sequence[Item]) -> tuple[Item, ...]:
    """The items, those of too many steps in tens, hundreds ... of them: whole steps all the same, and no solver counts
    to a thousand million. What is lost is a millionth of what there is."""
    batch = sum((i.fixed or i.available or Fraction()) * i.grams_per_unit for i in items if not i.is_supplement)
    found = []
    for item in items:
        most = item.available
        if most is None:
            most = batch * MOST_OF_ONE_SUPPLEMENT / item.grams_per_unit
        step = item.step
        while item.fixed is None and step is not None and most / step > MOST_STEPS:
            step *= 10
        found.append(item if step == item.step else replace(item, step=step))
    return tuple(found)


def steps_of(item: Item) -> Fraction:
    """What one step of an item weighs, in grams; an item without a step is counted in grams."""
    return item.step * item.grams_per_unit if item.step else Fraction(1)


def nearest_step(item: Item, count: Fraction) -> Fraction:
    """The grams of a count of an item's unit, taken to the nearest step, halves upwards."""
    if item.step is None:
        return count * item.grams_per_unit
    return half_up(count / item.step) * item.step * item.grams_per_unit
