"""How figures and measures vary, as the tables in `tables/variation/` have it: frozen records and nothing else.

`of` says which foods a row is about: a tag, a category or a role of foods, or "any".
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

ANY = "any"


class Shape(StrEnum):
    """How the lots of a food lie about its figure.

    NORMAL: the bell curve. LOGNORMAL: skewed to the right, never below nothing. BETWEEN: a range is all that is known;
    the best figure is the likeliest, and nothing lies outside.
    """

    NORMAL = "normal"
    LOGNORMAL = "lognormal"
    BETWEEN = "between"


class Each(StrEnum):
    """What a measuring error is a share of: the whole AMOUNT at once (a spoon that is always heaped), each PIECE by
    itself, or each HALF of a piece that is cut."""

    AMOUNT = "amount"
    PIECE = "piece"
    HALF = "half"


@dataclass(frozen=True, slots=True)
class AssumedSpread:
    """The coefficient of variation of figures of one kind where none was published. An empty nutrient is any."""

    of: str
    kind: str
    nutrient: str
    cv: float
    source: str
    confidence: str


@dataclass(frozen=True, slots=True)
class ShapeOf:
    """The shape of a nutrient in some foods."""

    of: str
    nutrient: str
    shape: Shape
    source: str
    confidence: str


@dataclass(frozen=True, slots=True)
class Tie:
    """How two nutrients of one lot vary together: their coefficient of correlation."""

    of: str
    nutrient: str
    other: str
    correlation: float
    source: str
    confidence: str


@dataclass(frozen=True, slots=True)
class MeasuringError:
    """How far what goes in is off what was meant: a standard deviation, as a share."""

    unit: str
    each: Each
    share: float
    source: str
    confidence: str


@dataclass(frozen=True, slots=True)
class Variation:
    """All of it. Of several rows that fit a food the first counts; `errors` are keyed by (unit, each)."""

    assumed: tuple[AssumedSpread, ...] = ()
    shapes: tuple[ShapeOf, ...] = ()
    ties: tuple[Tie, ...] = ()
    errors: Mapping[tuple[str, Each], MeasuringError] = field(default_factory=dict)
