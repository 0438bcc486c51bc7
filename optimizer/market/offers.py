"""Price lines -> offers: whole packages in grams and in one currency, and an item for each food on sale."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction

from catalog.mistakes import Mistake
from catalog.nutrition.composition import bone_share_of
from catalog.nutrition.losses import treated
from catalog.prices.lines import PriceLine
from catalog.reading.toml_fields import read_fields
from catalog.reading.toml_lines import Lines
from catalog.records import Catalog, Food
from catalog.units.money import cents
from catalog.units.quantities import Quantity, read_quantity
from optimizer.scenario.items import MASS_UNITS, Entry, read_item
from optimizer.scenario.market import Market
from optimizer.scenario.records import Item, NoSuchMeasure, Scenario, grams_of
from optimizer.scenario.schema import EntryTable, OnHandTable, SupplementTable

US_UNITS = ("oz", "lb")
# What a kitchen scale shows: bought cuts are weighed out as finely as that.
SCALE_STEPS: Mapping[str, Fraction] = {"metric": Fraction(1), "us": read_quantity("1 oz").amount / 10}
# The least that a counter is asked for of what it sells by weight: nobody buys three grams of liver.
LEAST_ASKED: Mapping[str, Fraction] = {"metric": Fraction(50), "us": read_quantity("2 oz").amount}


@dataclass(frozen=True, slots=True)
class Offer:
    """One thing on sale. `grams` is what one package weighs, `price` its price in the scenario's currency;
    `priced_grams` and `priced_at` are the amount and the price as the store puts them.

    What is sold by weight comes in "packages" of one step of a scale, and at least `least_grams` of it.
    """

    id: str
    line: PriceLine
    grams: Fraction
    price: Fraction
    priced_grams: Fraction
    priced_at: Decimal
    edible_share: float
    least_grams: Fraction

    @property
    def loose(self) -> bool:
        """Whether any weight is sold."""
        return self.line.loose

    @property
    def food(self) -> Food:
        """What is sold."""
        return self.line.food

    @property
    def store(self) -> str:
        """Where."""
        return self.line.store

    @property
    def price_per_kg(self) -> float:
        """Money per kilogram."""
        return float(self.priced_at) / float(self.priced_grams) * 1000

    @property
    def price_per_edible_kg(self) -> float:
        """Money per kilogram without its bone."""
        return self.price_per_kg / self.edible_share if self.edible_share else float("inf")


def make_offers(
    lines: Sequence[PriceLine], scenario: Scenario, market: Market, catalog: Catalog
) -> tuple[list[Offer], list[Mistake]]:
    """The offers of the stores that the person goes to, the newest of each, and what cannot be used of them."""
    mistakes: list[Mistake] = []
    offers: list[Offer] = []
    cooks = any(treatment.cooks for treatment in scenario.treatments)
    for line in newest(lines, mistakes):
        if market.stores and line.store.casefold() not in {store.casefold() for store in market.stores}:
            continue
        if cooks and bone_share_of(line.food, catalog.foods):
            continue  # cooked bone splinters
        if _is_any_of(line.food, market.leave_out):
            continue
        offer = _offer(f"o{len(offers):03d}", line, scenario, market, catalog, mistakes)
        if offer:
            offers.append(offer)
    return offers, mistakes


def _is_any_of(food: Food, names: Sequence[str]) -> bool:
    return bool({food.id, food.species, food.role, *food.tags} & set(names))


def newest(lines: Sequence[PriceLine], mistakes: list[Mistake]) -> list[PriceLine]:
    """The lines without those that a later date replaces; the same package twice on one day is a mistake.

    Stores whose names differ only in capitals are one store, spelt as on its first line.
    """
    spelt: dict[str, str] = {}
    kept: dict[tuple[str, str, Fraction, str, bool], PriceLine] = {}
    for written in lines:
        line = replace(written, store=spelt.setdefault(written.store.casefold(), written.store))
        key = (
            line.store,
            line.food.id,
            line.package.amount if not line.loose else Fraction(),
            line.package.kind,
            line.loose,
        )
        other = kept.get(key)
        if other is not None and (other.day is None or line.day is None or other.day == line.day):
            read = f"{line.food.id} at {line.store}, the same package a second time"
            allowed = f"each package once, or a date for each; it stands at {other.where} already"
            mistakes.append(Mistake(line.file, line.line, "food", read, allowed))
        if other is None or (other.day and line.day and line.day > other.day):
            kept[key] = line
    return list(kept.values())


def _offer(
    id_: str, line: PriceLine, scenario: Scenario, market: Market, catalog: Catalog, mistakes: list[Mistake]
) -> Offer | None:
    food = line.food
    try:
        priced_grams = grams_of(_named(line.package, food), food, {})
    except NoSuchMeasure:
        known = ", ".join(food.measures) or "g, kg, oz, lb"
        read = f"{line.package.text!r} (no such measure of {food.id})"
        mistakes.append(Mistake(line.file, line.line, "package", read, f"a mass, or a measure of this food: {known}"))
        return None
    rate = _rate(line, scenario, market, mistakes)
    if rate is None:
        return None
    exact = Fraction(line.price) * rate
    priced_at = line.price if rate == 1 else cents(exact)
    system = "us" if line.package.unit in US_UNITS else "metric"
    grams = SCALE_STEPS[system] if line.loose else priced_grams
    return Offer(
        id=id_,
        line=line,
        grams=grams,
        price=Fraction(priced_at) * grams / priced_grams,
        priced_grams=priced_grams,
        priced_at=priced_at,
        edible_share=1 - bone_share_of(food, catalog.foods),
        least_grams=LEAST_ASKED[system] if line.loose else grams,
    )


def _named(quantity: Quantity, food: Food) -> Quantity:
    """A quantity whose pieces without a name ("1 dozen") are the food's own pieces."""
    if quantity.unit or quantity.kind != "count":
        return quantity
    piece = next((unit for unit in food.measures if read_quantity(f"1 {unit}").kind == "count"), "piece")
    return replace(quantity, unit=piece)


