"""What each food last cost, with the day it is known from: for a market that looks for something better."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from optimizer.journal.store import Store

_COUNTS = "NOT IN (SELECT event FROM undone)"

# A sheet's money is rounded to the cent: from a dose worth less than this no price can be told.
LEAST_TOLD = Decimal("1.00")


@dataclass(frozen=True, slots=True)
class KnownPrice:
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


def last_prices(store: Store) -> list[KnownPrice]:
    """The last known price of each food in each currency: of the package bought last, or of a later batch."""
    found: dict[tuple[str, str], KnownPrice] = {}
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
    found: dict[tuple[str, str], KnownPrice], row: Mapping[str, Any], amount: Decimal, text: str, on: str, source: str
) -> None:
    price = KnownPrice(row["food"], row["name"], amount, row["currency"], row["grams"], text, on, source)
    before = found.get((price.food, price.currency))
    # on one day what was paid for a package says more than what a scenario claimed
    if before is None or on > before.on or (on == before.on and source.startswith("stock")):
        found[price.food, price.currency] = price
