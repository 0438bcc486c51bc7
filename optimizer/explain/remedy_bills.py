"""What a remedy costs: whole packages for what has to be got, and what of them goes into the batch."""

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction

from catalog.units.money import cents
from optimizer.assess.batch import Amount
from optimizer.explain.remedy_search import RemedyMix
from optimizer.market.known_prices import KnownPrices
from optimizer.market.offers import Offer
from optimizer.market.wording import count_words
from optimizer.sheet.amount_words import amount_words
from optimizer.sheet.reasons import Addition, Bill, Packages

Taken = tuple[tuple[Offer, int], ...]


def bill_of(mix: RemedyMix, prices: KnownPrices, best: tuple[str, ...] = (), looked_at: int = 0) -> Bill:
    """The bill of a remedy, each addition from the packages that cost least together."""
    worth = [_worth(amount, prices.offers) for amount in mix.get]
    additions = tuple(_addition(amount, *each) for amount, each in zip(mix.get, worth, strict=True))
    pay = sum((a.pay for a in additions if a.pay is not None), Decimal())
    in_batch = cents(sum((share for _, share in worth), Fraction()))
    known = all(a.pay is not None for a in additions)
    return Bill(prices.currency, additions, pay, in_batch, known, best, looked_at)


def _worth(amount: Amount, offers: Sequence[Offer]) -> tuple[Taken | None, Fraction]:
    """The packages to buy for an amount, None where no price is known, and what of their cost goes in with it."""
    grams = amount.count * amount.item.grams_per_unit
    taken = cheapest_packages(grams, [offer for offer in offers if offer.food.id == amount.item.id])
    if taken is None:
        return None, Fraction()
    return taken, cost_of(taken) * grams / sum((count * o.grams for o, count in taken), Fraction())


def _addition(amount: Amount, taken: Taken | None, in_batch: Fraction) -> Addition:
    name, text = amount.item.food.name, amount_words(amount)
    if taken is None:
        return Addition(amount.item.id, name, text, (), None, None)
    packages = tuple(
        Packages(count_words(o, Fraction(count)), o.store, cents(count * o.price), o.line.day, bool(o.line.last_known))
        for o, count in taken
    )
    return Addition(amount.item.id, name, text, packages, sum((p.pay for p in packages), Decimal()), cents(in_batch))


def cost_of(taken: Taken) -> Fraction:
    """What packages cost together, without rounding."""
    return sum((count * offer.price for offer, count in taken), Fraction())


def cheapest_packages(grams: Fraction, offers: Sequence[Offer]) -> Taken | None:
    """The packages of one food that cost least and hold so many grams: every number of each is tried. What is sold
    by weight is counted in steps of a scale. None where there are not enough of them."""
    return _cover(grams, sorted(offers, key=lambda offer: (offer.loose, offer.id)))


def _cover(grams: Fraction, offers: Sequence[Offer]) -> Taken | None:
    if grams <= 0:
        return ()
    if not offers:
        return None
    first, others = offers[0], offers[1:]
    found = []
    for count in counts_for(first, grams):
        rest = _cover(grams - count * first.grams, others)
        if rest is not None:
            found.append((((first, count), *rest)) if count else rest)
    return min(found, key=lambda taken: (cost_of(taken), len(taken)), default=None)


def counts_for(offer: Offer, grams: Fraction) -> Sequence[int]:
    """How many of an offer may be bought where so many grams are wanted: up to enough of them; of what is sold by
    weight none, or all of it and no less than is worth asking for."""
    enough = -int(-grams // offer.grams)
    if offer.loose:
        enough = max(enough, -int(-offer.least_grams // offer.grams))
    if offer.line.most is not None and offer.line.most < enough:
        return range(0 if offer.loose else offer.line.most + 1) or (0,)
    return (0, enough) if offer.loose else range(enough + 1)


def bill_words(bill: Bill) -> list[str]:
    """Each addition in words: the amount, and the packages with their store, price and day."""
    return [f"{a.name} ({a.text}; {_from(a, bill.currency)})" for a in bill.additions]


def _from(addition: Addition, currency: str) -> str:
    packages = " and ".join(_packages(p, currency) for p in addition.packages)
    return f"buy {packages}" if packages else "price not known"


def _packages(packages: Packages, currency: str) -> str:
    day = "no date" if packages.day is None else packages.day.isoformat()
    if packages.last_known:
        return f"{packages.text}, last known price {packages.pay} {currency}, {day}"
    return f"{packages.text} at {packages.store}, {packages.pay} {currency}, {day}"


def total_words(bill: Bill) -> str:
    """The bill in a sentence, both ways of counting."""
    unknown = sum(a.pay is None for a in bill.additions)
    if unknown and unknown == len(bill.additions):
        return "What it costs is not known."
    some = f"and {unknown} price{'s' if unknown > 1 else ''} not known, " if unknown else ""
    in_batch = "less than 0.01" if bill.to_pay and not bill.in_batch else f"{bill.in_batch}"
    return f"To pay: {bill.to_pay} {bill.currency}, {some}of which {in_batch} {bill.currency} goes into the batch."
