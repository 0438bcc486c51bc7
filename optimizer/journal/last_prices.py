"""What each food last cost, with the day it is known from: for a market that looks for something better."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any

from catalog.prices.lines import PriceLine
from catalog.records import Catalog
from catalog.units.quantities import Quantity, QuantityError, read_quantity
from optimizer.journal.store import Store

_COUNTS = "NOT IN (SELECT event FROM undone)"

# A sheet's money is rounded to the cent: from a dose worth less than this no price can be told.
LEAST_TOLD = Decimal("1.00")

LAST_PAID = "last paid"  # stands where a price list names the store


@dataclass(frozen=True, slots=True)
class LastPrice:
    """What a food last cost: `amount` of `currency` for `grams`, on a day, by a package or by a batch's sheet."""

    food: str
    name: str
    amount: Decimal
    currency: str
    grams: float
    text: str
    on: str
    source: str

    @property
    def per_kg(self) -> Decimal:
        """Money for a kilogram."""
        return (self.amount * 1000 / Decimal(repr(self.grams))).quantize(Decimal("0.01"))


def last_prices(store: Store) -> list[LastPrice]:
    """The last known price of each food in each currency: of the package bought last, or of a later batch."""
    found: dict[tuple[str, str], LastPrice] = {}
    for row in store.rows(f"SELECT * FROM packages WHERE price IS NOT NULL AND event {_COUNTS} ORDER BY number"):
        source = f"stock, package {row['number']}"
        _keep_later(found, row, Decimal(row["price"]), row["text"], row["bought_on"], source)
    lines = store.rows(
        "SELECT l.food, l.name, l.grams, l.text, l.cost, b.currency, b.made_on, b.number FROM batch_lines l "
        f"JOIN batches b ON b.event = l.batch WHERE l.cost IS NOT NULL AND l.grams > 0 AND b.event {_COUNTS} "
        "ORDER BY b.number"
    )
    for row in lines:
        if Decimal(row["cost"]) >= LEAST_TOLD:
            _keep_later(found, row, Decimal(row["cost"]), row["text"], row["made_on"], f"batch {row['number']}")
    return sorted(found.values(), key=lambda price: (price.food, price.currency))


def _keep_later(
    found: dict[tuple[str, str], LastPrice], row: Mapping[str, Any], amount: Decimal, text: str, on: str, source: str
) -> None:
    price = LastPrice(row["food"], row["name"], amount, row["currency"], row["grams"], text, on, source)
    before = found.get((price.food, price.currency))
    # on one day what was paid for a package says more than what a scenario claimed
    if before is None or on > before.on or (on == before.on and source.startswith("stock")):
        found[price.food, price.currency] = price


def lines_of(
    prices: Sequence[LastPrice], catalog: Catalog, currency: str, listed: Collection[str], file: str
) -> list[PriceLine]:
    """Known prices as lines of a price list: one for each food that no list sells (`listed` are the ids of those that
    one does), in `currency` where that was ever paid.

    Meat can be had by weight at the price last paid; of a supplement only a package that was bought is a package.
    """
    lines = []
    in_currency = {price.food for price in prices if price.currency == currency}
    for price in prices:
        if price.food in in_currency and price.currency != currency:
            continue
        food = catalog.foods.get(price.food)
        bought = price.source.startswith("stock")
        if food is None or price.food in listed or (_in_packages(food.role) and not bought):
            continue
        loose = not _in_packages(food.role)
        lines.append(
            PriceLine(
                store=LAST_PAID,
                food=food,
                package=_package(price),
                price=price.amount,
                loose=loose,
                currency=price.currency,
                text=f"{price.amount} {price.currency} for {price.text}",
                day=date.fromisoformat(price.on),
                note=f"{price.source}, {price.on}",
                file=file,
                last_known=True,
            )
        )
    return lines


def _in_packages(role: str) -> bool:
    """Whether a food is only sold in packages."""
    return role in ("supplement", "oil", "egg")


def _package(price: LastPrice) -> Quantity:
    """What was paid for, as it was written where that is a quantity of its own, else in grams."""
    try:
        quantity = read_quantity(price.text)
        if quantity.kind != "mass" or abs(float(quantity.amount) - price.grams) < 1e-6 * price.grams:
            return quantity
    except QuantityError:
        pass
    grams = Fraction(price.grams).limit_denominator(1000)
    return Quantity("mass", grams, "g", f"{float(grams):g} g")
