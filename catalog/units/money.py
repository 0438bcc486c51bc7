"""Reads prices, in decimals: "2.49 USD/lb", "12.50 for 60 capsules", "£3 / kg"."""

import re
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

from catalog.bounds import plain_number
from catalog.units.quantities import Quantity, read_quantity, with_number
from catalog.units.spelling import QuantityError, clean

__all__ = ["CENT", "Price", "cents", "read_price"]

CENT = Decimal("0.01")

PRICE = 'a price for an amount, such as "2.49 USD/lb", "3.20 per kg" or "12.50 for 60 capsules"'
CURRENCIES_OF_SIGN = {"£": "GBP", "€": "EUR", "¥": "JPY or CNY"}


def cents(exact: Fraction) -> Decimal:
    """Money to the hundredth of its unit, halves upwards."""
    return (Decimal(exact.numerator) / Decimal(exact.denominator)).quantize(CENT, ROUND_HALF_UP)


@dataclass(frozen=True, slots=True)
class Price:
    """`amount` of money in `currency` (three capital letters) for the quantity `per`; `text` as written."""

    amount: Decimal
    currency: str
    per: Quantity
    text: str


def read_price(text: object, currency: str) -> Price:
    """The price in a text, in the scenario's `currency`, which is also meant where none is written.

    Where the scenario has none (""), the price is in the currency that is written, "" for none or for a sign of many.
    "$" stands for any currency whose code ends with D. "per dozen" is per 12 things not named (unit "").
    A price of zero is allowed. Raises QuantityError, for another currency too: mixing needs a rate.
    """
    plain = clean(text, PRICE)
    if re.match(r"[0-9]+/[0-9]", plain):
        raise QuantityError(f"{text!r} begins with a fraction", PRICE, 'Write "per" instead of "/" before a number.')
    money = r"([A-Z]{3}|[$£€¥])?"
    match = re.fullmatch(rf"{money} ?([0-9]+(?:\.[0-9]+)?) ?{money} ?(/|(?i:per|for) )(.+)", plain)
    if not match:
        if not re.match(r"(?:[A-Z]{3}|[$£€¥])? ?[0-9.]", plain):
            raise QuantityError(f"{text!r} does not begin with a price", PRICE)
        hint = 'Write what the price is for after "/", "per" or "for", and the currency in capital letters.'
        raise QuantityError(f"{text!r} cannot be read as a price", PRICE, hint)
    before, amount, after, _, rest = match.groups()
    named = [written for written in (after, before) if written]
    currency = currency or next((code for written in named if (code := _code(written))), "")
    for written in named:
        if currency and not _means(written, currency):
            other = CURRENCIES_OF_SIGN.get(written, "a currency ending with D" if written == "$" else written)
            raise QuantityError(
                f"{text!r} is in {other}, the scenario in {currency}; mixing currencies needs a rate",
                f"a price in {currency}",
                f"Write the price in {currency}.",
            )
    if plain_number(amount) is None:
        raise QuantityError(f"{text!r:.60} is far more than anything costs", PRICE)
    per = read_quantity(with_number(rest.strip()), allowed=PRICE, bare_dozen=True)
    return Price(Decimal(amount), currency, per, str(text).strip())


def _code(written: str) -> str:
    """The one currency that a code or sign stands for, else an empty text."""
    code = CURRENCIES_OF_SIGN.get(written, written)
    return code if len(code) == 3 else ""


def _means(written: str, currency: str) -> bool:
    """Whether a currency's code or sign can stand for `currency`."""
    if written == "$":
        return currency.endswith("D")
    return currency in CURRENCIES_OF_SIGN.get(written, written).split(" or ")
