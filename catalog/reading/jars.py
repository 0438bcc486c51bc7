"""What jars are bought for, how much of that is customary, and what such jars usually cost, from three tables."""

import re
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import replace
from pathlib import Path
from statistics import median

from catalog.mistakes import Mistake
from catalog.reading.csv_tables import CONFIDENCE, checked_source, choice, number, read_table
from catalog.reading.figures import convert_amount
from catalog.records import USUAL_CURRENCY, Customary, Food, Nutrient
from catalog.units.spelling import singular

PURPOSE_COLUMNS = "food nutrient note".split()
CUSTOMARY_COLUMNS = "of amount unit per source confidence note".split()
PRICE_COLUMNS = "food price currency per source confidence".split()
PER = "1000 kcal"


def with_jar_tables(
    folder: Path,
    foods: Mapping[str, Food],
    nutrients: Mapping[str, Nutrient],
    sources: Mapping[str, str],
    mistakes: list[Mistake],
) -> dict[str, Food]:
    """The foods with their purposes and usual prices."""
    purposes = read_purposes(folder / "purposes.csv", foods, nutrients, mistakes)
    prices = read_usual_prices(folder / "usual_prices.csv", foods, sources, mistakes)
    return {
        id_: replace(food, purposes=purposes.get(id_, ()), usual_price_per_gram=prices.get(id_))
        if id_ in purposes or id_ in prices
        else food
        for id_, food in foods.items()
    }


def read_purposes(
    path: Path, foods: Iterable[str], nutrients: Iterable[str], mistakes: list[Mistake]
) -> dict[str, tuple[str, ...]]:
    """The nutrients that each jar is bought for; none for a jar whose one row has a note instead of a nutrient."""
    found: dict[str, list[str]] = defaultdict(list)
    without: set[str] = set()
    for row in read_table(path, PURPOSE_COLUMNS, mistakes):
        food = choice(row, "food", foods, mistakes)
        if not food:
            continue
        if not row["nutrient"]:
            if not row["note"]:
                mistakes.append(row.mistake("note", "what the jar is for, where it serves no nutrient"))
            if food in found:
                mistakes.append(row.mistake("nutrient", f"one row without a nutrient, or nutrients, for {food}"))
            without.add(food)
            found[food] = []
            continue
        nutrient = choice(row, "nutrient", nutrients, mistakes)
        if nutrient in found[food] or food in without:
            mistakes.append(row.mistake("nutrient", f"each purpose of {food} once, none beside a row without one"))
        elif nutrient:
            found[food].append(nutrient)
    return {food: tuple(ids) for food, ids in found.items()}


def read_customary(
    path: Path,
    foods: Iterable[str],
    nutrients: Mapping[str, Nutrient],
    sources: Mapping[str, str],
    mistakes: list[Mistake],
) -> dict[str, Customary]:
    """Customary amounts per 1000 kcal, by nutrient id (in its unit) or by food id (in grams)."""
    found: dict[str, Customary] = {}
    pool = [*nutrients, *foods]
    for row in read_table(path, CUSTOMARY_COLUMNS, mistakes):
        of, amount = choice(row, "of", pool, mistakes), number(row, "amount", mistakes)
        if row["per"] != PER:
            mistakes.append(row.mistake("per", PER))
        if of in found:
            mistakes.append(row.mistake("of", "each nutrient or food once"))
        if not of:
            continue
        if not amount:
            mistakes.append(row.mistake("amount", "a number above zero"))
            continue
        if of in nutrients:
            own, unit = convert_amount(amount, row["unit"], nutrients[of]), nutrients[of].unit
        else:
            own, unit = (amount if row["unit"] == "g" else None), "g"
        if own is None:
            mistakes.append(row.mistake("unit", f"a unit that becomes {unit}"))
            continue
        found[of] = Customary(
            of=of,
            per_1000_kcal=own,
            source=checked_source(row, sources, mistakes),
            confidence=choice(row, "confidence", CONFIDENCE, mistakes),
            note=row["note"],
            file=row.file,
            line=row.line,
        )
    return found


def read_usual_prices(
    path: Path, foods: Mapping[str, Food], sources: Mapping[str, str], mistakes: list[Mistake]
) -> dict[str, float]:
    """What a gram of each jar usually costs, in `USUAL_CURRENCY`."""
    found: dict[str, float] = {}
    for row in read_table(path, PRICE_COLUMNS, mistakes):
        food = choice(row, "food", foods, mistakes)
        choice(row, "currency", (USUAL_CURRENCY,), mistakes)
        choice(row, "confidence", CONFIDENCE, mistakes)
        checked_source(row, sources, mistakes)
        if food in found:
            mistakes.append(row.mistake("food", "each jar once"))
        if not food:
            continue
        price, grams = number(row, "price", mistakes), _grams(row["per"], foods[food])
        if not price:
            mistakes.append(row.mistake("price", "a number above zero"))
        if not grams:
            units = ", ".join(("g", *foods[food].measures))
            mistakes.append(row.mistake("per", f'a number of one of {units}, such as "250 g"'))
        if price and grams:
            found[food] = price / grams
    return found


def median_price(category: str, foods: Iterable[Food]) -> float | None:
    """The median of what a gram of the jars of one category usually costs, of all jars where the category has none."""
    priced = [food for food in foods if food.usual_price_per_gram is not None]
    same = [food for food in priced if food.category == category]
    prices = [food.usual_price_per_gram for food in same or priced if food.usual_price_per_gram is not None]
    return median(prices) if prices else None


def _grams(text: str, food: Food) -> float | None:
    """The mass of "250 g" or "100 softgels" of a food; None where it cannot be told.

    Read here, not as the kitchen's quantities are: those load pint, and every command reads this table.
    """
    match = re.fullmatch(r"([0-9]+) ([a-z ]+)", text)
    if not match:
        return None
    unit = match[2] if match[2] == "g" else singular(match[2])
    measure = food.measures.get(unit)
    each = 1.0 if unit == "g" else measure.grams if measure else None
    return None if each is None else int(match[1]) * each
