"""A time limit that many questions share: each asks how much is left."""

import time
from dataclasses import dataclass

LEAST = 0.01  # seconds; a solver that is given none says nothing


@dataclass(frozen=True, slots=True)
class Deadline:
    """A moment of the process's clock (`time.perf_counter`) by which all is to be done."""

    at: float

    @classmethod
    def within(cls, seconds: float) -> "Deadline":
        """So many seconds from now."""
        return cls(time.perf_counter() + seconds)

    @property
    def remaining(self) -> float:
        """Seconds until then; below zero afterwards."""
        return self.at - time.perf_counter()

    @property
    def left(self) -> float:
        """Seconds to give a solver: never less than it needs to answer at all."""
        return max(LEAST, self.remaining)

    @property
    def is_over(self) -> bool:
        """Whether nothing more should be begun."""
        return self.remaining <= 0

    def at_most(self, seconds: float) -> float:
        """Seconds for one question: what is left, but no more than so many."""
        return min(self.left, seconds)