def _rate(line: PriceLine, scenario: Scenario, market: Market, mistakes: list[Mistake]) -> Fraction | None:
    """What the line's currency is worth in the scenario's."""
    if line.currency in ("", scenario.currency):
        return Fraction(1)
    if line.currency in market.rates:
        return market.rates[line.currency]
    if any(m.field == "currency" and m.file == line.file and f" in {line.currency}, " in m.read for m in mistakes):
        return None  # told of the first such line
    read = f"{line.text!r} in {line.currency}, with a scenario in {scenario.currency or 'no currency'}"
    hint = f'Add to the scenario:  [rates]  {line.currency} = "1.00 {scenario.currency or "USD"}"  with the true rate.'
    mistakes.append(Mistake(line.file, line.line, "currency", read, "one currency, or a rate for each other one", hint))
    return None


def with_items(scenario: Scenario, offers: Iterable[Offer], catalog: Catalog) -> Scenario:
    """The scenario with an item, none of it on hand, for each food on sale that it does not list."""
    items = {item.id: item for item in scenario.items}
    for offer in offers:
        if offer.food.id not in items:
            item = _item(offer, catalog)
            items[offer.food.id] = replace(item, food=treated(item.food, scenario.treatments))
    return replace(scenario, items=tuple(items.values()))


def _item(offer: Offer, catalog: Catalog) -> Item:
    """An item that is only for sale: a supplement in its usual measure, anything else in that of its package."""
    food, context = offer.food, {"catalog": catalog, "currency": ""}
    fields = {"food": food.id, "up_to": f"1 {_named(offer.line.package, food).unit}"}
    read: EntryTable
    if food.role in ("supplement", "oil"):
        fields = {"supplement": food.id}
        read, _ = read_fields(SupplementTable, fields, (), offer.line.file, Lines({}), context)
    else:
        read, _ = read_fields(OnHandTable, fields, (), offer.line.file, Lines({}), context)
    item, _ = read_item(Entry(read, (), offer.line.file, Lines({}), frozenset(fields)), None)
    assert item is not None
    return replace(item, available=Fraction(), lines={})


def is_weighed(item: Item) -> bool:
    """Whether an item is bought and taken by weight, not by the piece, the spoon or the capsule."""
    return not item.is_supplement and item.unit in MASS_UNITS


def scale_step(item: Item) -> Fraction:
    """The least weight, in grams, that a bought item which is weighed can be taken in."""
    return SCALE_STEPS["us" if item.unit in US_UNITS else "metric"]
