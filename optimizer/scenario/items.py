"""One entry of a scenario file -> Item: the measure it is taken in, and every amount as a count of it."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import Generic, TypeVar

from catalog.mistakes import Mistake, did_you_mean
from catalog.reading.toml_fields import field_name, shown
from catalog.reading.toml_lines import Lines, Path_
from catalog.records import Food
from catalog.units.quantities import Quantity, Rate, canonical_unit, read_quantity
from optimizer.scenario.records import VOLUMES, Dose, Item, NoSuchMeasure, grams_of
from optimizer.scenario.schema import EntryTable, LimitTable, OnHandTable, SupplementTable

# The smallest step of a measure where the scenario names none; counts not listed go in whole.
DEFAULT_STEPS: Mapping[str, Fraction] = {
    "tsp": Fraction(1, 4),
    "tbsp": Fraction(1, 2),
    "cup": Fraction(1, 4),
    "tablet": Fraction(1, 2),
    "mg": Fraction(10),
    "g": Fraction(1, 10),
    "kg": Fraction(1, 100),
    "oz": Fraction(1, 2),
    "lb": Fraction(1, 32),
    "ml": Fraction(1),
}
DEFAULT_CUT_STEPS: Mapping[str, Fraction] = {**DEFAULT_STEPS, "g": Fraction(10)}
MASS_UNITS = ("ug", "mg", "g", "kg", "oz", "lb")


Fields = TypeVar("Fields", EntryTable, LimitTable)


@dataclass(frozen=True, slots=True)
class Entry(Generic[Fields]):
    """A table of the file with its place: what could be read of it, and which keys were written."""

    table: Fields
    where: Path_
    file: str
    lines: Lines
    written: frozenset[str] = field(default_factory=frozenset)

    def line(self, key: str) -> int:
        """The line of a key, or of the table where the key is absent."""
        return self.lines[(*self.where, key)]

    def mistake(self, key: str, read: str, allowed: str, hint: str = "") -> Mistake:
        """A mistake in one of this entry's fields."""
        return Mistake(self.file, self.line(key), field_name((*self.where, key)), read, allowed, hint)


def name_key(entry: Entry[EntryTable]) -> str:
    """The key under which an entry names its food."""
    return "supplement" if isinstance(entry.table, SupplementTable) else "food"


def read_item(entry: Entry[EntryTable], usual: Dose | None) -> tuple[Item | None, list[Mistake]]:
    """The item of an `on_hand` or `supplements` entry; None when its food could not be read."""
    table = entry.table
    mistakes: list[Mistake] = []
    if table.food is None:
        key = name_key(entry)
        if key not in entry.written:
            mistakes.append(entry.mistake(key, "nothing", "the id of a food; `weighout foods` lists them"))
        return None, mistakes
    home = _home_measure(entry, table, mistakes)
    unit = _unit(table)
    try:
        grams_per_unit = grams_of(read_quantity(f"1 {unit}"), table.food, home)
    except NoSuchMeasure:
        allowed = "a mass, or a measure of this food: " + _measures(table.food)
        key = "measure" if "measure" in entry.written else _first_written(entry)
        dose = getattr(table, key, None)
        read = f"{shown(getattr(dose, 'text', unit))} (no such measure)"
        mistakes.append(entry.mistake(key, read, allowed, did_you_mean(unit, table.food.measures)))
        return None, mistakes

    def units(key: str, quantity: Quantity, place: Entry[EntryTable] = entry) -> Fraction | None:
        return _units(place, key, quantity, table.food, unit, grams_per_unit, home, mistakes)

    doses = {key: _dose(key, getattr(table, key), units) for key in ("at_least", "at_most", "exactly")}
    if usual is not None:
        units(table.food.id, usual.quantity if isinstance(usual, Rate) else usual, replace(entry, where=("usual",)))
    amount, available = _amounts(table)
    default = (DEFAULT_STEPS if isinstance(table, SupplementTable) else DEFAULT_CUT_STEPS).get(unit, Fraction(1))
    price = table.price
    per = units("price", price.per) if price else None
    return Item(
        food=table.food,
        is_supplement=isinstance(table, SupplementTable),
        counts_as=table.counts_as or table.food.counts_as,
        unit=unit,
        grams_per_unit=grams_per_unit,
        fixed=units("amount", amount) if amount else None,
        available=units("left" if isinstance(table, SupplementTable) else "up_to", available) if available else None,
        step=(units("step", table.step) if table.step else None) or default,
        bone_share=float(table.bone_share) if isinstance(table, OnHandTable) and table.bone_share is not None else None,
        price_per_gram=Fraction(price.amount) / (per * grams_per_unit) if price and per else None,
        usual=usual,
        apart=isinstance(table, SupplementTable) and table.apart,
        text=amount.text if amount else "",
        lots=max(quantity.packages for quantity in (amount, available) if quantity) if amount or available else 1,
        where=field_name(entry.where),
        lines={"food": entry.line(name_key(entry)), **{key: entry.line(key) for key in entry.written}},
        **doses,
    ), mistakes


