"""What was asked beside the shopping list, in the words that text and papers share: stores alone, break-even prices,
substitutions, sweeps."""

from dataclasses import dataclass
from decimal import Decimal

from catalog.units.money import cents
from optimizer.market.breakeven import ENTERS, STAYS, BreakEven
from optimizer.market.market_report import MarketReport
from optimizer.market.offers import Offer
from optimizer.market.sweep import PriceRange
from optimizer.market.sweep_tables import LETTERS, PriceMap, SweepRow
from optimizer.market.wording import package_words, price_words, priced_unit

ALONE = "Costs are packages, going there, and supplements on hand that are used."
BOUGHT = "Bought: the price up to which it stays"
NOT_BOUGHT = "Not bought: the price at which it would be"
SUBSTITUTIONS = "This for that: what another choice costs more, and what it does to the doses"
MOST_SUBSTITUTIONS = 12  # told of what is not bought, those that cost least


@dataclass(frozen=True, slots=True)
class SubstitutionRow:
    """A substitution: what another choice is, what it costs more, and (label, words) of what it changes."""

    title: str
    extra: str
    changes: tuple[tuple[str, str], ...]


def alone_rows(report: MarketReport) -> tuple[tuple[str, str, str], ...]:
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


def break_even_rows(report: MarketReport, bought: bool) -> tuple[tuple[str, ...], ...]:
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


def size_words(offer: Offer) -> str:
    """What the price is for: "19.2 oz", "the lb"."""
    return f"the {priced_unit(offer)}" if offer.loose else package_words(offer)


def substitution_rows(report: MarketReport) -> tuple[tuple[SubstitutionRow, ...], str]:
    """This for that, the least extra cost first, and a sentence on those that are left out."""
    ordered = sorted(report.substitutions, key=lambda substitution: substitution.extra)
    without, others = ([s for s in ordered if s.found.bought == bought] for bought in (True, False))
    rows = []
    for substitution in (*without, *others[:MOST_SUBSTITUTIONS]):
        offer = substitution.found.offer
        changes = (("less", substitution.out), ("more", substitution.instead), ("doses", substitution.doses))
        told = tuple((label, "; ".join(parts)) for label, parts in changes if parts)
        title = f"{'without' if substitution.found.bought else 'with'} {offer.food.name} ({offer.store})"
        rows.append(SubstitutionRow(title, f"{substitution.extra:+} {report.trip.basket.sheet.currency}", told))
    left_out = len(others) - MOST_SUBSTITUTIONS
    most = f"{others[-1].extra:+} {report.trip.basket.sheet.currency}" if others else ""
    return tuple(rows), f"{left_out} others cost up to {most}: ask for one by its food." if left_out > 0 else ""


def sweep_title(report: MarketReport) -> str:
    """What was swept, from where to where."""
    assert report.sweep is not None
    varied = report.sweep.price_range
    ends = f"{cents(varied.low)} to {cents(varied.high)} {report.trip.basket.sheet.currency} per {varied.unit}"
    return f"{varied.label}: where the mix changes as its price goes from {ends}"


def sweep_cells(report: MarketReport) -> tuple[tuple[str, str, str, str], ...]:
    """The segments of a sweep: letter, prices, least cost at both ends, what is bought or changes."""
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


def prices_now(price_range: PriceRange) -> dict[str, Decimal]:
    """What each store asks now, in the measure of the range."""
    found: dict[str, Decimal] = {}
    for offer in price_range.offers:
        per = offer.priced_grams if price_range.priced_grams is None else price_range.priced_grams
        price = cents(offer.price / offer.grams * per)
        found[offer.store] = min(price, found.get(offer.store, price))
    return found


def map_title(found: PriceMap, currency: str) -> str:
    """What a map shows."""
    across = f"{found.across.label} (across, {currency} per {found.across.unit})"
    return f"{found.down.label} (down, {currency} per {found.down.unit}) against {across}"


def chart_words(report: MarketReport) -> str:
    """The chart of a sweep or of a map for those who cannot see it."""
    if report.price_map is not None:
        rows = "; ".join(f"at {price} {letters}" for price, letters in report.price_map.rows)
        return f"Map of the best mix at each two prices, a letter for each: {rows}."
    cells = ", ".join(f"{name} {costs} at {prices}" for name, prices, costs, _ in sweep_cells(report))
    return f"Line of the least cost against the price: {cells}."


def chart_caption(report: MarketReport) -> str:
    """What is drawn."""
    if report.price_map is not None:
        return "The cheapest mix at each two prices; what each letter is stands below."
    return "The least cost against the price; over each stretch its letter, at each dot the mix changes. " + ALONE
