"""Stock: packages with lots, prices and use-by dates, and what batches took from them."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from itertools import pairwise
from statistics import median
from typing import Any

from catalog.units.quantities import write_count, write_mass
from optimizer.journal.events import append, happened
from optimizer.journal.records import JournalFault, Package, Withdrawal
from optimizer.journal.store import Store
from optimizer.scenario.items import MASS_UNITS

DAYS_WHEN_UNKNOWN = 14  # to the next batch, where fewer than two were recorded

_COUNTS = "NOT IN (SELECT event FROM undone)"
_PACKAGES = f"""
    SELECT p.*, p.grams
        + (SELECT coalesce(sum(c.change_grams), 0) FROM counts c WHERE c.package = p.event AND c.event {_COUNTS})
        - (SELECT coalesce(sum(t.grams), 0) FROM takes t WHERE t.package = p.event AND t.batch {_COUNTS}) AS left_g
    FROM packages p WHERE p.event {_COUNTS}
"""


@dataclass(frozen=True, slots=True)
class NewPackage:
    """A package as it comes into stock; `amount_text` is what was written, `unit` weighs `grams_per_unit`."""

    food: str
    name: str
    listed: str
    amount_text: str
    unit: str
    grams_per_unit: float
    grams: float
    price: Decimal | None
    currency: str
    lot: str
    use_by: str
    bought_on: str
    step: str


@dataclass(frozen=True, slots=True)
class StockWarning:
    """Something to see to before the next batch: `code` is expired, expires, runs_out or overdrawn."""

    code: str
    food: str
    text: str


def add_package(store: Store, bought: NewPackage) -> Package:
    """Puts a package in stock."""
    body = {
        "food": bought.food,
        "name": bought.name,
        "listed": bought.listed,
        "text": bought.amount_text,
        "unit": bought.unit,
        "grams_per_unit": bought.grams_per_unit,
        "grams": bought.grams,
        "price": None if bought.price is None else str(bought.price),
        "currency": bought.currency,
        "lot": bought.lot,
        "use_by": bought.use_by,
        "bought_on": bought.bought_on,
        "step": bought.step,
    }
    append(store, happened("package", body))
    return packages(store)[-1]


def packages(store: Store) -> list[Package]:
    """Every package that was put in stock, empty ones too."""
    return [
        Package(
            number=row["number"],
            event=row["event"],
            food=row["food"],
            name=row["name"],
            listed=row["listed"],
            text=row["text"],
            unit=row["unit"],
            grams_per_unit=row["grams_per_unit"],
            grams=row["grams"],
            # sums of floats: a package emptied in several takes must be empty
            left_g=row["left_g"] if abs(row["left_g"]) > 1e-6 * row["grams"] else 0.0,
            price=None if row["price"] is None else Decimal(row["price"]),
            currency=row["currency"],
            lot=row["lot"],
            use_by=row["use_by"],
            bought_on=row["bought_on"],
            step=row["step"],
        )
        for row in store.rows(f"{_PACKAGES} ORDER BY p.number")
    ]


def find_package(store: Store, number: int) -> Package:
    """The package of this number. Raises JournalFault when there is none."""
    for package in packages(store):
        if package.number == number:
            return package
    raise JournalFault(f"{store.path}: there is no package {number} in stock; `weighout stock --all` lists them.")


def count_package(store: Store, number: int, left_grams: float, why: str) -> Package:
    """Corrects what is left of a package to what was found."""
    package = find_package(store, number)
    body = {"package": package.event, "change_grams": left_grams - package.left_g, "why": why}
    append(store, happened("count", body))
    return find_package(store, number)


def take_from_stock(
    store: Store, amounts: Sequence[Mapping[str, Any]], lots: Mapping[str, str]
) -> tuple[list[tuple[Withdrawal, Package]], list[tuple[str, float]]]:
    """What the amounts of a sheet take from the packages of each food: of the lot that was told, else what
    spoils first. Foods that were never in stock are not asked about; what lacks is told in grams."""
    takes: list[tuple[Withdrawal, Package]] = []
    lacking: list[tuple[str, float]] = []
    there = packages(store)
    for line in amounts:
        of_food = [package for package in there if package.food == line["id"]]
        if not of_food:
            continue
        told = [package for package in of_food if package.lot and package.lot == lots.get(line["id"])]
        wanted = float(line["grams"])
        for package in in_order(told or ([] if line["id"] in lots else of_food)):
            if wanted <= 1e-9:
                break
            grams = min(wanted, package.left_g)
            if abs(package.left_g - wanted) < 1e-6 * package.grams:
                grams = package.left_g
            rest = package.left_g - grams
            words, left = words_of(grams, package), words_of(rest, package)
            takes.append((Withdrawal(package.number, package.food, package.name, grams, rest, words, left), package))
            wanted -= grams
        if wanted > 1e-6 * float(line["grams"]) and line["id"] not in lots:
            lacking.append((line["id"], wanted))
    return takes, lacking


def in_order(found: Iterable[Package]) -> list[Package]:
    """Packages that are not empty, in the order in which they are best used."""
    return sorted(
        (package for package in found if package.left_g > 0),
        key=lambda package: (package.use_by or "9999", package.bought_on, package.number),
    )


def days_between_batches(made_on: Sequence[str]) -> int:
    """The usual number of days from one batch to the next; a guess of two weeks from fewer than two dates."""
    days = sorted({date.fromisoformat(day) for day in made_on})
    if len(days) < 2:
        return DAYS_WHEN_UNKNOWN
    return max(round(median((b - a).days for a, b in pairwise(days))), 1)


def stock_warnings(store: Store, today: str, days: int) -> list[StockWarning]:
    """What runs out or expires within so many days; what runs out is told by what the last batch took."""
    found: list[StockWarning] = []
    until = (date.fromisoformat(today) + timedelta(days=days)).isoformat()
    there = packages(store)
    for package in there:
        words = f"{package.name}, package {package.number}"
        if package.left_g < 0:
            text = f"{words}: {-package.left_g:.3g} g more were taken than it held; count it."
            found.append(StockWarning("overdrawn", package.food, text))
        elif package.left_g > 0 and package.use_by and package.use_by < today:
            found.append(StockWarning("expired", package.food, f"{words}: past its use-by date, {package.use_by}."))
        elif package.left_g > 0 and package.use_by and package.use_by <= until:
            found.append(StockWarning("expires", package.food, f"{words}: use by {package.use_by}."))
    for food in dict.fromkeys(package.food for package in there):
        usable = [p for p in there if p.food == food and p.left_g > 0 and not (p.use_by and p.use_by < today)]
        left = sum(package.left_g for package in usable)
        last = store.rows(
            "SELECT l.grams, l.text, b.number FROM batch_lines l JOIN batches b ON b.event = l.batch "
            f"WHERE l.food = ? AND l.grams > 0 AND b.event {_COUNTS} ORDER BY b.made_on DESC, b.number DESC LIMIT 1",
            food,
        )
        if last and left < last[0]["grams"] * (1 - 1e-6):
            name = next(package.name for package in there if package.food == food)
            have = left_words(usable) if usable else "nothing"
            text = f"{name}: {have} left; batch {last[0]['number']} took {last[0]['text']}."
            found.append(StockWarning("runs_out", food, text))
    return found


def left_words(of_food: Sequence[Package]) -> str:
    """What is left of packages of one food, in the measure of the first: "23 capsules", "2 lb 3 oz"."""
    return words_of(sum(package.left_g for package in of_food), of_food[0])


def words_of(grams: float, package: Package) -> str:
    """A mass in a package's measure, to read."""
    if package.unit in MASS_UNITS:
        return write_mass(grams, "us" if package.unit in ("lb", "oz") else "metric")
    return _usable(grams, package)