def jar_item(food: Food) -> Item:
    """A jar as an entry of its own reads that says nothing more than its name."""
    entry: Entry[EntryTable] = Entry(SupplementTable.model_construct(supplement=food), ("supplements",), "", Lines({}))
    return _sure(read_item(entry, None))


def food_item(food: Food, amount: Quantity) -> Item:
    """Food as an entry of its own reads that says how much of it goes in."""
    entry: Entry[EntryTable] = Entry(OnHandTable.model_construct(food=food, amount=amount), ("on_hand",), "", Lines({}))
    return _sure(read_item(entry, None))


def _sure(read: tuple[Item | None, list[Mistake]]) -> Item:
    item, mistakes = read
    if item is None or mistakes:
        raise ValueError("; ".join(str(mistake) for mistake in mistakes))
    return item


def _amounts(table: EntryTable) -> tuple[Quantity | None, Quantity | None]:
    """What goes in whole, and what there is at most."""
    if isinstance(table, OnHandTable):
        return table.amount, table.up_to
    return None, table.left if isinstance(table, SupplementTable) else None


def _home_measure(entry: Entry[EntryTable], table: EntryTable, mistakes: list[Mistake]) -> dict[str, Fraction]:
    """A measure weighed at home, in grams by its unit."""
    if not isinstance(table, SupplementTable) or table.measure_grams is None or table.food is None:
        return {}
    if table.measure is None:
        if "measure" not in entry.written:
            mistakes.append(entry.mistake("measure", "nothing", "the measure that was weighed, such as tsp"))
        return {}
    unit = canonical_unit(table.measure)
    known = table.food.measures.get(unit)
    if known and known.labelled:
        allowed = f"no mass here: the label's figures hold for one {unit}, whatever it weighs"
        mistakes.append(entry.mistake("measure_grams", shown(float(table.measure_grams)), allowed))
        return {}
    return {unit: table.measure_grams}


def _unit(table: EntryTable) -> str:
    """The measure an item is taken in: the one named, else that of its step or amount, else its first known.

    What is labelled by the piece (a capsule) is taken by the piece, not by mass.
    """
    assert table.food is not None
    if isinstance(table, SupplementTable):
        if table.measure:
            return canonical_unit(table.measure)
        written = [table.step, table.exactly, table.at_least, table.at_most, table.left]
    else:
        written = [getattr(table, "amount", None), getattr(table, "up_to", None), table.step]
    labelled = [unit for unit, measure in table.food.measures.items() if measure.labelled]
    for dose in written:
        quantity = dose.quantity if isinstance(dose, Rate) else dose
        if quantity is not None and (quantity.kind == "count" or not labelled):
            return quantity.unit
    return next(iter(labelled or table.food.measures), "g")


def _units(
    entry: Entry[EntryTable],
    key: str,
    quantity: Quantity,
    food: Food | None,
    unit: str,
    grams_per_unit: Fraction,
    home: Mapping[str, Fraction],
    mistakes: list[Mistake],
) -> Fraction | None:
    """A quantity as a count of the item's unit, or a mistake: a mass where a count is needed, a strange unit."""
    assert food is not None
    counted = unit not in MASS_UNITS and unit not in VOLUMES
    if counted and quantity.kind != "count" and key != "price":
        kind = f"a {quantity.kind} where a count is needed"
        mistakes.append(entry.mistake(key, f"{shown(quantity.text)} ({kind})", f'a count such as "2 {unit}s"'))
        return None
    try:
        return grams_of(quantity, food, {**home, unit: grams_per_unit}) / grams_per_unit
    except NoSuchMeasure:
        allowed = "a mass, or a measure of this food: " + _measures(food)
        hint = did_you_mean(quantity.unit, food.measures)
        mistakes.append(entry.mistake(key, f"{shown(quantity.text)} (no such measure)", allowed, hint))
        return None


def _dose(key: str, dose: Dose | None, units: Callable[[str, Quantity], Fraction | None]) -> Dose | None:
    """A hand-set bound, kept only when its quantity is in a measure of the food."""
    if dose is None:
        return None
    return dose if units(key, dose.quantity if isinstance(dose, Rate) else dose) is not None else None


def _measures(food: Food) -> str:
    return ", ".join(food.measures) or "g, kg, oz, lb"


def _first_written(entry: Entry[EntryTable]) -> str:
    for key in ("amount", "up_to", "step", "exactly", "at_least", "at_most", "left"):
        if key in entry.written:
            return key
    return "food"
