"""What makes a batch vary: records of each cause, and of causes that vary together."""

from dataclasses import dataclass

from catalog.nutrition.spread import Spread
from optimizer.sureness.forms import Floats

FIGURE, BONE, MEASURE = "figure", "bone", "measure"


@dataclass(frozen=True, slots=True)
class Cause:
    """What varies: a `figure` of a nutrient in the lots of a food, the `bone` of a cut, or the `measure` that a food is
    taken in. `item` is the id of the item, `of` that of the nutrient; `assumed` tells that its spread is."""

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
class Block:
    """Things that vary together; `factor` is the lower Cholesky factor of their correlations. What is in a part of a
    cut moves with the share of that part: by `slope` times how far the share of `bone` is from its mean."""

    sources: tuple[Source, ...]
    factor: Floats
    bone: Cause | None = None
    slope: float = 0.0
