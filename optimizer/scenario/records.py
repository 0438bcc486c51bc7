"""What a scenario is, once it has been read: plain frozen records."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction
from typing import Any

from catalog.records import Food, Limit, Standard
from catalog.treatments import Treatment
from catalog.units.quantities import Quantity, Rate
from optimizer.scenario.cats import Cat, Packing
from optimizer.scenario.market import Market

# An amount in the batch, or an amount by weight of meat.
Dose = Quantity | Rate

DEFAULT_NON_MEAT_CAP = 0.05  # of the mix by mass: common practice, no source


@dataclass(frozen=True, slots=True)
class Item:
    """One thing on hand, and how much of it may go in.

    `unit` is the measure it is taken in and `grams_per_unit` what one weighs; `fixed`, `available` and
    `step` are counts of that unit. `fixed` goes in whole ("all of it"); otherwise the amount is open, up to
    `available` (None: as much as needed) in multiples of `step` (None: any amount). `at_least`, `at_most`
    and `exactly` are bounds set by hand. `price_per_gram` is in the scenario's currency, None if unknown.
    `usual` is the dose of the usual recipe. `lots` is how many packages it comes from. What is given `apart`
    does not go into the mix. `where` is the entry's place in the file ("on_hand[2]"), `lines` says on which line
    each of its keys stands.
    """

    food: Food
    is_supplement: bool
    counts_as: str
    unit: str
    grams_per_unit: Fraction
    fixed: Fraction | None = None
    available: Fraction | None = None
    step: Fraction | None = None
    bone_share: float | None = None
    at_least: Dose | None = None
    at_most: Dose | None = None
    exactly: Dose | None = None
    price_per_gram: Fraction | None = None
    usual: Dose | None = None
    apart: bool = False
    lots: int = 1
    text: str = ""
    where: str = ""
    lines: Mapping[str, int] = field(default_factory=dict)

    @property
    def id(self) -> str:
        """The food's id: one item of a scenario for each food."""
        return self.food.id

    @property
    def is_jar(self) -> bool:
        """Whether it comes from a jar, which is no food: what is listed as a supplement, and supplements and fish oil
        wherever they are listed."""
        return self.is_supplement or self.food.role == "supplement" or "fish-oil" in self.food.tags

    @property
    def is_meat(self) -> bool:
        """Whether it is meat that doses by weight of meat are measured against."""
        return self.counts_as == "meat" and not self.is_supplement

    def per_gram_of_meat(self, rate: Rate) -> float:
        """The grams of this item that a dose by weight of meat asks for with each gram of meat."""
        return float(self.units(rate.quantity) * self.grams_per_unit / rate.per_grams)

    def units(self, quantity: Quantity) -> Fraction:
        """A quantity of this item as a count of its unit."""
        return grams_of(quantity, self.food, {self.unit: self.grams_per_unit}) / self.grams_per_unit


@dataclass(frozen=True, slots=True)
class Scenario:
    """What is on hand, what has to hold and what is wanted.

    `sure` is the chance with which each limit is to hold, all of them `together` where that is asked; `margin` is the
    share by which targets were raised and ceilings lowered when the file was read. `extra_cost` is what a surest mix
    may cost beyond the cheapest, as money or as a share of it. `treatments` are done to all that can lose by them and
    says nothing else of itself. `data` is what it was read from, changes included.
    """

    title: str
    file: str
    standard: Standard
    aim: str
    energy_method: str
    non_meat_cap: float
    currency: str
    items: tuple[Item, ...]
    limits: tuple[Limit, ...] = ()
    meat_at_least_grams: Fraction | None = None
    budget: Decimal | None = None
    sure: float | None = None
    together: bool = False
    margin: float = 0.0
    extra_cost: Decimal | Fraction | None = None
    treatments: tuple[Treatment, ...] = ()
    cats: tuple[Cat, ...] = ()
    packing: Packing | None = None
    market: Market = field(default_factory=Market)
    lines: Mapping[str, int] = field(default_factory=dict)
    data: Mapping[str, Any] = field(default_factory=dict, compare=False, repr=False)


class NoSuchMeasure(LookupError):
    """A food is in no table by this measure, which `unit` names."""

    def __init__(self, unit: str) -> None:
        self.unit = unit
        super().__init__(unit)


def grams_of(quantity: Quantity, food: Food, home: Mapping[str, Fraction]) -> Fraction:
    """The mass of a quantity of a food; `home` holds measures weighed at home, in grams.

    A volume is weighed by any spoon or cup whose mass is known for that food. Raises
    NoSuchMeasure when the food has none of that name.
    """
    if quantity.kind == "mass":
        return quantity.amount
    if quantity.kind == "count":
        return quantity.count * measure_grams(food, quantity.unit, home)
    if food.counts_as == "water":
        return quantity.amount
    for unit in (quantity.unit, *food.measures):
        millilitres = VOLUMES.get(unit)
        if millilitres and (unit in food.measures or unit in home):
            return quantity.amount / millilitres * measure_grams(food, unit, home)
    raise NoSuchMeasure(quantity.unit)


def measure_grams(food: Food, unit: str, home: Mapping[str, Fraction]) -> Fraction:
    """What one measure of a food weighs, in grams; as weighed at home, else by the catalog. Raises NoSuchMeasure."""
    if unit in home:
        return home[unit]
    if unit not in food.measures:
        raise NoSuchMeasure(unit)
    return Fraction(str(food.measures[unit].grams))


# Millilitres of the spoons and cups that the catalog's tables use (US customary: NIST Handbook 44, Appendix C).
_TEASPOON = Fraction("3785.411784") / 768
VOLUMES: Mapping[str, Fraction] = {
    "ml": Fraction(1),
    "l": Fraction(1000),
    "tsp": _TEASPOON,
    "tbsp": 3 * _TEASPOON,
    "cup": 48 * _TEASPOON,
    "fl oz": 6 * _TEASPOON,
}