def _usable(grams: float, package: Package) -> str:
    """A mass in a package's measure, to a thousandth of it and never more: it is read as what may be used."""
    return write_count(Fraction(int(grams / package.grams_per_unit * 1000 + 1e-6), 1000), package.unit)


def value_of(found: Iterable[Package]) -> dict[str, Decimal]:
    """What is left is worth, by currency, at what it cost; packages without a price are left out."""
    total: dict[str, Decimal] = {}
    for package in found:
        if package.value is not None and package.left_g > 0:
            total[package.currency] = total.get(package.currency, Decimal()) + package.value
    return total


def stock_entries(store: Store, today: str, currency: str) -> dict[str, list[dict[str, Any]]]:
    """Stock as a scenario's `on_hand` and `supplements` lists: what is left of each food, at the price of the
    package that is used first. What is past its use-by date, or weighs less than a step, is left out."""
    entries: dict[str, list[dict[str, Any]]] = {"on_hand": [], "supplements": []}
    usable = in_order(p for p in packages(store) if not (p.use_by and p.use_by < today))
    for food in dict.fromkeys(package.food for package in sorted(usable, key=lambda package: package.number)):
        of_food = [package for package in usable if package.food == food]
        first = of_food[0]
        left = _usable(sum(package.left_g for package in of_food), first)
        if left.startswith("0 "):
            continue
        names = ("food", "up_to") if first.listed == "on_hand" else ("supplement", "left")
        entry: dict[str, Any] = {names[0]: food, names[1]: left}
        if first.step:
            entry["step"] = first.step
        if first.price is not None and first.currency == currency:
            entry["price"] = f"{first.price} for {first.text}"
        entries[first.listed].append(entry)
    return entries
