"""One price over a range, or two: where the best basket changes (parametric programming in one cost coefficient).

What a basket costs is a straight line in one price, so the least cost is an envelope of such lines: concave, made of
straight pieces. Two baskets that are best at the ends of a segment meet at a price in it; if none is better there,
they share the segment, else the better one divides it. So a whole range takes a few solves for each change of the
basket, however many prices are then read off it.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from optimizer.errors import Cancelled
from optimizer.market.buyer import Buyer, NoPurchase, Purchase, PurchaseQuery
from optimizer.market.offers import Offer

WORTH_TELLING = Fraction(1, 200)  # money: a basket that is better by less than half a cent divides no segment

Tell = Callable[[float], None]


@dataclass(frozen=True, slots=True)
class PriceRange:
    """A price that is varied from `low` to `high` for `priced_grams` of what the offers sell (each package where
    None)."""

    label: str
    unit: str
    offers: tuple[Offer, ...]
    low: Fraction
    high: Fraction
    priced_grams: Fraction | None = None

    def prices(self, price: Fraction) -> dict[str, Fraction]:
        """The offers' prices for one package when this price is `price`."""
        return {
            offer.id: price * offer.grams / (offer.priced_grams if self.priced_grams is None else self.priced_grams)
            for offer in self.offers
        }

    def points(self, number: int) -> list[Fraction]:
        """Prices over the range, evenly, the ends included."""
        width = self.high - self.low
        return [self.low + width * n / max(number - 1, 1) for n in range(max(number, 1))]


@dataclass(frozen=True, slots=True)
class CostLine:
    """A basket, and what it costs at any price: `constant + slope * price`."""

    purchase: Purchase
    constant: Fraction
    slope: Fraction

    def at(self, price: Fraction) -> Fraction:
        """What it costs at a price."""
        return self.constant + self.slope * price


@dataclass(frozen=True, slots=True)
class Segment:
    """Prices from `low` to `high` between which one basket is best; `line` is None where none was found."""

    low: Fraction
    high: Fraction
    line: CostLine | None


@dataclass(frozen=True, slots=True)
class Sweep:
    """The segments of a range in order. Not `complete`: some of it was not looked at. `proven`: every basket is the
    best, none only the best that was found in time."""

    price_range: PriceRange
    segments: tuple[Segment, ...]
    complete: bool
    proven: bool
    solves: int

    def at(self, price: Fraction) -> CostLine | None:
        """The best basket at a price."""
        return next((s.line for s in self.segments if s.low <= price <= s.high), None)


def sweep(
    buyer: Buyer,
    price_range: PriceRange,
    seconds: float,
    tell: Tell = lambda _: None,
    also: Mapping[str, Fraction] | None = None,
) -> Sweep:
    """The segments over the range; `tell` hears which share of it is settled, `also` are other offers' prices.

    `Cancelled`, raised by `tell`, ends it early: what was settled is kept.
    """
    return _Sweep(buyer, price_range, seconds, tell, also or {}).run()


def sweep_two(
    buyer: Buyer, price_range: PriceRange, other: PriceRange, rows: int, seconds: float, tell: Tell = lambda _: None
) -> Iterator[tuple[Fraction, Sweep]]:
    """For each of some prices of `other`, highest first, the sweep over the range. Ends early when interrupted."""
    prices = other.points(rows)[::-1]
    for number, price in enumerate(prices):
        found = sweep(buyer, price_range, seconds, also=other.prices(price))
        if found.segments:
            yield price, found
        if not found.complete:
            return
        tell((number + 1) / len(prices))


class _Sweep:
    def __init__(
        self, buyer: Buyer, price_range: PriceRange, seconds: float, tell: Tell, also: Mapping[str, Fraction]
    ) -> None:
        self.buyer, self.price_range, self.seconds, self.tell, self.also = buyer, price_range, seconds, tell, also
        self.solves = 0
        self.proven = True

    def run(self) -> Sweep:
        """See `sweep`."""
        low, high = self.price_range.low, self.price_range.high
        done: list[Segment] = []
        complete = True
        try:
            first = self._best(low)
            waiting = [(low, first, high, first if low == high else self._best(high))]
            while waiting:
                found, open_ = self._divide(*waiting.pop())
                done += found
                waiting += reversed(open_)
                width = high - low
                self.tell(float(sum((s.high - s.low for s in done), Fraction()) / width) if width else 1.0)
        except Cancelled:
            complete = False
        return Sweep(self.price_range, tuple(_joined(done)), complete, self.proven, self.solves)

    def _divide(
        self, low: Fraction, left: CostLine | None, high: Fraction, right: CostLine | None
    ) -> tuple[list[Segment], list[tuple[Fraction, CostLine | None, Fraction, CostLine | None]]]:
        """What is settled of a segment, and the parts of it that still have to be looked at."""
        if left is None or right is None:  # prices do not change what is possible: nothing is, or time ran out
            return [Segment(low, high, left or right)], []
        if left.slope == right.slope or left.at(high) <= right.at(high) + WORTH_TELLING:
            return [Segment(low, high, left)], []
        if right.at(low) <= left.at(low) + WORTH_TELLING:
            return [Segment(low, high, right)], []
        meet = (right.constant - left.constant) / (left.slope - right.slope)
        if not low < meet < high:  # baskets that were not the best, for want of time
            return [Segment(low, high, min(left, right, key=lambda line: line.at((low + high) / 2)))], []
        better = self._best(meet)
        if better is None or better.at(meet) >= left.at(meet) - WORTH_TELLING:
            return [Segment(low, meet, left), Segment(meet, high, right)], []
        return [], [(low, left, meet, better), (meet, better, high, right)]

    def _best(self, price: Fraction) -> CostLine | None:
        prices = {**self.also, **self.price_range.prices(price)}
        self.solves += 1
        found = self.buyer.cheapest(PurchaseQuery(prices=prices), self.seconds)
        if isinstance(found, NoPurchase):
            self.proven = self.proven and found.ruled_out
            return None
        self.proven = self.proven and found.proven
        slope = sum((found.count(id_) * each for id_, each in self.price_range.prices(Fraction(1)).items()), Fraction())
        return CostLine(found, found.cost - slope * price, slope)


def _joined(segments: Sequence[Segment]) -> Iterator[Segment]:
    """Stretches in order, neighbours with the same line as one."""
    last: Segment | None = None
    for segment in sorted(segments, key=lambda s: s.low):
        if last is not None and last.line is segment.line and last.high == segment.low:
            last = Segment(last.low, segment.high, last.line)
            continue
        if last is not None:
            yield last
        last = segment
    if last is not None:
        yield last
