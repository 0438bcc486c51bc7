"""What makes a batch vary: records of each cause, and of causes that vary together."""

from dataclasses import dataclass

from catalog.nutrition.spread import Spread
from optimizer.sureness.forms import Floats

FIGURE, BONE, MEASURE = "figure", "bone", "measure"


@dataclass(frozen=True, slots=True)
class Cause:
    """What varies: a `figure` of a nutrient in the lots of a food, the `bone` of a cut, or the `measure` that a food is
    taken in. `item` is the id of the item, `of` that of the nutrient, of a measure what of it varies: how full it is,
    or what it weighs when full; `assumed` tells that the spread is."""

    kind: str
    item: str
    of: str = ""
    assumed: bool = False


@dataclass(frozen=True, slots=True)
class Source:
    """One thing that varies. `moves` is by how much one unit of it moves the room in each limit."""

    cause: Cause
    spread: Spread
    moves: Floats


@dataclass(frozen=True, slots=True)
class Factor:
    """What multiplies: what is in a part of a cut moves with the share of that part, what is in a spoon with what the
    spoon really holds. By `slope` times how far the cause is from its mean."""

    cause: Cause
    slope: float


@dataclass(frozen=True, slots=True)
class Block:
    """Things that vary together; `lower` is the lower Cholesky factor of their correlations. All they move is
    multiplied by `times`."""

    sources: tuple[Source, ...]
    lower: Floats
    times: tuple[Factor, ...] = ()
