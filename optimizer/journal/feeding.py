"""How much of a batch was used, as a person says it: a number of portions, or a mass."""

from fractions import Fraction

from catalog.mistakes import Mistake
from catalog.units.quantities import QuantityError, read_quantity
from optimizer.errors import InputErrors
from optimizer.journal.records import Batch

ALLOWED = 'a number of portions such as "3", or a mass such as "450 g"'


def grams_of_portions(batch: Batch, text: str) -> float:
    """The grams in "3" or "3 portions" of a batch, or in a mass. Raises InputErrors."""
    try:
        quantity = read_quantity(f"{text} portions" if text.strip().replace("/", "").isdigit() else text)
    except QuantityError as problem:
        raise _wrong(f'"{text}" ({problem})', ALLOWED) from problem
    if quantity.kind == "mass":
        return float(quantity.amount)
    if quantity.unit != "portion":
        raise _wrong(f'"{text}"', ALLOWED)
    if batch.portions is None:
        raise _wrong(
            f'"{text}", but the number of portions of batch {batch.number} was not told', 'a mass such as "450 g"'
        )
    return float(quantity.amount * Fraction(batch.mass_g) / batch.portions)


def _wrong(read: str, allowed: str) -> InputErrors:
    return InputErrors([Mistake("command line", 0, "PORTIONS", read, allowed)])
