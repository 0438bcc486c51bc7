"""Amounts in the words of a kitchen: in the measure they are taken in, and always exactly what was assessed."""

from collections.abc import Iterable, Iterator
from fractions import Fraction

from catalog.units.quantities import QuantityError, read_quantity, write_count, write_mass
from catalog.units.sizes import size_of
from optimizer.assess.batch import Amount
from optimizer.scenario.items import MASS_UNITS
from optimizer.scenario.records import Item, NoSuchMeasure

US_UNITS = ("oz", "lb")
US, METRIC = "us", "metric"

TSP_IN = {"tsp": Fraction(1), "tbsp": Fraction(3), "cup": Fraction(48)}
SPOONS_FROM = Fraction(6)  # teaspoons: fewer are counted as such
CUPS_FROM = Fraction(12)  # teaspoons in the smallest measuring cup, 1/4 cup


def amount_words(amount: Amount) -> str:
    """The amount in the measure it is taken in: as the person wrote it where all of it goes in."""
    item = amount.item
    if item.text and item.fixed == amount.count:
        return item.text
    if item.unit in MASS_UNITS:
        words = mass_words(amount.count * item.grams_per_unit, US if item.unit in US_UNITS else METRIC)
        return words or write_count(amount.count, item.unit)
    for text in _spoonfuls(amount.count, item.unit):
        if _reads_as(text, amount):
            return text
    return write_count(amount.count, item.unit)


def step_words(item: Item) -> str:
    """One step of an item's measure, in words: "1/4 tsp", "1 capsule"."""
    return amount_words(Amount(item, item.step or Fraction(1)))


def kitchen_of(items: Iterable[Item]) -> str:
    """Whether food is weighed in pounds and ounces here ("us") or in grams ("metric"): as most of it is written."""
    weighed = [item.unit in US_UNITS for item in items if not item.is_supplement and item.unit in MASS_UNITS]
    return US if 2 * sum(weighed) > len(weighed) else METRIC


def weight_words(grams: Fraction | float, kitchen: str) -> str:
    """A weight told in passing: as a scale of that kitchen shows it, with grams beside pounds and ounces."""
    metric = write_mass(grams, METRIC)
    return f"{write_mass(grams, US)} ({metric})" if kitchen == US else metric


def words_in(amount: Amount, kitchen: str) -> str:
    """The amount in words, with pounds and ounces before grams where food is weighed in them."""
    text, unit = amount_words(amount), amount.item.unit
    if kitchen != US or unit in US_UNITS or unit not in MASS_UNITS or amount.grams < float(size_of("oz")):
        return text
    return f"{write_mass(amount.grams, US)}, {text}"


def mass_words(grams: Fraction, system: str) -> str:
    """A mass exactly, in the units of a system where it can be written so, else in the other's; empty where neither
    can."""
    for text in (write_mass(grams, system), _exact_metric(grams), write_mass(grams, US)):
        # what is finer than a scale shows is written out, since it was verified so
        if not grams or (text and read_quantity(text).amount == grams):
            return text
    return ""


def _exact_metric(grams: Fraction) -> str:
    """Grams, or kilograms from 1 kg up, to the last decimal; empty where there are more than six."""
    if (grams * 10**6).denominator != 1:
        return ""
    return write_count(grams / 1000, "kg") if grams >= 1000 else write_count(grams, "g")


def _spoonfuls(count: Fraction, unit: str) -> Iterator[str]:
    """A volume in the spoons and cups that a person has, the handiest first: "1/2 cup + 1 tbsp + 2 1/4 tsp"."""
    if unit not in TSP_IN:
        return
    teaspoons = count * TSP_IN[unit]
    handy = count.denominator in ((1, 2, 3, 4, 8) if unit == "cup" else (1, 2))
    if teaspoons < SPOONS_FROM or (unit == "tbsp" and handy and teaspoons < CUPS_FROM) or (unit == "cup" and handy):
        return
    quarters = teaspoons // CUPS_FROM
    for cups in (Fraction(quarters, 4), Fraction(0)):
        tablespoons, rest = divmod(teaspoons - cups * TSP_IN["cup"], TSP_IN["tbsp"])
        parts = ((cups, "cup"), (Fraction(tablespoons), "tbsp"), (rest, "tsp"))
        yield " + ".join(write_count(number, name) for number, name in parts if number)


def _reads_as(text: str, amount: Amount) -> bool:
    """Whether a text gives the amount back, by the masses of that food's own spoons and cups."""
    try:
        return amount.item.units(read_quantity(text)) == amount.count
    except (QuantityError, NoSuchMeasure):
        return False
