"""A time limit that many questions share: each asks how much is left."""

import time
from collections.abc import Callable
from dataclasses import dataclass

LEAST = 0.01  # seconds; a solver that is given none says nothing


Asked = Callable[[], bool]


def never() -> bool:
    """Nobody cancels."""
    return False


@dataclass(frozen=True, slots=True)
class Deadline:
    """A moment of the process's clock (`time.perf_counter`) by which all is to be done. `cancelled` is asked between
    questions: whether it has come already, since nobody waits any more."""

    at: float
    cancelled: Asked = never

    @classmethod
    def within(cls, seconds: float, cancelled: Asked = never) -> "Deadline":
        """So many seconds from now."""
        return cls(time.perf_counter() + seconds, cancelled)

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
        return self.remaining <= 0 or self.cancelled()

    def at_most(self, seconds: float) -> float:
        """Seconds for one question: what is left, but no more than so many."""
        return min(self.left, seconds)
