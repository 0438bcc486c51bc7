"""Numbers as people read them: the same rounding in every output."""

from decimal import Decimal


def grams_text(grams: float) -> str:
    """A mass in grams: whole above 100 g, to the tenth above 10 g, to the hundredth below."""
    if grams >= 99.95:
        return f"{grams:.0f} g"
    return f"{grams:.1f} g" if grams >= 9.995 else f"{grams:.2f} g"


def amount_text(value: float) -> str:
    """An amount to three significant figures, without an exponent."""
    if value == 0:
        return "0"
    magnitude = abs(value)
    if magnitude >= 100:
        return f"{value:.0f}"
    places = 1 if magnitude >= 10 else 2 if magnitude >= 1 else 3
    return f"{value:.{places}f}"


def percent_text(share: float) -> str:
    """A share as a percentage with one decimal."""
    return f"{100 * share:.1f} %"


def money_text(amount: Decimal, currency: str) -> str:
    """An amount of money with its currency."""
    return f"{amount} {currency}"
