"""How the lots of one food lie about a figure: its shape, its mean, its standard deviation, and how that is known."""

from dataclasses import dataclass
from math import exp, log, sqrt

from catalog.records import Figure, Food, Nutrient
from catalog.variation import Shape, Variation

SKEWED = 1 / 3  # a figure that varies by more than this share of itself is taken as lognormal: nothing is below nothing
ENDS = 1.959964  # standard deviations from the middle to the ends of a range that holds 95 of 100 lots


@dataclass(frozen=True, slots=True)
class Spread:
    """The distribution of one figure, in the unit of the nutrient per gram of food.

    `low` and `high` are the ends of a range and `mode` is its likeliest figure, where a range is all that is known.
    `assumed` tells what was published from what is taken for want of it.
    """

    shape: Shape
    mean: float
    sd: float
    low: float = 0.0
    mode: float = 0.0
    high: float = 0.0
    assumed: bool = False


def spread_of(food: Food, nutrient: Nutrient, figure: Figure, variation: Variation) -> Spread:
    """The spread of a figure of a simple food.

    A range has the likeliest figure between its ends; where the tables call the nutrient lognormal, its ends hold 95 of
    100 lots. A published standard deviation widens a range, and counts as it is where there is none. Else the
    coefficient of variation is assumed, by how the figure is known or by the nutrient.
    """
    groups = food.groups
    skewed = any(s.of in groups and s.nutrient == nutrient.id and s.shape is Shape.LOGNORMAL for s in variation.shapes)
    published = 0.0 if figure.sd is None or figure.sd_assumed else figure.sd / 100
    value, low, high = figure.value / 100, figure.low / 100, figure.high / 100
    if low < high:
        low, high = max(0.0, min(low, value - 2 * published)), max(high, value + 2 * published)
        if skewed and low > 0:
            return _between_lots(low, high)
        return triangular(low, value, high)
    sd = published if published or not figure.sd_assumed else value * _assumed_cv(groups, nutrient, figure, variation)
    if sd <= 0 or value <= 0:
        return Spread(Shape.NORMAL, value, 0.0)
    shape = Shape.LOGNORMAL if skewed or sd > SKEWED * value else Shape.NORMAL
    return Spread(shape, value, sd, assumed=figure.sd_assumed)


def _between_lots(low: float, high: float) -> Spread:
    sigma = log(high / low) / (2 * ENDS)
    mean = sqrt(low * high) * exp(sigma**2 / 2)
    return Spread(Shape.LOGNORMAL, mean, mean * sqrt(exp(sigma**2) - 1), low, high=high)


def triangular(low: float, mode: float, high: float) -> Spread:
    """Between two ends, likeliest at `mode`."""
    mean = (low + mode + high) / 3
    variance = (low**2 + mode**2 + high**2 - low * mode - low * high - mode * high) / 18
    return Spread(Shape.BETWEEN, mean, sqrt(variance), low, mode, high)


def _assumed_cv(groups: frozenset[str], nutrient: Nutrient, figure: Figure, variation: Variation) -> float:
    for row in variation.assumed:
        if row.of in groups and row.kind == figure.kind and row.nutrient in ("", nutrient.id):
            return row.cv
    return nutrient.assumed_cv


def ties_of(food: Food, variation: Variation) -> dict[tuple[str, str], float]:
    """How the nutrients of one lot of a food vary together: correlations by pair, the first row that fits each."""
    groups = food.groups
    found: dict[tuple[str, str], float] = {}
    for tie in variation.ties:
        if tie.of in groups:
            found.setdefault((tie.nutrient, tie.other), tie.correlation)
    return found
