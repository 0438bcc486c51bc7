"""Amounts in the words of a kitchen: in the measure they are taken in."""

from fractions import Fraction

from catalog.quantities import read_quantity, write_count, write_mass
from optimizer.assessment import Amount
from optimizer.entries import MASS_UNITS
from optimizer.scenario import Item

US_UNITS = ("oz", "lb")


def amount_words(amount: Amount) -> str:
    """The amount in the measure it is taken in: as the person wrote it where all of it goes in."""
    item = amount.item
    if item.text and item.fixed == amount.count:
        return item.text
    if item.unit in MASS_UNITS:
        grams = amount.count * item.grams_per_unit
        text = write_mass(grams, "us" if item.unit in US_UNITS else "metric")
        # what is finer than a scale shows is written out, since it was verified so
        if not grams or read_quantity(text).amount == grams:
            return text
    return write_count(amount.count, item.unit)


def step_words(item: Item) -> str:
    """One step of an item's measure, in words: "1/4 tsp", "1 capsule"."""
    return amount_words(Amount(item, item.step or Fraction(1)))
