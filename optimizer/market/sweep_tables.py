"""Price sweeps as tables: rows of neighbouring prices with the same mix, or a map over two prices."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from catalog.units.money import cents
from optimizer.market.buyer import Purchase
from optimizer.market.buying_problem import BuyingProblem
from optimizer.market.sweep import CostLine, PriceRange, Sweep
from optimizer.market.wording import count_words, package_words

Mix = tuple[tuple[str, Fraction], ...]
LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789"


@dataclass(frozen=True, slots=True)
class SweepRow:
    """Prices between which the same packages are bought, and the same things by weight. Costs are at both ends;
    None where no basket was found. `changes` says in words what differs from the row before."""

    low: Decimal
    high: Decimal
    cost_low: Decimal | None
    cost_high: Decimal | None
    bought: tuple[str, ...]
    changes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PriceMap:
    """Two prices: for each price of `down` a letter for each price of `across`, and what each letter's mix is."""

    across: PriceRange
    down: PriceRange
    prices: tuple[Decimal, ...]
    rows: tuple[tuple[Decimal, str], ...]
    mixes: tuple[tuple[str, tuple[str, ...]], ...]
    complete: bool
    proven: bool
    solves: int


def mix_of(buying: BuyingProblem, purchase: Purchase) -> Mix:
    """What makes two purchases the same mix: the same packages, and the same things bought by weight."""
    return tuple(
        (o.id, Fraction(1) if o.loose else purchase.count(o.id)) for o in buying.offers if purchase.count(o.id)
    )


def bought_words(buying: BuyingProblem, purchase: Purchase) -> dict[str, str]:
    """What is bought, in words, by offer; of what is sold by weight the weight is left out, since it drifts."""
    return {
        offer.id: f"{offer.food.name} by weight ({offer.store})"
        if offer.loose
        else f"{count_words(offer, purchase.count(offer.id))} {offer.food.name} ({offer.store})"
        for offer in buying.offers
        if purchase.count(offer.id)
    }


def sweep_rows(buying: BuyingProblem, sweep: Sweep) -> tuple[SweepRow, ...]:
    """The segments of a sweep, neighbours with the same mix as one row."""
    rows: list[SweepRow] = []
    before: Mix = ()
    for segment in sweep.segments:
        line = segment.line
        mix = mix_of(buying, line.purchase) if line else ()
        low, high = cents(segment.low), cents(segment.high)
        start, end = _cost(line, segment.low), _cost(line, segment.high)
        if rows and mix == before and rows[-1].high == low:
            last = rows[-1]
            rows[-1] = SweepRow(last.low, high, last.cost_low, end, last.bought, last.changes)
            continue
        words = tuple(bought_words(buying, line.purchase).values()) if line else ()
        rows.append(SweepRow(low, high, start, end, words, changes_words(buying, before, mix) if rows else ()))
        before = mix
    return tuple(rows)


def changes_words(buying: BuyingProblem, before: Mix, after: Mix) -> tuple[str, ...]:
    """What one mix has more and less of than another: "+ beef spleen by weight (Butcher)"."""
    old, new = dict(before), dict(after)
    words = []
    for offer in buying.offers:
        was, now = old.get(offer.id, Fraction()), new.get(offer.id, Fraction())
        if was != now:
            what = f"{offer.food.name} ({offer.store})"
            if offer.loose:
                words.append(f"{'+' if now else '-'} {offer.food.name} by weight ({offer.store})")
            elif was and now:
                words.append(f"{was} -> {now} × {package_words(offer)} {what}")
            else:
                words.append(f"{'+' if now else '-'} {count_words(offer, now or was)} {what}")
    return tuple(words)


def _cost(line: CostLine | None, price: Fraction) -> Decimal | None:
    return None if line is None else cents(line.at(price))


def price_map(
    buying: BuyingProblem,
    across: PriceRange,
    down: PriceRange,
    found: Sequence[tuple[Fraction, Sweep]],
    columns: int,
    complete: bool,
) -> PriceMap:
    """The map of sweeps over `across`, one for each price of `down`, read off at so many prices."""
    prices = across.points(columns)
    letters: dict[Mix, str] = {}
    mixes: list[tuple[str, tuple[str, ...]]] = []
    rows = []
    for price, sweep in found:
        row = ""
        for point in prices:
            line = sweep.at(point)
            if line is None:
                row += "."
                continue
            mix = mix_of(buying, line.purchase)
            if mix not in letters:
                letters[mix] = LETTERS[len(letters)] if len(letters) < len(LETTERS) else "*"
                mixes.append((letters[mix], tuple(bought_words(buying, line.purchase).values())))
            row += letters[mix]
        rows.append((cents(price), row))
    return PriceMap(
        across=across,
        down=down,
        prices=tuple(cents(price) for price in prices),
        rows=tuple(rows),
        mixes=tuple(mixes),
        complete=complete and all(sweep.complete for _, sweep in found),
        proven=all(sweep.proven for _, sweep in found),
        solves=sum(sweep.solves for _, sweep in found),
    )
