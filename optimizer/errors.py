"""The errors that a front shows to a person; nothing else in the project catches them."""

from collections.abc import Sequence

from catalog.mistakes import Mistake


class WeighoutError(Exception):
    """Root of the tree. `exit_code` is what the command line ends with."""

    exit_code = 2


class InputErrors(WeighoutError):
    """What was written cannot be used: one `Mistake` for each thing that is wrong."""

    def __init__(self, mistakes: Sequence[Mistake]) -> None:
        self.mistakes = tuple(mistakes)
        super().__init__("\n".join(str(mistake) for mistake in self.mistakes))


class UnverifiedPlan(WeighoutError):
    """The amounts as printed do not keep a limit that the plan claims to keep: a fault of the program."""

    exit_code = 3


class Unprinted(WeighoutError):
    """Something was done as asked, and could not be told."""


class NothingToAssess(WeighoutError):
    """The amounts bring no energy."""


class Cancelled(Exception):
    """Whoever asked wants no more. It ends a long question within the library, which keeps what was found."""


class OutOfTime(WeighoutError):
    """Not even a mix that misses limits was found in the time allowed."""

    exit_code = 1
