"""Where minimum, amount and maximum stand on a bar: places from 0 to 100 along one scale.

Targets stand in one line down the page and ceilings in another. Up to the target the scale is even; from there to
the ceiling (ten times the target where there is none) it is logarithmic; what is beyond is drawn shortened.
"""

from dataclasses import dataclass
from math import log

TARGET, CEILING, END = 33.0, 80.0, 100.0
TIMES_WITHOUT_CEILING = 10.0


@dataclass(frozen=True, slots=True)
class Bar:
    """Places from 0 to 100: what counts towards the target, towards the ceiling, and the limits (None: no such)."""

    low: float
    high: float
    minimum: float | None
    maximum: float | None
    is_short: bool
    is_over: bool


def bar(low: float, high: float, minimum: float | None, maximum: float | None, status: str) -> Bar:
    """The bar of one limit; amounts and limits on the same basis."""
    return Bar(
        low=round(_place(low, minimum, maximum), 2),
        high=round(_place(max(high, low), minimum, maximum), 2),
        minimum=None if minimum is None else TARGET,
        maximum=None if maximum is None else CEILING,
        is_short=status in ("short", "unknown"),
        is_over=status == "over",
    )


def _place(value: float, minimum: float | None, maximum: float | None) -> float:
    if value <= 0:
        return 0.0
    if not minimum:
        most = maximum or value
        return CEILING * value / most if value <= most else _beyond(value, most)
    if value <= minimum:
        return TARGET * value / minimum
    most = maximum if maximum and maximum > minimum else minimum * TIMES_WITHOUT_CEILING
    if value > most:
        return _beyond(value, most)
    return TARGET + (CEILING - TARGET) * log(value / minimum) / log(most / minimum)


def _beyond(value: float, most: float) -> float:
    """Past the ceiling: never at the end, however much it is."""
    return CEILING + (END - CEILING) * (0.25 + 0.75 * (1 - most / value))
