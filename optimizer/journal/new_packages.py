"""A package as a person tells it: an amount in any measure of the food, a price for it or by weight."""

import re
from decimal import Decimal
from fractions import Fraction

from catalog.mistakes import Mistake
from catalog.reading.names import food_hint, named_food
from catalog.records import Catalog, Food
from catalog.units.money import read_price
from catalog.units.quantities import Quantity, QuantityError, read_quantity, write_count
from optimizer.errors import InputErrors
from optimizer.journal.recipes import is_zero, listing
from optimizer.journal.records import Package
from optimizer.journal.stock import NewPackage
from optimizer.scenario.naming import COMMAND_LINE
from optimizer.scenario.records import NoSuchMeasure, grams_of

PRICE = 'what the package cost, such as "14.00 USD", or a rate, such as "2.49 USD/lb"'


def bought_package(
    catalog: Catalog,
    *,
    food: str,
    amount: str,
    price: str | None,
    lot: str,
    use_by: str,
    bought_on: str,
    step: str,
    listed: str | None,
) -> NewPackage:
    """The package that was bought; `listed` is on-hand, supplement, or None for as the food's role says.

    Raises InputErrors with everything that is wrong.
    """
    known = named_food(food, catalog)
    if known is None:
        allowed = "the id of a food; `weighout foods` lists them"
        raise _wrong("FOOD", f'"{food}"', allowed, food_hint(food, catalog))
    quantity = _quantity("AMOUNT", amount, known)
    grams = grams_of(quantity, known, {})
    if step:
        _quantity("--step", step, known)
    cost, currency = _price(price, grams, known) if price else (None, "")
    key = {"on-hand": "on_hand", "supplement": "supplements", None: listing(known)[0]}[listed]
    return NewPackage(
        food=known.id,
        name=known.name,
        listed=key,
        amount_text=amount.strip(),
        unit=quantity.unit,
        grams_per_unit=float(grams / quantity.count),
        grams=float(grams),
        price=cost,
        currency=currency,
        lot=lot,
        use_by=use_by,
        bought_on=bought_on,
        step=step,
    )


def grams_left(package: Package, text: str) -> float:
    """The grams in what a person found left of a package: in its measure, or in a mass. Raises InputErrors."""
    if is_zero(text):
        return 0.0
    allowed = f'a mass, or an amount such as "{write_count(Fraction(2), package.unit)}"; 0 for nothing'
    try:
        quantity = read_quantity(text)
    except QuantityError as problem:
        raise _wrong("LEFT", f'"{text}" ({problem})', allowed) from problem
    if quantity.unit == package.unit:
        return float(quantity.count) * package.grams_per_unit
    if quantity.kind != "mass":
        raise _wrong("LEFT", f'"{text}"', allowed)
    return float(quantity.amount)


def _quantity(option: str, text: str, food: Food) -> Quantity:
    """An amount in a measure of the food. What is labelled by the piece has to be counted."""
    measures = ", ".join(food.measures) or "g, kg, oz, lb"
    labelled = [unit for unit, measure in food.measures.items() if measure.labelled]
    try:
        quantity = read_quantity(text)
        if labelled and quantity.kind != "count":
            raise QuantityError(f"a {quantity.kind} where a count is needed", f'a count such as "60 {labelled[0]}s"')
        grams_of(quantity, food, {})
    except QuantityError as problem:
        raise _wrong(option, f'"{text}" ({problem})', problem.allowed, problem.hint) from problem
    except NoSuchMeasure as problem:
        allowed = f"a mass, or a measure of this food: {measures}"
        raise _wrong(option, f'"{text}" (no such measure)', allowed) from problem
    return quantity


def _price(text: str, grams: Fraction, food: Food) -> tuple[Decimal, str]:
    """What the whole package cost, and the currency."""
    whole = re.fullmatch(r"\s*([0-9]{1,7}(?:\.[0-9]{1,2})?)\s*([A-Z]{3})\s*", text)
    if whole:
        return Decimal(whole[1]), whole[2]
    code = re.search(r"\b[A-Z]{3}\b", text)
    currency = code[0] if code else {"£": "GBP", "€": "EUR"}.get(text.strip()[:1], "")
    if not currency:
        raise _wrong("--price", f'"{text}"', PRICE, "Write the currency in three capital letters.")
    try:
        price = read_price(text, currency)
        share = grams / grams_of(price.per, food, {})
    except QuantityError as problem:
        raise _wrong("--price", f'"{text}" ({problem})', PRICE, problem.hint) from problem
    except NoSuchMeasure as problem:
        raise _wrong("--price", f'"{text}" (no such measure)', PRICE) from problem
    exact = Fraction(price.amount) * share
    return (Decimal(exact.numerator) / Decimal(exact.denominator)).quantize(Decimal("0.01")), currency


def _wrong(option: str, read: str, allowed: str, hint: str = "") -> InputErrors:
    return InputErrors([Mistake(COMMAND_LINE, 0, option, read, allowed, hint)])
