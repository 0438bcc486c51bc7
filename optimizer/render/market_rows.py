"""A trip to the stores in the words that text and papers share: every cell as text, from the report alone."""

from dataclasses import dataclass
from decimal import Decimal
from math import isfinite

from optimizer.market.basket import Basket, BasketLine, FoodUse
from optimizer.market.market_report import MarketReport
from optimizer.market.wording import count_words, left_words, price_words
from optimizer.render.headline import met
from optimizer.sheet.numbers import amount_text, grams_text, percent_text
from optimizer.sheet.sheet import OUT_OF_REACH, OUT_OF_TIME, PLANNED

HEADLINES = {
    OUT_OF_REACH: "Nothing on sale and on hand makes a mix that keeps every limit. This comes nearest; do not feed it.",
    OUT_OF_TIME: "No mix was found in the time allowed, and none was ruled out. This comes nearest; do not feed it.",
}
NOT_TO_FEED = "Do not feed this mix."
LAST_PAID = "Prices last paid are from the journal; a store may ask another now."


@dataclass(frozen=True, slots=True)
class BuyRow:
    """One thing to buy. `per_edible_kg` and `note` are empty where there is nothing to say."""

    food: str
    buy: str
    name: str
    note: str
    price: str
    per_kg: str
    per_edible_kg: str
    cost: str


@dataclass(frozen=True, slots=True)
class StoreRows:
    """A store with what is bought there, its total and what going there costs ("" where nothing)."""

    name: str
    total: str
    visit: str
    rows: tuple[BuyRow, ...]


@dataclass(frozen=True, slots=True)
class UseRow:
    """What goes in of one food ("none": it is only left over), from where, and what is left of it."""

    food: str
    take: str
    name: str
    source: str
    left: str


def verdict(report: MarketReport) -> str:
    """Whether every limit is met, and how near this is to the least cost."""
    if report.trip.status != PLANNED or report.trip.best is None:
        return HEADLINES[report.trip.status]
    words = met(report.trip.basket.sheet)
    gap = report.trip.basket.purchase.gap
    if not report.trip.best.proven:
        return f"{words} Time ran out: up to {gap:.1%} may still be saved."
    return f"{words} Nothing cheaper does." if gap < 5e-5 else f"{words} Nothing cheaper does, to within {gap:.2%}."


def store_rows(basket: Basket) -> tuple[StoreRows, ...]:
    """What to buy, store by store."""
    found = []
    for store in basket.stores:
        lines = [line for line in basket.bought if line.offer.store == store]
        visit = basket.buying.market.visit(store)
        total = sum((line.cost for line in lines), Decimal())
        found.append(StoreRows(store, str(total), str(visit) if visit else "", tuple(map(_buy, lines))))
    return tuple(found)


def _buy(line: BasketLine) -> BuyRow:
    offer = line.offer
    return BuyRow(
        food=offer.food.id,
        buy=count_words(offer, line.count),
        name=offer.food.name,
        note=offer.line.note,
        price=price_words(offer),
        per_kg=f"{offer.price_per_kg:.2f}",
        per_edible_kg=f"{offer.price_per_edible_kg:.2f}" if offer.edible_share < 1 else "",
        cost=str(line.cost),
    )


def named(row: BuyRow) -> str:
    """What is bought, with the remark of the price list."""
    return f"{row.name} ({row.note})" if row.note else row.name


def buy_words(row: BuyRow) -> str:
    """One thing to buy as a sentence, after how much of it."""
    edible = f", {row.per_edible_kg} without bone" if row.per_edible_kg else ""
    price = f" at {row.price}" if row.price != row.cost else ""
    return f"{named(row)}{price}: {row.cost} ({row.per_kg} per kg{edible})"


def money_rows(basket: Basket) -> tuple[tuple[str, str, str], ...]:
    """What it costs: name, amount, remark."""
    currency = basket.sheet.currency
    rows = [("At the stores", str(basket.paid), "")]
    if basket.visits:
        each = [f"{store.name} {store.visit}" for store in store_rows(basket) if store.visit]
        rows.append(("Going there", str(basket.visits), ", ".join(each)))
    rows.append((f"To pay, {currency}", str(basket.spent), rates_words(basket, basket.spent)))
    jars = [use.item.food.name for use in basket.uses if use.hand_worth is None and use.from_hand and use.item.is_jar]
    without = f"; without a price, counted as such jars usually cost: {', '.join(jars)}" if jars else ""
    rows.append(("From on hand", str(basket.on_hand_worth), f"at the scenario's prices{without}"))
    rows.append(("Left over", str(-basket.left_worth), "of what is bought, in proportion"))
    rows.append((f"In this batch, {currency}", str(basket.batch_cost), rates_words(basket, basket.batch_cost)))
    return tuple(rows)


def rates_words(basket: Basket, money: Decimal) -> str:
    """An amount of money per kg, per 1000 kcal, per cat and day."""
    names = {"per_kg": "per kg", "per_1000_kcal": "per 1000 kcal", "per_cat_and_day": "per cat and day"}
    return ", ".join(f"{amount} {names[key]}" for key, amount in basket.rates(money).items())


def batch_words(basket: Basket) -> str:
    """What goes in, in a line."""
    totals, cats = basket.assessment.totals, basket.buying.market.cats
    days = f", {float(basket.days):.1f} days for {cats} cat{'s' if cats > 1 else ''}" if basket.days else ""
    most = f", most of it {basket.largest[0]} ({basket.largest[1]:.0%})" if basket.largest else ""
    bone = f"bone {percent_text(totals.bone_share)}"
    meat = f"{grams_text(totals.mass_g)}, of it {grams_text(totals.meat_g)} meat{most}"
    return f"{meat}; {bone}; {totals.energy_kcal:.0f} kcal{days}"


def use_rows(basket: Basket) -> tuple[UseRow, ...]:
    """What goes in, in the order of work; then what is bought and only left over."""
    uses = {use.item.id: use for use in basket.uses}
    texts = {line.id: line.text for line in basket.sheet.lines}
    order = [*texts, *(id_ for id_, use in uses.items() if id_ not in texts and use.left_worth)]
    return tuple(_use(uses[id_], texts.get(id_, "none")) for id_ in order)


def _use(use: FoodUse, take: str) -> UseRow:
    source = "both" if use.from_hand and use.from_bought else "on hand" if use.from_hand else "bought"
    left = left_words(use.item, use.left_over) if use.left_over > 0 else ""
    return UseRow(use.item.id, take, use.item.food.name, source, left)


def miss_words(basket: Basket) -> list[str]:
    """What is missed (nutrients per 1000 kcal), and the rules of the market that are not kept."""
    words = [
        f"{m.name}: {amount_text(m.amount)} {m.unit}, the limit is {amount_text(m.limit)} {m.unit}"
        for m in basket.assessment.misses
    ]
    return words + [f"not kept: {rule}" for rule in basket.broken]


def offers_words(report: MarketReport) -> str:
    """How many offers there were, of which days their prices are, and how near the least this is proven to be."""
    number = len(report.trip.buyer.buying.offers)
    words = f"{number} offer{'s' if number > 1 else ''}"
    if report.price_days is not None:
        first, last = (day.isoformat() for day in report.price_days)
        words += f", prices of {first}" + (f" to {last}" if last != first else "")
    gap = report.trip.basket.purchase.gap
    return f"{words}; gap {f'{gap:.2%}' if isfinite(gap) else 'unknown'}"
