"""Numbers as people read them: the same rounding in every output."""

from decimal import Decimal
from math import floor

from optimizer.assess.result import BoneRange, RatioLine


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


RANGE_FROM = 1.1  # a high end of so many times the low one is worth telling
CALCIUM_PHOSPHORUS = "calcium-phosphorus"


def there_text(low: float, high: float, maximum: float | None = None) -> str:
    """How much there is, as low to high wherever the two differ by more than a tenth.

    A smaller difference is told too where the high end passes a ceiling that the low end keeps: it decides then.
    """
    decides = maximum is not None and low <= maximum < high
    both = high > low * RANGE_FROM or decides
    least, most = amount_text(low), amount_text(high)
    return f"{least} to {most}" if both and least != most else least


def ratio_text(line: RatioLine, bone: BoneRange | None) -> str:
    """A ratio; calcium : phosphorus with both ends where the published shares of bone move it by more than a tenth."""
    if line.value is None:
        return "no figure"
    text = amount_text(line.value)
    if bone is not None and line.id == CALCIUM_PHOSPHORUS and bone.ratio_high > bone.ratio_low * RANGE_FROM:
        text += f" ({amount_text(bone.ratio_low)} to {amount_text(bone.ratio_high)})"
    return text


def percent_text(share: float) -> str:
    """A share as a percentage with one decimal."""
    return f"{100 * share:.1f} %"


def money_text(amount: Decimal, currency: str) -> str:
    """An amount of money with its currency."""
    return f"{amount} {currency}"


def running_text(grams: float) -> str:
    """A total on the scale: whole grams from 1 kg up, tenths below."""
    return f"{grams:.0f} g" if grams >= 999.95 else f"{grams:.1f} g"


def tolerance_text(within_g: float, grams: float) -> str:
    """By how much so many grams may be off, rounded down to what a scale shows of them; "exactly" where that is
    nothing."""
    places = 0 if grams >= 99.95 else 1 if grams >= 9.995 else 2
    steps = floor(within_g * 10**places + 1e-9)
    return f"± {steps / 10**places:.{places}f} g" if steps else "exactly"
