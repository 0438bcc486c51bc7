"""A trip to the stores in the words that its papers share: every cell as text, from the report and nothing else."""

from dataclasses import dataclass
from decimal import Decimal
from math import isfinite

from optimizer.market.basket import Basket, Bought, Use
from optimizer.market.breakeven import ENTERS, STAYS, BreakEven
from optimizer.market.offers import cents
from optimizer.market.report import LETTERS, PriceMap, Report, SweepRow
from optimizer.market.sweep import Axis
from optimizer.market.wording import count_words, left_words, price_words
from optimizer.render.market_more_text import MOST_SWAPS, size_words
from optimizer.render.market_text import HEADLINES, rates_words
from optimizer.render.numbers import amount_text, grams_text, percent_text
from optimizer.sheet import PLANNED

NOT_TO_FEED = "Do not feed this mix."
LAST_PAID = "Prices last paid are from the journal; a store may ask another now."
ALONE = "Costs are packages, going there, and supplements on hand that are used."


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


@dataclass(frozen=True, slots=True)
class SwapRow:
    """A swap: what another choice is, what it costs more, and (label, words) of what it changes."""

    title: str
    extra: str
    changes: tuple[tuple[str, str], ...]


def verdict(report: Report) -> str:
    """Whether every limit is met, and how near this is to the least cost."""
    words = HEADLINES[report.trip.status]
    if report.trip.status != PLANNED or report.trip.best is None:
        return words
    gap = report.trip.basket.purchase.gap
    if not report.trip.best.proven:
        return f"{words} Time ran out: up to {gap:.1%} may still be saved."
    return f"{words} Nothing cheaper does." if gap < 5e-5 else f"{words} Nothing cheaper does, to within {gap:.2%}."


def store_rows(basket: Basket) -> tuple[StoreRows, ...]:
    """What to buy, store by store."""
    found = []
    for store in basket.stores:
        lines = [line for line in basket.bought if line.offer.store == store]
        visit = basket.shop.market.visit(store)
        total = sum((line.cost for line in lines), Decimal())
        found.append(StoreRows(store, str(total), str(visit) if visit else "", tuple(map(_buy, lines))))
    return tuple(found)


def _buy(line: Bought) -> BuyRow:
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


def money_rows(basket: Basket) -> tuple[tuple[str, str, str], ...]:
    """What it costs: name, amount, remark."""
    currency = basket.sheet.currency
    rows = [("At the stores", str(basket.paid), "")]
    if basket.visits:
        each = [f"{store.name} {store.visit}" for store in store_rows(basket) if store.visit]
        rows.append(("Going there", str(basket.visits), ", ".join(each)))
    rows.append((f"To pay, {currency}", str(basket.spent), rates_words(basket, basket.spent)))
    rows.append(("From on hand", str(basket.on_hand_worth), "at the scenario's prices"))
    rows.append(("Left over", str(-basket.left_worth), "of what is bought, in proportion"))
    rows.append((f"In this batch, {currency}", str(basket.batch_cost), rates_words(basket, basket.batch_cost)))
    return tuple(rows)


def batch_words(basket: Basket) -> str:
    """What goes in, in a line."""
    totals, cats = basket.assessment.totals, basket.shop.market.cats
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


def _use(use: Use, take: str) -> UseRow:
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


def offers_words(report: Report) -> str:
    """How many offers there were, of which days their prices are, and how near the least this is proven to be."""
    number = len(report.trip.buyer.shop.offers)
    words = f"{number} offer{'s' if number > 1 else ''}"
    if report.price_days is not None:
        first, last = (day.isoformat() for day in report.price_days)
        words += f", prices of {first}" + (f" to {last}" if last != first else "")
    gap = report.trip.basket.purchase.gap
    return f"{words}; gap {f'{gap:.2%}' if isfinite(gap) else 'unknown'}"


def alone_rows(report: Report) -> tuple[tuple[str, str, str], ...]:
    """What the batch costs from each store alone: store, cost, remark; the best of all last."""
    best, rows = report.trip.best, []
    for alone in report.alone or ():
        if alone.purchase is None:
            words = "cannot make this batch alone" if alone.ruled_out else "not found in time"
            rows.append((alone.store, "", words))
            continue
        more = cents(alone.purchase.cost - best.cost) if best else None
        proof = "" if alone.purchase.proven else f", at most {alone.purchase.gap:.1%} above the least"
        rows.append((alone.store, str(cents(alone.purchase.cost)), f"{f'{more} more' if more else 'the same'}{proof}"))
    if best:
        rows.append(("best of all", str(cents(best.cost)), ", ".join(report.trip.basket.stores)))
    return tuple(rows)


