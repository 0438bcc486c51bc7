"""The sizes of the kitchen's units, exactly: the only use of pint in the project."""

from fractions import Fraction
from functools import cache
from typing import Any

from catalog.units.spelling import unit_kind

BASE = {"mass": "g", "volume": "ml"}
# In pint's definition language. NIST Handbook 44, Appendix C: the avoirdupois pound is 453.59237 g exactly, the US
# gallon 231 cubic inches, 3785.411784 ml exactly.
KITCHEN_UNITS = (
    "g = [mass]",
    "ug = 1e-6 * g",
    "mg = 1e-3 * g",
    "kg = 1000 * g",
    "lb = 453.59237 * g",
    "oz = lb / 16",
    "stone = 14 * lb",
    "ml = [volume]",
    "cl = 10 * ml",
    "dl = 100 * ml",
    "l = 1000 * ml",
    "gallon = 3785.411784 * ml",
    "quart = gallon / 4",
    "pint = gallon / 8",
    "cup = gallon / 16",
    "floz = gallon / 128",
    "tbsp = gallon / 256",
    "tsp = gallon / 768",
)


@cache
def _registry() -> Any:
    """A registry of the kitchen's units and no others: pint's own list takes a fifth of a second to load."""
    from pint import UnitRegistry  # on first use: many commands read no quantity

    registry: Any = UnitRegistry(None, non_int_type=Fraction)
    for definition in KITCHEN_UNITS:
        registry.define(definition)
    return registry


@cache
def size_of(unit: str) -> Fraction:
    """One `unit` in g or ml; 1 for things that are counted."""
    base = BASE.get(unit_kind(unit))
    if base is None:
        return Fraction(1)
    return Fraction(_registry().Quantity(Fraction(1), unit.replace(" ", "")).to(base).magnitude)
