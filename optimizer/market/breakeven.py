"""At which price each offer would come into the basket or leave it: exact to a cent, by asking the live model again.

With U the cost of the best basket without an offer, a basket with k of it that costs C besides is better at prices
below (U - C) / k. The break-even price is the highest such ratio over all baskets. It is found by asking for the
best basket at a price, going up to that basket's ratio, and asking again until none is better: a few solves each.
"""

import math
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from catalog.units.money import CENT
from optimizer.market.buyer import SAME, Buyer, NoPurchase, Purchase, PurchaseQuery
from optimizer.market.offers import Offer

# How it stands with an offer.
ENTERS, NEVER = "enters at", "not even free"  # not bought now
STAYS, ALWAYS = "stays up to", "at any price"  # bought now
IMPOSSIBLE = "no batch with it"  # no basket with any of it keeps every rule
UNSETTLED = "not settled"  # time ran out


@dataclass(frozen=True, slots=True)
class BreakEven:
    """An offer's break-even. `price` is the highest at which it is bought, to the cent, for the amount that the store
    prices (a package, a pound); None where no price does it. `substitute` is the best basket with it, where it is not
    bought now, or without it, at the prices as they are, and `extra` what that one costs more."""

    offer: Offer
    bought: bool
    standing: str
    price: Decimal | None = None
    substitute: Purchase | None = None
    extra: Fraction | None = None
    solves: int = 0

    @property
    def price_per_kg(self) -> float | None:
        """The break-even price per kilogram."""
        return None if self.price is None else float(self.price) / float(self.offer.priced_grams) * 1000


def break_even(buyer: Buyer, best: Purchase, offer: Offer, seconds: float) -> BreakEven:
    """The break-even of one offer beside the best purchase, each question within `seconds`."""
    return _BreakEvenSearch(buyer, best, offer, seconds).run()


class _BreakEvenSearch:
    """One search: the questions asked so far and what they are compared with."""

    def __init__(self, buyer: Buyer, best: Purchase, offer: Offer, seconds: float) -> None:
        self.buyer, self.best, self.offer, self.seconds = buyer, best, offer, seconds
        self.bought = best.count(offer.id) > 0
        self.per_package = offer.grams / offer.priced_grams  # of the price as the store puts it
        self.solves = 0

    def run(self) -> BreakEven:
        """See `break_even`."""
        if not self.best.proven:
            return self._end(UNSETTLED)
        if self.bought:
            without = self._ask(PurchaseQuery(without=frozenset((self.offer.id,))))
            if isinstance(without, NoPurchase):
                return self._end(ALWAYS if without.ruled_out else UNSETTLED)
            if not without.proven:
                return self._end(UNSETTLED)
            return self._climb(self.offer.priced_at, without.cost, without)
        forced = self._at(self.offer.priced_at)
        if isinstance(forced, NoPurchase):
            return self._end(IMPOSSIBLE if forced.ruled_out else UNSETTLED)
        if not forced.proven:
            return self._end(UNSETTLED)
        start = max(self._better_below(forced, self.offer.priced_at, self.best.cost), Decimal(0))
        return self._climb(start, self.best.cost, forced)

    def _climb(self, price: Decimal, to_beat: Fraction, substitute: Purchase) -> BreakEven:
        """Goes up from a price until no basket with the offer costs less than `to_beat`."""
        while True:
            with_it = self._at(price, to_beat)
            if isinstance(with_it, NoPurchase) and with_it.ruled_out:
                break
            if isinstance(with_it, NoPurchase) or not with_it.proven:
                return self._end(UNSETTLED, substitute=substitute)
            higher = self._better_below(with_it, price, to_beat)
            if higher <= price:  # better by less than money shows
                break
            price = higher
        highest = price - CENT
        if highest < 0:
            return self._end(NEVER, substitute=substitute)
        # just above nothing was cheaper; just below something has to be, and only what has the offer can be
        below = self._ask(PurchaseQuery(prices=self._priced(highest), cheaper_than=to_beat))
        verified = isinstance(below, Purchase) and below.count(self.offer.id) > 0 and below.cost < to_beat
        if not verified:
            return self._end(UNSETTLED, substitute=substitute)
        return self._end(STAYS if self.bought else ENTERS, highest, substitute)

    def _better_below(self, purchase: Purchase, price: Decimal, to_beat: Fraction) -> Decimal:
        """The least price, to the cent, at which a basket that has the offer is no longer better."""
        amount = purchase.count(self.offer.id) * self.per_package
        ratio = Fraction(price) + (to_beat - SAME - purchase.cost) / amount
        return Decimal(math.ceil(ratio * 100)) * CENT

    def _priced(self, price: Decimal) -> dict[str, Fraction]:
        return {self.offer.id: Fraction(price) * self.per_package}

    def _at(self, price: Decimal, to_beat: Fraction | None = None) -> Purchase | NoPurchase:
        """The best basket with some of the offer at a price, of those that cost less than `to_beat`."""
        return self._ask(PurchaseQuery(self._priced(price), some_of=frozenset((self.offer.id,)), cheaper_than=to_beat))

    def _ask(self, asked: PurchaseQuery) -> Purchase | NoPurchase:
        self.solves += 1
        return self.buyer.cheapest(asked, self.seconds)

    def _end(self, standing: str, price: Decimal | None = None, substitute: Purchase | None = None) -> BreakEven:
        extra = None if substitute is None else substitute.cost - self.best.cost
        return BreakEven(self.offer, self.bought, standing, price, substitute, extra, self.solves)