def break_even_rows(report: Report, bought: bool) -> tuple[tuple[str, ...], ...]:
    """Break-evens of what is bought or is not: what, store, price, price at which it changes, that per kg."""
    found = [b for b in report.break_evens or () if b.bought == bought]
    return tuple(_break_even(b) for b in (found if bought else sorted(found, key=_distance)))


def _distance(found: BreakEven) -> float:
    """How far its price would have to fall; what no price brings in comes last."""
    if found.price is None:
        return 2.0
    return 1.0 - float(found.price / found.offer.priced_at) if found.offer.priced_at else 0.0


def _break_even(found: BreakEven) -> tuple[str, ...]:
    offer = found.offer
    standing = str(found.price) if found.standing in (ENTERS, STAYS) else found.standing
    per_kg = "" if found.price_per_kg is None else f"{found.price_per_kg:.2f}"
    return f"{offer.food.name}, {size_words(offer)}", offer.store, price_words(offer), standing, per_kg


def swap_rows(report: Report) -> tuple[tuple[SwapRow, ...], str]:
    """This for that, the least extra cost first, and a sentence on those that are left out."""
    ordered = sorted(report.swaps, key=lambda swap: swap.extra)
    without, others = ([s for s in ordered if s.found.bought == bought] for bought in (True, False))
    rows = []
    for swap in (*without, *others[:MOST_SWAPS]):
        offer = swap.found.offer
        changes = (("less", swap.out), ("more", swap.instead), ("doses", swap.doses))
        told = tuple((label, "; ".join(parts)) for label, parts in changes if parts)
        title = f"{'without' if swap.found.bought else 'with'} {offer.food.name} ({offer.store})"
        rows.append(SwapRow(title, f"{swap.extra:+} {report.trip.basket.sheet.currency}", told))
    left_out = len(others) - MOST_SWAPS
    most = f"{others[-1].extra:+} {report.trip.basket.sheet.currency}" if others else ""
    return tuple(rows), f"{left_out} others cost up to {most}." if left_out > 0 else ""


def sweep_title(report: Report) -> str:
    """What was swept, from where to where."""
    assert report.sweep is not None
    axis = report.sweep.axis
    ends = f"{cents(axis.low)} to {cents(axis.high)} {report.trip.basket.sheet.currency} per {axis.unit}"
    return f"{axis.label}: where the mix changes as its price goes from {ends}"


def sweep_cells(report: Report) -> tuple[tuple[str, str, str, str], ...]:
    """The stretches of a sweep: letter, prices, least cost at both ends, what is bought or changes."""
    return tuple(
        (letter(number), f"{row.low} to {row.high}", _costs(row), _changes(row))
        for number, row in enumerate(report.sweep_rows)
    )


def letter(number: int) -> str:
    """The letter of a mix by its number from 0."""
    return LETTERS[number] if number < len(LETTERS) else "*"


def _costs(row: SweepRow) -> str:
    if row.cost_low is None:
        return "none"
    return str(row.cost_low) if row.cost_low == row.cost_high else f"{row.cost_low} to {row.cost_high}"


def _changes(row: SweepRow) -> str:
    return "; ".join(row.changes) or ", ".join(row.bought) or "no mix keeps every limit"


def solves_words(solves: int, proven: bool) -> str:
    """How a sweep was found."""
    return f"{solves} solves, {'to half a cent' if proven else 'some only as good as was found in time'}."


def prices_now(axis: Axis) -> dict[str, Decimal]:
    """What each store asks now, in the measure of the axis."""
    found: dict[str, Decimal] = {}
    for offer in axis.offers:
        per = offer.priced_grams if axis.priced_grams is None else axis.priced_grams
        price = cents(offer.price / offer.grams * per)
        found[offer.store] = min(price, found.get(offer.store, price))
    return found


def map_title(found: PriceMap, currency: str) -> str:
    """What a map shows."""
    across = f"{found.across.label} (across, {currency} per {found.across.unit})"
    return f"{found.down.label} (down, {currency} per {found.down.unit}) against {across}"


def chart_words(report: Report) -> str:
    """The chart of a sweep or of a map for those who cannot see it."""
    if report.price_map is not None:
        rows = "; ".join(f"at {price} {letters}" for price, letters in report.price_map.rows)
        return f"Map of the best mix at each two prices, a letter for each: {rows}."
    cells = ", ".join(f"{name} {costs} at {prices}" for name, prices, costs, _ in sweep_cells(report))
    return f"Line of the least cost against the price: {cells}."


def chart_caption(report: Report) -> str:
    """What is drawn."""
    if report.price_map is not None:
        return "The cheapest mix at each two prices; what each letter is stands below."
    return "The least cost against the price; over each stretch its letter, at each dot the mix changes. " + ALONE
